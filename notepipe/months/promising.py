"""A promise is noted, moved and settled by a person: what they say becomes an entry. Pure.

The same promise (the same vendor on the same parts or the same sheet, still open) said again with another
day keeps its name and moves.
"""

from __future__ import annotations

from datetime import date

from notepipe.days import day_of, day_past
from notepipe.errands import PromiseNoted, PromiseSettled
from notepipe.errors import BadAnswer
from notepipe.register import PromiseNow, Register
from notepipe.transcript import Frozen

_EARLIEST = date(1970, 1, 1)


class Told(Frozen):
    """What a person says of a promise; days as they type them (ISO 8601)."""

    who: str
    due: str
    words: str
    said_on: str
    tags: tuple[str, ...] = ()
    sheet: str | None = None
    what: str = ""
    moves: str | None = None
    """The promise it moves, where the person says so."""
    past: bool = False
    """The person means a day that is past."""
    recording: str | None = None
    start_s: float | None = None
    end_s: float | None = None


def noted(register: Register, told: Told, today: date) -> PromiseNoted:
    """The entry for *told*. Raises NotFound for a part, sheet or promise that isn't there, BadAnswer for a
    day that is none, lies before the day it was said, or is past without a word that it may be, and where
    nothing would change.
    """
    where = f"job {register.job}"
    said_on, due = _days(where, told, today)
    for tag in told.tags:
        register.part(tag)
    if told.sheet is not None:
        register.sheet(told.sheet)
    if not told.who.strip():
        raise BadAnswer(where, "a promise by nobody", 'Say who: --who "Tarn Plating"')
    before = _before(register, told)
    entry = PromiseNoted(
        promise=before.noted.promise if before else next_name(register),
        who=told.who.strip(),
        what=told.what.strip() or _what(register, told),
        tags=told.tags or (before.noted.tags if before else ()),
        sheet=told.sheet or (before.noted.sheet if before else None),
        words=told.words.strip() or f"by {due.isoformat()}",
        said_on=said_on.isoformat(),
        due=due.isoformat(),
        recording=told.recording,
        start_s=told.start_s,
        end_s=told.end_s,
    )
    if before and before.noted.due == entry.due:
        do = "Give another day to move it, or leave it as it is."
        raise BadAnswer(f"{where} {entry.promise}", f"is due on {entry.due} already", do)
    return entry


def kept(register: Register, name: str, told: PromiseSettled, today: date) -> PromiseSettled:
    """The entry that settles the promise *name*. Raises NotFound where there is none, BadAnswer where it is
    settled already, for a day still to come, and for one before it was given.
    """
    promise = register.promise(name)
    where = f"job {register.job} {name}"
    if promise.settled_on is not None:
        do = "Where it was promised again, note it as a new promise."
        raise BadAnswer(where, f"was {promise.how} on {promise.settled_on} already", do)
    on = day_past(where, told.on, today)
    if on < date.fromisoformat(promise.noted.said_on):
        what = f"{on.isoformat()} is before the day it was promised, {promise.noted.said_on}"
        raise BadAnswer(where, what, "Give the day it was kept.")
    return told.model_copy(update={"promise": name, "on": on.isoformat()})


def next_name(register: Register) -> str:
    """``D01``, ``D02`` …: the next that no promise has had."""
    return f"D{1 + max((int(p.noted.promise[1:]) for p in register.promises), default=0):02d}"


def _days(where: str, told: Told, today: date) -> tuple[date, date]:
    said_on = day_past(where, told.said_on, today)
    due = day_of(where, told.due)
    if said_on < _EARLIEST:
        raise BadAnswer(where, f"{said_on.isoformat()} is long ago", "Give the day it was promised.")
    if due < said_on:
        what = f"{due.isoformat()} is before the day it was promised, {said_on.isoformat()}"
        raise BadAnswer(where, what, "Give a day after it.")
    if due < today and not told.past:
        what = f"{due.isoformat()} is past"
        raise BadAnswer(where, what, "Give a day to come; or --past, if it was promised for then.")
    return said_on, due


def _before(register: Register, told: Told) -> PromiseNow | None:
    """The open promise that *told* says again."""
    if told.moves is not None:
        promise = register.promise(told.moves)
        if promise.settled_on is not None:
            what = f"was {promise.how} on {promise.settled_on}"
            raise BadAnswer(f"job {register.job} {told.moves}", what, "Note it as a new promise.")
        return promise
    same = (p for p in register.promises if p.settled_on is None and _is_same(p.noted, told))
    return next(same, None)


def _is_same(noted: PromiseNoted, told: Told) -> bool:
    if noted.who.casefold() != told.who.strip().casefold():
        return False
    if told.sheet or noted.sheet:
        return told.sheet == noted.sheet
    if told.tags or noted.tags:
        return set(told.tags) == set(noted.tags)
    return bool(told.what) and told.what == noted.what


def _what(register: Register, told: Told) -> str:
    if told.tags:
        return ", ".join(register.part(tag).part.name for tag in told.tags)
    if told.sheet:
        return f"what went with sheet {told.sheet}"
    return "the job"
