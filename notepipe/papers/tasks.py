"""What the register leaves to be done on each part, by list: the rows that the office's lists are made of."""

from __future__ import annotations

from collections.abc import Iterator

from notepipe.draft import Decision, Part
from notepipe.months.outside import Outside
from notepipe.months.worknames import IN_HOUSE, trade_of
from notepipe.papers.actions import is_trade, said
from notepipe.papers.layout import plain
from notepipe.papers.phrases import measure
from notepipe.register import PartNow, Register
from notepipe.trade.operations import ListName, operations
from notepipe.transcript import Frozen

_ALIVE = ("decided", "considering", "asking")


class Task(Frozen):
    """One decision that is still to be carried out, and the part it is on."""

    now: PartNow
    decision: Decision
    work: str
    """``straightened``, ``made new in bronze``."""
    who: str
    """``here``, a person, a trade; empty where nobody was named."""
    after: tuple[str, ...]
    """What is decided on the same part and comes before it in the order of the work."""
    out: tuple[str, ...]
    """Where the part is, where some of it is out: ``2 of 4 with Tarn Plating (S01)``."""

    @property
    def part(self) -> Part:
        """The part."""
        return self.now.part


def tasks(register: Register, name: ListName) -> tuple[Task, ...]:
    """The tasks of the list *name*, in the order of the work, then of the tags."""
    outside = Outside(register)
    vendors = frozenset(sheet.sent.vendor.casefold() for sheet in register.sheets)
    found = [
        _task(outside, now, decision)
        for now in register.parts
        for decision in now.part.decisions
        if list_of(now.part, decision, vendors) == name
    ]
    return tuple(sorted(found, key=lambda task: operations().step(task.decision.action)))


def list_of(part: Part, decision: Decision, vendors: frozenset[str] = frozenset()) -> ListName:
    """The list *decision* stands on: ours, what is bought, what is looked for; none for all else.

    *vendors* are the names, in small letters, that are no persons of the house.
    """
    row = operations().of(decision.action)
    if row.list == "looking for":
        return row.list if decision.standing in _ALIVE else "none"
    if decision.standing != "decided":
        return "none"
    if row.list == "bench":
        return row.list if _is_ours(decision, vendors) else "none"
    if row.list == "buying" and decision.action == "replace" and _comes_otherwise(part):
        return "none"
    return row.list


def sizes_of(part: Part) -> str:
    """``across 14 1/2 in; 2 ft 6 in``, no line ending inside a measure."""
    return "; ".join(" ".join(filter(None, (plain(s.feature or ""), measure(s)))) for s in part.sizes)


def count_of(part: Part) -> str:
    """``4``, or nothing where nobody counted."""
    return "" if part.quantity is None else str(part.quantity)


def _task(outside: Outside, now: PartNow, decision: Decision) -> Task:
    return Task(
        now=now,
        decision=decision,
        work=plain(said(decision, now.part)),
        who=_who(decision),
        after=tuple(_before(now.part, decision)),
        out=tuple(
            f"{line.missing} of {line.went} with {plain(line.sheet.sent.vendor)} ({line.sheet.sent.sheet})"
            for line in outside.lines(now)
            if line.missing
        ),
    )


def _who(decision: Decision) -> str:
    return "here" if decision.by == IN_HOUSE else plain(decision.by or "")


def _is_ours(decision: Decision, vendors: frozenset[str]) -> bool:
    """Whether it is done in the house: so it was said, or nobody was named, or one of the house was."""
    trade = trade_of(decision)
    if trade is None:
        return True
    return not is_trade(trade) and trade.casefold() not in vendors


def _comes_otherwise(part: Part) -> bool:
    """Whether the new one is made, bought or looked for by another decision: it is not bought twice."""
    others = [d for d in part.decisions if d.action in ("make", "buy", "source")]
    return any(d.standing == "decided" or (d.action == "source" and d.standing in _ALIVE) for d in others)


def _before(part: Part, decision: Decision) -> Iterator[str]:
    mine = operations().step(decision.action)
    for other in part.decisions:
        ours = operations().of(other.action).list == "bench"
        if other.standing == "decided" and ours and operations().step(other.action) < mine:
            trade = trade_of(other)
            yield plain(said(other, part)) + (f" by the {trade}" if trade and is_trade(trade) else "")
