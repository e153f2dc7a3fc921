"""The register as rows to look through: what stands of each part, what is out, due and asked. Pure."""

from __future__ import annotations

import weakref
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from notepipe.changing import decision_in_words, size_in_words
from notepipe.desk.desk import JobNow
from notepipe.months.asking import is_about, waits, words_of
from notepipe.months.outside import LineNow, open_lines
from notepipe.papers.cells import state
from notepipe.register import PartNow, PromiseNow, QuestionNow, Register

PIECE: Final = 100
"""Rows that are shown at once."""


class Row(NamedTuple):
    """One part."""

    now: PartNow
    state: str
    """Where it is on its way: "to do", "waits for client" …"""
    fates: tuple[str, ...]
    out: tuple[LineNow, ...]
    """Lines of sheets with pieces out, or with something unsettled."""
    due: tuple[PromiseNow, ...]
    questions: tuple[QuestionNow, ...]
    """Open ones about it."""
    found_by: str
    """All its words, in small letters."""


class Sought(NamedTuple):
    """What a row must be to be shown; of several, all."""

    words: str = ""
    where: str = ""
    """``out``, ``due``, ``asked``: out of the house, waited for by a day, with an open question."""
    action: str = ""
    standing: str = ""
    by: str = ""

    @property
    def anything(self) -> bool:
        """Whether some rows are left out at all."""
        return any(self)


class Offered(NamedTuple):
    """What the filters offer: what there is in the job."""

    actions: tuple[str, ...]
    standings: tuple[str, ...]
    by: tuple[str, ...]


_STANDINGS: Final = ("decided", "considering", "asking", "ruled-out", "done")


class Table(NamedTuple):
    """The rows of a job, and what its filters offer."""

    rows: tuple[Row, ...]
    offered: Offered


_TABLES: weakref.WeakKeyDictionary[JobNow, Table] = weakref.WeakKeyDictionary()


def table_of(job: JobNow) -> Table:
    """A row for each part by its tag, worked out once for each state of the job."""
    if job not in _TABLES:
        found = rows(job.register)
        _TABLES[job] = Table(found, offered(found))
    return _TABLES[job]


def rows_of(job: JobNow) -> tuple[Row, ...]:
    """The rows alone."""
    return table_of(job).rows


def rows(register: Register) -> tuple[Row, ...]:
    """A row for each part, by tag."""
    out, due, asked = _out(register), _due(register), _asked(register)
    return tuple(
        Row(
            now=now,
            state=state(now.part),
            fates=tuple(map(decision_in_words, now.part.decisions)),
            out=tuple(line for tag in (now.tag, *now.joined) for line in out.get(tag, ())),
            due=tuple(due.get(now.tag, ())),
            questions=tuple(asked.get(now.tag, ())),
            found_by=_words(now),
        )
        for now in sorted(register.parts, key=lambda part: part.tag)
    )


def chosen(found: Sequence[Row], sought: Sought) -> tuple[Row, ...]:
    """The rows that are *sought*, in their order."""
    wanted = sought.words.casefold().split()
    return tuple(
        row for row in found if _is_there(row, sought.where) and _fate(row, sought) and _says(row, wanted)
    )


def offered(found: Iterable[Row]) -> Offered:
    """The actions, standings and trades that the decisions of these rows have."""
    decisions = [decision for row in found for decision in row.now.part.decisions]
    standings = {decision.standing for decision in decisions}
    return Offered(
        actions=tuple(sorted({decision.action for decision in decisions})),
        standings=tuple(standing for standing in _STANDINGS if standing in standings),
        by=tuple(sorted({decision.by for decision in decisions if decision.by}, key=str.casefold)),
    )


def _is_there(row: Row, where: str) -> bool:
    return {"out": bool(row.out), "due": bool(row.due), "asked": bool(row.questions)}.get(where, True)


def _fate(row: Row, sought: Sought) -> bool:
    """Whether one decision of the part fits all that is sought of a decision."""
    if not (sought.action or sought.standing or sought.by):
        return True
    return any(
        sought.action in ("", decision.action)
        and sought.standing in ("", decision.standing)
        and sought.by in ("", decision.by)
        for decision in row.now.part.decisions
    )


def _says(row: Row, wanted: Sequence[str]) -> bool:
    return all(word in row.found_by for word in wanted)


def _words(now: PartNow) -> str:
    part = now.part
    plain = (now.tag, *now.joined, part.name, part.metal, part.finish, part.location, *part.condition)
    more = (*map(decision_in_words, part.decisions), *map(size_in_words, part.sizes))
    return "\n".join(filter(None, (*plain, *more))).casefold()


def _out(register: Register) -> dict[str, list[LineNow]]:
    found: dict[str, list[LineNow]] = defaultdict(list)
    for line in open_lines(register):
        found[line.line.tag].append(line)
    return found


def _due(register: Register) -> dict[str, list[PromiseNow]]:
    """What is waited for, by the parts named in it or on its sheet."""
    on_sheet = {sheet.sent.sheet: [line.tag for line in sheet.sent.lines] for sheet in register.sheets}
    found: dict[str, list[PromiseNow]] = defaultdict(list)
    for promise in register.promises:
        if promise.settled_on is None:
            more = on_sheet.get(promise.noted.sheet or "", [])
            for tag in dict.fromkeys((*promise.noted.tags, *more)):
                found[tag].append(promise)
    return found


def _asked(register: Register) -> dict[str, list[QuestionNow]]:
    """The open questions about each part. Of 2,000 parts only those with the same last word are held
    against a question, and those that wait for an answer.
    """
    by_name: dict[str, list[PartNow]] = defaultdict(list)
    for now in register.parts:
        words = words_of(now.part.name)
        by_name[words[-1] if words else ""].append(now)
    waiting = [now for now in register.parts if waits(now.part)]
    found: dict[str, list[QuestionNow]] = defaultdict(list)
    for question in register.open_questions:
        about = words_of(question.question.about)
        near = {now.tag: now for now in (*by_name.get(about[-1] if about else "", ()), *waiting)}
        for now in near.values():
            if is_about(question, now):
                found[now.tag].append(question)
    return found
