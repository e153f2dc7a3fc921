"""The records of a draft: what was understood of one note before anybody confirmed it.

The JSON of ``Draft`` is the format ``notepipe.draft/1``; fields beyond that format are marked *ours*.
"""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from notepipe.trade.row import ActionName
from notepipe.transcript import Frozen

Action = ActionName
Standing = Literal["decided", "considering", "asking", "ruled-out", "done"]
Addressee = Literal["client", "shop"]

FORMAT: Final = "notepipe.draft/1"


class Quote(Frozen):
    """Words copied from the transcript, and when they were said (None in a plain text note)."""

    text: str
    start_s: float | None = None
    end_s: float | None = None
    probability: float | None = None
    """Ours: the lowest probability among its words."""
    recording: str | None = None
    """Ours: the note it was said in, where a part rests on several; None: that of the record itself."""


class Doubt(Frozen):
    """Something the reviewer must settle: which field, why, and what else it might be."""

    field: str
    why: str
    other: str | None = None
    """Ours: the other reading, ready to be taken over."""
    rule: str | None = None
    """Ours: the rule that raised it."""


class Size(Frozen):
    """A measure of the part or of its replacement; ``mm`` is exact, None where the unit is unknown."""

    feature: str | None = None
    value: str
    unit: str | None
    mm: float | None


class Decision(Frozen):
    """One action on a part, how firmly it stands, and the words it rests on."""

    action: Action
    standing: Standing
    by: str | None = None
    to_finish: str | None = None
    to_metal: str | None = None
    quote: str
    start_s: float | None = None
    end_s: float | None = None
    rule: str | None = None
    """Ours: what made this mark, for ``--why``."""
    recording: str | None = None
    """Ours: the note it was said in, as with a quote."""


class Caution(Frozen):
    """Work on this part can hurt someone: what to say, and whom to defer to."""

    id: str
    text: str
    defer_to: str
    acknowledge: bool = False
    """Safety-critical: must be acknowledged before a decision on the part is confirmed."""


class Part(Frozen):
    """A line for the parts list: a thing, or a set of like things that share one fate."""

    name: str
    heard_as: tuple[str, ...] = ()
    quantity: int | None = None
    metal: str | None = None
    finish: str | None = None
    location: str | None = None
    condition: tuple[str, ...] = ()
    sizes: tuple[Size, ...] = ()
    decisions: tuple[Decision, ...] = ()
    quotes: tuple[Quote, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    cautions: tuple[Caution, ...] = ()
    rules: dict[str, str] = Field(default_factory=dict)
    """Ours: field to the rule or words that set it, for ``--why``."""


class Question(Frozen):
    """What the client or the shop must still say or find out."""

    to: Addressee
    about: str
    text: str
    quote: str
    start_s: float | None = None
    end_s: float | None = None
    doubts: tuple[Doubt, ...] = ()
    rule: str | None = None


class Note(Frozen):
    """The recording a draft was made from."""

    file: str
    sha256: str
    duration_s: float | None = None
    heard_with: str | None = None
    warnings: tuple[str, ...] = ()
    """Ours: what is missing of the sound."""


class Draft(Frozen):
    """Everything understood of one note."""

    format: Literal["notepipe.draft/1"] = FORMAT
    note: Note
    parts: tuple[Part, ...] = ()
    questions: tuple[Question, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    """Ours: doubts that belong to no part (a decision was heard, but on what?)."""
