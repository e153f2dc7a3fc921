"""What stands now, worked out from the entries of one job and from nothing else."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from notepipe.draft import Draft, Part, Question
from notepipe.entries import (
    Entry,
    JobOpened,
    NoteTaken,
    PaperWritten,
    PartConfirmed,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)
from notepipe.errors import BadLedger, NotFound, nearest
from notepipe.review import Sitting, Standing
from notepipe.transcript import Frozen


class PartNow(Frozen):
    """A part as it stands: confirmed by whom, when, from which record of which note."""

    tag: str
    part: Part
    by: str
    at: str
    recording: str
    record: str
    split_from: str | None = None


class QuestionNow(Frozen):
    """An open question as it stands."""

    tag: str
    question: Question
    by: str
    at: str
    recording: str
    record: str


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
    part_tags: int = 0
    """The highest number given to a part so far; a tag that no longer stands is not given again."""
    question_tags: int = 0
    last_hash: str
    """Of the last entry that changed what stands: writing a paper does not, so that the same paper
    written twice is the same to the byte."""
    last_number: int
    """Of that entry."""

    @property
    def waiting(self) -> int:
        """How many records wait for review in all notes."""
        return sum(len(n.waiting) for n in self.notes)

    def note(self, name: str) -> NoteNow:
        """The note taken from the file *name*, or whose recording's hash begins so. Raises NotFound."""
        for note in self.notes:
            if note.file == name or (len(name) >= 6 and note.recording.startswith(name)):
                return note
        if not self.notes:
            do = f"Run: notepipe take {self.job} {name}"
            raise NotFound(f"job {self.job}", f"no note '{name}', nor any other", do)
        raise NotFound(f"job {self.job}", f"no note '{name}'", nearest(name, [n.file for n in self.notes]))

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


def fold(entries: Iterable[Entry], onto: Register | None = None) -> Register:
    """What stands after *entries*, the first of which opens the job unless they go *onto* a register.

    Raises BadLedger where there is none, or where they tell of a job that was never opened.
    """
    now = onto
    for entry in entries:
        now = _after(now, entry)
    if now is None:
        raise BadLedger("ledger", "a job without an entry", "Put back the last copy that holds.")
    return now


def _after(now: Register | None, entry: Entry) -> Register:
    body = entry.body
    if isinstance(body, JobOpened):
        now = Register(
            job=entry.job,
            client=body.client,
            what=body.what,
            opened_at=entry.at,
            last_hash=entry.hash,
            last_number=entry.number,
        )
    if isinstance(body, PaperWritten) and now is not None:
        return now
    if now is None:
        raise BadLedger("ledger", f"job {entry.job} was never opened", "Put back the last copy that holds.")
    change: dict[str, object] = {"last_hash": entry.hash, "last_number": entry.number}
    if isinstance(body, NoteTaken):
        change["notes"] = (*now.notes, _note(entry, body))
    elif isinstance(body, PartConfirmed):
        part = PartNow(**_signed(entry, body), part=body.part, split_from=body.split_from)
        change |= {"parts": _placed(now.parts, part), "part_tags": max(now.part_tags, int(body.tag))}
    elif isinstance(body, QuestionConfirmed):
        question = QuestionNow(**_signed(entry, body), question=body.question)
        change["questions"] = _placed(now.questions, question)
        change["question_tags"] = max(now.question_tags, int(body.tag[1:]))
    elif isinstance(body, RecordDropped):
        change["parts"] = tuple(part for part in now.parts if part.tag != body.tag)
        change["questions"] = tuple(q for q in now.questions if q.tag != body.tag)
    if isinstance(body, PartConfirmed | QuestionConfirmed | RecordDropped | RecordPutOff):
        change["notes"] = tuple(_answered(n, body) if n.recording == body.recording else n for n in now.notes)
    return now.model_copy(update=change)


def _note(entry: Entry, body: NoteTaken) -> NoteNow:
    return NoteNow(
        recording=body.recording,
        file=body.file,
        transcript=body.transcript,
        taken_at=entry.at,
        draft=body.draft,
    )


def _signed(entry: Entry, body: PartConfirmed | QuestionConfirmed) -> dict[str, str]:
    signed = {"by": entry.who, "at": entry.at}
    return {**signed, "tag": body.tag, "recording": body.recording, "record": body.record}


Tagged = TypeVar("Tagged", PartNow, QuestionNow)


def _placed(standing: tuple[Tagged, ...], new: Tagged) -> tuple[Tagged, ...]:
    """*new* in the place of what had its tag before, else at the end."""
    if all(old.tag != new.tag for old in standing):
        return standing + (new,)  # noqa: RUF005 (unpacking loses the type)
    return tuple(new if old.tag == new.tag else old for old in standing)


def _answered(
    note: NoteNow, body: PartConfirmed | QuestionConfirmed | RecordDropped | RecordPutOff
) -> NoteNow:
    """*note* after an answer to one of its records: settled, or put off."""
    if isinstance(body, RecordPutOff):
        return note.model_copy(update={"put_off": note.put_off | {body.record}})
    done = {"reviewed": note.reviewed | {body.record}, "put_off": note.put_off - {body.record}}
    return note.model_copy(update=done)
