"""The way in, and who sits at the desk."""

from __future__ import annotations

import secrets
from collections.abc import Sequence

from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from notepipe.desk.desk import Desk
from notepipe.desk.guard import let_in, local, sitter_key
from notepipe.desk.rendering import Pages, Place

PLACES: tuple[Place, ...] = ()


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/enter`` and ``/who``."""

    def enter(request: Request) -> Response:
        shown = request.query_params.get("token", "")
        if not secrets.compare_digest(shown.encode("utf-8"), desk.token.encode("utf-8")):
            do = "Open the address that notepipe desk printed when it was started last."
            return PlainTextResponse(f"This is not the token of this run.\n{do}\n", 403)
        back = RedirectResponse(local(request.query_params.get("to", "/")), 303)
        # A redirect, so that the token stays neither in the address bar nor in the history.
        return let_in(desk, request, back)

    def who(request: Request) -> Response:
        return pages.page(request, "who.html.j2", reviewers=desk.shop.settings.reviewers)

    async def sit(request: Request) -> Response:
        form = await request.form()
        desk.sit(sitter_key(request), str(form.get("person", "")))
        return RedirectResponse("/", 303)

    return [
        Route("/enter", enter),
        Route("/who", who, methods=["GET"]),
        Route("/who", sit, methods=["POST"]),
    ]
