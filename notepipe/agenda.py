"""What is due, and what was heard of it, as lines for a person at a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from notepipe.heard_promises import Candidate
from notepipe.months.due import Due, DueLine, Record
from notepipe.register import PromiseNow
from notepipe.showing import clock, count, wrapped

InWords = Callable[[date], str]
"""How the shop writes a day."""
_INDENT = " " * 4


def due_lines(due: Due, in_words: InWords) -> Iterator[str]:
    """Overdue, this week and later, each promise with who, what, by when, in which words, and how late."""
    groups = (("Overdue", due.overdue), ("Due this week", due.this_week), ("Later", due.later))
    for title, lines in groups:
        yield title
        for line in lines:
            yield from _line(line, in_words)
        if not lines:
            yield f"{_INDENT}nothing"
        yield ""


def record_lines(records: Sequence[Record]) -> Iterator[str]:
    """How each vendor kept to its word so far."""
    if records:
        yield "How long it took before"
        yield from wrapped((f"{record.who}: {_record(record)}" for record in records), _INDENT)


def candidate_lines(candidates: Sequence[Candidate], in_words: InWords) -> Iterator[str]:
    """What was heard, each under its number: the day, who, what, the words with their seconds, the doubts."""
    for candidate in candidates:
        heard = candidate.heard
        day = _day(heard.due, in_words) if heard.due else "no day"
        about = f" ({', '.join(candidate.tags)})" if candidate.tags else ""
        yield from wrapped(
            [f"{candidate.number:>3}  {day}  {heard.who or 'nobody named'}: {heard.what}{about}"], ""
        )
        at = "" if heard.quote.start_s is None else f" {clock(heard.quote.start_s)}"
        said = [f"{candidate.file}{at} “{heard.quote.text}”, counted from {in_words(candidate.said_on)}"]
        if heard.records and not candidate.tags:
            said.append("not reviewed yet: once it is, the promise gets the tag of its part")
        if candidate.noted:
            said.append(f"noted already, as {candidate.noted}")
        for doubt in heard.doubts:
            other = _other(doubt.other, in_words)
            said.append(f"? {doubt.field}: {doubt.why}{other}")
        yield from wrapped(said, " " * 5)


def promise_line(promise: PromiseNow, in_words: InWords) -> str:
    """``D01 Tarn Plating: seat handle (001), due Wed 9 December 2026``."""
    noted = promise.noted
    day = _day(date.fromisoformat(noted.due), in_words)
    return f"{noted.promise} {noted.who}: {noted.what}{_about(promise)}, due {day}"


def settled_line(promise: PromiseNow, in_words: InWords) -> str:
    """``D01 Tarn Plating: seat handle (001), kept on Wed 16 December 2026, 7 days late``."""
    noted = promise.noted
    assert promise.settled_on is not None
    on, due = date.fromisoformat(promise.settled_on), date.fromisoformat(noted.due)
    late = (on - due).days
    kept = f", {count(abs(late), 'day')} {'late' if late > 0 else 'early'}" if late else ", on the day"
    told = kept if promise.how == "kept" else ""
    how = f"{promise.how} on {_day(on, in_words)}{told}"
    return f"{noted.promise} {noted.who}: {noted.what}{_about(promise)}, {how}"


def _line(line: DueLine, in_words: InWords) -> Iterator[str]:
    noted = line.promise.noted
    yield from wrapped(
        [f"{line.job} {noted.promise}  {noted.who}: {noted.what}{_about(line.promise)}"], _INDENT
    )
    late = f", {count(line.days_late, 'day')} late" if line.days_late > 0 else ""
    today = ", today" if line.days_late == 0 else ""
    off = f", {line.day_off}, so {_day(line.falls_on, in_words)}" if line.day_off else ""
    said = in_words(date.fromisoformat(noted.said_on))
    told = [f"due {_day(line.due, in_words)}{off}{late}{today}; “{noted.words}”, said on {said}"]
    if line.promise.moved:
        days = ", ".join(in_words(date.fromisoformat(day)) for day in line.promise.moved)
        told.append(f"moved: promised before for {days}")
    if line.record:
        told.append(f"before: {_record(line.record)}")
    yield from wrapped(told, _INDENT * 2)


def _record(record: Record) -> str:
    """``3 times, about 21 days, about 7 days later than promised``."""
    times = "once" if len(record.times) == 1 else f"{len(record.times)} times"
    took = ", ".join(
        f"{took.days}{'' if took.promised is None else f' for {took.promised}'}" for took in record.times
    )
    if record.late is None:
        kept = ""
    elif record.late == 0:
        kept = ", as promised"
    else:
        kept = f", {abs(record.late):g} {'later' if record.late > 0 else 'sooner'} than promised"
    about = "" if len(record.times) == 1 else f", in the middle {record.days:g} days{kept}"
    alone = kept if len(record.times) == 1 else ""
    return (
        f"{times}, {took} days promised{about}{alone}"
        if record.late is not None
        else f"{times}, {took} days{about}"
    )


def _about(promise: PromiseNow) -> str:
    sheet = f"sheet {promise.noted.sheet}" if promise.noted.sheet else None
    told = ", ".join(filter(None, (*promise.noted.tags, sheet)))
    return f" ({told})" if told else ""


def _day(day: date, in_words: InWords) -> str:
    return f"{day:%a} {in_words(day)}"


def _other(other: str | None, in_words: InWords) -> str:
    """A day is written as the shop writes days; a name stays as it is."""
    if other is None:
        return ""
    try:
        return f" (else: {_day(date.fromisoformat(other), in_words)})"
    except ValueError:
        return f" (else: {other})"
