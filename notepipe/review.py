"""A draft and a named person's answers become entries. Pure: nothing is asked, printed or kept here.

One answer settles one record (``p1`` the first part of the draft, ``q1`` its first question) or, where a
person says so, every record that has no doubt. Answers that contradict the record raise BadAnswer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from notepipe.changing import changed_part, changed_question
from notepipe.draft import Doubt, Draft, Note, Part, Question
from notepipe.entries import (
    Against,
    Body,
    Change,
    PartConfirmed,
    QuestionAnswered,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)
from notepipe.errors import BadAnswer
from notepipe.later.comparing import against
from notepipe.later.matching import OnFile, before_note
from notepipe.sitting import Sitting as Sitting
from notepipe.transcript import Frozen

NEW = "new"
"""Said instead of a tag: it is on no file yet."""

How = Literal["one by one", "all without a doubt"]


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
    onto: str | None = None
    """The tag on file it is laid on, or NEW; None: as it was matched, where that is without a doubt."""
    answers: dict[str, str] = Field(default_factory=dict)
    """The open questions it answers, by tag, each with the answer; empty: in the words that were said."""


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
    onto: str | None = None
    """As with Confirm: the first group keeps that tag, the others get their own."""
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
        answered = _answered(sitting, answer)
        body = _confirm(sitting, answer, record)
        because = answered[0].tag if answered and isinstance(body, PartConfirmed) else None
        return (*answered, body.model_copy(update={"because": because}) if because else body)
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
    place: dict[str, object] = {"tag": standing.tag}
    if isinstance(body, PartConfirmed):
        place |= {"split_from": standing.split_from, "against": None}
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


def match_doubt(sitting: Sitting, name: str) -> Doubt | None:
    """The doubt about which part on file the record called *name* speaks of."""
    match = sitting.match(name)
    return match.doubt if match else None


def preview(sitting: Sitting, answer: Confirm) -> Part | Question:
    """The record as *answer* would confirm it, cautions acknowledged or not. Raises BadAnswer."""
    record = sitting.record(answer.record)
    return record if isinstance(record, Question) else _laid(sitting, answer, record).part


def _plain(sitting: Sitting, name: str) -> bool:
    record, match = sitting.record(name), sitting.match(name)
    if record.doubts or sitting.offers_of(name):
        return False
    if match and (match.doubt or match.split_from or match.against not in ("new", "says the same", "adds")):
        return False
    return not to_acknowledge(preview(sitting, Confirm(record=name)))


def _all(sitting: Sitting) -> tuple[Body, ...]:
    made: list[Body] = []
    for name in undoubted(sitting):
        made.append(_confirm(sitting, Confirm(record=name), sitting.record(name), "all without a doubt"))
        sitting = _after(sitting, made[-1])
    return tuple(made)


def _after(sitting: Sitting, body: Body) -> Sitting:
    """The sitting with the next tag free, where *body* took it."""
    if isinstance(body, PartConfirmed) and body.tag == f"{sitting.next_part:03d}":
        return sitting.model_copy(update={"next_part": sitting.next_part + 1})
    if isinstance(body, QuestionConfirmed) and body.tag == f"Q{sitting.next_question:02d}":
        return sitting.model_copy(update={"next_question": sitting.next_question + 1})
    return sitting


def _confirm(
    sitting: Sitting, answer: Confirm, record: Part | Question, how: How = "one by one"
) -> PartConfirmed | QuestionConfirmed:
    if isinstance(record, Question):
        return _question(sitting, answer, record, how)
    return _part(sitting, answer, record, how)


def _question(sitting: Sitting, answer: Confirm, record: Question, how: How) -> QuestionConfirmed:
    """Under the tag of the open question that it asks once more, in its words; else under a new one."""
    question, changes = changed_question(f"{sitting.file} {answer.record}", record, answer.fields)
    before = None if answer.onto == NEW else sitting.asked_before(answer.record)
    if answer.onto not in (None, NEW) and (before is None or before.tag != answer.onto):
        what = f"asks nothing that is open as {answer.onto}"
        raise BadAnswer(f"{sitting.file} {answer.record}", what, f"Say nothing of it, or: {NEW}")
    if before is not None:
        kept = {
            name: getattr(before.question, name) for name in ("about", "text") if name not in answer.fields
        }
        question = question.model_copy(update=kept)
    return QuestionConfirmed(
        recording=sitting.recording,
        record=answer.record,
        tag=before.tag if before else f"Q{sitting.next_question:02d}",
        question=question.model_copy(update={"doubts": ()}),
        changes=changes,
        settled=_settled(record.doubts, changes),
        how=how,
    )


class _Place(NamedTuple):
    """Where a part goes: the tag on file (None: the next free one), and what it is laid on."""

    tag: str | None = None
    base: OnFile | None = None
    split_from: str | None = None


class _Laid(NamedTuple):
    """A part as it would be confirmed."""

    part: Part
    place: _Place
    changes: tuple[Change, ...]
    corrected: tuple[Change, ...] = ()
    against: Against = "new"


def _place(sitting: Sitting, answer: Confirm) -> _Place:
    """As the person says, else as it was matched. Raises BadAnswer where that is in doubt."""
    if answer.onto == NEW or not sitting.on_file:
        return _Place()
    if answer.onto is not None:
        return _Place(answer.onto, sitting.row(answer.onto))
    match = sitting.match(answer.record)
    if match is None:
        return _Place()
    if match.doubt is not None:
        do = f"Say which part it is: {' or '.join(filter(None, (match.tag, *match.rivals, NEW)))}"
        raise BadAnswer(f"{sitting.file} {answer.record}", match.doubt.why, do)
    if match.split_from is not None:
        return _Place(None, before_note(sitting.row(match.split_from)), match.split_from)
    return _Place(match.tag, sitting.row(match.tag)) if match.tag else _Place()


def _laid(sitting: Sitting, answer: Confirm, record: Part, place: _Place | None = None) -> _Laid:
    place = _place(sitting, answer) if place is None else place
    part, changes = changed_part(f"{sitting.file} {answer.record}", record, answer.fields)
    part = part.model_copy(update={"doubts": ()})
    if place.base is None:
        return _Laid(part, place, changes)
    merged = sitting.laid_on(place.base, part)
    whole, what = merged.part, merged.changes
    if named := next((change for change in changes if change.field == "name"), None):
        # Another name is no news that a note brings: only a person says so.
        what = (Change(field="name", was=whole.name, now=named.now), *what)
        whole = whole.model_copy(update={"name": part.name})
    return _Laid(whole, place, what, changes, against(merged.differences))


def _part(
    sitting: Sitting, answer: Confirm, record: Part, how: How, place: _Place | None = None
) -> PartConfirmed:
    laid = _laid(sitting, answer, record, place)
    _acknowledged(f"{sitting.file} {answer.record}", laid.part, answer.acknowledged)
    doubt = match_doubt(sitting, answer.record) if sitting.on_file else None
    where = (f"match: {doubt.why} ({laid.place.tag or NEW})",) if doubt else ()
    return PartConfirmed(
        recording=sitting.recording,
        record=answer.record,
        tag=laid.place.tag or f"{sitting.next_part:03d}",
        part=laid.part,
        changes=laid.changes,
        corrected=laid.corrected,
        settled=(*where, *_settled(record.doubts, laid.corrected if laid.place.base else laid.changes)),
        acknowledged=answer.acknowledged,
        how=how,
        split_from=laid.place.split_from,
        against=laid.against,
    )


def _answered(sitting: Sitting, answer: Confirm) -> tuple[QuestionAnswered, ...]:
    """The answers a person accepts. Raises BadAnswer for one that the record does not give."""
    offers = {offer.tag: offer for offer in sitting.offers_of(answer.record)} if answer.answers else {}
    made = []
    for tag, text in answer.answers.items():
        if tag not in offers:
            do = f"Write it down by itself: notepipe answer JOB {tag} …"
            raise BadAnswer(f"{sitting.file} {answer.record}", f"gives no answer to {tag}", do)
        offer = offers[tag]
        made.append(
            QuestionAnswered(
                tag=tag,
                answer=text.strip() or offer.answer,
                by=f"the {offer.to}",
                on=sitting.day,
                way="in a note",
                recording=sitting.recording,
                quote=offer.answer,
                start_s=offer.start_s,
                end_s=offer.end_s,
            )
        )
    return tuple(made)


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
    made: list[PartConfirmed] = []
    spot = _place(sitting, Confirm(record=answer.record, onto=answer.onto))
    for group in answer.groups:
        fields = {"quantity": str(group.quantity), **group.fields}
        one = Confirm(record=answer.record, fields=fields, acknowledged=answer.acknowledged)
        body = _part(sitting, one, record, "one by one", spot)
        made.append(body)
        sitting = _after(sitting, body)
        # The first keeps the tag, the others were told apart from it.
        spot = _Place(None, spot.base, spot.split_from or made[0].tag)
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
