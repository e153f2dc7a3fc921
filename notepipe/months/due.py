"""What is due on a day: overdue, this week, later; and how long each vendor took before. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from statistics import median
from typing import NamedTuple

from notepipe.register import PromiseNow, Register, SheetNow
from notepipe.transcript import Frozen
from notepipe.working_days import WorkingDays


class Took(NamedTuple):
    """One errand that came to its end: days promised (None: nothing was promised) and days it took."""

    promised: int | None
    days: int


class Record(Frozen):
    """How long a vendor took, over every errand that came to its end, the first one first."""

    who: str
    times: tuple[Took, ...]

    @property
    def days(self) -> float:
        """The median of the days it took."""
        return median(took.days for took in self.times)

    @property
    def late(self) -> float | None:
        """The median of the days beyond the promise, below 0 for early; None where nothing was promised."""
        beyond = [took.days - took.promised for took in self.times if took.promised is not None]
        return median(beyond) if beyond else None


class DueLine(Frozen):
    """One promise that is waited for."""

    job: str
    promise: PromiseNow
    due: date
    falls_on: date
    """The next working day, where *due* is a day off; else the same."""
    day_off: str | None
    """Why it is one: "Christmas Day"."""
    days_late: int
    """0 or below while it is not late."""
    record: Record | None


class Due(Frozen):
    """All promises that are waited for, each group in the order of its days."""

    on: date
    overdue: tuple[DueLine, ...]
    this_week: tuple[DueLine, ...]
    """Up to the Sunday of the week (ISO 8601) of the day that is asked for."""
    later: tuple[DueLine, ...]


def due(
    registers: Sequence[Register], on: date, working: WorkingDays, history: Sequence[Register] = ()
) -> Due:
    """What is due in the jobs of *registers*, seen from the day *on*.

    A promise is late once the working day it falls on is over. How vendors kept to their word before is
    taken from *history* where it is given: all jobs of the shop.
    """
    known = records(history or registers)
    lines = [_line(register.job, p, on, working, known) for register in registers for p in _open(register)]
    lines.sort(key=lambda line: (line.falls_on, line.due, line.job, line.promise.noted.promise))
    sunday = on + timedelta(days=7 - on.isoweekday())
    return Due(
        on=on,
        overdue=tuple(line for line in lines if line.falls_on < on),
        this_week=tuple(line for line in lines if on <= line.falls_on <= sunday),
        later=tuple(line for line in lines if line.falls_on > max(sunday, on)),
    )


def falls_on(promise: PromiseNow, working: WorkingDays) -> tuple[date, date, str | None]:
    """The day it is due, the working day that comes to, and why the first is a day off."""
    day = date.fromisoformat(promise.noted.due)
    return day, working.on_or_after(day), working.day_off(day)


def records(registers: Sequence[Register]) -> dict[str, Record]:
    """For each vendor, by its name in small letters: what was promised and what it took."""
    took: dict[str, list[tuple[str, str, Took]]] = {}
    for register in registers:
        for who, ended, time in _ended(register):
            took.setdefault(who.casefold(), []).append((ended, who, time))
    return {
        name: Record(who=times[0][1], times=tuple(time for _, _, time in sorted(times)))
        for name, times in took.items()
    }


def _ended(register: Register) -> Iterator[tuple[str, str, Took]]:
    """Whoever brought an errand to its end, the day, and what it took: a sheet and its promise count once."""
    promises = {p.noted.sheet: p for p in register.promises if p.noted.sheet}
    for sheet in register.sheets:
        back = came_back(sheet)
        if back is not None:
            promise = promises.get(sheet.sent.sheet)
            said = _days(sheet.sent.on, _first_due(promise)) if promise else None
            yield sheet.sent.vendor, back, Took(said, _days(sheet.sent.on, back))
    whole = {sheet.sent.sheet for sheet in register.sheets if came_back(sheet) is not None}
    for p in register.promises:
        if p.how == "kept" and p.settled_on and p.noted.sheet not in whole:
            began = _began(p)
            yield p.noted.who, p.settled_on, Took(_days(began, _first_due(p)), _days(began, p.settled_on))


def came_back(sheet: SheetNow) -> str | None:
    """The day the last of a sheet's counted pieces came back; None while some are out."""
    here = dict(sheet.not_coming)
    for booked in sheet.back:
        here[booked.back.line] = here.get(booked.back.line, 0) + booked.back.count
    missing = any(here.get(line.line, 0) < (line.count or 1) for line in sheet.sent.lines)
    return None if missing or not sheet.back else max(booked.on for booked in sheet.back)


def _open(register: Register) -> Iterator[PromiseNow]:
    yield from (p for p in register.promises if p.settled_on is None)


def _line(job: str, promise: PromiseNow, on: date, working: WorkingDays, known: dict[str, Record]) -> DueLine:
    day, falls, off = falls_on(promise, working)
    return DueLine(
        job=job,
        promise=promise,
        due=day,
        falls_on=falls,
        day_off=off,
        days_late=(on - falls).days,
        record=known.get(promise.noted.who.casefold()),
    )


def _first_due(promise: PromiseNow) -> str:
    """What was promised at first: a day that moved is no excuse."""
    return promise.moved[0] if promise.moved else promise.noted.due


def _began(promise: PromiseNow) -> str:
    return promise.first_said or promise.noted.said_on


def _days(start: str, end: str) -> int:
    return (date.fromisoformat(end) - date.fromisoformat(start)).days
