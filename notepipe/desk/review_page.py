"""The review of a note, record by record."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.rendering import Pages, Place


def _first_note(job: JobNow) -> str:
    return f"/job/{job.key}/review"


PLACES: tuple[Place, ...] = (Place("Review", _first_note),)


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/review`` and ``/job/KEY/note/HASH``."""

    def notes(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        return pages.page(request, "notes.html.j2", job=job)

    return [Route("/job/{key}/review", notes)]
