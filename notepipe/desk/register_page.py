"""The register of a job: a row for each part, filtered, in pieces; and the page of one part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import BaseRoute, Route

from notepipe.choosing import Wanted
from notepipe.choosing import chosen as chosen_entries
from notepipe.desk.correcting import fields_of
from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.films import films_of
from notepipe.desk.listening import quotes_of, sources_of
from notepipe.desk.offered import ACTIONS, STANDINGS
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.rows import PIECE, Row, Sought, chosen, rows_of, table_of
from notepipe.desk.storied import chapters, notes_taken
from notepipe.errors import NotFound
from notepipe.months.outside import Outside

PLACES: tuple[Place, ...] = (Place("Register", lambda job: f"/job/{job.key}/register"),)


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/register``, its further rows, and ``/job/KEY/part/TAG``."""
    sources, films = sources_of(desk), films_of(desk)

    def register(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        table, sought = table_of(job), _sought(request)
        return pages.page(
            request,
            "register.html.j2",
            job=job,
            sought=sought,
            offered=table.offered,
            total=len(table.rows),
            **_piece(job, request, sought),
        )

    def more(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        return HTMLResponse(pages.text("_rows.html.j2", job=job, **_piece(job, request, _sought(request))))

    def part(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        row = _row(job, request.path_params["tag"])
        files = {note.recording: note.file for note in job.register.notes}
        story = chosen_entries(job.entries, Wanted(part=row.now.tag))
        return pages.page(
            request,
            "part.html.j2",
            job=job,
            row=row,
            now=row.now,
            quotes=quotes_of(row.now.part, row.now.recording, files),
            sheets=Outside(job.register).lines(row.now),
            promises=[p for p in job.register.promises if row.now.tag in p.noted.tags],
            sources=sources(job),
            story=chapters(story, notes_taken(job.entries), files),
            films=tuple(films.of_part(job, row.now)),
            today=desk.clock()[:10],
            fields=fields_of(row.now.part),
            actions=ACTIONS,
            standings=STANDINGS,
        )

    def _piece(job: JobNow, request: Request, sought: Sought) -> dict[str, Any]:
        found = chosen(rows_of(job), sought)
        start = _number(request.query_params.get("from", ""))
        query = {**{k: v for k, v in sought._asdict().items() if v}, "from": start + PIECE}
        left = max(0, len(found) - start - PIECE)
        return {
            "rows": found[start : start + PIECE],
            "found": len(found),
            "left": left,
            "further": f"/job/{job.key}/register?{urlencode(query)}" if left else "",
            "today": desk.clock()[:10],
        }

    return [
        Route("/job/{key}/register", register),
        Route("/job/{key}/register/rows", more),
        Route("/job/{key}/part/{tag}", part),
    ]


def _row(job: JobNow, tag: str) -> Row:
    for row in rows_of(job):
        if row.now.tag == tag:
            return row
        if tag in row.now.joined:
            return row  # A tag that was joined is still looked for under its old name.
    raise NotFound(f"job {job.name}", f"no part '{tag[:20]}'", "Go back to the register and choose one.")


def _sought(request: Request) -> Sought:
    asked = request.query_params
    return Sought(**{name: asked.get(name, "").strip()[:200] for name in Sought._fields})


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 9 else 0
