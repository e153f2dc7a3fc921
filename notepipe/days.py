"""Days as people type them, and how long ago they were."""

from __future__ import annotations

from datetime import date

from notepipe.errors import BadAnswer


def day_of(where: str, text: str) -> date:
    """The day *text* says (ISO 8601). Raises BadAnswer, at *where*, for what is no day."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        do = "Write year, month and day, for example: 2026-11-25"
        raise BadAnswer(where, f"'{text}' is no date", do) from error


def day_past(where: str, text: str, today: date) -> date:
    """The day *text* says, which may be *today*. Raises BadAnswer as day_of does, and for a later one."""
    day = day_of(where, text)
    if day > today:
        raise BadAnswer(where, f"{day.isoformat()} is still to come", "Give the day it was, or leave it out.")
    return day


def days_ago(at: str, today: date) -> int:
    """How many days *today* is after the day of *at* (RFC 3339), as its clock had it; never below 0."""
    return max(0, (today - date.fromisoformat(at[:10])).days)


def ago(days: int) -> str:
    """``today``, ``yesterday``, ``21 days ago``."""
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
