"""The client's update: what stands in the register, as a shop writes it to a client."""

from __future__ import annotations

from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter, left_out, short_hash
from notepipe.papers.questions import Asked, answered_by_client, asked_of_client, with_ages
from notepipe.papers.sections import Line, Section, Waits, sectioned, text_of
from notepipe.papers.since import Since, since_view
from notepipe.papers.templates import rendered
from notepipe.register import PartNow, Register
from notepipe.trade.cautions import cautions, inside_only
from notepipe.transcript import Frozen

TEMPLATE = "update.txt.j2"


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
    """Every part as it stands now."""
    since: Since | None
    """What has changed since the last letter; None where the whole is told."""
    questions: tuple[Asked, ...]
    cautions: tuple[CautionShown, ...]
    left_out: int
    """Records nobody has reviewed, where the shop chose to write without them."""
    hash: str
    """The short form of the last entry's hash."""


def update(register: Register, letter: Letter) -> str:
    """The client's update as plain text, lines no longer than the letter is wide.

    Where the letter knows what stood when the last one was issued, it tells what has changed since.

    Raises NotReviewed while records wait (unless they are to be left out), BadTemplate for a broken template.
    """
    return rendered(TEMPLATE, update_view(register, letter), letter)


def update_view(register: Register, letter: Letter) -> Update:
    """What the update says, before it is laid out. Raises NotReviewed while records wait."""
    missing = left_out(register, letter)
    asked = with_ages(asked_of_client(register), register, letter)
    waits = Waits(asked=asked, answered=answered_by_client(register))
    lines = [(now, Line(tag=now.tag, text=text_of(now, waits))) for now in register.parts]
    return Update(
        shop=plain(letter.shop),
        date=plain(letter.date),
        client=plain(register.client),
        job=plain(register.job),
        what=plain(register.what),
        sections=sectioned(lines, waits),
        since=since_view(register, letter, waits),
        questions=asked,
        cautions=_cautions(register.parts, letter.inside),
        left_out=missing,
        hash=short_hash(register),
    )


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
