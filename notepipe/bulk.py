"""Many records made at once, without Python's looking for cycles among them at every few hundred."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


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
