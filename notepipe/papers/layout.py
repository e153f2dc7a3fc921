"""Text fitted to the paper: wrapped lines with a hanging indent, and tables."""

from __future__ import annotations

import itertools
import textwrap
from collections.abc import Sequence

from notepipe.transcript import Frozen

HARD_BLANK = "\N{NO-BREAK SPACE}"
"""Holds what may not be torn apart at a line's end: ``14 1/2 in``."""


def plain(text: str) -> str:
    """*text* on one line, without control characters: a spoken or typed word can't move the cursor."""
    if text.isprintable():  # Nearly all is, and a list of thousands asks often.
        return " ".join(text.split())
    shown = (letter for letter in text.replace(HARD_BLANK, " ") if letter.isprintable() or letter.isspace())
    return " ".join("".join(shown).split())


def hold(text: str) -> str:
    """*text* with hard blanks, so that no line ends inside it."""
    return text.replace(" ", HARD_BLANK)


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> str:
    """*text* in lines of at most *width* letters, *first* before the first and *rest* before the others.

    *rest* is as many blanks as *first* is long where it isn't given. Breaks in *text* are not kept.
    """
    lines = textwrap.wrap(
        plain_but_held(text),
        width,
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_on_hyphens=False,
    )
    return "\n".join(lines).replace(HARD_BLANK, " ")


def plain_but_held(text: str) -> str:
    """*text* on one line without control characters, its hard blanks kept."""
    return HARD_BLANK.join(plain(piece) for piece in text.split(HARD_BLANK))


class Columns(Frozen):
    """The widths of a table's columns."""

    widths: tuple[int, ...]

    @property
    def rule(self) -> str:
        """The line under the head."""
        return " ".join("-" * width for width in self.widths)

    def lines(self, cells: Sequence[str]) -> list[str]:
        """*cells* side by side, wrapped; a word longer than its column is broken."""
        return self.joined(self.wrapped(cells))

    def wrapped(self, cells: Sequence[str]) -> list[list[str]]:
        """The lines of each cell."""
        return [
            textwrap.wrap(cell, width, break_on_hyphens=False)
            for cell, width in zip(cells, self.widths, strict=True)
        ]

    def joined(self, stacks: Sequence[Sequence[str]]) -> list[str]:
        """Lines of cells, one stack a column, as lines of the table."""
        return [self._line(cells) for cells in itertools.zip_longest(*stacks, fillvalue="")]

    def _line(self, cells: Sequence[str]) -> str:
        filled = (cell.ljust(width) for cell, width in zip(cells, self.widths, strict=True))
        return " ".join(filled).rstrip().replace(HARD_BLANK, " ")


def fitted(rows: Sequence[Sequence[str]], width: int) -> Columns:
    """Columns for *rows* in lines of *width* letters at most.

    A column is as wide as its longest cell where there is room; else the widest give way first, down to
    their longest word while that is possible.
    """
    room = width - (len(rows[0]) - 1)
    wide = [max(max(len(cell) for cell in column), 1) for column in zip(*rows, strict=True)]
    least = _longest_words(rows)
    if sum(least) > room:
        least = [1] * len(wide)
    while sum(wide) > room:
        at = max((i for i in range(len(wide)) if wide[i] > least[i]), key=lambda i: wide[i])
        wide[at] -= 1
    return Columns(widths=tuple(wide))


def least_width(rows: Sequence[Sequence[str]]) -> int:
    """The narrowest table of *rows* in which no word is broken."""
    return sum(_longest_words(rows)) + len(rows[0]) - 1


def _longest_words(rows: Sequence[Sequence[str]]) -> list[int]:
    columns = zip(*rows, strict=True)
    return [max(len(word) for cell in column for word in cell.split(" ")) or 1 for column in columns]
