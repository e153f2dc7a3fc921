"""Who may ask the desk anything, and what every answer says of itself.

Any page in the same browser can send requests to this machine, and a name of the wide world can be made to
point at it. So: the Host must be ours, an Origin must be ours and there with everything that changes
something, no other site may have sent the browser here, and the browser must have shown this run's token.
"""

from __future__ import annotations

from typing import Final
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import HTTPConnection, Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from notepipe.desk.desk import Desk

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # Not no-referrer: with that a browser sends "Origin: null" with the forms of our own pages.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
_READS: Final = ("GET", "HEAD")
OPEN: Final = ("/enter", "/assets/")
"""What is shown to a browser that has not shown the token: the way in, and style and scripts."""


class Guard:
    """Lets a request through to *app*, or answers it with what is wrong and what to do."""

    def __init__(self, app: ASGIApp, desk: Desk) -> None:
        self._app = app
        self._desk = desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def marked(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.update(HEADERS)
                headers.setdefault("cache-control", "no-store")
            await send(message)

        refusal = self._refusal(scope)
        await (refusal or self._app)(scope, receive, marked)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if wrong := self._stranger(scope, headers):
            return PlainTextResponse(f"{wrong}\n", 403)
        path = scope["path"]
        if path == OPEN[0] or path.startswith(OPEN[1]):
            return None
        connection = HTTPConnection(scope)
        sitter = self._desk.sitter(connection.cookies.get(cookie_name(self._desk), ""))
        if sitter is None:
            return _not_let_in(headers)
        scope.setdefault("state", {})["sitter"] = sitter
        if sitter.person is None and path != "/who":
            return RedirectResponse("/who", 303) if scope["method"] in _READS else _nobody()
        return None

    def _stranger(self, scope: Scope, headers: Headers) -> str | None:
        """What is wrong with where the request comes from, in a line; None where nothing is."""
        hosts = [f"{name}:{self._desk.port}" for name in ("127.0.0.1", "localhost")]
        host = headers.get("host", "")
        if host not in hosts or len(headers.getlist("host")) != 1:
            return f"This desk answers only to {hosts[0]}. Open the address that notepipe desk printed."
        origin = headers.get("origin")
        if origin is None and scope["method"] not in _READS:
            return "A change that does not say which page sent it. Open the desk in an ordinary browser."
        if origin is not None and origin != f"http://{host}":
            return "Another site sent this. Close that page; nothing was changed."
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return "Another site sent you here. Open the address that notepipe desk printed yourself."
        return None


def cookie_name(desk: Desk) -> str:
    """Of this desk: cookies are shared between the ports of a machine, and two shops may be open."""
    return f"notepipe-desk-{desk.port}"


def let_in(desk: Desk, request: Request, response: Response) -> Response:
    """*response* with a seat at the desk for the browser that asked; one that has a seat keeps it."""
    if desk.sitter(request.cookies.get(cookie_name(desk), "")) is not None:
        return response
    response.set_cookie(cookie_name(desk), desk.seat(), httponly=True, samesite="strict", path="/")
    return response


def sitter_key(request: Request) -> str:
    """The seat of whoever asks."""
    return str(request.state.sitter.key)


def person_of(request: Request) -> str:
    """The reviewer who asks; the guard has seen to it that there is one."""
    return str(request.state.sitter.person)


def local(path: str) -> str:
    """*path* as it may be redirected to: a path of this desk, never another site."""
    plain = path if path.startswith("/") and not path.startswith(("//", "/\\")) else "/"
    return quote(plain, safe="/?=&-._~%")


def _not_let_in(headers: Headers) -> Response:
    what = "This browser has not been let in, or the desk was started anew."
    do = "Open the address that notepipe desk printed; this page then goes on by itself."
    if "application/json" in headers.get("accept", ""):
        return JSONResponse({"where": "the desk", "what": what, "do": do}, 401)
    return PlainTextResponse(f"{what}\n{do}\n", 401)


def _nobody() -> Response:
    do = "Go to the first page and choose your name."
    return JSONResponse({"where": "the desk", "what": "who is reviewing?", "do": do}, 403)
