"""The bench list: what is done in the house, by operation in the order of the work, as text and CSV."""

from __future__ import annotations

import itertools

from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter, left_out, short_hash
from notepipe.papers.lists import Head, head_of, with_left_out
from notepipe.papers.sheet import csv_text
from notepipe.papers.tables import table
from notepipe.papers.tasks import Task, count_of, sizes_of, tasks
from notepipe.papers.templates import rendered
from notepipe.register import Register
from notepipe.trade.operations import operations
from notepipe.transcript import Frozen

TEMPLATE = "bench_list.txt.j2"
_COLUMNS = ("tag", "part", "count", "metal", "finish", "size", "work", "who", "after", "out")
_CSV = (
    "operation", "tag", "job", "part", "count", "metal", "finish", "size", "work", "who", "after", "out",
    "cautions",
)  # fmt: skip


class Operation(Frozen):
    """One heading of the bench list."""

    title: str
    lines: tuple[str, ...]
    """The table, fitted to the paper."""
    parts: int
    pieces: int
    """The counts of those that have one, together."""
    uncounted: int
    """Parts without a count."""


class CautionAtBench(Frozen):
    """A caution, whom to ask, and the parts it is about."""

    text: str
    defer_to: str
    parts: str


class BenchList(Frozen):
    """All that the template of the bench list may name."""

    head: Head
    operations: tuple[Operation, ...]
    cautions: tuple[CautionAtBench, ...]
    left_out: int
    """Records nobody has reviewed, where the shop chose to write without them."""
    hash: str


def bench_list(register: Register, letter: Letter) -> str:
    """The bench list as plain text. Raises NotReviewed while records wait, BadTemplate."""
    missing = left_out(register, letter)
    found = tasks(register, "bench")
    view = BenchList(
        head=head_of(register, letter),
        operations=tuple(
            _operation(action, tuple(group), letter.width)
            for action, group in itertools.groupby(found, key=lambda task: task.decision.action)
        ),
        cautions=_cautions(found),
        left_out=missing,
        hash=short_hash(register),
    )
    return rendered(TEMPLATE, view, letter)


def bench_csv(register: Register, letter: Letter) -> str:
    """The bench list as CSV, a row for each operation on a part. Raises NotReviewed while records wait."""
    missing = left_out(register, letter)
    rows: list[tuple[str, ...]] = [_CSV]
    for task in tasks(register, "bench"):
        first = (operations().of(task.decision.action).title, task.now.tag, plain(register.job))
        cautions = "; ".join(plain(caution.text) for caution in task.part.cautions)
        rows.append((*first, *map(plain, _cells(task)[1:]), cautions))
    return csv_text(with_left_out(rows, missing))


def _operation(action: str, group: tuple[Task, ...], width: int) -> Operation:
    counts = [task.part.quantity for task in group]
    return Operation(
        title=operations().of(action).title,
        lines=table(_COLUMNS, [_cells(task) for task in group], width),
        parts=len(group),
        pieces=sum(count for count in counts if count is not None),
        uncounted=counts.count(None),
    )


def _cells(task: Task) -> tuple[str, ...]:
    part = task.part
    about = map(plain, (part.name, count_of(part), part.metal or "", part.finish or ""))
    where = (", ".join(task.after), "; ".join(task.out))
    return (task.now.tag, *about, sizes_of(part), task.work, task.who, *where)


def _cautions(found: tuple[Task, ...]) -> tuple[CautionAtBench, ...]:
    """Each caution of the parts on the list once, with the parts."""
    about: dict[tuple[str, str], dict[str, None]] = {}
    for task in found:
        for caution in task.part.cautions:
            named = f"{task.now.tag} {plain(task.part.name)}"
            about.setdefault((plain(caution.text), plain(caution.defer_to)), {})[named] = None
    return tuple(
        CautionAtBench(text=text, defer_to=defer_to, parts=", ".join(parts))
        for (text, defer_to), parts in about.items()
    )
