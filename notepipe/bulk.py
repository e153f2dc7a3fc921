"""Many records made at once, without Python's looking for cycles among them at every few hundred."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

_MANY = 10_000


def set_aside(made: int) -> None:
    """After so many records were *made*, and are kept: no later search for cycles goes through them again.

    They hold none, and are freed as ever when nobody wants them any more. Few are left alone.
    """
    if made >= _MANY:
        gc.freeze()


@contextmanager
def without_collecting() -> Iterator[None]:
    """Inside it no cycles are looked for, which for 100,000 records takes most of the time. Nests."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
