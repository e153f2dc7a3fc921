"""Entries, folded in their order, become the register: one small step for each kind of entry."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from notepipe.bulk import without_collecting
from notepipe.draft import Part
from notepipe.entries import (
    CautionOff,
    CautionOn,
    Entry,
    JobClosed,
    JobOpened,
    JobReopened,
    NoteTaken,
    PaperIssued,
    PaperWritten,
    PartConfirmed,
    PartsJoined,
    PictureAttached,
    PictureRemoved,
    QuestionAnswered,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
    RecordReopened,
)
from notepipe.errands import (
    ConditionNoted,
    PriceNoted,
    PriceReleased,
    PromiseNoted,
    PromiseSettled,
    SheetBack,
    SheetSent,
    SheetSettled,
    WhereaboutsNoted,
)
from notepipe.errors import BadLedger
from notepipe.recalling import recalled
from notepipe.register import (
    AnswerNow,
    Booked,
    IssuedNow,
    NoteNow,
    PartNow,
    Picture,
    PriceNow,
    PromiseNow,
    QuestionNow,
    Register,
    SheetNow,
)


def fold(entries: Iterable[Entry], onto: Register | None = None) -> Register:
    """What stands after *entries*, the first of which opens the job unless they go *onto* a register.

    Raises BadLedger where there is none, or where they tell of a job that was never opened.
    """
    if onto is None and isinstance(entries, tuple):
        return recalled(entries, laid)
    return laid(entries, onto)


def laid(entries: Iterable[Entry], onto: Register | None) -> Register:
    """The same without recalling what was folded before."""
    table = _Table(onto)
    with without_collecting():
        for entry in entries:
            table.lay(entry)
    if table.head is None:
        raise BadLedger("ledger", "a job without an entry", "Put back the last copy that holds.")
    return table.register()


class _Table:
    """The register while it is worked out: by tag, so that an entry costs the same however many there are."""

    def __init__(self, onto: Register | None) -> None:
        self.head = onto
        self.notes = {note.recording: note for note in onto.notes} if onto else {}
        self.parts = {part.tag: part for part in onto.parts} if onto else {}
        self.questions = {question.tag: question for question in onto.questions} if onto else {}
        self.sheets = {sheet.sent.sheet: sheet for sheet in onto.sheets} if onto else {}
        self.promises = {promise.noted.promise: promise for promise in onto.promises} if onto else {}
        self.prices = {p.noted.price: part.tag for part in self.parts.values() for p in part.prices}
        self.issued = list(onto.issued) if onto else []
        self.change: dict[str, Any] = {}

    def register(self) -> Register:
        assert self.head is not None
        rows = ("notes", "parts", "questions", "sheets", "promises")
        now = {name: tuple(getattr(self, name).values()) for name in rows}
        return self.head.model_copy(update={**now, "issued": tuple(self.issued), **self.change})

    def lay(self, entry: Entry) -> None:
        body = entry.body
        if isinstance(body, JobOpened):
            self.head = Register(
                job=entry.job,
                client=body.client,
                what=body.what,
                opened_at=entry.at,
                last_hash=entry.hash,
                last_number=entry.number,
            )
        elif self.head is None:
            raise BadLedger(
                "ledger", f"job {entry.job} was never opened", "Put back the last copy that holds."
            )
        if isinstance(body, PaperWritten):
            return
        self.change |= {"last_hash": entry.hash, "last_number": entry.number}
        step = _STEPS.get(type(body))
        if step is not None:
            step(self, entry, body)

    def highest(self, name: str, number: int) -> None:
        """*number* is taken: the next free one is above it."""
        before = self.change.get(name, getattr(self.head, name))
        self.change[name] = max(before, number)

    def add_to_part(self, tag: str, field: str, more: object) -> None:
        part = self.parts.get(tag)
        if part is not None:
            self.parts[tag] = part.model_copy(update={field: (*getattr(part, field), more)})

    def reviewed(self, recording: str, record: str) -> None:
        note = self.notes.get(recording)
        if note is not None:
            done = {"reviewed": note.reviewed | {record}, "put_off": note.put_off - {record}}
            self.notes[recording] = note.model_copy(update=done)


def _note(table: _Table, entry: Entry, body: NoteTaken) -> None:
    table.notes[body.recording] = NoteNow(
        recording=body.recording,
        file=body.file,
        transcript=body.transcript,
        taken_at=entry.at,
        draft=body.draft,
    )


def _part(table: _Table, entry: Entry, body: PartConfirmed) -> None:
    signed = {"by": entry.who, "at": entry.at, "recording": body.recording, "record": body.record}
    before = table.parts.get(body.tag)
    # What was said of the whole set is what a further group of it, told apart in the same note, goes by.
    same_note = before is not None and before.recording == body.recording
    earlier = before and (before.earlier if same_note else before.part)
    said_in = dict.fromkeys((*(before.said_in if before else ()), body.recording))
    off = before.cautions_off if before else ()
    now: dict[str, Any] = {**signed, "said_in": tuple(said_in), "against": body.against, "earlier": earlier}
    now["part"] = _without(body.part, off)
    if before is None:
        table.parts[body.tag] = PartNow(tag=body.tag, split_from=body.split_from, **now)
    else:
        split_from = body.split_from or before.split_from
        table.parts[body.tag] = before.model_copy(update={**now, "split_from": split_from})
    table.highest("part_tags", int(body.tag))
    table.reviewed(body.recording, body.record)


def _without(part: Part, off: tuple[str, ...]) -> Part:
    return part.model_copy(update={"cautions": tuple(c for c in part.cautions if c.id not in off)})


def _question(table: _Table, entry: Entry, body: QuestionConfirmed) -> None:
    before = table.questions.get(body.tag)
    table.questions[body.tag] = QuestionNow(
        tag=body.tag,
        question=body.question,
        by=entry.who,
        at=entry.at,
        recording=body.recording,
        record=body.record,
        first_at=before.first_at if before else entry.at,
        asked_in=before.asked_in if before else (),
        answer=before.answer if before else None,
    )
    table.highest("question_tags", int(body.tag[1:]))
    table.reviewed(body.recording, body.record)


def _dropped(table: _Table, _: Entry, body: RecordDropped) -> None:
    if body.tag is not None:
        table.parts.pop(body.tag, None)
        table.questions.pop(body.tag, None)
    table.reviewed(body.recording, body.record)


def _put_off(table: _Table, _: Entry, body: RecordPutOff) -> None:
    note = table.notes.get(body.recording)
    if note is not None:
        table.notes[body.recording] = note.model_copy(update={"put_off": note.put_off | {body.record}})


def _reopened(table: _Table, _: Entry, body: RecordReopened) -> None:
    for tag in body.tags:
        table.parts.pop(tag, None)
        table.questions.pop(tag, None)
    for tag in body.answers:
        question = table.questions.get(tag)
        if question is not None:
            table.questions[tag] = question.model_copy(update={"answer": None})
    note = table.notes.get(body.recording)
    if note is not None:
        again = {"reviewed": note.reviewed - {body.record}, "put_off": note.put_off - {body.record}}
        table.notes[body.recording] = note.model_copy(update=again)


def _joined(table: _Table, _: Entry, body: PartsJoined) -> None:
    gone, into = table.parts.pop(body.tag, None), table.parts.get(body.into)
    if gone is None or into is None:
        return
    kept = {
        name: (*getattr(into, name), *getattr(gone, name))
        for name in ("conditions", "whereabouts", "prices", "pictures")
    }
    said_in = tuple(dict.fromkeys((*into.said_in, *gone.said_in)))
    joined = (*into.joined, body.tag, *gone.joined)
    table.parts[body.into] = into.model_copy(update={**kept, "said_in": said_in, "joined": joined})
    table.prices |= {price.noted.price: body.into for price in gone.prices}


def _answered(table: _Table, entry: Entry, body: QuestionAnswered) -> None:
    question = table.questions.get(body.tag)
    if question is None:
        return
    answer = AnswerNow(
        text=body.answer,
        by=body.by,
        on=body.on,
        way=body.way,
        written_by=entry.who,
        written_at=entry.at,
        recording=body.recording,
        quote=body.quote,
    )
    table.questions[body.tag] = question.model_copy(update={"answer": answer})


def _issued(table: _Table, entry: Entry, body: PaperIssued) -> None:
    kept = body.model_dump(exclude={"kind"})
    table.issued.append(IssuedNow(**kept, by=entry.who, at=entry.at))
    for tag in body.asked:
        question = table.questions.get(tag)
        if question is not None:
            asked_in = (*question.asked_in, body.number)
            table.questions[tag] = question.model_copy(update={"asked_in": asked_in})


def _sent(table: _Table, entry: Entry, body: SheetSent) -> None:
    table.sheets[body.sheet] = SheetNow(sent=body, by=entry.who, at=entry.at)


def _back(table: _Table, entry: Entry, body: SheetBack) -> None:
    sheet = table.sheets.get(body.sheet)
    if sheet is None:
        return
    more = tuple(Booked(on=body.on, by=entry.who, back=line, remark=body.remark) for line in body.lines)
    table.sheets[body.sheet] = sheet.model_copy(update={"back": (*sheet.back, *more)})


def _settled(table: _Table, _: Entry, body: SheetSettled) -> None:
    sheet = table.sheets.get(body.sheet)
    if sheet is None:
        return
    back = tuple(
        row.model_copy(update={"settled": row.settled or body.how}) if row.back.line == body.line else row
        for row in sheet.back
    )
    now: dict[str, object] = {"back": back, "settled": (*sheet.settled, (body.line, body.how))}
    if body.missing:
        now["not_coming"] = (*sheet.not_coming, (body.line, body.missing))
    table.sheets[body.sheet] = sheet.model_copy(update=now)


def _whereabouts(table: _Table, _: Entry, body: WhereaboutsNoted) -> None:
    table.add_to_part(body.tag, "whereabouts", body)


def _condition(table: _Table, _: Entry, body: ConditionNoted) -> None:
    table.add_to_part(body.tag, "conditions", body)


def _promise(table: _Table, entry: Entry, body: PromiseNoted) -> None:
    before = table.promises.get(body.promise)
    moved = (*before.moved, before.noted.due) if before and before.noted.due != body.due else ()
    kept = moved or (before.moved if before else ())
    first = before.first_said if before else body.said_on
    table.promises[body.promise] = PromiseNow(
        noted=body, by=entry.who, at=entry.at, moved=kept, first_said=first
    )


def _promise_settled(table: _Table, entry: Entry, body: PromiseSettled) -> None:
    promise = table.promises.get(body.promise)
    if promise is not None:
        settled = {"settled_on": body.on, "settled_at": entry.at, "how": body.how, "remark": body.remark}
        table.promises[body.promise] = promise.model_copy(update=settled)


def _price(table: _Table, entry: Entry, body: PriceNoted) -> None:
    table.add_to_part(body.tag, "prices", PriceNow(noted=body, by=entry.who, at=entry.at))
    table.prices[body.price] = body.tag
    table.highest("price_tags", int(body.price[1:]))


def _released(table: _Table, _: Entry, body: PriceReleased) -> None:
    part = table.parts.get(table.prices.get(body.price, ""))
    if part is not None:
        prices = tuple(
            price.model_copy(update={"released": True}) if price.noted.price == body.price else price
            for price in part.prices
        )
        table.parts[part.tag] = part.model_copy(update={"prices": prices})


def _caution_off(table: _Table, _: Entry, body: CautionOff) -> None:
    table.add_to_part(body.tag, "cautions_off", body.caution)
    part = table.parts.get(body.tag)
    if part is not None:
        without = _without(part.part, part.cautions_off)
        table.parts[body.tag] = part.model_copy(update={"part": without})


def _caution_on(table: _Table, _: Entry, body: CautionOn) -> None:
    part = table.parts.get(body.tag)
    if part is not None:
        off = tuple(caution for caution in part.cautions_off if caution != body.caution.id)
        others = _without(part.part, (body.caution.id,))
        shown = others.model_copy(update={"cautions": (*others.cautions, body.caution)})
        table.parts[body.tag] = part.model_copy(update={"part": shown, "cautions_off": off})


def _picture(table: _Table, _: Entry, body: PictureAttached) -> None:
    kept = Picture(sha256=body.sha256, file=body.file, recording=body.recording, at_s=body.at_s)
    table.add_to_part(body.tag, "pictures", kept)


def _no_picture(table: _Table, _: Entry, body: PictureRemoved) -> None:
    part = table.parts.get(body.tag)
    if part is not None:
        left = tuple(picture for picture in part.pictures if picture.sha256 != body.sha256)
        table.parts[body.tag] = part.model_copy(update={"pictures": left})


def _closed(table: _Table, _: Entry, body: JobClosed) -> None:
    table.change["closed"] = body.reason


def _again(table: _Table, _: Entry, __: JobReopened) -> None:
    table.change["closed"] = None


_Step = Callable[[_Table, Entry, Any], None]
_STEPS: dict[type, _Step] = {
    NoteTaken: _note,
    PartConfirmed: _part,
    QuestionConfirmed: _question,
    RecordDropped: _dropped,
    RecordPutOff: _put_off,
    RecordReopened: _reopened,
    PartsJoined: _joined,
    QuestionAnswered: _answered,
    PaperIssued: _issued,
    SheetSent: _sent,
    SheetBack: _back,
    SheetSettled: _settled,
    WhereaboutsNoted: _whereabouts,
    ConditionNoted: _condition,
    PromiseNoted: _promise,
    PromiseSettled: _promise_settled,
    PriceNoted: _price,
    PriceReleased: _released,
    CautionOff: _caution_off,
    CautionOn: _caution_on,
    PictureAttached: _picture,
    PictureRemoved: _no_picture,
    JobClosed: _closed,
    JobReopened: _again,
}
