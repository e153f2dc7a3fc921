"""Words of the form ``003=4`` and ``1=one has a run``, as they are typed. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from notepipe.errors import BadAnswer

Value = TypeVar("Value")


def pairs_of(where: str, words: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """What stands on each side of the equals signs: ``003=do not polish``. Raises BadAnswer."""
    found = [(one.partition("=")[0].strip(), one.partition("=")[2].strip()) for one in words]
    for one, (left, right) in zip(words, found, strict=True):
        if not left or not right:
            raise BadAnswer(where, f"'{one}' can't be read", f"Write for example: {where} {left or '003'}=…")
    return tuple(found)


def counts_of(where: str, words: Sequence[str]) -> dict[str, int]:
    """Counts by what they are of: ``003=4``. Raises BadAnswer for what is no count, or said twice."""
    counts: dict[str, int] = {}
    for left, right in pairs_of(where, words):
        if not right.isdecimal() or int(right) >= 1_000_000:
            raise BadAnswer(where, f"'{right}' is no count", f"Write for example: {where} {left}=4")
        if left in counts:
            raise BadAnswer(where, f"{left} is counted twice", "Give one count for each.")
        counts[left] = int(right)
    return counts


def lines_named(where: str, pairs: Sequence[tuple[str, Value]]) -> tuple[tuple[int, Value], ...]:
    """*pairs* with what stands on the left as the number of a line. Raises BadAnswer where it is none."""
    for left, _ in pairs:
        if not left.isdecimal():
            raise BadAnswer(where, f"'{left}' is no line of a sheet", f"Write for example: {where} 1=…")
    return tuple((int(left), right) for left, right in pairs)
