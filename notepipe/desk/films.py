"""Which notes of a job were filmed, the moments of them that show a part, and stills of them."""

from __future__ import annotations

import threading
import weakref
from collections import OrderedDict
from collections.abc import Iterator
from typing import Final, NamedTuple

from notepipe.desk.desk import Desk, JobNow
from notepipe.draft import Part
from notepipe.errors import BadRecording, NotepipeError
from notepipe.pictures import picture_of, small
from notepipe.recording import TEXT_ENDINGS, form_of, frame_at
from notepipe.register import NoteNow, PartNow
from notepipe.stills import moments, named_at

WIDE: Final = 480
"""Pixels of the longer side of a still to choose from."""
_KEPT: Final = 200
_AT_ONCE: Final = 2
"""Films that are decoded at the same time: a telephone's need much room and all cores."""


class Film(NamedTuple):
    """Where a filmed note shows a part."""

    recording: str
    file: str
    at_s: float
    moments: tuple[float, ...]
    """To choose from, the moment it is named first."""

    @property
    def in_order(self) -> tuple[float, ...]:
        """The moments as they follow on each other."""
        return tuple(sorted(self.moments))


class Films:
    """The films of a shop, for one run of the desk."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._filmed: dict[str, bool] = {}
        self._stills: OrderedDict[tuple[str, int], bytes] = OrderedDict()
        self._lock = threading.Lock()
        self._decoding = threading.BoundedSemaphore(_AT_ONCE)

    def is_filmed(self, note: NoteNow) -> bool:
        """Whether *note* has moving pictures; looked into once."""
        if note.recording not in self._filmed:
            self._filmed[note.recording] = self._look(note)
        return self._filmed[note.recording]

    def _look(self, note: NoteNow) -> bool:
        if note.file.lower().endswith(TEXT_ENDINGS):
            return False
        try:
            return form_of(self._desk.shop.recording(note.recording)).filmed
        except NotepipeError:
            return False

    def of_record(self, note: NoteNow, part: Part) -> Film | None:
        """Where *note* shows a part that was drafted from it; None where it was not filmed."""
        if not self.is_filmed(note):
            return None
        at_s = named_at(part, note.recording, note.recording)
        return None if at_s is None else _film(note, at_s)

    def of_part(self, job: JobNow, now: PartNow) -> Iterator[Film]:
        """Where the filmed notes of the job show a part that stands, the last note first."""
        for note in reversed(job.register.notes):
            if note.recording in (now.recording, *now.said_in) and self.is_filmed(note):
                at_s = named_at(now.part, note.recording, now.recording)
                if at_s is not None:
                    yield _film(note, at_s)

    def still(self, recording: str, at_ms: int) -> bytes:
        """The small still of a filmed note. Raises NotFound, BadRecording."""
        key = recording, at_ms
        with self._lock:
            if key in self._stills:
                self._stills.move_to_end(key)
                return self._stills[key]
        path = self._desk.shop.recording(recording)
        with self._decoding:
            jpeg = small(picture_of(frame_at(path, at_ms / 1000).pixels), WIDE)
        with self._lock:
            self._stills[key] = jpeg
            while len(self._stills) > _KEPT:
                self._stills.popitem(last=False)
        return jpeg

    def note(self, recording: str) -> NoteNow:
        """The filmed note with that recording, in whichever job: no other file is ever looked into.

        Raises BadRecording for any other.
        """
        for name in self._desk.ledger.jobs():
            for note in self._desk.job_named(name).register.notes:
                if note.recording == recording and self.is_filmed(note):
                    return note
        raise BadRecording("the desk", "no such film", "Go back to the part and load it again.")


_OF: weakref.WeakKeyDictionary[Desk, Films] = weakref.WeakKeyDictionary()


def films_of(desk: Desk) -> Films:
    """The films of a desk, the same for all its pages."""
    if desk not in _OF:
        _OF[desk] = Films(desk)
    return _OF[desk]


def _film(note: NoteNow, at_s: float) -> Film:
    return Film(note.recording, note.file, at_s, moments(at_s, note.draft.note.duration_s))
