"""What stands now in one job: records that ``folding.py`` works out from its entries."""

from __future__ import annotations

from typing import NoReturn

from notepipe.draft import Draft, Part, Question
from notepipe.entries import Against
from notepipe.errands import ConditionNoted, LineBack, PriceNoted, PromiseNoted, SheetSent, WhereaboutsNoted
from notepipe.errors import NotFound, nearest
from notepipe.later.matching import OnFile
from notepipe.later.offering import OpenQuestion
from notepipe.review import Sitting, Standing
from notepipe.transcript import Frozen


class Picture(Frozen):
    """A picture of a part, kept under its hash."""

    sha256: str
    file: str
    recording: str | None = None
    at_s: float | None = None


class PriceNow(Frozen):
    """A price of a part, and whether a client may read it."""

    noted: PriceNoted
    by: str
    at: str
    released: bool = False


class PartNow(Frozen):
    """A part as it stands: confirmed by whom, when, from which record of which note."""

    tag: str
    part: Part
    by: str
    at: str
    recording: str
    """The note that last spoke of it."""
    record: str
    split_from: str | None = None
    against: Against | None = None
    earlier: Part | None = None
    """As it stood before that note, where it stood before."""
    said_in: tuple[str, ...] = ()
    """The recordings it was spoken of in, the first one first."""
    joined: tuple[str, ...] = ()
    """Tags that turned out to be this part."""
    conditions: tuple[ConditionNoted, ...] = ()
    """As found on arrival, back from somebody, handed over: side by side."""
    whereabouts: tuple[WhereaboutsNoted, ...] = ()
    """Of the originals, where this part is replaced."""
    prices: tuple[PriceNow, ...] = ()
    cautions_off: tuple[str, ...] = ()
    """Ids of the cautions a reviewer switched off."""
    pictures: tuple[Picture, ...] = ()


class AnswerNow(Frozen):
    """The answer a question got, who gave it and when, and who wrote it down."""

    text: str
    by: str
    on: str
    way: str | None
    written_by: str
    written_at: str
    recording: str | None = None
    quote: str = ""


class QuestionNow(Frozen):
    """A question as it stands, open or answered."""

    tag: str
    question: Question
    by: str
    at: str
    """When it was confirmed last; open since then."""
    recording: str
    record: str
    first_at: str = ""
    """When it was first confirmed: it is open since then."""
    asked_in: tuple[int, ...] = ()
    """The numbers of the issued updates that asked it."""
    answer: AnswerNow | None = None


class IssuedNow(Frozen):
    """A paper that left the house."""

    paper: str
    number: int
    sha256: str
    to: str
    way: str | None
    by: str
    at: str
    up_to: int
    asked: tuple[str, ...]


class Booked(Frozen):
    """What came back of a line on one day."""

    on: str
    by: str
    back: LineBack
    remark: str | None = None
    settled: str | None = None
    """How what was wrong with it was settled."""


class SheetNow(Frozen):
    """A sheet that went out, what came back of each line so far, and what was settled."""

    sent: SheetSent
    by: str
    at: str
    back: tuple[Booked, ...] = ()
    settled: tuple[tuple[int, str], ...] = ()
    """Line and how, in their order."""
    not_coming: tuple[tuple[int, int], ...] = ()
    """Line, and how many of its pieces will not come back any more."""


class PromiseNow(Frozen):
    """A promise as it stands; *moved* are the days it was promised for before."""

    noted: PromiseNoted
    by: str
    at: str
    moved: tuple[str, ...] = ()
    first_said: str = ""
    """The day it was promised first, ISO 8601."""
    settled_on: str | None = None
    """ISO 8601; None while it is waited for."""
    settled_at: str | None = None
    """When that was written down."""
    how: str | None = None
    remark: str | None = None


class NoteNow(Frozen):
    """A note of the job, its draft, and what became of each record: ``p1`` … ``q1`` …"""

    recording: str
    file: str
    transcript: str
    taken_at: str
    draft: Draft
    reviewed: frozenset[str] = frozenset()
    """Records confirmed or dropped."""
    put_off: frozenset[str] = frozenset()

    @property
    def records(self) -> tuple[str, ...]:
        """All record names, parts first."""
        return tuple(f"p{i + 1}" for i in range(len(self.draft.parts))) + tuple(
            f"q{i + 1}" for i in range(len(self.draft.questions))
        )

    @property
    def waiting(self) -> tuple[str, ...]:
        """Records nobody has confirmed or dropped yet."""
        return tuple(r for r in self.records if r not in self.reviewed)


class Register(Frozen):
    """Everything that stands in one job."""

    job: str
    client: str
    what: str
    opened_at: str
    notes: tuple[NoteNow, ...] = ()
    parts: tuple[PartNow, ...] = ()
    questions: tuple[QuestionNow, ...] = ()
    """Open and answered."""
    sheets: tuple[SheetNow, ...] = ()
    promises: tuple[PromiseNow, ...] = ()
    issued: tuple[IssuedNow, ...] = ()
    closed: str | None = None
    """The reason, where the job is closed."""
    part_tags: int = 0
    """The highest number given to a part so far; a tag that no longer stands is not given again."""
    question_tags: int = 0
    price_tags: int = 0
    last_hash: str
    """Of the last entry that changed what stands: writing a paper does not, so that the same paper
    written twice is the same to the byte."""
    last_number: int
    """Of that entry."""

    @property
    def waiting(self) -> int:
        """How many records wait for review in all notes."""
        return sum(len(n.waiting) for n in self.notes)

    @property
    def open_questions(self) -> tuple[QuestionNow, ...]:
        """The questions without an answer."""
        return tuple(question for question in self.questions if question.answer is None)

    def note(self, name: str) -> NoteNow:
        """The note taken from the file *name*, or whose recording's hash begins so. Raises NotFound."""
        for note in self.notes:
            if note.file == name or (len(name) >= 6 and note.recording.startswith(name)):
                return note
        if not self.notes:
            do = f"Run: notepipe take {self.job} {name}"
            raise NotFound(f"job {self.job}", f"no note '{name}', nor any other", do)
        raise NotFound(f"job {self.job}", f"no note '{name}'", nearest(name, [n.file for n in self.notes]))

    def part(self, tag: str) -> PartNow:
        """The part that stands under *tag*. Raises NotFound."""
        found = next((part for part in self.parts if part.tag == tag), None)
        return found or self._nothing("part", tag, [part.tag for part in self.parts])

    def question(self, tag: str) -> QuestionNow:
        """The question that stands under *tag*. Raises NotFound."""
        found = next((question for question in self.questions if question.tag == tag), None)
        return found or self._nothing("question", tag, [question.tag for question in self.questions])

    def sheet(self, name: str) -> SheetNow:
        """The sheet of that name. Raises NotFound."""
        found = next((sheet for sheet in self.sheets if sheet.sent.sheet == name), None)
        return found or self._nothing("sheet", name, [sheet.sent.sheet for sheet in self.sheets])

    def promise(self, name: str) -> PromiseNow:
        """The promise of that name. Raises NotFound."""
        found = next((promise for promise in self.promises if promise.noted.promise == name), None)
        return found or self._nothing("promise", name, [p.noted.promise for p in self.promises])

    def _nothing(self, kind: str, name: str, known: list[str]) -> NoReturn:
        do = nearest(name, known) if known else "There is none yet."
        raise NotFound(f"job {self.job}", f"no {kind} '{name}'", do)

    def sitting(self, note: NoteNow) -> Sitting:
        """What a review of *note* must know: what is settled already, and the next free tags."""
        return Sitting(
            recording=note.recording,
            file=note.file,
            draft=note.draft,
            reviewed=note.reviewed,
            put_off=note.put_off,
            next_part=1 + self.part_tags,
            next_question=1 + self.question_tags,
            on_file=self._on_file(note) if note.waiting else (),
            questions=self._asked(note),
            transcript=note.transcript,
            transcripts={n.recording: n.transcript for n in self.notes} if note.waiting else {},
            day=note.taken_at[:10],
        )

    def _on_file(self, note: NoteNow) -> tuple[OnFile, ...]:
        """The parts that other notes spoke of, with the record of this one that was laid on them."""
        return tuple(
            OnFile.model_construct(
                tag=part.tag,
                part=part.part,
                recording=part.recording,
                taken_by=part.record if part.recording == note.recording else None,
                earlier=part.earlier,
                split_from=part.split_from,
                cautions_off=part.cautions_off,
            )
            for part in self.parts
            if any(recording != note.recording for recording in (part.recording, *part.said_in))
        )

    def _asked(self, note: NoteNow) -> tuple[OpenQuestion, ...]:
        return tuple(
            OpenQuestion(tag=row.tag, question=row.question, since=row.first_at or row.at)
            for row in self.open_questions
            if row.recording != note.recording
        )

    def standing(self, tag: str) -> Standing:
        """The part or question with this *tag*, to be put right. Raises NotFound."""
        for part in self.parts:
            if part.tag == tag:
                return Standing(
                    tag=tag,
                    recording=part.recording,
                    record=part.record,
                    value=part.part,
                    split_from=part.split_from,
                )
        for question in self.questions:
            if question.tag == tag:
                place = {"recording": question.recording, "record": question.record, "tag": tag}
                return Standing(value=question.question, **place)
        tags = [p.tag for p in self.parts] + [q.tag for q in self.questions]
        do = nearest(tag, tags) if tags else f"Run: notepipe review {self.job}"
        raise NotFound(f"job {self.job}", f"nothing stands under the tag '{tag}'", do)
