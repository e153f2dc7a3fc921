"""A note on the table: its draft, what is settled already, and what is on file to hold it against. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from pydantic import Field, SkipValidation

from notepipe.draft import Draft, Part, Question
from notepipe.errors import BadAnswer, nearest
from notepipe.later.matching import Around, Match, OnFile, held_against, merged_with
from notepipe.later.merging import Layer, Merged
from notepipe.later.offering import Offer, OpenQuestion, asked_again, offered
from notepipe.reading.plausibility import cautions_of
from notepipe.trade.cautions import CautionRow
from notepipe.transcript import Frozen


class Sitting(Frozen):
    """A note on the table: its draft, what is settled already, and the next free numbers for tags."""

    recording: str
    file: str
    draft: Draft
    reviewed: frozenset[str] = frozenset()
    put_off: frozenset[str] = frozenset()
    next_part: int = 1
    next_question: int = 1
    on_file: SkipValidation[tuple[OnFile, ...]] = ()
    """The parts that other notes spoke of."""
    questions: tuple[OpenQuestion, ...] = ()
    """The open questions of other notes."""
    transcript: str = ""
    transcripts: SkipValidation[Mapping[str, str]] = Field(default_factory=dict)
    """Of the other notes, by recording."""
    day: str = ""
    """When the note was taken, ISO 8601."""
    caution_rows: SkipValidation[tuple[CautionRow, ...]] = ()
    """The trade's cautions, to look again at a part that a record was laid on."""

    @cached_property
    def matches(self) -> tuple[Match, ...]:
        """What each part of the draft is against what is on file."""
        return held_against(self.draft, self.on_file, self._around)

    @cached_property
    def offers(self) -> tuple[Offer, ...]:
        """The open questions that the note seems to answer."""
        return offered(self.draft, self.matches, self.questions, self.transcript)

    def match(self, name: str) -> Match | None:
        """What the part called *name* is against what is on file; None for a question."""
        return self.matches[int(name[1:]) - 1] if name.startswith("p") else None

    def offers_of(self, name: str) -> tuple[Offer, ...]:
        """The answers that the part called *name* seems to give."""
        return tuple(offer for offer in self.offers if offer.record == name)

    def asked_before(self, name: str) -> OpenQuestion | None:
        """The open question on file that the question called *name* asks once more."""
        if not name.startswith("q") or not self.questions:
            return None
        record = self.record(name)
        tag = asked_again(record, self.questions) if isinstance(record, Question) else None
        return next((row for row in self.questions if row.tag == tag), None)

    def laid_on(self, row: OnFile, part: Part) -> Merged:
        """The whole part when *part* of this note is laid on the one in *row*, with its cautions."""
        merged = merged_with(row, Layer(part, self.recording), self._around)
        cautions = {c.id: c for c in (*merged.part.cautions, *cautions_of(merged.part, self.caution_rows))}
        shown = tuple(c for name, c in cautions.items() if name not in row.cautions_off)
        return merged._replace(part=merged.part.model_copy(update={"cautions": shown}))

    def row(self, tag: str) -> OnFile:
        """The part on file under *tag*. Raises BadAnswer."""
        found = next((row for row in self.on_file if row.tag == tag), None)
        if found is None:
            do = nearest(tag, [row.tag for row in self.on_file]) if self.on_file else "Say: new"
            raise BadAnswer(self.file, f"no part '{tag}' of an earlier note is on file", do)
        return found

    @property
    def _around(self) -> Around:
        asked = tuple(row.question for row in self.questions)
        return Around(self.transcript, self.transcripts, asked, self.reviewed)

    def record(self, name: str) -> Part | Question:
        """The record called *name*. Raises BadAnswer where there is none or it is settled already."""
        kinds: Mapping[str, Sequence[Part | Question]] = {"p": self.draft.parts, "q": self.draft.questions}
        known = {f"{kind}{i}": r for kind, rows in kinds.items() for i, r in enumerate(rows, start=1)}
        if name not in known:
            raise BadAnswer(self.file, f"no record '{name}'", nearest(name, known))
        if name in self.reviewed:
            do = "Its history tells who settled it: notepipe history"
            raise BadAnswer(self.file, f"record {name} is settled already", do)
        return known[name]

    def waiting(self) -> tuple[str, ...]:
        """The records nobody has confirmed or dropped, parts first."""
        parts = [f"p{i + 1}" for i in range(len(self.draft.parts))]
        questions = [f"q{i + 1}" for i in range(len(self.draft.questions))]
        return tuple(name for name in parts + questions if name not in self.reviewed)
