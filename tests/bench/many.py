"""A shop of any size, invented: notes of ten parts, each confirmed, then looked at again for months."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import islice

from notepipe.draft import Decision, Draft, Note, Part, Question, Quote, Size
from notepipe.entries import (
    Body,
    Change,
    JobOpened,
    NoteTaken,
    PaperWritten,
    PartConfirmed,
    QuestionConfirmed,
)
from notepipe.errands import ConditionNoted, PriceNoted
from notepipe.trade import load_trade

PARTS_A_NOTE = 10
METALS = ("brass", "steel", "bronze", "cast iron", "copper", "zinc die-cast", None)
PLACES = (
    "nearside", "offside", "upper deck", "platform", "front", "rear", "saloon", "cab", "staircase", None,
)  # fmt: skip


@cache
def names() -> tuple[str, ...]:
    """Every part the packs know."""
    return tuple(sorted({p for term in load_trade().terms if term.kind == "part" for p in term.phrases}))


def part(n: int) -> Part:
    """The *n*-th part of the shop: names, metals and places come round again, as they do."""
    name = names()[n * 7919 % len(names())]
    said = f"the {name} wants replating in nickel, and another of them is bent at the foot, have a look"
    fate = {"quote": said, "start_s": 12.4, "end_s": 17.9, "rule": "trained reader"}
    return Part(
        name=name,
        heard_as=(name, f"the {name}"),
        quantity=1 + n % 6,
        metal=METALS[n % len(METALS)],
        finish="nickel",
        location=PLACES[n % len(PLACES)],
        condition=("worn through", "bent at the foot"),
        sizes=(Size(feature="length", value="4 1/2", unit="in", mm=114.3),),
        decisions=(
            Decision.model_validate(
                {**fate, "action": "replate", "standing": "decided", "by": "plater", "to_finish": "nickel"}
            ),
            Decision.model_validate({**fate, "action": "straighten", "standing": "considering"}),
        ),
        quotes=(Quote(text=said, start_s=12.4, end_s=17.9, probability=0.8),),
    )


def note(n: int, parts: tuple[Part, ...]) -> NoteTaken:
    """The *n*-th note, as taken."""
    draft = Draft(note=Note(file=f"walk-{n}.m4a", sha256=f"{n:064x}"), parts=parts)
    text = " ".join(part.quotes[0].text for part in parts)
    return NoteTaken(recording=f"{n:064x}", file=f"walk-{n}.m4a", transcript=text, draft=draft)


def history(job: str, parts: int, entries: int) -> Iterator[Body]:
    """A job with that many *parts*, a note for every ten, and exactly that many *entries*."""
    return islice(_history(job, parts), entries)


def _history(job: str, parts: int) -> Iterator[Body]:
    yield JobOpened(name=job, client="Fennimore Museum of Transport", what="Tram 7, upper deck")
    for first in range(0, parts, PARTS_A_NOTE):
        taken = note(first // PARTS_A_NOTE, tuple(part(first + k) for k in range(PARTS_A_NOTE)))
        yield taken
        for k, drafted in enumerate(taken.draft.parts, start=1):
            yield PartConfirmed(
                recording=taken.recording, record=f"p{k}", tag=f"{first + k:03d}", part=drafted
            )
        yield _question(taken.recording, first)
    n = 0
    while True:
        yield from _later(n, n % parts)
        n += 1


def _question(recording: str, first: int) -> QuestionConfirmed:
    name = part(first).name
    asked = Question(to="client", about=name, text=f"Is the {name} to be nickel?", quote="ask them")
    tag = f"Q{first // PARTS_A_NOTE + 1:02d}"
    return QuestionConfirmed(recording=recording, record=f"q{tag[1:]}", tag=tag, question=asked)


def _later(n: int, at: int) -> Iterator[Body]:
    """What is done about a part in the months after its note."""
    tag, was = f"{at + 1:03d}", part(at)
    recording, record = f"{at // PARTS_A_NOTE:064x}", f"p{at % PARTS_A_NOTE + 1}"
    put_right = (Change(field="metal", was=was.metal, now="nickel silver"),)
    now = was.model_copy(update={"metal": "nickel silver"})
    yield PartConfirmed(recording=recording, record=record, tag=tag, part=now, changes=put_right)
    yield PriceNoted(
        price=f"M{n + 1:02d}",
        tag=tag,
        amount="12.50",
        currency="GBP",
        what_for="replating",
        words="twelve fifty each, he says",
    )
    yield ConditionNoted(tag=tag, moment="back", by_whom="plater", condition=("bright",), on="2026-11-25")
    yield PaperWritten(paper="parts list", sha256=f"{n:064x}")
