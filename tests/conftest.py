"""What all tests share: the same made-up cases each time, and a film that says where it is."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import av
import hypothesis
import numpy as np
import pytest

# The same examples each time: a run that is green stays green until something changes.
hypothesis.settings.register_profile("same each time", derandomize=True)
hypothesis.settings.load_profile("same each time")

COLOURS = ((200, 30, 30), (30, 160, 30), (30, 30, 200), (200, 200, 30), (200, 30, 200), (30, 200, 200))
BITS, HIGH, WIDE = 10, 120, 160
Filming = Callable[..., Path]


@pytest.fixture
def filming() -> Filming:
    """Makes the film: *late_s* is how long after the picture the sound begins, *gop* frames from one whole
    picture to the next."""

    def film(
        path: Path,
        seconds: int = 6,
        fps: int = 25,
        gop: int = 50,
        late_s: float = 0.0,
        codec: str = "libx264",
    ) -> Path:
        with av.open(str(path), "w") as container:
            picture = container.add_stream(codec, rate=fps)
            picture.width, picture.height, picture.pix_fmt, picture.gop_size = WIDE, HIGH, "yuv420p", gop
            sound = container.add_stream(
                "aac" if path.suffix != ".webm" else "libopus", rate=16_000, layout="mono"
            )
            for number in range(seconds * fps):
                container.mux(picture.encode(av.VideoFrame.from_ndarray(drawn(number, fps), format="rgb24")))
            container.mux(picture.encode(None))
            _sound(container, sound, seconds, late_s)
        return path

    return film


@pytest.fixture
def number_in() -> Callable[[Any], int]:
    """Reads the number of a frame out of its pixels."""

    def read(pixels: Any) -> int:
        high, wide = pixels.shape[:2]
        step = wide / BITS
        row = pixels[int(high * 0.9)]
        return sum(int(row[int((bit + 0.5) * step)].mean() > 128) << bit for bit in range(BITS))

    return read


def drawn(number: int, fps: int) -> Any:
    """The frame of that *number*: the colour of its second, its number below in black and white."""
    pixels = np.zeros((HIGH, WIDE, 3), np.uint8)
    pixels[:] = COLOURS[number // fps % len(COLOURS)]
    for bit in range(BITS):
        pixels[HIGH * 4 // 5 :, bit * WIDE // BITS : (bit + 1) * WIDE // BITS] = (
            255 if number >> bit & 1 else 0
        )
    return pixels


def _sound(container: Any, stream: Any, seconds: int, late_s: float) -> None:
    rate = stream.rate
    tone = (8_000 * np.sin(2 * np.pi * 220 * np.arange(seconds * rate) / rate)).astype(np.int16)
    for start in range(0, len(tone), 960):
        frame = av.AudioFrame.from_ndarray(tone[None, start : start + 960], format="s16", layout="mono")
        frame.sample_rate = rate
        frame.pts = start + round(late_s * rate)
        container.mux(stream.encode(frame))
    container.mux(stream.encode(None))
