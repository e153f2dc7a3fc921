"""How much sound a file promises, read from its own header, so that a cut file can't pass for a whole one.

The decoder works its lengths out from what is left of a file, and so agrees with any cut. Read here: RIFF
``data`` size (WAVE), the Xing/Info frame count (MP3) and the end-of-stream mark (Ogg, RFC 3533 section 6).
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import BinaryIO, Final

_UNKNOWN_SIZE: Final = 0xFFFF0000
"""At or above it a recorder writes "I don't know yet", not a size."""
_OGG_TAIL: Final = 70_000
"""More than the largest Ogg page (65,307 bytes), so the last page begins in it."""
_MP3_HEAD: Final = 4_096


def riff_seconds(path: Path) -> float | None:
    """Seconds of sound the WAVE header at *path* promises; None where it is no WAVE file or does not say."""
    with path.open("rb") as file:
        head = file.read(12)
        if len(head) < 12 or head[:4] != b"RIFF" or head[8:] != b"WAVE":
            return None
        bytes_per_s = 0
        while len(chunk := file.read(8)) == 8:
            name, size = chunk[:4], int(struct.unpack("<I", chunk[4:])[0])
            if name == b"fmt ":
                bytes_per_s = _bytes_per_second(file, size)
            elif name == b"data":
                known = 0 < size < _UNKNOWN_SIZE and bytes_per_s > 0
                return size / bytes_per_s if known else None
            else:
                file.seek(size + size % 2, 1)
    return None


def _bytes_per_second(file: BinaryIO, size: int) -> int:
    layout = file.read(size + size % 2)
    return int(struct.unpack("<I", layout[8:12])[0]) if len(layout) >= 12 else 0


def has_frame_count(path: Path) -> bool:
    """Whether the MP3 at *path* says how many frames it has; without that its length is only a guess."""
    with path.open("rb") as file:
        start = file.read(10)
        at = 0
        if len(start) == 10 and start[:3] == b"ID3":
            # Seven bits a byte (ID3v2.4 section 6.2), so that no size looks like a frame's beginning.
            at = 10 + sum(
                (byte & 0x7F) << shift for byte, shift in zip(start[6:], (21, 14, 7, 0), strict=True)
            )
        file.seek(at)
        head = file.read(_MP3_HEAD)
    return b"Xing" in head or b"Info" in head


def ogg_is_cut(path: Path) -> bool:
    """Whether the last whole page of the Ogg file at *path* lacks the end mark: the rest is missing."""
    with path.open("rb") as file:
        file.seek(0, 2)
        file.seek(max(0, file.tell() - _OGG_TAIL))
        tail = file.read()
    last = tail.rfind(b"OggS")
    return last >= 0 and len(tail) > last + 5 and not tail[last + 5] & 0x04
