"""A file becomes a Recording (kind, hash), and a Recording its samples, with what is missing of them.

The library's own frame loop ends at the first damaged packet and says nothing. Here each packet is decoded
by itself: a bad one is passed over and counted, and where the file's time stamps tell of a gap, silence of
its length is put in, so that times stay true.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal

import av
import numpy as np
from numpy.typing import NDArray

from notepipe.errors import BadRecording, NotFound
from notepipe.promises import has_frame_count, ogg_is_cut, riff_seconds

Progress = Callable[[float, float, str], None]
"""Called with (seconds done, seconds in all, what is being done)."""

RATE_HZ: Final = 16_000
SHORTEST_S: Final = 0.5
"""Of a shorter clip the recogniser makes up a word ("Okay.")."""
TEXT_ENDINGS: Final = (".txt", ".vtt", ".srt")
_KINDS: Final = (
    "Give a recording (.m4a .mp3 .wav .ogg .flac .aac .mp4 .mov .webm) or a transcript (.txt .vtt .srt)."
)
_MISSING_SHARE: Final = 0.01
_MISSING_S: Final = 0.15
"""Less than this missing is an encoder's padding, not damage."""
_DRIFT_S: Final = 0.04
"""Stamps may run this far ahead of the samples; more is a gap."""
_LONGEST_GAP_S: Final = 60.0
"""A longer one is taken for a damaged stamp."""
_STRAIGHT_FAILURES: Final = 1_000
"""So many unreadable places one after the other, and nothing more is to be had from the file."""


@dataclass(frozen=True)
class Recording:
    """A note as it came. The file is only ever read."""

    path: Path
    name: str
    sha256: str
    kind: Literal["sound", "text"]


@dataclass(frozen=True)
class Sound:
    """All that could be decoded of a recording: mono, 16 kHz, -1 to 1."""

    samples: NDArray[np.float32]
    heard_s: float
    """Seconds decoded, without the silence put in for what could not be."""
    promised_s: float | None
    """What the file's header says; None where it does not say."""
    damaged_packets: int = 0
    warnings: tuple[str, ...] = ()
    """In plain words, for the draft; empty where all is well."""

    @property
    def length_s(self) -> float:
        """Seconds of all samples, the silence put in for gaps among them."""
        return len(self.samples) / RATE_HZ


def open_recording(path: Path) -> Recording:
    """The file at *path*, hashed and known by kind.

    Raises NotFound where there is none, BadRecording where it is empty or neither sound, video nor text.
    """
    try:
        if not path.is_file():
            raise NotFound(str(path), "no such file", "Check the name and the folder.")
        digest = _sha256(path)
    except OSError as error:
        raise BadRecording(
            str(path), f"can't be read ({error.strerror})", "Check who may read it."
        ) from error
    if path.stat().st_size == 0:
        raise BadRecording(str(path), "the file is empty", "Copy it again from where it was recorded.")
    if path.suffix.lower() in TEXT_ENDINGS:
        return Recording(path, path.name, digest, "text")
    with _opened(path):
        return Recording(path, path.name, digest, "sound")


def samples(recording: Recording, progress: Progress | None = None) -> Sound:
    """Everything of the first sound track that can be decoded, with plain warnings of what can't.

    Raises BadRecording where nothing can, or where it is under half a second.
    """
    path = recording.path
    collected = _Collected()
    with _opened(path) as container:
        promised_s = _promised_s(path, container)
        collected.tracks = len(container.streams.audio)
        for frame in _frames(container, collected):
            collected.add(frame)
            if progress:
                progress(collected.length_s, max(promised_s or 0.0, collected.length_s), "reading the sound")
    collected.add(None)
    if not collected.heard:
        raise BadRecording(
            str(path), "no sound in it can be decoded", "Copy it again from where it was recorded."
        )
    if collected.heard_s < SHORTEST_S:
        raise BadRecording(
            str(path),
            f"only {collected.heard_s:.2f} s of sound",
            "Give a recording of at least half a second.",
        )
    # 32768 is the full scale of 16 bit; the recogniser's own reader divides by the same.
    wave = np.frombuffer(collected.pcm, dtype=np.int16).astype(np.float32) / 32768.0
    warnings = _warnings(path, collected, promised_s)
    return Sound(wave, collected.heard_s, promised_s, collected.damaged, warnings)


@dataclass
class _Collected:
    """What has been decoded so far, as 16-bit PCM: half the memory of floats for an hour's note."""

    pcm: bytearray = field(default_factory=bytearray)
    heard: int = 0
    """Samples that were decoded, not put in."""
    damaged: int = 0
    tracks: int = 1
    """Of sound in the file; only the first is heard."""
    first_s: float | None = None
    """Time stamp of the first frame."""
    resampler: Any = None
    shape: tuple[str, str, int] | None = None

    @property
    def heard_s(self) -> float:
        return self.heard / RATE_HZ

    @property
    def length_s(self) -> float:
        return len(self.pcm) / 2 / RATE_HZ

    def add(self, frame: Any) -> None:
        """One decoded frame; None at the end, for what the resampler still holds."""
        if frame is not None:
            self._prepare(frame)
            self._fill_gap(frame)
            frame.pts = None  # Damage leaves stamps that run backwards; the resampler would refuse them.
        for piece in self.resampler.resample(frame) if self.resampler else ():
            pcm = piece.to_ndarray().tobytes()
            self.pcm += pcm
            self.heard += len(pcm) // 2

    def _fill_gap(self, frame: Any) -> None:
        if frame.time is None:
            return
        if self.first_s is None:
            self.first_s = float(frame.time)
        gap_s = float(frame.time) - self.first_s - self.length_s
        if _DRIFT_S < gap_s < _LONGEST_GAP_S:
            self.pcm += bytes(2 * round(gap_s * RATE_HZ))

    def _prepare(self, frame: Any) -> None:
        """A new resampler where the form of the sound changes, which a damaged header can do in mid-file."""
        shape = (frame.format.name, frame.layout.name, frame.sample_rate)
        if shape != self.shape:
            self.add(None)
            self.shape = shape
            self.resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE_HZ)


def _frames(container: Any, collected: _Collected) -> Iterator[Any]:
    """Decoded frames of the first sound track; what can't be decoded is counted and passed over."""
    stream = container.streams.audio[0]
    for packet in _packets(container, stream, collected):
        try:
            frames = packet.decode()
        except (av.FFmpegError, ValueError):
            collected.damaged += 1
            continue
        yield from frames


def _packets(container: Any, stream: Any, collected: _Collected) -> Iterator[Any]:
    failures = 0
    while failures < _STRAIGHT_FAILURES:
        try:
            for packet in container.demux(stream):
                failures = 0
                yield packet
            return
        except av.EOFError:
            return
        except av.FFmpegError:
            # demux is at its end after an error, but asked again it goes on behind the bad place.
            failures += 1
            collected.damaged += 1


def _opened(path: Path) -> Any:
    """The container, which has at least one sound track."""
    try:
        container = av.open(str(path), mode="r", metadata_errors="ignore")
    except (av.FFmpegError, OSError, ValueError) as error:
        raise BadRecording(str(path), *_not_sound(path)) from error
    if container.streams.audio:
        return container
    moving = bool(container.streams.video) and container.duration is not None
    container.close()
    if moving:
        raise BadRecording(
            str(path), "a video without a sound track", "Give the recording that has the voice."
        )
    raise BadRecording(str(path), *_not_sound(path))


def _not_sound(path: Path) -> tuple[str, str]:
    """What a file is that could not be opened as sound, and what to do."""
    with path.open("rb") as file:
        head = file.read(4_096)
    if head[4:8] == b"ftyp":
        what = "cut off: the part of the file that says where the sound lies is missing"
        return what, "Copy it again from the device it was recorded on, and let the copy finish."
    if head and _is_text(head):
        return "text, not sound", "If it is a transcript, give it the ending .txt, .vtt or .srt."
    return "neither sound, video nor text", _KINDS


def _is_text(head: bytes) -> bool:
    if head.startswith(b"%PDF"):
        return False
    try:
        text = head.decode("utf-8", errors="strict" if len(head) < 4_096 else "ignore")
    except UnicodeDecodeError:
        return False
    return all(c.isprintable() or c in "\t\r\n\ufeff" for c in text)


def _promised_s(path: Path, container: Any) -> float | None:
    """Seconds promised by the file's header; None where its length could only be guessed from its size."""
    form = container.format.name
    if form == "wav":
        return riff_seconds(path)
    if form == "aac" or (form == "mp3" and not has_frame_count(path)):
        return None
    stream = container.streams.audio[0]
    if stream.duration and stream.time_base:
        return float(stream.duration * stream.time_base)
    return float(container.duration / av.time_base) if container.duration else None


def _warnings(path: Path, collected: _Collected, promised_s: float | None) -> tuple[str, ...]:
    heard_s, damaged = collected.heard_s, collected.damaged
    packets = f", {damaged} {'packet' if damaged == 1 else 'packets'} damaged" if damaged else ""
    missing_s = max(promised_s or 0.0, collected.length_s) - heard_s
    found = []
    if missing_s > max(_MISSING_S, _MISSING_SHARE * heard_s):
        found.append(f"{heard_s + missing_s:.1f} s promised, {heard_s:.1f} s heard{packets}")
    elif damaged:
        found.append(f"{heard_s:.1f} s heard{packets}")
    if collected.tracks > 1:
        found.append(f"{collected.tracks} sound tracks in the file; only the first was heard")
    with path.open("rb") as file:
        ogg = file.read(4) == b"OggS"
    if ogg and ogg_is_cut(path):
        found.append("the recording has no end: it was cut off, or the recorder stopped without closing it")
    return tuple(found)


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
