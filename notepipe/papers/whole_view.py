"""What the page of a whole job may name: plain records, every word of them ready to be read.

What such a record must hold: purpose, author, date and identity (AIC Guidelines for Practice, Commentary
24), all treatment with the names of those who did it (27), legible without a program and in two copies,
one with the owner (28); who checked what when, nothing overwritten (Collections Trust, Spectrum, Condition
checking); the purpose and status of the report (EN 16095:2012). What is seen, what was asked and what was
decided stand apart.
"""

from __future__ import annotations

from notepipe.transcript import Frozen


class Words(Frozen):
    """What was said, and where it can be heard."""

    text: str
    source: str
    """``walk.m4a#t=12.4,17.9`` (W3C Media Fragments); the file alone where there are no seconds."""
    clock: str
    """``0:12.4–0:17.9``; empty where there are none."""


class DecisionShown(Frozen):
    """One decision, how it stands, and the words it rests on."""

    what: str
    standing: str
    words: Words | None


class Moment(Frozen):
    """How a part was found at one moment of its stay."""

    moment: str
    on: str
    condition: str


class Step(Frozen):
    """One entry in the life of a part or question."""

    entry: int
    at: str
    who: str
    did: str
    told: tuple[str, ...]


class PriceShown(Frozen):
    """A price, and whether a client may read it."""

    tag: str
    amount: str
    what_for: str
    released: bool


class PartShown(Frozen):
    """A part with everything that stands of it, and how it came to stand."""

    tag: str
    name: str
    facts: tuple[tuple[str, str], ...]
    """What is seen: count, metal, finish, size, place."""
    state: str
    by: str
    at: str
    conditions: tuple[str, ...]
    """As spoken at the bench."""
    moments: tuple[Moment, ...]
    decisions: tuple[DecisionShown, ...]
    words: tuple[Words, ...]
    cautions: tuple[str, ...]
    whereabouts: tuple[str, ...]
    """Of the originals."""
    prices: tuple[PriceShown, ...]
    pictures: tuple[tuple[str, str], ...]
    """File and SHA-256."""
    steps: tuple[Step, ...]


class QuestionShown(Frozen):
    """A question and its answer."""

    tag: str
    to: str
    about: str
    text: str
    by: str
    at: str
    asked_in: str
    words: Words | None
    answer: str | None
    answered: str
    """By whom, when, how, and who wrote it down."""


class SheetShown(Frozen):
    """A sheet that went out: its lines, and what came back of each."""

    name: str
    vendor: str
    on: str
    by: str
    pieces: int
    reference: str
    lines: tuple[tuple[str, str, str, str], ...]
    """Tag, part, wanted, what came back."""
    settled: tuple[str, ...]


class PromiseShown(Frozen):
    """A promise and what became of it."""

    name: str
    who: str
    what: str
    words: str
    said_on: str
    due: str
    moved: str
    became: str


class PaperShown(Frozen):
    """A paper that left the house."""

    name: str
    to: str
    at: str
    by: str
    sha256: str
    up_to: int
    asked: str


class RecordingShown(Frozen):
    """A recording, by its hash, and what was heard of it."""

    file: str
    sha256: str
    length: str
    taken_at: str
    heard_with: str
    warnings: tuple[str, ...]
    waiting: int
    """Records of it nobody has reviewed."""
    transcript: tuple[str, ...]
    """Its lines."""


class EntryShown(Frozen):
    """An entry: who did what when, and the very text its hash was taken of."""

    number: int
    at: str
    who: str
    did: str
    told: tuple[str, ...]
    hash: str
    text: str
    """To the letter what was hashed."""


class Whole(Frozen):
    """All that the template of the whole job may name."""

    shop: str
    made_with: str
    """The program's version, and whether the page is the shop's own."""
    job: str
    client: str
    what: str
    opened: str
    until: str
    """The time of the last entry: the page stands as of then."""
    status: str
    waiting: int
    people: tuple[tuple[str, int], ...]
    """Everybody who wrote entries, and how many."""
    parts: tuple[PartShown, ...]
    questions: tuple[QuestionShown, ...]
    papers: tuple[PaperShown, ...]
    sheets: tuple[SheetShown, ...]
    promises: tuple[PromiseShown, ...]
    recordings: tuple[RecordingShown, ...]
    entries: tuple[EntryShown, ...]
    last_hash: str
    count: int
    """Of the entries there are."""
    extract: bool
    """For the client: without what is the shop's own, and without the entries."""
