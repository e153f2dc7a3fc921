"""What the office's lists have in common: their head, and the row that tells what was left out."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter
from notepipe.register import Register
from notepipe.transcript import Frozen


class Head(Frozen):
    """Whose list, of which day and job."""

    shop: str
    date: str
    job: str
    what: str


def head_of(register: Register, letter: Letter) -> Head:
    """The head of a list of one job."""
    return Head(
        shop=plain(letter.shop), date=plain(letter.date), job=plain(register.job), what=plain(register.what)
    )


def with_left_out(rows: Sequence[tuple[str, ...]], missing: int) -> list[tuple[str, ...]]:
    """*rows*, and one more that tells how many records are left out, where there are any."""
    if not missing:
        return list(rows)
    told = f"left out: {missing} record{'s' if missing > 1 else ''} not reviewed"
    return [*rows, (told, *[""] * (len(rows[0]) - 1))]
