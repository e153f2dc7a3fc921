"""Pictures on the desk: the files, stills to choose from, put to a part and taken off, the sheet to print."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response
from starlette.routing import BaseRoute, Route

from notepipe.attaching import Album, Sent
from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.films import films_of
from notepipe.desk.guard import person_of
from notepipe.desk.names import safe_name
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted, text_in
from notepipe.desk.rows import PIECE
from notepipe.draft import Part
from notepipe.errors import BadAnswer, BadPicture, NotepipeError, NotFound
from notepipe.papers.letter import Letter, letter_for
from notepipe.papers.picture_sheet import picture_sheet, sheet_view
from notepipe.pictures import LARGEST_BYTES, small
from notepipe.register import Picture
from notepipe.showing import count, records

PLACES: tuple[Place, ...] = (Place("Pictures", lambda job: f"/job/{job.key}/pictures"),)
KEPT: Final = {"cache-control": "private, max-age=31536000, immutable"}
"""A picture never changes under its hash."""
_MOST_S: Final = 24 * 3600


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/picture/HASH``, ``/still/HASH/MS``, and below ``/job/KEY`` what shows and changes pictures."""
    room = _Room(desk, pages)
    part, note = "/job/{key}/part/{tag}", "/job/{key}/note/{hash}"
    return [
        Route("/picture/{hash}", room.whole),
        Route("/picture/{hash}/small", room.small),
        Route("/still/{hash}/{ms}", room.still),
        Route(f"{note}/stills", room.stills),
        Route(f"{note}/still", posted(room.keep_for_record), methods=["POST"]),
        Route(f"{part}/still", posted(room.keep_still), methods=["POST"]),
        Route(f"{part}/pictures", posted(room.add), methods=["POST"]),
        Route(f"{part}/picture/{{hash}}/remove", posted(room.remove), methods=["POST"]),
        Route("/job/{key}/pictures", room.sheet),
        Route("/job/{key}/pictures/sheet.html", room.sheet_file),
    ]


class _Room:
    """The endpoints."""

    def __init__(self, desk: Desk, pages: Pages) -> None:
        self._desk = desk
        self._pages = pages
        self._films = films_of(desk)

    def whole(self, request: Request) -> Response:
        path = self._desk.shop.picture(request.path_params["hash"])
        return FileResponse(path, media_type="image/jpeg", headers=KEPT, content_disposition_type="inline")

    def small(self, request: Request) -> Response:
        path = self._desk.shop.picture(request.path_params["hash"])
        return Response(small(path.read_bytes()), media_type="image/jpeg", headers=KEPT)

    def still(self, request: Request) -> Response:
        recording, ms = request.path_params["hash"], request.path_params["ms"]
        if not re.fullmatch(r"[0-9]{1,8}", ms):
            raise NotFound("the desk", "no such moment", "Go back to the part and load it again.")
        self._films.note(recording)
        return Response(self._films.still(recording, int(ms)), media_type="image/jpeg", headers=KEPT)

    def stills(self, request: Request) -> Response:
        """The stills of a record of a note, as a piece of its card; nothing where it was not filmed."""
        job = self._desk.job(request.path_params["key"])
        note = job.note(request.path_params["hash"])
        name = request.query_params.get("record", "")
        if not self._films.is_filmed(note):
            return Response(status_code=204)  # The page need not ask again.
        record = dict(records(note.draft)).get(name)
        film = self._films.of_record(note, record) if isinstance(record, Part) else None
        if film is None:
            return HTMLResponse("")
        tags = _tags_of(job, note.recording, name)
        told = {
            "film": film,
            "job": job,
            "tag": ", ".join(tags),
            "address": f"/job/{job.key}/note/{note.recording[:16]}/still",
            "record": name,
            "kept": [p for now in job.register.parts if now.tag in tags for p in now.pictures],
        }
        return HTMLResponse(self._pages.text("_stills.html.j2", **told))

    def keep_for_record(self, request: Request, form: FormData) -> Response:
        """The still chosen while a record was reviewed, put to the parts it became."""
        job = self._desk.job(request.path_params["key"])
        note = job.note(request.path_params["hash"])
        tags = _tags_of(job, note.recording, text_in(form, "record"))
        if not tags:
            what = "is not confirmed yet"
            raise BadAnswer(
                f"{note.file} {text_in(form, 'record')}", what, "Confirm it; then keep its picture."
            )
        at_s = _moment(text_in(form, "at"))
        for tag in tags:
            self._album(job).add_still(self._desk.hand(person_of(request)), tag, note.recording, at_s)
        said = f"The picture is kept with {', '.join(tags)}."
        return done(request, f"/job/{job.key}/part/{tags[0]}", said)

    def keep_still(self, request: Request, form: FormData) -> Response:
        job, tag = self._part(request)
        note = job.note(text_in(form, "note"))
        hand = self._desk.hand(person_of(request))
        self._album(job).add_still(hand, tag, note.recording, _moment(text_in(form, "at")))
        return done(request, f"/job/{job.key}/part/{tag}#pictures", f"The picture is kept with {tag}.")

    def add(self, request: Request, form: FormData) -> Response:
        """Picture files; those that can't be used are named, the others are kept."""
        job, tag = self._part(request)
        files = [f for f in form.getlist("files") if isinstance(f, UploadFile) and (f.filename or f.size)]
        if not files:
            raise BadPicture(tag, "no picture was given", "Choose one or more files, or drop them here.")
        kept, failed = 0, []
        for file in files:
            try:
                self._album(job).add(self._desk.hand(person_of(request)), tag, _sent(file))
                kept += 1
            except NotepipeError as error:
                failed.append(error)
        to = f"/job/{job.key}/part/{tag}#pictures"
        said = f"{count(kept, 'picture')} kept with {tag}."
        if not failed:
            return done(request, to, said)
        if len(files) == 1 or "application/json" not in request.headers.get("accept", ""):
            raise failed[0]
        wrong = [{"where": e.where, "what": e.what, "do": e.do} for e in failed]
        return JSONResponse({"to": to if kept else "", "said": said if kept else "", "wrong": wrong})

    def remove(self, request: Request, form: FormData) -> Response:
        job, tag = self._part(request)
        hand, sha256 = self._desk.hand(person_of(request)), request.path_params["hash"]
        self._album(job).remove(hand, tag, sha256, text_in(form, "reason"))
        return done(request, f"/job/{job.key}/part/{tag}#pictures", "The picture is taken off.")

    def sheet(self, request: Request) -> Response:
        """The picture sheet to look at and to print; of many parts in pieces, but for printing whole."""
        job = self._desk.job(request.path_params["key"])
        view = sheet_view(job.register, self._letter(), lambda picture: f"/picture/{picture.sha256}")
        whole = "whole" in request.query_params
        shown = view.parts if whole else view.parts[:PIECE]
        left = len(view.parts) - len(shown)
        return self._pages.page(request, "pictures.html.j2", job=job, sheet=view, parts=shown, left=left)

    def sheet_file(self, request: Request) -> Response:
        """The same as one file with the pictures inside, to send."""
        job = self._desk.job(request.path_params["key"])

        def read(picture: Picture) -> bytes:
            return self._desk.shop.picture(picture.sha256).read_bytes()

        page = picture_sheet(job.register, self._letter(), read)
        name = f'attachment; filename="{job.key}-pictures.html"'
        return Response(page, media_type="text/html", headers={"content-disposition": name})

    def _letter(self) -> Letter:
        return letter_for(self._desk.shop, self._desk.trade, self._desk.clock()[:10], leave_out=True)

    def _album(self, job: JobNow) -> Album:
        return Album(self._desk.shop, self._desk.ledger, job.name)

    def _part(self, request: Request) -> tuple[JobNow, str]:
        job = self._desk.job(request.path_params["key"])
        return job, job.register.part(request.path_params["tag"]).tag


def _sent(file: UploadFile) -> Sent:
    """Read whole: a picture may be as large as LARGEST_BYTES, and one byte more tells that it is larger."""
    return Sent(name=safe_name(file.filename or "picture"), file=file.file.read(LARGEST_BYTES + 1))


def _moment(text: str) -> float:
    """Seconds as a page sends them. Raises BadAnswer for anything else."""
    if not re.fullmatch(r"\d{1,6}(\.\d{1,6})?", text) or float(text) > _MOST_S:
        raise BadAnswer("the still", "says no moment of the film", "Choose one of the pictures.")
    return float(text)


def _tags_of(job: JobNow, recording: str, record: str) -> tuple[str, ...]:
    """The tags that a record of a note stands under."""
    return tuple(p.tag for p in job.register.parts if (p.recording, p.record) == (recording, record))
