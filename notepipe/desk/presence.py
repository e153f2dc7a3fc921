"""Who is on which note: each page says so every two seconds, and who says nothing for a while is gone."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import NamedTuple

GONE = timedelta(seconds=9)
"""A browser slows the pages that are not in front; a shorter time would make them flicker."""


class Seen(NamedTuple):
    """A person on a note, and the record on their table."""

    person: str
    record: str


class Presence:
    """Who was seen where, and when; by the seat, so that one person at two browsers counts twice."""

    def __init__(self, clock: Callable[[], str]) -> None:
        self._clock = clock
        self._seen: dict[tuple[str, str], tuple[datetime, Seen]] = {}
        self._lock = threading.Lock()

    def here(self, note: str, seat: str, seen: Seen) -> tuple[Seen, ...]:
        """Write down that *seat* is on *note*; the others who are on it, by name."""
        now = datetime.fromisoformat(self._clock())
        with self._lock:
            self._seen[note, seat] = now, seen
            self._seen = {key: kept for key, kept in self._seen.items() if now - kept[0] < GONE}
            others = [kept[1] for (where, who), kept in self._seen.items() if where == note and who != seat]
        return tuple(sorted(others))
