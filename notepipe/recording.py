"""A file becomes a Recording (kind, hash), and a Recording its samples, with what is missing of them; of a
filmed one also the frame that is seen at a second.

The library's own frame loop ends at the first damaged packet and says nothing. Here each packet is decoded
by itself: a bad one is passed over and counted, and where the file's time stamps tell of a gap, silence of
its length is put in, so that times stay true.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal, NamedTuple

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
_STAMP_S: Final = 0.001
"""Stamps are rounded to less than this."""
_BACK_S: Final = (0.0, 5.0, 30.0)
"""How much earlier to look for a picture to begin from, where nothing decodes from the nearest."""


@dataclass(frozen=True)
class Recording:
    """A note as it came. The file is only ever read."""

    path: Path
    name: str
    sha256: str
    kind: Literal["sound", "text"]


@dataclass(frozen=True)
class Form:
    """How the sound of a recording is packed, by the library's names."""

    container: str
    """``ogg``, ``wav``, ``mov,mp4,m4a,3gp,3g2,mj2`` …"""
    codec: str
    """Of the first sound track: ``opus``, ``pcm_s16le``, ``aac`` …"""
    filmed: bool
    """Whether there are moving pictures in it."""


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


def form_of(path: Path) -> Form:
    """How the sound in the file at *path* is packed. Raises BadRecording where there is none in it."""
    with _opened(path) as container:
        codec = container.streams.audio[0].codec_context.codec.canonical_name
        moving = any(not _is_cover(stream) for stream in container.streams.video)
        return Form(container.format.name, codec, moving)


def _is_cover(stream: Any) -> bool:
    """A picture of a disc's sleeve is packed as a film of one frame."""
    return bool(stream.disposition & av.stream.Disposition.attached_pic)


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


class Frame(NamedTuple):
    """One picture of a film: 8 bits of red, green and blue, upright, and when it is first seen."""

    at_s: float
    pixels: NDArray[np.uint8]


def frame_at(path: Path, at_s: float) -> Frame:
    """The picture that is seen at *at_s*, counted as the words are: from the first sound.

    Sought from the last whole picture before it, so that the place in the film costs nothing. Before the
    first picture it is the first, behind the last the last. Raises NotFound where there is no file,
    BadRecording where there is no picture in it.
    """
    if not path.is_file():
        raise NotFound(str(path), "no such file", "Check the name and the folder.")
    try:
        with av.open(str(path), mode="r", metadata_errors="ignore") as container:
            film = _film_of(container)
            if film is None:
                do = "Choose a recording that was filmed, or add a picture from a file."
                raise BadRecording(str(path), "has no moving pictures", do)
            film.thread_type = "AUTO"
            seen = max(0.0, at_s) + _begins_s(container)
            frame = _nearest(container, film, seen)
            if frame is None:
                do = "Copy it again from where it was recorded, or choose another moment."
                raise BadRecording(str(path), f"no picture can be decoded near {at_s:.1f} s", do)
            return Frame(float(frame.time) - _begins_s(container), _upright(frame))
    except (av.FFmpegError, OSError, ValueError) as error:
        raise BadRecording(str(path), *_not_sound(path)) from error


def _film_of(container: Any) -> Any:
    for stream in container.streams.video:
        if not _is_cover(stream) and stream.codec_context is not None:
            return stream
    return None


def _begins_s(container: Any) -> float:
    """When the first sound begins on the file's own clock: words are counted from there."""
    sounds = container.streams.audio
    if sounds and sounds[0].start_time is not None:
        return float(sounds[0].start_time * sounds[0].time_base)
    return float(container.start_time / av.time_base) if container.start_time else 0.0


def _nearest(container: Any, film: Any, seen_s: float) -> Any:
    """The frame seen at that moment of the file's clock; the first after it where there is none before."""
    later = None
    for back_s in _BACK_S:
        container.seek(int((seen_s - back_s) / film.time_base), stream=film, backward=True)
        before, later = _around(container, film, seen_s)
        if before is not None:
            return before
    return later


def _around(container: Any, film: Any, seen_s: float) -> tuple[Any, Any]:
    """From where the file stands: the last frame that begins no later than the moment, and the one after."""
    before = None
    for packet in _packets(container, film, _Collected()):
        try:
            frames = packet.decode()
        except (av.FFmpegError, ValueError):
            continue  # Damaged; the next whole picture mends it.
        for frame in frames:
            if frame.time is None:
                continue
            if float(frame.time) > seen_s + _STAMP_S:
                return before, frame
            before = frame
    return before, None


def _upright(frame: Any) -> NDArray[np.uint8]:
    """Its pixels as they are to be seen: a telephone held upright films lying down and says so."""
    pixels: NDArray[np.uint8] = frame.to_ndarray(format="rgb24")
    return np.ascontiguousarray(np.rot90(pixels, round((frame.rotation or 0) / 90)))


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
