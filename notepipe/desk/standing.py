"""How each record of a note stands: waiting, in doubt, put off, or settled by whom and as what. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

from notepipe.draft import Part, Question
from notepipe.entries import Entry, PartConfirmed, QuestionConfirmed, RecordDropped, RecordPutOff
from notepipe.later.matching import in_short
from notepipe.register import NoteNow, Register
from notepipe.review import Sitting
from notepipe.showing import records
from notepipe.story import told

State = Literal["waiting", "in doubt", "put off", "confirmed", "dropped"]
_Settling = PartConfirmed | QuestionConfirmed | RecordDropped


class Settled(NamedTuple):
    """What became of a record: the last entry that settled it, and the tags it stands under."""

    number: int
    who: str
    at: str
    how: Literal["confirmed", "dropped"]
    tags: tuple[str, ...]
    reason: str
    """Of a dropping."""

    @property
    def line(self) -> str:
        """``Joe Marsh confirmed it as 004 at 13:20``."""
        as_what = f" as {', '.join(self.tags)}" if self.how == "confirmed" else f": {self.reason}"
        return f"{self.who} {self.how} it{as_what} at {self.at[11:16]}"


class Line(NamedTuple):
    """One record in the list."""

    name: str
    title: str
    quantity: int | None
    kind: Literal["part", "question"]
    state: State
    doubts: int
    settled: Settled | None


def lines(sitting: Sitting, note: NoteNow, entries: Sequence[Entry]) -> tuple[Line, ...]:
    """Every record of the draft in its order, and what was added by hand."""
    became = settled(entries, note.recording)
    drafted = [_line(sitting, name, record, became.get(name)) for name, record in records(note.draft)]
    added = [
        _added(name, entry, became[name])
        for name in became
        if name.startswith("added-")
        if (entry := entries[became[name].number - 1])
    ]
    return (*drafted, *added)


def settled(entries: Sequence[Entry], recording: str) -> dict[str, Settled]:
    """By record, what settled it last; of one that waits again what had settled it before."""
    found: dict[str, Settled] = {}
    for entry in entries:
        body = entry.body
        if not isinstance(body, _Settling) or body.recording != recording or not _of_review(body):
            continue
        before = found.get(body.record)
        dropped = isinstance(body, RecordDropped)
        tag = body.tag
        # The groups of a set that was split were confirmed in one go.
        together = before is not None and (before.at, before.who) == (entry.at, entry.who) and not dropped
        tags = (*(before.tags if before and together else ()), *((tag,) if tag else ()))
        found[body.record] = Settled(
            number=entry.number,
            who=entry.who,
            at=entry.at,
            how="dropped" if dropped else "confirmed",
            tags=tuple(dict.fromkeys(tags)),
            reason=body.reason if isinstance(body, RecordDropped) else "",
        )
    return found


def put_off_why(entries: Sequence[Entry], recording: str, name: str) -> str | None:
    """Who put the record off last, and why; None where nobody did."""
    for entry in reversed(entries):
        body = entry.body
        if isinstance(body, RecordPutOff) and (body.recording, body.record) == (recording, name):
            return f"{entry.who} put it off{f': {body.reason}' if body.reason else ''}"
    return None


def stands(register: Register, tags: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """What stands now under each of *tags*, in short."""
    parts = [(now.tag, in_short(now.part)) for now in register.parts if now.tag in tags]
    questions = [(now.tag, now.question.text) for now in register.questions if now.tag in tags]
    return (*parts, *questions)


def last_of(entries: Sequence[Entry], note: NoteNow, person: str) -> int | None:
    """The number of the last answer of *person* in *note* that still stands; None where there is none."""
    for entry in reversed(entries):
        body = entry.body
        if entry.who != person or getattr(body, "recording", None) != note.recording:
            continue
        if isinstance(body, _Settling) and body.record in note.reviewed and _of_review(body):
            return entry.number
        if isinstance(body, RecordPutOff) and body.record in note.put_off:
            return entry.number
    return None


def _of_review(body: PartConfirmed | QuestionConfirmed | RecordDropped) -> bool:
    return getattr(body, "how", None) != "as it stood before"


def news(entries: Sequence[Entry], since: int, mine: Sequence[object] = ()) -> tuple[str, ...]:
    """A line for each entry after number *since*, those with the bodies *mine* left out."""
    new = [entry for entry in entries[since:] if entry.body not in mine]
    lines = [f"{e.who} {deed}" for e, (deed, _) in zip(new, told(new), strict=True)]
    return tuple(lines) if len(lines) <= 3 else (*lines[-2:], f"and {len(lines) - 2} more")


def _line(sitting: Sitting, name: str, record: Part | Question, became: Settled | None) -> Line:
    match = sitting.match(name) if name in sitting.waiting() else None
    doubts = len(record.doubts) + bool(match and match.doubt)
    title = record.name if isinstance(record, Part) else record.text
    state: State
    if name in sitting.reviewed:
        state = became.how if became else "confirmed"
    elif name in sitting.put_off:
        state = "put off"
    else:
        state = "in doubt" if doubts else "waiting"
    return Line(
        name=name,
        title=title,
        quantity=record.quantity if isinstance(record, Part) else None,
        kind="part" if isinstance(record, Part) else "question",
        state=state,
        doubts=doubts,
        settled=became if name in sitting.reviewed else None,
    )


def _added(name: str, entry: Entry, became: Settled) -> Line:
    part = entry.body.part if isinstance(entry.body, PartConfirmed) else Part(name="")
    return Line(name, part.name, part.quantity, "part", became.how, 0, became)
