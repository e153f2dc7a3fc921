"""Rows to columns, so that the sum of what each pair is worth is the highest there is. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Worth = Sequence[Mapping[int, float]]
"""For each row what it is worth in the columns it may have; a row may also have none, which is worth 0."""


def assigned(worth: Worth) -> tuple[int | None, ...]:
    """The column of each row, or None; no column twice. The shortest augmenting path, row by row.

    Source: H. W. Kuhn, The Hungarian method for the assignment problem (1955), in the form with potentials.
    """
    columns = sorted({column for row in worth for column in row})
    place = {column: at for at, column in enumerate(columns, start=1)}
    many = len(columns) + len(worth)
    cost = [[0.0] * (many + 1) for _ in worth]
    for row, worths in zip(cost, worth, strict=True):
        for column, value in worths.items():
            row[place[column]] = -value
    taken_by = _solved(cost, many)
    found: list[int | None] = [None] * len(worth)
    for at in range(1, len(columns) + 1):
        row_number = taken_by[at]
        if row_number and columns[at - 1] in worth[row_number - 1]:
            found[row_number - 1] = columns[at - 1]
    return tuple(found)


def _solved(cost: Sequence[Sequence[float]], many: int) -> list[int]:
    """For each column, counted from 1, the row that has it, counted from 1; 0 for none."""
    of_row, of_column, taken_by = [0.0] * (len(cost) + 1), [0.0] * (many + 1), [0] * (many + 1)
    for row in range(1, len(cost) + 1):
        taken_by[0], at = row, 0
        least, way, seen = [float("inf")] * (many + 1), [0] * (many + 1), [False] * (many + 1)
        while taken_by[at]:
            seen[at] = True
            here, step, after = taken_by[at], float("inf"), 0
            for column in range(1, many + 1):
                if seen[column]:
                    continue
                rest = cost[here - 1][column] - of_row[here] - of_column[column]
                if rest < least[column]:
                    least[column], way[column] = rest, at
                if least[column] < step:
                    step, after = least[column], column
            for column in range(many + 1):
                if seen[column]:
                    of_row[taken_by[column]] += step
                    of_column[column] -= step
                else:
                    least[column] -= step
            at = after
        while at:
            taken_by[at] = taken_by[way[at]]
            at = way[at]
    return taken_by
