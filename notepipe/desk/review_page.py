"""The review of a note in a browser, record by record: the page, its pieces, and the answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import BaseRoute, Route

from notepipe.desk import answering
from notepipe.desk.answering import Place as Where
from notepipe.desk.card import called, card, cautions
from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.guard import person_of, sitter_key
from notepipe.desk.heard import paragraphs
from notepipe.desk.offered import ACTIONS, STANDINGS, vocabulary
from notepipe.desk.presence import Presence, Seen
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.sound import source_of
from notepipe.desk.standing import last_of, lines, news, put_off_why, settled, stands
from notepipe.draft import Part
from notepipe.entries import RecordReopened
from notepipe.errors import BadAnswer
from notepipe.recording import TEXT_ENDINGS
from notepipe.register import NoteNow
from notepipe.review import undoubted
from notepipe.sitting import Sitting
from notepipe.taking import words_of

_MOST_FOUND = 30


def _address(job: JobNow) -> str:
    return f"/job/{job.key}/review"


PLACES: tuple[Place, ...] = (Place("Review", _address),)


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/review``; below ``/job/KEY/note/HASH`` the page, its pieces, and what changes something."""
    room = _Room(desk, pages)
    note = "/job/{key}/note/{hash}"
    return [
        Route("/job/{key}/review", room.notes),
        Route("/words", room.words),
        Route(note, room.page),
        Route(f"{note}/card", room.card),
        Route(f"{note}/now", room.now),
        Route(f"{note}/on-file", room.on_file),
        Route(f"{note}/cautions", _posted(room.cautions), methods=["POST"]),
        Route(f"{note}/answer", _posted(room.answer), methods=["POST"]),
        Route(f"{note}/undo", _posted(room.undo), methods=["POST"]),
        Route(f"{note}/add", _posted(room.add), methods=["POST"]),
    ]


def _posted(do: Callable[[Request, Any], Response]) -> Callable[[Request], Any]:
    """An endpoint that reads the JSON it was sent, and then does its work where it may wait for the disk."""

    async def endpoint(request: Request) -> Response:
        told = await answering.told_in(request)
        return await run_in_threadpool(do, request, told)

    return endpoint


class _Room:
    """The endpoints."""

    def __init__(self, desk: Desk, pages: Pages) -> None:
        self._desk = desk
        self._pages = pages
        self._presence = Presence(desk.clock)

    def notes(self, request: Request) -> Response:
        job = self._desk.job(request.path_params["key"])
        return self._pages.page(request, "notes.html.j2", job=job)

    def words(self, _: Request) -> Response:
        return HTMLResponse(self._pages.text("_words.html.j2", lists=vocabulary(self._desk.trade)))

    def page(self, request: Request) -> Response:
        where = self._where(request)
        sitting = where.job.sitting(where.note)
        name = self._wanted(request, sitting, where.note)
        heard = words_of(self._desk.shop, where.note.recording, where.note.transcript)
        return self._pages.page(
            request,
            "review.html.j2",
            job=where.job,
            note=where.note,
            address=f"/job/{where.job.key}/note/{where.note.recording[:16]}",
            source=source_of(self._desk, where.note),
            now_on=name,
            card_html=self._card(where, name, None),
            heard=paragraphs(heard, where.note.draft, where.note.recording),
            **self._list(where, sitting),
        )

    def card(self, request: Request) -> Response:
        where = self._where(request)
        name = self._wanted(request, where.job.sitting(where.note), where.note)
        return HTMLResponse(self._card(where, name, request.query_params.get("onto") or None))

    def now(self, request: Request) -> Response:
        """Who else is on the note, and what happened since the page looked last."""
        where = self._where(request)
        since, record = request.query_params.get("since", ""), request.query_params.get("record", "")
        seen = Seen(person_of(request), record[:12])
        others = self._presence.here(f"{where.job.name}\n{where.note.recording}", sitter_key(request), seen)
        return self._said(
            where, others=[{"person": o.person, "record": o.record} for o in others], since=since
        )

    def on_file(self, request: Request) -> Response:
        """The parts on file that a record may be laid on, by some of their words or their tag."""
        where = self._where(request)
        found = called(where.job.sitting(where.note).on_file, request.query_params.get("words", ""))
        found_html = self._pages.text(
            "_on_file.html.j2", rows=found[:_MOST_FOUND], more=len(found) - _MOST_FOUND
        )
        return HTMLResponse(found_html)

    def cautions(self, request: Request, told: Any) -> Response:
        """The cautions of the part as it would be confirmed now."""
        where = self._where(request)
        answer = answering.as_confirmation(told)
        rows = cautions(where.job.sitting(where.note), answer)
        return HTMLResponse(
            self._pages.text("_cautions.html.j2", cautions=rows, acknowledged=answer.acknowledged)
        )

    def answer(self, request: Request, told: Any) -> Response:
        where = self._where(request)
        since = told.pop("since", None)
        bodies = answering.keep(self._desk, person_of(request), where, answering.as_answer(told))
        return self._said(self._where(request), since=since, mine=bodies)

    def undo(self, request: Request, told: Any) -> Response:
        where, number = self._where(request), told.get("entry")
        if number is not None and not isinstance(number, int):
            raise BadAnswer("the answer", "names no entry", "Load the page again; nothing was kept.")
        if number is None:
            number = last_of(where.job.entries, where.note, person_of(request))
        if number is None:
            do = "Open the record that is wrong, and take it back there."
            raise BadAnswer(where.note.file, "no answer of yours to take back", do)
        bodies = answering.take_back(self._desk, person_of(request), where.job, number)
        opened = [b.record for b in bodies if isinstance(b, RecordReopened)]
        return self._said(self._where(request), since=told.get("since"), mine=bodies, opened=opened)

    def add(self, request: Request, told: Any) -> Response:
        since = told.pop("since", None)
        bodies = answering.add(self._desk, person_of(request), self._where(request), told)
        return self._said(self._where(request), since=since, mine=bodies)

    def _where(self, request: Request) -> Where:
        job = self._desk.job(request.path_params["key"])
        return Where(job, job.note(request.path_params["hash"]))

    def _wanted(self, request: Request, sitting: Sitting, note: NoteNow) -> str:
        """The record that is asked for, else the first that waits, else the first of all."""
        name = request.query_params.get("record", "")
        known = {*note.records, *(n for n in note.reviewed if n.startswith("added-"))}
        if name in known:
            return name
        waiting = sitting.waiting()
        return next(
            (n for n in waiting if n not in sitting.put_off), next(iter((*waiting, *note.records)), "")
        )

    def _card(self, where: Where, name: str, onto: str | None) -> str:
        sitting, note = where.job.sitting(where.note), where.note
        if not name:
            return self._pages.text("_nothing.html.j2")
        if name in note.reviewed:
            became = settled(where.job.entries, note.recording)[name]
            now = stands(where.job.register, became.tags)
            return self._pages.text("_settled.html.j2", name=name, became=became, stands=now)
        return self._pages.text(
            "_card.html.j2",
            card=card(sitting, name, onto),
            is_part=isinstance(sitting.record(name), Part),
            put_off=put_off_why(where.job.entries, note.recording, name),
            place=note.records.index(name) + 1,
            records=len(note.records),
            may_join=bool(sitting.on_file),
            actions=ACTIONS,
            standings=STANDINGS,
            addressees=("client", "shop"),
            sound=not note.file.lower().endswith(TEXT_ENDINGS),
        )

    def _list(self, where: Where, sitting: Sitting) -> dict[str, Any]:
        """What the list of records is filled with."""
        rows = lines(sitting, where.note, where.job.entries)
        done = len(where.note.records) - len(where.note.waiting)
        plain = len(undoubted(sitting)) if where.note.waiting else 0
        return {"rows": rows, "done": done, "total": len(where.note.records), "plain": plain}

    def _said(
        self, where: Where, *, since: object, mine: Sequence[Any] | None = None, **more: Any
    ) -> Response:
        """How the note stands, with the news; the list only where something happened."""
        last = where.job.last
        known = int(str(since)) if str(since).isdecimal() else last
        told: dict[str, Any] = {"run": self._desk.run, "last": last, **more}
        if known < last or mine is not None:
            sitting = where.job.sitting(where.note)
            told["list"] = self._pages.text("_records.html.j2", **self._list(where, sitting))
            told["waiting"] = sitting.waiting()
            told["news"] = news(where.job.entries, known, mine or ())
        if mine is not None:
            told["said"] = answering.lines(mine)
        return JSONResponse(told)
