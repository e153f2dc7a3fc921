"""How a form of a page is read and answered: to a script that stays on the page, or by going on."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

MOST_FIELDS = 2_000
MOST_FILES = 40


def posted(do: Callable[[Request, FormData], Response]) -> Callable[[Request], Awaitable[Response]]:
    """An endpoint that reads the form it was sent, and then does its work where it may wait for the disk."""

    async def endpoint(request: Request) -> Response:
        async with request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS) as form:
            return await run_in_threadpool(do, request, form)

    return endpoint


def done(request: Request, address: str, said: str = "") -> Response:
    """It is done: a script is told where to go on and what to say, a plain form is sent there."""
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse({"to": address, "said": said})
    return RedirectResponse(address, 303)


def text_in(form: FormData, name: str) -> str:
    """What was typed into the field *name*, without blanks around it; empty where there is none."""
    found = form.get(name)
    return found.strip() if isinstance(found, str) else ""
