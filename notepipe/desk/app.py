"""The desk's application: the routes of all its modules, behind the guard."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Protocol, cast

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Mount
from starlette.staticfiles import StaticFiles

from notepipe.desk import (
    correcting,
    due_page,
    first_page,
    jobs_page,
    papers_page,
    picture_pages,
    questions_page,
    register_page,
    review_page,
    sending_page,
    sound,
    story_page,
    take_in,
)
from notepipe.desk.desk import Desk
from notepipe.desk.guard import Guard
from notepipe.desk.rendering import ASSETS, Pages, Place
from notepipe.errors import BadAnswer, BadLedger, CannotWrite, NotepipeError, NotFound


class _Module(Protocol):
    PLACES: tuple[Place, ...]

    def routes(self, desk: Desk, pages: Pages) -> Sequence[BaseRoute]: ...


MODULES: Final = cast(
    "tuple[_Module, ...]",
    (
        jobs_page,
        first_page,
        review_page,
        sound,
        register_page,
        correcting,
        questions_page,
        due_page,
        papers_page,
        sending_page,
        picture_pages,
        story_page,
        take_in,
    ),
)
"""Each has ``routes(desk, pages)`` and ``PLACES``: the pages of a job that stand in the head of each."""
_STATUS: Final = {NotFound: 404, BadAnswer: 409, CannotWrite: 409, BadLedger: 500}


def application(desk: Desk) -> Starlette:
    """The whole desk, ready to be served."""
    pages = Pages(desk, tuple(place for module in MODULES for place in module.PLACES))
    routes: list[BaseRoute] = [Mount("/assets", StaticFiles(directory=ASSETS), name="assets")]
    for module in MODULES:
        routes += module.routes(desk, pages)

    def mistake(request: Request, error: Exception) -> Response:
        assert isinstance(error, NotepipeError)
        told = {"where": error.where, "what": error.what, "do": error.do}
        status = next((code for kind, code in _STATUS.items() if isinstance(error, kind)), 400)
        if "application/json" in request.headers.get("accept", ""):
            return JSONResponse(told, status)
        return pages.page(request, "mistake.html.j2", status=status, mistake=error)

    def missing(request: Request, _: Exception) -> Response:
        return mistake(request, NotFound("the desk", "no such page", "Go to the first page."))

    handlers = {NotepipeError: mistake, 404: missing}
    return Starlette(routes=routes, middleware=[Middleware(Guard, desk=desk)], exception_handlers=handlers)
