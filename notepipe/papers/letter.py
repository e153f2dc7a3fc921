"""What a paper is told besides the register, and when it may be written at all."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from pydantic import Field

from notepipe.errors import NotReviewed
from notepipe.register import NoteNow, Register
from notepipe.shop import DateForm, Shop, in_words
from notepipe.trade import Trade
from notepipe.trade.cautions import inside_only
from notepipe.transcript import Frozen

SHORT_HASH = 12
"""Letters of the last entry's hash at the foot of a paper."""


class Letter(Frozen):
    """Whose paper, of what day, how wide, from which templates."""

    shop: str
    """Its name, as it stands on the paper."""
    date: str
    """The day, as this shop writes dates."""
    width: int = Field(default=72, ge=40)
    """Letters to a line."""
    templates: Path | None = None
    """The shop's own templates, laid over the program's; None where it has none."""
    leave_out: bool = False
    """Write from what is confirmed, and say how much is left out, instead of refusing."""
    inside: frozenset[str] | None = None
    """Ids of the cautions that are no business of a client's; None: those of the program's own pack."""
    today: str = ""
    """The same day as ISO 8601, to tell how long ago others were; where it is empty that is not told."""
    date_form: DateForm = "25 November 2026"
    """How the paper writes other days."""
    since: Register | None = None
    """What stood when the last letter was issued; None for a letter that tells the whole."""

    def day(self, at: str) -> str:
        """The day of *at* (RFC 3339 or ISO 8601) as this shop writes dates."""
        return in_words(date.fromisoformat(at[:10]), self.date_form)


def letter_for(shop: Shop, trade: Trade, today: str, *, leave_out: bool = False) -> Letter:
    """What a paper of *shop* written on the day *today* (ISO 8601) is told besides the register."""
    return Letter(
        shop=shop.settings.shop,
        date=shop.settings.date_in_words(date.fromisoformat(today)),
        today=today,
        date_form=shop.settings.date_form,
        width=shop.settings.paper_width,
        templates=shop.templates,
        leave_out=leave_out,
        inside=inside_only(trade.cautions),
    )


def left_out(register: Register, letter: Letter) -> int:
    """How many records the paper goes without because nobody has reviewed them.

    Raises NotReviewed where there are any and the letter was not told to leave them out.
    """
    waiting = [note for note in register.notes if note.waiting]
    if waiting and not letter.leave_out:
        raise NotReviewed(*_not_reviewed(waiting))
    return register.waiting


def short_hash(register: Register) -> str:
    """The short form of the last entry's hash: the client's copy pins the history the letter came from."""
    return register.last_hash[:SHORT_HASH]


def _not_reviewed(waiting: list[NoteNow]) -> tuple[str, str, str]:
    note, more = waiting[0], len(waiting) - 1
    kinds = (("p", "part", len(note.draft.parts)), ("q", "question", len(note.draft.questions)))
    told = [
        f"{here} of {total} {kind}{'s' if total > 1 else ''}"
        for letter, kind, total in kinds
        if (here := sum(record.startswith(letter) for record in note.waiting))
    ]
    what = f"{' and '.join(told)} {'is' if len(note.waiting) == 1 else 'are'} not reviewed"
    others = f", nor all of {more} more note{'s' if more > 1 else ''}" if more else ""
    return note.file, what + others, f"Run: notepipe review {note.file}"
