"""The whole job as one HTML page that needs no program, no script and nothing from outside.

All dates come from entries, so that the same job gives the same bytes whenever it is written.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import notepipe
from notepipe.ledger import Written
from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter
from notepipe.papers.templates import rendered
from notepipe.papers.whole_errands import paper, promise, sheet
from notepipe.papers.whole_parts import part, question, recording
from notepipe.papers.whole_view import EntryShown, Step, Whole
from notepipe.register import Register

TEMPLATE = "job.html.j2"


class Deed(NamedTuple):
    """What an entry did in words, the lines under it, and the tags it speaks of."""

    did: str
    told: tuple[str, ...]
    tags: frozenset[str]


def whole(register: Register, written: Sequence[Written], deeds: Sequence[Deed], letter: Letter) -> str:
    """The page of a job, with every entry as it was hashed. Raises BadTemplate for a broken template."""
    return rendered(TEMPLATE, whole_view(register, written, deeds, letter), letter)


def extract(register: Register, written: Sequence[Written], letter: Letter) -> str:
    """The page for the client: without what was said at the bench, prices nobody released, questions to the
    shop, vendors and what they promised, and without the entries, so that it can't be checked by itself.
    """
    return rendered(TEMPLATE, whole_view(register, written, (), letter, extract=True), letter)


def whole_view(
    register: Register,
    written: Sequence[Written],
    deeds: Sequence[Deed],
    letter: Letter,
    *,
    extract: bool = False,
) -> Whole:
    """What the page says, before it is laid out."""
    files = {note.recording: note.file for note in register.notes}
    steps = {} if extract else _steps(written, deeds)
    entries = () if extract else tuple(map(_entry, written, deeds))
    people = Counter(one.entry.who for one in written)
    return Whole(
        shop=plain(letter.shop),
        made_with=made_with(letter),
        job=plain(register.job),
        client=plain(register.client),
        what=plain(register.what),
        opened=register.opened_at,
        until=written[-1].entry.at,
        status=f"closed: {plain(register.closed)}" if register.closed is not None else "open",
        waiting=register.waiting,
        people=() if extract else tuple((plain(who), many) for who, many in sorted(people.items())),
        parts=tuple(
            part(now, files, _of(steps, now.tag, *now.joined), letter.inside, extract=extract)
            for now in register.parts
        ),
        questions=tuple(
            question(now, files, extract=extract)
            for now in register.questions
            if not (extract and now.question.to == "shop")
        ),
        papers=tuple(map(paper, register.issued)),
        sheets=tuple(sheet(now, extract=extract) for now in register.sheets),
        promises=() if extract else tuple(map(promise, register.promises)),
        recordings=tuple(recording(note, extract=extract) for note in register.notes),
        entries=entries,
        last_hash=written[-1].entry.hash,
        count=len(written),
        extract=extract,
    )


def made_with(letter: Letter) -> str:
    """``notepipe 0.1.0``, and whether the shop has laid a page of its own over the program's."""
    own = letter.templates is not None and (letter.templates / TEMPLATE).is_file()
    by = f"notepipe {notepipe.__version__}"
    return f"{by}, a page of the shop's own" if own else by


def _steps(written: Sequence[Written], deeds: Sequence[Deed]) -> dict[str, list[Step]]:
    """The steps of each tag, in their order."""
    steps: dict[str, list[Step]] = {}
    for one, deed in zip(written, deeds, strict=True):
        step = Step(
            entry=one.entry.number,
            at=one.entry.at,
            who=plain(one.entry.who),
            did=plain(deed.did),
            told=tuple(map(plain, deed.told)),
        )
        for tag in deed.tags:
            steps.setdefault(tag, []).append(step)
    return steps


def _of(steps: Mapping[str, Sequence[Step]], *tags: str) -> tuple[Step, ...]:
    found = {step.entry: step for tag in tags for step in steps.get(tag, ())}
    return tuple(found[number] for number in sorted(found))


def _entry(one: Written, deed: Deed) -> EntryShown:
    return EntryShown(
        number=one.entry.number,
        at=one.entry.at,
        who=plain(one.entry.who),
        did=plain(deed.did),
        told=tuple(map(plain, deed.told)),
        hash=one.entry.hash,
        text=one.text,
    )
