"""The stretches of a recording that hold speech, cut once into windows that every hearing shares.

The recogniser's own loop seeks by the time stamps it decoded, so that two hearings of one recording drift
apart and nothing silent is ever left out. Here the voice activity filter decides, always, and the cuts lie
in pauses.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from faster_whisper.vad import VadOptions, get_speech_timestamps
from numpy.typing import NDArray

RATE_HZ: Final = 16_000
LONGEST_S: Final = 30.0
"""The model's window; more sound would be cut off unheard."""
_PAUSE_MS: Final = 500
"""A pause of this length is a place where a window may end."""
_PAD_MS: Final = 400
_KEPT_PAUSE_S: Final = 1.2
"""Shorter pauses stay in the sound: without them the recogniser runs sentences together."""
_FULL: Final = 2 / 3
"""From this share on, a window ends at its longest pause rather than at its last."""

Piece = tuple[int, int]
"""First sample and the one behind the last."""


@dataclass(frozen=True)
class Window:
    """At most 30 s of speech: pieces of the recording, in order, with long pauses left out between them."""

    pieces: tuple[Piece, ...]

    @property
    def length_s(self) -> float:
        return sum(end - start for start, end in self.pieces) / RATE_HZ

    @property
    def end_s(self) -> float:
        """Seconds from the start of the recording."""
        return self.pieces[-1][1] / RATE_HZ

    def sound(self, samples: NDArray[np.float32]) -> NDArray[np.float32]:
        """The pieces, one behind the other."""
        return np.concatenate([samples[start:end] for start, end in self.pieces])

    def span(self, start_s: float, end_s: float) -> tuple[float, float]:
        """When a word was said in the recording that stands at these seconds of the window.

        Both ends are put into the piece that holds the word's middle, so that no word spans a cut-out pause.
        """
        before = 0.0
        for start, end in self.pieces:
            length = (end - start) / RATE_HZ
            if (start_s + end_s) / 2 < before + length or (start, end) == self.pieces[-1]:
                low, high = start / RATE_HZ, end / RATE_HZ
                first, last = low + start_s - before, low + end_s - before
                return round(min(max(first, low), high), 2), round(min(max(last, low), high), 2)
            before += length
        raise AssertionError("a window has at least one piece")

    def rest(self, from_s: float) -> Window | None:
        """What lies behind *from_s* seconds of the window; None where that is nothing."""
        left, skip = [], round(from_s * RATE_HZ)
        for start, end in self.pieces:
            first = start + max(0, skip)
            skip -= end - start
            if first < end:
                left.append((first, end))
        return Window(tuple(left)) if left else None


def windows(samples: NDArray[np.float32]) -> list[Window]:
    """The speech in *samples* (mono, 16 kHz) as windows of at most 30 s; empty where nobody speaks."""
    options = VadOptions(
        max_speech_duration_s=LONGEST_S, min_silence_duration_ms=_PAUSE_MS, speech_pad_ms=_PAD_MS
    )
    found: list[dict[str, Any]] = get_speech_timestamps(samples, options)
    return pack([(int(piece["start"]), int(piece["end"])) for piece in found])


def pack(pieces: list[Piece]) -> list[Window]:
    """*pieces* of speech gathered into windows, as few as the longest pauses allow."""
    packed = []
    while pieces:
        count = _how_many(pieces)
        packed.append(Window(_joined(pieces[:count])))
        pieces = pieces[count:]
    return packed


def _how_many(pieces: list[Piece]) -> int:
    """How many of the first *pieces* make up one window."""
    fitting = 1
    while fitting < len(pieces) and Window(_joined(pieces[: fitting + 1])).length_s <= LONGEST_S:
        fitting += 1
    if fitting == len(pieces):
        return fitting
    lengths = {count: Window(_joined(pieces[:count])).length_s for count in range(1, fitting + 1)}
    full = [count for count, length in lengths.items() if length >= _FULL * LONGEST_S] or [fitting]
    return max(full, key=lambda count: pieces[count][0] - pieces[count - 1][1])


def _joined(pieces: list[Piece]) -> tuple[Piece, ...]:
    """*pieces* with the short pauses between them put back."""
    joined = [pieces[0]]
    for start, end in pieces[1:]:
        if start - joined[-1][1] <= _KEPT_PAUSE_S * RATE_HZ:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return tuple(joined)
