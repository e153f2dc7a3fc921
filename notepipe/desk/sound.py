"""The sound of a note, for a browser to play any seconds of: as it was kept, or decoded where that is surer.

A browser seeks by time only in forms that know their times; in others (.mp3, .aac, a recorder's .webm) it
guesses by bytes and plays the wrong words. Those, damaged recordings, films and what no browser knows are
decoded to WAV once a run, by the code the recogniser's samples come from: the seconds are then the draft's.
"""

from __future__ import annotations

import re
import tempfile
import threading
import wave
from collections.abc import Sequence
from pathlib import Path
from typing import Final, NamedTuple

from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import BaseRoute, Route

from notepipe.desk.desk import Desk
from notepipe.desk.rendering import Pages, Place
from notepipe.errors import NotFound
from notepipe.recording import RATE_HZ, TEXT_ENDINGS, form_of, open_recording, samples
from notepipe.register import NoteNow
from notepipe.shop import cannot_write

PLACES: tuple[Place, ...] = ()
_MP4: Final = "mov,mp4,m4a,3gp,3g2,mj2"
_PLAYED: Final = {
    ("wav", "pcm_s16le"): "audio/wav",
    ("ogg", "opus"): "audio/ogg; codecs=opus",
    ("ogg", "vorbis"): "audio/ogg; codecs=vorbis",
    ("flac", "flac"): "audio/flac",
    (_MP4, "aac"): 'audio/mp4; codecs="mp4a.40.2"',
}
"""What browsers play as it is, and find any second in; they still say themselves whether they do."""
_MOST_DECODED: Final = 6
"""So many decoded recordings are kept at once: an hour takes 115 MB."""
_HASH = re.compile(r"[0-9a-f]{64}")


class Source(NamedTuple):
    """What a page gives its player: the address, and the type where a browser may not know it."""

    address: str
    kind: str
    decoded: str
    """The address of the same as WAV, for a browser that does not know that type."""


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/recording/HASH`` and ``/recording/HASH/decoded``, in ranges (RFC 9110, section 14)."""
    decoded = _Decoded()

    def kept(request: Request) -> Response:
        note = _note(desk, request.path_params["hash"])
        kind = _kind(desk, note)
        return _ranged(
            desk.shop.recording(note.recording), (kind or "application/octet-stream").split(";")[0]
        )

    def wav(request: Request) -> Response:
        note = _note(desk, request.path_params["hash"])
        return _ranged(decoded.path(note.recording, desk.shop.recording(note.recording)), "audio/wav")

    return [Route("/recording/{hash}", kept), Route("/recording/{hash}/decoded", wav)]


def source_of(desk: Desk, note: NoteNow) -> Source | None:
    """Where the sound of *note* is to be had; None where it came as text, or is gone."""
    if note.file.lower().endswith(TEXT_ENDINGS):
        return None
    try:
        kind = _kind(desk, note)
    except NotFound:
        return None
    decoded = f"/recording/{note.recording}/decoded"
    return Source(f"/recording/{note.recording}", kind, decoded) if kind else Source(decoded, "", decoded)


def _kind(desk: Desk, note: NoteNow) -> str:
    """The type it is played as; empty where it has to be decoded first."""
    if note.draft.note.warnings:
        return ""
    form = form_of(desk.shop.recording(note.recording))
    return "" if form.filmed else _PLAYED.get((form.container, form.codec), "")


def _note(desk: Desk, sha256: str) -> NoteNow:
    """The note with that recording, in whichever job: nothing else of the disk is ever sent."""
    if _HASH.fullmatch(sha256):
        for name in desk.ledger.jobs():
            for note in desk.job_named(name).register.notes:
                if note.recording == sha256 and not note.file.lower().endswith(TEXT_ENDINGS):
                    return note
    raise NotFound("the desk", "no such recording", "Go back to the note and load it again.")


def _ranged(path: Path, kind: str) -> Response:
    return FileResponse(path, media_type=kind, content_disposition_type="inline")


class _Decoded:
    """Recordings as WAV, mono, 16 kHz, in a folder that is gone when the desk is closed."""

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="notepipe-desk-")
        self._lock = threading.Lock()
        self._kept: list[Path] = []

    def path(self, sha256: str, kept: Path) -> Path:
        """The WAV of the recording that lies in *kept*. Raises BadRecording, CannotWrite."""
        path = Path(self._folder.name, f"{sha256}.wav")
        with self._lock:
            if path in self._kept:
                self._kept.remove(path)
            else:
                _write(path, kept)
            self._kept.append(path)
            while len(self._kept) > _MOST_DECODED:
                self._kept.pop(0).unlink(missing_ok=True)
        return path


def _write(path: Path, kept: Path) -> None:
    pcm = (samples(open_recording(kept)).samples * 32767).astype("<i2").tobytes()
    part = path.with_suffix(".part")
    try:
        with wave.open(str(part), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(RATE_HZ)
            file.writeframes(pcm)
        part.rename(path)
    except OSError as error:
        raise cannot_write(str(path.parent), error) from error
