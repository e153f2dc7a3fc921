"""A draft and a named person's answers become entries. Pure: nothing is asked, printed or kept here.

One answer settles one record (``p1`` the first part of the draft, ``q1`` its first question) or, where a
person says so, every record that has no doubt. Answers that contradict the record raise BadAnswer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated, Literal

from pydantic import Field

from notepipe.changing import changed_part, changed_question
from notepipe.draft import Doubt, Draft, Note, Part, Question
from notepipe.entries import Body, Change, PartConfirmed, QuestionConfirmed, RecordDropped, RecordPutOff
from notepipe.errors import BadAnswer, nearest
from notepipe.transcript import Frozen

How = Literal["one by one", "all without a doubt"]


class Sitting(Frozen):
    """A note on the table: its draft, what is settled already, and the next free numbers for tags."""

    recording: str
    file: str
    draft: Draft
    reviewed: frozenset[str] = frozenset()
    put_off: frozenset[str] = frozenset()
    next_part: int = 1
    next_question: int = 1

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


class Standing(Frozen):
    """A part or question that was confirmed under its tag and is to be put right."""

    tag: str
    recording: str
    record: str
    value: Part | Question
    split_from: str | None = None


class Confirm(Frozen):
    """It is right as it stands, or with *fields* put right; see changing.py for the names of fields."""

    do: Literal["confirm"] = "confirm"
    record: str
    fields: dict[str, str] = Field(default_factory=dict)
    acknowledged: tuple[str, ...] = ()
    """Ids of the cautions the person has acknowledged."""


class Group(Frozen):
    """One of the groups a set is split into: how many, and what is different about them."""

    quantity: int = Field(ge=1)
    fields: dict[str, str] = Field(default_factory=dict)


class Split(Frozen):
    """A set with more than one fate."""

    do: Literal["split"] = "split"
    record: str
    groups: tuple[Group, ...]
    acknowledged: tuple[str, ...] = ()
    uneven: bool = False
    """The person says the groups are right though they don't add up to the count that was heard."""


class Drop(Frozen):
    """It is no record at all; the reason stands in the history."""

    do: Literal["drop"] = "drop"
    record: str
    reason: str


class PutOff(Frozen):
    """It can't be settled now."""

    do: Literal["put off"] = "put off"
    record: str
    reason: str | None = None


class ConfirmAll(Frozen):
    """Every waiting record without a doubt, a caution to acknowledge, or somebody's putting off."""

    do: Literal["confirm all without a doubt"] = "confirm all without a doubt"


Answer = Annotated[Confirm | Split | Drop | PutOff | ConfirmAll, Field(discriminator="do")]


def entries_for(sitting: Sitting, answer: Answer) -> tuple[Body, ...]:
    """The entries *answer* makes. Raises BadAnswer where it contradicts the record or the caution."""
    if isinstance(answer, ConfirmAll):
        return _all(sitting)
    record = sitting.record(answer.record)
    if isinstance(answer, Confirm):
        return (_confirm(sitting, answer, record),)
    if isinstance(answer, Split):
        return _split(sitting, answer, record)
    if isinstance(answer, Drop):
        return (_drop(sitting, answer),)
    return (RecordPutOff(recording=sitting.recording, record=answer.record, reason=answer.reason or None),)


def correction(standing: Standing, fields: Mapping[str, str], acknowledged: tuple[str, ...] = ()) -> Body:
    """The entry that puts *standing* right. Raises BadAnswer, also where nothing changes."""
    answer = Confirm(record=standing.record, fields=dict(fields), acknowledged=acknowledged)
    file = f"tag {standing.tag},"
    table = Sitting(recording=standing.recording, file=file, draft=Draft(note=Note(file=file, sha256="")))
    body = _confirm(table, answer, standing.value)
    if not body.changes:
        raise BadAnswer(f"tag {standing.tag}", "stands like that already", "Say what is to be put right.")
    place = {"tag": standing.tag}
    if isinstance(body, PartConfirmed) and standing.split_from:
        place["split_from"] = standing.split_from
    return body.model_copy(update=place)


def withdrawal(standing: Standing, reason: str) -> RecordDropped:
    """The entry that takes *standing* out of what stands. Raises BadAnswer where there is no reason."""
    if not reason.strip():
        raise BadAnswer(f"tag {standing.tag}", "dropped without a reason", "Say why in a few words.")
    return RecordDropped(
        recording=standing.recording, record=standing.record, reason=reason.strip(), tag=standing.tag
    )


def undoubted(sitting: Sitting) -> tuple[str, ...]:
    """The records the one-stroke confirmation would take."""
    return tuple(name for name in sitting.waiting() if name not in sitting.put_off and _plain(sitting, name))


def to_acknowledge(record: Part | Question) -> tuple[str, ...]:
    """The ids of the cautions that must be acknowledged before *record* is confirmed."""
    return tuple(c.id for c in record.cautions if c.acknowledge) if isinstance(record, Part) else ()


def refuse_unread(part: Part, acknowledged: Sequence[str]) -> None:
    """Raises BadAnswer, with its words, for a caution that has to be acknowledged and is not."""
    for caution in part.cautions:
        if caution.acknowledge and caution.id not in acknowledged:
            what = f"CAUTION: {caution.text} Defer to: {caution.defer_to}."
            raise BadAnswer(part.name, what, f"When you have read it, add: --acknowledge {caution.id}")


def open_doubts(record: Part | Question, fields: Iterable[str]) -> tuple[Doubt, ...]:
    """The doubts beside *record* that an answer speaking of *fields* says nothing about."""
    spoken_of = frozenset().union(*map(_words, fields))
    return tuple(doubt for doubt in record.doubts if not _words(doubt.field) & spoken_of)


def _plain(sitting: Sitting, name: str) -> bool:
    record = sitting.record(name)
    return not record.doubts and not to_acknowledge(record)


def _all(sitting: Sitting) -> tuple[Body, ...]:
    made: list[Body] = []
    for name in undoubted(sitting):
        made.append(_confirm(sitting, Confirm(record=name), sitting.record(name), "all without a doubt"))
        sitting = _after(sitting, made[-1])
    return tuple(made)


def _after(sitting: Sitting, body: Body) -> Sitting:
    step = "next_part" if isinstance(body, PartConfirmed) else "next_question"
    return sitting.model_copy(update={step: getattr(sitting, step) + 1})


def _confirm(
    sitting: Sitting, answer: Confirm, record: Part | Question, how: How = "one by one"
) -> PartConfirmed | QuestionConfirmed:
    place = f"{sitting.file} {answer.record}"
    if isinstance(record, Question):
        question, changes = changed_question(place, record, answer.fields)
        return QuestionConfirmed(
            recording=sitting.recording,
            record=answer.record,
            tag=f"Q{sitting.next_question:02d}",
            question=question.model_copy(update={"doubts": ()}),
            changes=changes,
            settled=_settled(record.doubts, changes),
            how=how,
        )
    return _part(sitting, answer, record, how)


def _part(sitting: Sitting, answer: Confirm, record: Part, how: How) -> PartConfirmed:
    place = f"{sitting.file} {answer.record}"
    _acknowledged(place, record, answer.acknowledged)
    part, changes = changed_part(place, record, answer.fields)
    return PartConfirmed(
        recording=sitting.recording,
        record=answer.record,
        tag=f"{sitting.next_part:03d}",
        part=part.model_copy(update={"doubts": ()}),
        changes=changes,
        settled=_settled(record.doubts, changes),
        acknowledged=answer.acknowledged,
        how=how,
    )


def _split(sitting: Sitting, answer: Split, record: Part | Question) -> tuple[Body, ...]:
    place = f"{sitting.file} {answer.record}"
    if isinstance(record, Question):
        raise BadAnswer(place, "a question can't be split", "Confirm it, or put its text right.")
    if len(answer.groups) < 2:
        raise BadAnswer(place, "a split needs two groups or more", "Give the counts, for example: 4 2")
    counts = [group.quantity for group in answer.groups]
    if record.quantity not in (None, sum(counts)) and not answer.uneven:
        what = f"{' + '.join(map(str, counts))} is {sum(counts)}, and {record.quantity} were heard"
        raise BadAnswer(place, what, "Give counts that add up, or say that they are right all the same.")
    made: list[Body] = []
    for position, group in enumerate(answer.groups):
        fields = {"quantity": str(group.quantity), **group.fields}
        one = Confirm(record=answer.record, fields=fields, acknowledged=answer.acknowledged)
        body = _part(sitting, one, record, "one by one")
        first = f"{sitting.next_part - position:03d}" if position else None
        made.append(body.model_copy(update={"split_from": first}))
        sitting = _after(sitting, body)
    return tuple(made)


def _drop(sitting: Sitting, answer: Drop) -> RecordDropped:
    if not answer.reason.strip():
        what = "dropped without a reason"
        raise BadAnswer(f"{sitting.file} {answer.record}", what, "Say why in a few words.")
    return RecordDropped(recording=sitting.recording, record=answer.record, reason=answer.reason.strip())


def _acknowledged(place: str, record: Part, acknowledged: Sequence[str]) -> None:
    missing = [caution for caution in to_acknowledge(record) if caution not in acknowledged]
    if missing:
        what = f"caution not acknowledged: {', '.join(missing)}"
        raise BadAnswer(place, what, "Read it, then say that you have; nothing is confirmed before.")


def _settled(doubts: Sequence[Doubt], changes: Sequence[Change]) -> tuple[str, ...]:
    """Each doubt with what became of it: the field put right, or left as it was."""

    def outcome(doubt: Doubt) -> str:
        now = [f"{c.field} is {c.now or 'nothing'}" for c in changes if _words(c.field) & _words(doubt.field)]
        return f"put right: {', '.join(now)}" if now else "left as it stands"

    return tuple(f"{doubt.field}: {doubt.why} ({outcome(doubt)})" for doubt in doubts)


def _words(field: str) -> frozenset[str]:
    """The words of a field's name, one of many or not: ``decisions`` is put right by ``decision 1 by``."""
    return frozenset(word.rstrip("s") for word in re.findall("[a-z]+", field.lower()))
