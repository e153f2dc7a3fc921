"""The client's update: what stands in the register, as a shop writes it to a client."""

from __future__ import annotations

from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter, left_out, short_hash
from notepipe.papers.plan import Place, place, sentences
from notepipe.papers.questions import Asked, asked_of_client, number_for
from notepipe.papers.templates import rendered
from notepipe.register import PartNow, Register
from notepipe.trade.cautions import cautions, inside_only
from notepipe.transcript import Frozen

TEMPLATE = "update.txt.j2"

# The order of the letter.
TITLES: dict[Place, str] = {
    "plater": "Going to the plater",
    "here": "Our own work",
    "trades": "Going to other trades",
    "new": "Replaced, made or bought",
    "left": "Left as it is",
    "scrapped": "Beyond use",
    "considering": "Still being considered",
    "asking": "Waiting for your word",
    "done": "Already done",
    "sought": "Still being looked for",
    "open": "Noted, nothing decided yet",
}


class Line(Frozen):
    """One part of a section."""

    tag: str
    text: str


class Section(Frozen):
    """The parts that share what lies ahead of them."""

    title: str
    lines: tuple[Line, ...]


class CautionShown(Frozen):
    """A caution, whom to ask, and the parts it is about."""

    text: str
    defer_to: str
    parts: str


class Update(Frozen):
    """All that the template of the update may name."""

    shop: str
    date: str
    client: str
    job: str
    what: str
    sections: tuple[Section, ...]
    questions: tuple[Asked, ...]
    cautions: tuple[CautionShown, ...]
    left_out: int
    """Records nobody has reviewed, where the shop chose to write without them."""
    hash: str
    """The short form of the last entry's hash."""


def update(register: Register, letter: Letter) -> str:
    """The client's update as plain text, lines no longer than the letter is wide.

    Raises NotReviewed while records wait (unless they are to be left out), BadTemplate for a broken template.
    """
    return rendered(TEMPLATE, update_view(register, letter), letter)


def update_view(register: Register, letter: Letter) -> Update:
    """What the update says, before it is laid out. Raises NotReviewed while records wait."""
    missing = left_out(register, letter)
    asked = asked_of_client(register)
    return Update(
        shop=plain(letter.shop),
        date=plain(letter.date),
        client=plain(register.client),
        job=plain(register.job),
        what=plain(register.what),
        sections=_sections(register.parts, asked),
        questions=asked,
        cautions=_cautions(register.parts, letter.inside),
        left_out=missing,
        hash=short_hash(register),
    )


def _sections(parts: tuple[PartNow, ...], asked: tuple[Asked, ...]) -> tuple[Section, ...]:
    lines: dict[Place, list[Line]] = {where: [] for where in TITLES}
    for now in parts:
        text = sentences(now.part, number_for(now.tag, asked))
        lines[place(now.part)].append(Line(tag=now.tag, text=text))
    return tuple(Section(title=TITLES[p], lines=tuple(found)) for p, found in lines.items() if found)


def _cautions(parts: tuple[PartNow, ...], inside: frozenset[str] | None) -> tuple[CautionShown, ...]:
    """Each caution once, with its parts; those about work in the shop are no business of a client's."""
    inside = inside_only(cautions()) if inside is None else inside
    shown: dict[tuple[str, str], list[str]] = {}
    for now in parts:
        for caution in now.part.cautions:
            if caution.id not in inside:
                shown.setdefault((caution.text, caution.defer_to), []).append(f"{now.tag} {now.part.name}")
    return tuple(
        CautionShown(text=text, defer_to=defer_to, parts=", ".join(about))
        for (text, defer_to), about in shown.items()
    )
