"""A table of the office's lists as lines: columns without a word go, and a narrow paper gets blocks."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.papers.layout import fitted, least_width, wrapped

_INDENT = "     "


def table(head: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> tuple[str, ...]:
    """*rows* under their *head* in lines of at most *width* letters; nothing where there are no rows.

    A column that is empty in every row is left out. Where the columns would not fit without breaking words,
    each row becomes a line of its first three cells with the others beneath, named.
    """
    if not rows:
        return ()
    full = [at for at in range(len(head)) if any(row[at] for row in rows)]
    names = [head[at] for at in full]
    cells = [[row[at] for at in full] for row in rows]
    if least_width([names, *cells]) <= width:
        columns = fitted([names, *cells], width)
        told = [line for row in cells for line in columns.lines(row)]
        return (*columns.lines(names), columns.rule, *told)
    return tuple(line for row in cells for line in _block(names, row, width))


def _block(names: Sequence[str], row: Sequence[str], width: int) -> list[str]:
    first = wrapped(", ".join(filter(None, row[1:3])), width, f"{row[0]}  ").split("\n")
    rest = [f"{name}: {cell}" for name, cell in zip(names[3:], row[3:], strict=True) if cell]
    return [*first, *(line for text in rest for line in wrapped(text, width, _INDENT).split("\n"))]
