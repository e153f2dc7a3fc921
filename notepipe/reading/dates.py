"""Spoken days and spans of time become a day of the calendar, counted from the day they were said.

Days and weeks are those of ISO 8601: a week begins on Monday, "three months" after 30 November end with
February. Nothing here reads the clock.
"""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from dateutil.easter import easter
from dateutil.relativedelta import relativedelta

from notepipe.reading.numbers import Number, numbers_in
from notepipe.reading.patterns import Kinds
from notepipe.reading.tokens import Token
from notepipe.trade.deadlines import DeadlineRow
from notepipe.working_days import WorkingDays

WEEKDAYS = {
    name.lower(): i for names in (calendar.day_name, calendar.day_abbr) for i, name in enumerate(names)
}
MONTHS = {
    name.lower(): i
    for names in (calendar.month_name, calendar.month_abbr)
    for i, name in enumerate(names)
    if name
} | {"sept": 9}
_WORDS_TOO = {"may", "march", "mar", "sat", "sun", "wed"}
"""Names that are words as well, and mean a day or a month only with a capital."""
_FRIDAY, _WEDNESDAY, _MONDAY = 4, 2, 0
_AT_WEEKDAY = {"start": _MONDAY, "middle": _WEDNESDAY, "end": _FRIDAY}


class Said(NamedTuple):
    """The words of a deadline: tokens *first* to *end* (not included), said on the day *on*."""

    tokens: Sequence[Token]
    first: int
    end: int
    on: date

    def numbers(self) -> list[Number]:
        """The counts and ordinals in the words, years left out."""
        found = (number for number in numbers_in(self.tokens[self.first : self.end]))
        return [number for number in found if number.value.denominator == 1 and not _is_year(number)]

    def named(self, names: dict[str, int]) -> int | None:
        """The number of the weekday or month that is named."""
        found = (names.get(self.tokens[i].norm) for i in range(self.first, self.end))
        return next((number for number in found if number is not None), None)


class Reckoned(NamedTuple):
    """The day; the other day it could be, and why."""

    due: date | None
    other: date | None = None
    why: str | None = None


def kinds_of_dates(tokens: Sequence[Token]) -> Kinds:
    """Where a number, an ordinal, a weekday, a month and a year begin, and the token after each."""
    kinds: dict[int, dict[str, int]] = {}
    for number in numbers_in(tokens):
        if number.value.denominator == 1:
            kind = "year" if _is_year(number) else "ordinal" if number.kind == "ordinal" else "number"
            kinds.setdefault(number.first, {})[kind] = number.last + 1
    for i, token in enumerate(tokens):
        named = token.norm not in _WORDS_TOO or token.text[:1].isupper()
        if named and token.norm in WEEKDAYS:
            kinds.setdefault(i, {})["weekday"] = i + 1
        if named and token.norm in MONTHS:
            kinds.setdefault(i, {})["month"] = i + 1
    return kinds


def reckoned(row: DeadlineRow, said: Said, working: WorkingDays) -> Reckoned | None:
    """The day that *row* makes of the words, or None where they name none that can be (31 February)."""
    found = _REFUSED if row.gives == "no day" else _reckon(row, said, working)
    if found is None or found.due is None:
        return found
    if row.before:
        found = found._replace(due=_eve(row, found.due, said.on), other=None)
    return found


def _eve(row: DeadlineRow, day: date, on: date) -> date:
    """The day before *day*; "before January", said on New Year's Day, means the next one."""
    eve = day - timedelta(days=1)
    if eve >= on:
        return eve
    later = {"weekday": relativedelta(weeks=1), "day of the month": relativedelta(months=1)}
    again: date = eve + later.get(row.gives, relativedelta(years=1))
    return again


_REFUSED = Reckoned(None)


def _reckon(row: DeadlineRow, said: Said, working: WorkingDays) -> Reckoned | None:
    counts = [int(number.value) for number in said.numbers()]
    if row.gives in ("days", "weeks", "months", "working days"):
        if row.number is not None:
            counts = [row.number]
        if not counts or max(counts) > 1000:
            return None
        days = [_later(said.on, row.gives, many, working) for many in counts]
        return Reckoned(days[-1], days[0] if len(days) > 1 else None)
    if row.gives in ("weekday", "weekday of next week"):
        return _weekday(row, said)
    if row.gives == "day of the month":
        return _found(_next_day(said.on, counts[-1]) if counts else None)
    if row.gives == "day and month":
        return _found(_day_and_month(said, counts))
    if row.gives == "named day":
        return _found(_named_day(row, said.on))
    return _found(_stretch(row, said))


def _found(day: date | None) -> Reckoned | None:
    return None if day is None else Reckoned(day)


def _later(on: date, unit: str, many: int, working: WorkingDays) -> date:
    if unit == "working days":
        return working.after(on, many)
    steps = {"days": relativedelta(days=many), "weeks": relativedelta(weeks=many)}
    day: date = on + steps.get(unit, relativedelta(months=many))
    return day


def _weekday(row: DeadlineRow, said: Said) -> Reckoned | None:
    weekday = said.named(WEEKDAYS)
    if weekday is None:
        return None
    coming = said.on + timedelta(days=(weekday - said.on.weekday() - 1) % 7 + 1)
    if row.gives == "weekday of next week":
        monday = said.on + timedelta(days=7 - said.on.weekday())
        due = monday + timedelta(days=weekday)
        plain = any(word.norm == "week" for word in said.tokens[said.first : said.end])
        other = None if plain or due == coming else coming
        return Reckoned(due, other, '"next" before a day of the week can mean the coming one')
    other = said.on if coming - said.on == timedelta(days=7) and not row.plus else None
    why = "it was said on that same day of the week"
    return Reckoned(coming + timedelta(weeks=row.plus), other, why)


def _next_day(on: date, day: int) -> date | None:
    """The first date from *on* with that day of the month."""
    for ahead in range(3):
        month: date = on.replace(day=1) + relativedelta(months=ahead)
        if 0 < day <= calendar.monthrange(month.year, month.month)[1] and month.replace(day=day) >= on:
            return month.replace(day=day)
    return None


def _day_and_month(said: Said, counts: Sequence[int]) -> date | None:
    month = said.named(MONTHS)
    if month is None or not counts:
        return None
    years = [int(n.value) for n in numbers_in(said.tokens[said.first : said.end]) if _is_year(n)]
    for year in years or range(said.on.year, said.on.year + 5):
        if 0 < counts[0] <= calendar.monthrange(year, month)[1]:
            day = date(year, month, counts[0])
            if day >= said.on:
                return day
    return None


def _named_day(row: DeadlineRow, on: date) -> date | None:
    assert row.day is not None
    for year in (on.year, on.year + 1):
        easter_day: date = easter(year) + timedelta(days=row.day)
        day = easter_day if row.month is None else date(year, row.month, row.day)
        if day - timedelta(days=row.before) >= on:
            return day
    return None


def _stretch(row: DeadlineRow, said: Said) -> date:
    """A day of this or a later week, month or year."""
    if row.gives == "week":
        monday = said.on - timedelta(days=said.on.weekday())
        day = monday + timedelta(weeks=row.plus, days=_AT_WEEKDAY[row.at])
        return day if day >= said.on else monday + timedelta(weeks=row.plus, days=6)
    if row.gives == "year":
        return date(said.on.year + row.plus, 12, 31)
    month = said.named(MONTHS)
    first = said.on.replace(day=1)
    ahead = row.plus if month is None else (month - said.on.month) % 12
    start = first + relativedelta(months=ahead)
    if _at(row, start) < said.on:
        start += relativedelta(months=12)
    return _at(row, start)


def _at(row: DeadlineRow, first: date) -> date:
    if row.at == "start":
        return first
    return first.replace(day=15 if row.at == "middle" else calendar.monthrange(first.year, first.month)[1])


def _is_year(number: Number) -> bool:
    return number.last == number.first and 1500 <= number.value <= 2999
