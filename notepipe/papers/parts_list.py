"""The parts list as plain text, fitted to the paper: every confirmed part with what stands of it."""

from __future__ import annotations

from notepipe.papers.cells import COLUMNS, IN_STEP, NOT_SAID, cells_of
from notepipe.papers.layout import Columns, fitted, least_width, plain, wrapped
from notepipe.papers.letter import Letter, left_out, short_hash
from notepipe.papers.templates import rendered
from notepipe.register import PartNow, Register
from notepipe.transcript import Frozen

TEMPLATE = "parts_list.txt.j2"
_SHORT = ("tag", "part", "count", "metal", "finish", "size", "state")
_INDENT = "     "


class PartsList(Frozen):
    """All that the template of the parts list may name."""

    shop: str
    date: str
    client: str
    job: str
    what: str
    lines: tuple[str, ...]
    """The table, fitted to the paper."""
    parts: int
    """Lines on the list."""
    pieces: int
    """The counts of those that have one, together."""
    uncounted: int
    """Parts without a count."""
    left_out: int
    """Records nobody has reviewed, where the shop chose to write without them."""
    hash: str
    """The short form of the last entry's hash."""


def parts_list(register: Register, letter: Letter) -> str:
    """The parts list as plain text, lines no longer than the letter is wide.

    Raises NotReviewed while records wait (unless they are to be left out), BadTemplate for a broken template.
    """
    missing = left_out(register, letter)
    counts = [now.part.quantity for now in register.parts]
    view = PartsList(
        shop=plain(letter.shop),
        date=plain(letter.date),
        client=plain(register.client),
        job=plain(register.job),
        what=plain(register.what),
        lines=tuple(_lines(register.parts, letter.width)),
        parts=len(counts),
        pieces=sum(count for count in counts if count is not None),
        uncounted=counts.count(None),
        left_out=missing,
        hash=short_hash(register),
    )
    return rendered(TEMPLATE, view, letter)


def _lines(parts: tuple[PartNow, ...], width: int) -> list[str]:
    """The widest form that breaks no word: one table, a short one with the rest beneath, or plain lines."""
    if not parts:
        return []
    rows = [row for now in parts for row in _rows(now)]
    if least_width([COLUMNS, *rows]) <= width:
        columns = fitted([COLUMNS, *rows], width)
        told = [line for now in parts for line in _block(columns, _rows(now))]
        return [*columns.lines(COLUMNS), columns.rule, *told]
    short = [tuple("; ".join(cells[column]) for column in _SHORT) for cells in map(cells_of, parts)]
    if least_width([_SHORT, *short]) <= width:
        columns = fitted([_SHORT, *short], width)
        head = [*columns.lines(_SHORT), columns.rule]
        return [*head, *_with_the_rest(parts, [columns.lines(row) for row in short], width)]
    plainly = [wrapped(_in_a_line(row), width, f"{row[0]}  ").split("\n") for row in short]
    return _with_the_rest(parts, plainly, width)


def _rows(now: PartNow) -> list[tuple[str, ...]]:
    """A row a decision; what is said of the part as a whole stands in the first."""
    cells = cells_of(now)
    rows = []
    for at in range(max(1, len(now.part.decisions))):
        first = {column: "; ".join(cells[column]) if at == 0 else "" for column in COLUMNS}
        in_step = {column: "".join(cells[column][at : at + 1]) for column in IN_STEP}
        rows.append(tuple((first | in_step)[column] for column in COLUMNS))
    return rows


def _block(columns: Columns, rows: list[tuple[str, ...]]) -> list[str]:
    """The rows of one part: each decision level with who and standing, the rest running down beside them."""
    stacks: list[list[str]] = [[] for _ in COLUMNS]
    for row in rows:
        lines = dict(zip(COLUMNS, columns.wrapped(row), strict=True))
        height = max(len(lines[column]) for column in IN_STEP)
        for stack, column in zip(stacks, COLUMNS, strict=True):
            level = height - len(lines[column]) if column in IN_STEP else 0
            stack += [*lines[column], *[""] * level]
    return columns.joined(stacks)


def _in_a_line(row: tuple[str, ...]) -> str:
    _, name, count, *others, where = row
    about = ", ".join(filter(None, (f"{count} × {name}" if count else name, *others)))
    return f"{about}: {where}"


def _with_the_rest(parts: tuple[PartNow, ...], heads: list[list[str]], width: int) -> list[str]:
    lines: list[str] = []
    for now, head in zip(parts, heads, strict=True):
        lines += [*head, *_under(now, width), ""]
    return lines[:-1]


def _under(now: PartNow, width: int) -> list[str]:
    cells = cells_of(now)
    told = [f"condition: {'; '.join(cells['condition'])}"] if cells["condition"] else []
    for what, who, standing in zip(*(cells[column] for column in IN_STEP), strict=True):
        told.append(f"{standing}: {what}, {who}" if who != NOT_SAID else f"{standing}: {what}")
    return [line for text in told for line in wrapped(text, width, _INDENT, _INDENT + "  ").split("\n")]
