"""Where a quote can be heard: the recording's name with a W3C Media Fragment, ``walk.m4a#t=21.4,23``."""

from __future__ import annotations

from urllib.parse import quote


def fragment(start_s: float | None, end_s: float | None) -> str:
    """``#t=start,end`` in seconds, the end excluded; ``#t=start`` where there is no end after it.

    Empty where the start is unknown or negative: players ignore a fragment that is not valid, and so play
    all. Source: W3C Media Fragments URI 1.0 (basic), 4.2.1 temporal dimension, npt seconds.
    """
    if start_s is None or start_s < 0:
        return ""
    start = _seconds(start_s)
    if end_s is None or float(_seconds(end_s)) <= float(start):
        return f"#t={start}"
    return f"#t={start},{_seconds(end_s)}"


def source(file: str, start_s: float | None, end_s: float | None) -> str:
    """The file's name, escaped as in an address, with its fragment."""
    return quote(file, safe="") + fragment(start_s, end_s)


def _seconds(value_s: float) -> str:
    """To the millisecond, with a dot and never in powers of ten: 21.4, 23, 3600."""
    return f"{value_s:.3f}".rstrip("0").rstrip(".")
