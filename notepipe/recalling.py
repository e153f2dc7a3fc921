"""What was folded before in this process: a long sitting folds but what was appended since.

No second truth: what is recalled is recalled for the very same entries, and forgotten when the program ends.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from notepipe.bulk import set_aside
from notepipe.entries import Entry
from notepipe.register import Register

_Lay = Callable[[tuple[Entry, ...], Register | None], Register]
_SHORT = 200
"""Fewer entries than this are folded as fast as they are looked up."""
_done: deque[tuple[tuple[Entry, ...], Register]] = deque(maxlen=8)


def recalled(entries: tuple[Entry, ...], lay: _Lay, short: int = _SHORT) -> Register:
    """What *lay* makes of *entries*, of which those folded before need not be laid again."""
    if len(entries) < short:
        return lay(entries, None)
    # The very same entries are equal at a glance; any others end the comparison at the first of them.
    fitting = [(known, register) for known, register in tuple(_done) if entries[: len(known)] == known]
    known, register = max(fitting, key=lambda one: len(one[0]), default=((), None))
    if register is None or len(known) < len(entries):
        register = lay(entries[len(known) :], register)
        set_aside(len(entries) - len(known))
        _done.append((entries, register))
    return register
