"""Recordings dropped onto a page: they come in, and the page tells how far the hearing is."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from notepipe.closing import refuse_where_closed
from notepipe.desk.desk import Desk
from notepipe.desk.guard import person_of
from notepipe.desk.incoming import LARGEST_BYTES, Card, Coming, Incoming
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted
from notepipe.errors import BadRecording
from notepipe.recording import TEXT_ENDINGS

PLACES: tuple[Place, ...] = (Place("Take in", lambda job: f"/job/{job.key}/take-in"),)
ENDINGS = (".m4a", ".mp3", ".wav", ".ogg", ".opus", ".flac", ".aac", ".mp4", ".mov", ".webm", *TEXT_ENDINGS)
"""Offered when files are chosen; what a recording is its bytes tell."""


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/take-in``: the page, the bytes of a recording, how far each is."""
    incoming = Incoming(desk)

    def page(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        coming = incoming.all_of(job.name)
        endings = ",".join(ENDINGS)
        return pages.page(
            request, "take_in.html.j2", job=job, coming=coming, endings=endings, most=LARGEST_BYTES
        )

    async def receive(request: Request) -> Response:
        """The bytes of one recording, as they are; its name stands in the address."""
        job = await run_in_threadpool(desk.job, request.path_params["key"])
        refuse_where_closed(job.entries)  # Before gigabytes are sent.
        name = request.query_params.get("name", "")
        card = Card(job=job.name, person=person_of(request), file=name)
        length = request.headers.get("content-length", "")
        try:
            promised = int(length) if length.isdecimal() else None
            coming = await incoming.receive(card, _pieces(request), promised)
        except ClientDisconnect as error:
            raise BadRecording(name, "came only in part", "Drop it here again.") from error
        return JSONResponse({"name": coming.name, "list": _list(job.key, job.name)}, 201)

    def progress(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        coming = incoming.all_of(job.name)
        at_work = sum(one.state in ("waiting", "hearing") for one in coming)
        told: dict[str, Any] = {"run": desk.run, "at_work": at_work, "list": _list(job.key, job.name)}
        told["coming"] = [_told(one) for one in coming]
        return JSONResponse(told)

    def go_on(request: Request, _: FormData) -> Response:
        job = desk.job(request.path_params["key"])
        incoming.go_on(job.name, request.path_params["name"])
        return done(request, f"/job/{job.key}/take-in")

    def away(request: Request, _: FormData) -> Response:
        job = desk.job(request.path_params["key"])
        incoming.throw_away(job.name, request.path_params["name"])
        return done(request, f"/job/{job.key}/take-in")

    def _list(key: str, name: str) -> str:
        return pages.text("_coming.html.j2", coming=incoming.all_of(name), key=key)

    return [
        Route("/job/{key}/take-in", page, methods=["GET"]),
        Route("/job/{key}/take-in", receive, methods=["POST"]),
        Route("/job/{key}/take-in/progress", progress),
        Route("/job/{key}/take-in/{name}/go-on", posted(go_on), methods=["POST"]),
        Route("/job/{key}/take-in/{name}/away", posted(away), methods=["POST"]),
    ]


async def _pieces(request: Request) -> AsyncIterator[bytes]:
    async for piece in request.stream():
        if piece:
            yield piece


def _told(coming: Coming) -> dict[str, Any]:
    wrong = coming.wrong._asdict() if coming.wrong else None
    told = {**coming._asdict(), "file": coming.card.file, "wrong": wrong}
    del told["card"]
    return told
