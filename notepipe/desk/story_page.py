"""The story of a job: every entry, the last first, with its words to be played; in pieces."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from notepipe.choosing import Wanted, chosen
from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.listening import sources_of
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.storied import chapters, notes_taken
from notepipe.entries import Entry
from notepipe.errors import NotepipeError

PLACES: tuple[Place, ...] = (Place("Story", lambda job: f"/job/{job.key}/story"),)
PIECE = 100


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/story``."""
    sources = sources_of(desk)

    def story(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        asked = {name: request.query_params.get(name, "").strip()[:200] for name in ("person", "day", "tag")}
        mistake: NotepipeError | None = None
        try:
            entries = _wanted(job, asked)
        except NotepipeError as error:
            entries, mistake = (), error
        before = request.query_params.get("before", "")
        if before.isascii() and before.isdecimal():
            entries = tuple(entry for entry in entries if entry.number < int(before[:9]))
        piece = entries[-PIECE:]
        files = {note.recording: note.file for note in job.register.notes}
        return pages.page(
            request,
            "story.html.j2",
            job=job,
            asked=asked,
            people=tuple(dict.fromkeys(entry.who for entry in job.entries)),
            story=tuple(reversed(chapters(piece, notes_taken(job.entries), files))),
            parts={part.tag for part in job.register.parts},
            left=len(entries) - len(piece),
            sources=sources(job),
            mistake=mistake,
        )

    return [Route("/job/{key}/story", story)]


def _wanted(job: JobNow, asked: dict[str, str]) -> tuple[Entry, ...]:
    if not any(asked.values()):
        return job.entries
    wanted = Wanted(part=asked["tag"] or None, person=asked["person"] or None, day=asked["day"] or None)
    return chosen(job.entries, wanted)
