"""The buying list: what is to be bought or replaced, with counts, metals and sizes, as text and CSV."""

from __future__ import annotations

from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter, left_out, short_hash
from notepipe.papers.lists import Head, head_of, with_left_out
from notepipe.papers.sheet import csv_text
from notepipe.papers.tables import table
from notepipe.papers.tasks import Task, count_of, sizes_of, tasks
from notepipe.papers.templates import rendered
from notepipe.register import Register
from notepipe.transcript import Frozen

TEMPLATE = "buying_list.txt.j2"
_COLUMNS = ("tag", "part", "count", "metal", "finish", "size", "work", "who")
_CSV = ("tag", "job", "part", "count", "metal", "finish", "size", "work", "who")


class BuyingList(Frozen):
    """All that the template of the buying list may name."""

    head: Head
    lines: tuple[str, ...]
    """The table, fitted to the paper."""
    parts: int
    pieces: int
    uncounted: int
    """Parts without a count: to be counted before anybody orders."""
    unmeasured: tuple[str, ...]
    """Tags of those without a size."""
    left_out: int
    hash: str


def buying_list(register: Register, letter: Letter) -> str:
    """The buying list as plain text. Raises NotReviewed while records wait, BadTemplate."""
    missing = left_out(register, letter)
    found = tasks(register, "buying")
    counts = [task.part.quantity for task in found]
    view = BuyingList(
        head=head_of(register, letter),
        lines=table(_COLUMNS, [_cells(task) for task in found], letter.width),
        parts=len(found),
        pieces=sum(count for count in counts if count is not None),
        uncounted=counts.count(None),
        unmeasured=tuple(task.now.tag for task in found if not task.part.sizes),
        left_out=missing,
        hash=short_hash(register),
    )
    return rendered(TEMPLATE, view, letter)


def buying_csv(register: Register, letter: Letter) -> str:
    """The buying list as CSV. Raises NotReviewed while records wait."""
    missing = left_out(register, letter)
    rows: list[tuple[str, ...]] = [_CSV]
    for task in tasks(register, "buying"):
        tag, *cells = _cells(task)
        rows.append((tag, plain(register.job), *map(plain, cells)))
    return csv_text(with_left_out(rows, missing))


def _cells(task: Task) -> tuple[str, ...]:
    """The metal and finish of the new one where they were said, else those of the old."""
    part, decision = task.part, task.decision
    metal, finish = decision.to_metal or part.metal or "", decision.to_finish or part.finish or ""
    about = map(plain, (part.name, count_of(part), metal, finish))
    return (task.now.tag, *about, sizes_of(part), decision.action, task.who)
