"""What every page of the desk needs: the shop, its ledger, a job as it stands now, who sits there."""

from __future__ import annotations

import hashlib
import re
import secrets
import threading
from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from notepipe.entries import Entry
from notepipe.errors import NotFound
from notepipe.folding import fold
from notepipe.jobs import entries_of
from notepipe.ledger import Hand, Ledger
from notepipe.register import NoteNow, Register
from notepipe.shop import Shop
from notepipe.sitting import Sitting

if TYPE_CHECKING:
    from notepipe.trade import Trade

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}")
_HASH = re.compile(r"[0-9a-f]{12,64}")

_COUNTED = slice(24, 28)
"""The file change counter in the head of an SQLite file (its file format, section 1.3.7)."""


class Sitter(NamedTuple):
    """One browser at the desk, and the reviewer who sits before it (None: not said yet)."""

    key: str
    person: str | None


class JobNow:
    """A job as it stands: its entries, its register, and each note as a sitting, worked out once."""

    def __init__(self, name: str, entries: tuple[Entry, ...], desk: Desk) -> None:
        self.name = name
        self.key = job_key(name)
        self.entries = entries
        self._desk = desk
        self._sittings: dict[str, Sitting] = {}

    @cached_property
    def register(self) -> Register:
        """What stands in the job."""
        return fold(self.entries)

    @property
    def last(self) -> int:
        """The number of its last entry: another number means that something happened."""
        return self.entries[-1].number

    def note(self, sha256: str) -> NoteNow:
        """The note whose recording's hash begins so (12 letters or more). Raises NotFound."""
        if _HASH.fullmatch(sha256):
            for note in self.register.notes:
                if note.recording.startswith(sha256):
                    return note
        raise NotFound(f"job {self.name}", "no such note", "Go back to the job and choose one that is there.")

    def sitting(self, note: NoteNow) -> Sitting:
        """*note* on the table, with the trade's cautions."""
        if note.recording not in self._sittings:
            sitting = self.register.sitting(note)
            rows = {"caution_rows": self._desk.trade.cautions}
            self._sittings[note.recording] = sitting.model_copy(update=rows)
        return self._sittings[note.recording]


class Desk:
    """The desk of one shop, for one run: its *token* opens it, *clock* gives RFC 3339 times.

    *person* is who sits there from the start; None: each browser says who on its first page.
    """

    def __init__(
        self,
        shop: Shop,
        ledger: Ledger,
        clock: Callable[[], str],
        *,
        person: str | None = None,
        port: int = 0,
    ) -> None:
        self.shop = shop
        self.ledger = ledger
        self.clock = clock
        self.port = port
        """Where it listens; the guard refuses every other Host."""
        self.token = secrets.token_urlsafe(32)
        self.run = secrets.token_hex(8)
        """Names this run: a page that meets another one knows that the desk was started anew."""
        self._person = person
        self._sitters: dict[str, str | None] = {}
        self._jobs: dict[str, tuple[object, JobNow]] = {}
        self._lock = threading.Lock()

    @cached_property
    def trade(self) -> Trade:
        """The trade's words and the shop's own. Raises BadSetting for a slip in them."""
        from notepipe.trade import load_trade

        return load_trade(self.shop.packs())

    def job(self, key: str) -> JobNow:
        """The job with this key, as it stands now. Raises NotFound."""
        name = next((name for name in self.ledger.jobs() if job_key(name) == key), None)
        if name is None:
            raise NotFound("this shop", "no such job", "Go back to the first page and choose one.")
        return self.job_named(name)

    def job_named(self, name: str) -> JobNow:
        """The job called *name*, as it stands now; worked out anew only when the ledger has changed."""
        stamp = self._stamp()
        with self._lock:
            kept = self._jobs.get(name)
        if kept is None or kept[0] != stamp or stamp is None:
            kept = (stamp, JobNow(name, entries_of(self.ledger, name), self))
            with self._lock:
                self._jobs[name] = kept
        return kept[1]

    def seat(self) -> str:
        """A new browser takes a seat; the secret key it is known by."""
        key = secrets.token_urlsafe(32)
        with self._lock:
            self._sitters[key] = self._person
        return key

    def sitter(self, key: str) -> Sitter | None:
        """Who has the seat with this key; None where nobody has."""
        with self._lock:
            return Sitter(key, self._sitters[key]) if key in self._sitters else None

    def sit(self, key: str, person: str) -> str:
        """*person* sits down at that seat; as listed. Raises NotFound for anybody who may not review."""
        listed = self.shop.settings.reviewer(person)
        with self._lock:
            self._sitters[key] = listed
        return listed

    def hand(self, person: str) -> Hand:
        """The hand of *person*, now."""
        return Hand(who=person, at=self.clock())

    def _stamp(self) -> object:
        """Another one whenever the ledger has changed; None where that can't be told."""
        try:
            stat = self.shop.ledger.stat()
            with self.shop.ledger.open("rb") as file:
                head = file.read(_COUNTED.stop)
        except OSError:
            return None
        # Two entries within a tick of the disk's clock leave the same time behind, but not the same count.
        return head[_COUNTED], stat.st_mtime_ns, stat.st_size, stat.st_ino


def job_key(name: str) -> str:
    """*name* where it can stand in an address as it is, else made so and told apart by its hash."""
    if _PLAIN.fullmatch(name):
        return name
    plain = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-")[:40] or "job"
    return f"{plain}-{hashlib.sha256(name.encode('utf-8')).hexdigest()[:10]}"
