"""How times to come are said: the rows of ``deadlines.toml``, and those of a shop's own packs."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import model_validator

from notepipe.trade.row import Row

Reckoning = Literal[
    "days", "working days", "weeks", "months",
    "weekday", "weekday of next week", "day of the month", "day and month",
    "week", "month", "year", "named day", "no day",
    "look-alike", "hedge", "report", "padding",
]  # fmt: skip
"""How the day is worked out. The last four give none: words that only look like a promise, that make it
rough ("supposedly"), that report one in the past tense ("he said"), or that add to it ("so ten")."""
NO_PROMISE = ("look-alike", "hedge", "report", "padding")


class DeadlineExample(Row):
    """What is said, on which day, and the day it gives: ISO 8601, "no day", or None for no promise."""

    say: str
    on: date
    gives: str | None = None


class DeadlineRow(Row):
    """One way to say by when."""

    id: str
    gives: Reckoning
    patterns: tuple[str, ...]
    """As in a cue, with ``<number> <ordinal> <weekday> <month> <year>``."""
    number: int | None = None
    """How many days, weeks or months, where the words hold no number ("a fortnight")."""
    plus: int = 0
    """Weeks on top of a weekday or of this week; months on top of this month; years on top of this one."""
    at: Literal["start", "middle", "end"] = "end"
    """Which end of the week, month or year."""
    before: bool = False
    """The day before the one that is named."""
    month: int | None = None
    day: int | None = None
    """Of a named day; a day without a month counts from Easter Sunday."""
    needs_who: bool = False
    """A promise only where somebody is named in the same sentence."""
    doubt: str | None = None
    """Why the day may be another."""
    examples: tuple[DeadlineExample, ...]

    @model_validator(mode="after")
    def _can_be_reckoned(self) -> DeadlineRow:
        if self.gives == "named day" and self.day is None:
            raise ValueError("a named day needs 'day', and 'month' unless it goes by Easter")
        if self.gives == "no day" and self.doubt is None:
            raise ValueError("'no day' needs a 'doubt' that asks for it")
        return self
