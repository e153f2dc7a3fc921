"""Taking back what a reviewer answered: the record waits again, and what stood before stands again. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from notepipe.entries import (
    Body,
    Entry,
    PartConfirmed,
    PartsJoined,
    QuestionAnswered,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
    RecordReopened,
)
from notepipe.errors import BadAnswer, NotFound
from notepipe.folding import fold
from notepipe.register import PartNow, QuestionNow, Register
from notepipe.telling import tags_of

_Answered = PartConfirmed | QuestionConfirmed | RecordDropped | RecordPutOff
_BACK: Final = "as it stood before"


def undone(entries: Sequence[Entry], number: int | None = None) -> tuple[Body, ...]:
    """The entries that take the answer in entry *number* back (None: the last that was not taken back).

    A set that was split, or an answer that was accepted with a part, goes back as a whole. Raises NotFound
    for no such entry, BadAnswer for one that is no answer of a reviewer, was taken back already, or has
    later entries resting on it.
    """
    gone = _taken_back(entries)
    block = _block(entries, _chosen(entries, number, gone))
    place = f"entry {block[0].number}"
    if any(isinstance(entry.body, PartsJoined) for entry in block):
        what = "joined two parts, and a joining is not taken back"
        raise BadAnswer(place, what, "Add the part again: notepipe add")
    tags = frozenset().union(*(tags_of(entry.body) for entry in block))
    rests = next((e for e in _after(entries, block, gone) if tags & tags_of(e.body)), None)
    if rests is not None:
        shared = ", ".join(sorted(tags & tags_of(rests.body)))
        what = f"entry {rests.number} rests on it ({shared})"
        raise BadAnswer(place, what, f"Take that back first, or put {shared} right: notepipe correct")
    before = fold(entries[: block[0].number - 1])
    return (*_reopened(block, before), *_restored(block, before))


def _chosen(entries: Sequence[Entry], number: int | None, gone: frozenset[int]) -> Entry:
    job = entries[0].job
    if number is None:
        found = next((e for e in reversed(entries) if _is_answer(e) and e.number not in gone), None)
        if found is None:
            raise NotFound(f"job {job}", "no answer of a review to take back", f"See: notepipe history {job}")
        return found
    if not 1 <= number <= len(entries):
        do = f"They are 1 to {len(entries)}; see: notepipe history {job}"
        raise NotFound(f"job {job}", f"no entry {number}", do)
    entry = entries[number - 1]
    if number in gone:
        raise BadAnswer(f"entry {number}", "was taken back already", f"See: notepipe history {job}")
    if not _is_answer(entry):
        what = "is no answer of a review, and stays"
        raise BadAnswer(f"entry {number}", what, "Only what was confirmed, dropped or put off goes back.")
    return entry


def _is_answer(entry: Entry) -> bool:
    body = entry.body
    return isinstance(body, _Answered) and getattr(body, "how", None) != _BACK


def _block(entries: Sequence[Entry], entry: Entry) -> tuple[Entry, ...]:
    """All the entries that one answer made: the groups of a set, and the answers accepted with a part.

    What all records without a doubt were confirmed with goes back record by record.
    """
    first = last = entry.number - 1
    while first > 0 and _one_answer(entries[first - 1], entry):
        first -= 1
    # An accepted answer, or a joining, stands before the part: what follows belongs to the next.
    while last + 1 < len(entries) and _is_answer(entries[last + 1]) and _one_answer(entries[last + 1], entry):
        last += 1
    return tuple(entries[first : last + 1])


def _one_answer(other: Entry, entry: Entry) -> bool:
    body, mine = other.body, entry.body
    if (other.at, other.who) != (entry.at, entry.who):
        return False
    if isinstance(body, QuestionAnswered):
        return isinstance(mine, PartConfirmed) and mine.because is not None and body.recording is not None
    if isinstance(body, PartsJoined):
        return isinstance(mine, PartConfirmed) and body.into == mine.tag
    same = isinstance(body, _Answered) and isinstance(mine, _Answered) and _record(body) == _record(mine)
    return same and _is_answer(other) and getattr(body, "tag", None) != getattr(mine, "tag", None)


def _record(body: _Answered) -> tuple[str, str]:
    return body.recording, body.record


def _taken_back(entries: Sequence[Entry]) -> frozenset[int]:
    """The numbers of what was taken back, with all that one answer made."""
    undoes = [e.body.undoes for e in entries if isinstance(e.body, RecordReopened)]
    return frozenset(e.number for number in undoes for e in _block(entries, entries[number - 1]))


def _after(entries: Sequence[Entry], block: Sequence[Entry], gone: frozenset[int]) -> list[Entry]:
    """The later entries that count: neither taken back nor a taking back."""
    return [
        e
        for e in entries[block[-1].number :]
        if e.number not in gone
        and not isinstance(e.body, RecordReopened)
        and getattr(e.body, "how", None) != _BACK
    ]


def _reopened(block: Sequence[Entry], before: Register) -> tuple[RecordReopened, ...]:
    answered = next(e for e in block if _is_answer(e))
    body = answered.body
    assert isinstance(body, _Answered)
    stood = {now.tag for now in before.parts} | {now.tag for now in before.questions}
    bodies: list[Body] = [e.body for e in block]
    confirmed = [b.tag for b in bodies if isinstance(b, PartConfirmed)]
    confirmed += [b.tag for b in bodies if isinstance(b, QuestionConfirmed)]
    return (
        RecordReopened(
            recording=body.recording,
            record=body.record,
            tags=tuple(tag for tag in confirmed if tag not in stood),
            undoes=answered.number,
            answers=tuple(b.tag for b in bodies if isinstance(b, QuestionAnswered)),
        ),
    )


def _restored(block: Sequence[Entry], before: Register) -> tuple[Body, ...]:
    """What stood under the tags before, confirmed anew."""
    tags = [getattr(e.body, "tag", None) for e in block if isinstance(e.body, _Answered)]
    parts = [now for now in before.parts if now.tag in tags]
    questions = [now for now in before.questions if now.tag in tags]
    for now in parts:
        if any(isinstance(e.body, RecordDropped) for e in block) and _has_more(now):
            what = "dropped a part with prices, pictures or conditions, which would not come back"
            raise BadAnswer(f"entry {block[0].number}", what, "Add the part again: notepipe add")
    return (*map(_part_again, parts), *map(_question_again, questions))


def _has_more(now: PartNow) -> bool:
    return bool(now.conditions or now.whereabouts or now.prices or now.pictures or now.cautions_off)


def _part_again(now: PartNow) -> PartConfirmed:
    return PartConfirmed(
        recording=now.recording,
        record=now.record,
        tag=now.tag,
        part=now.part,
        how=_BACK,
        split_from=now.split_from,
        against=now.against,
    )


def _question_again(now: QuestionNow) -> QuestionConfirmed:
    return QuestionConfirmed(recording=now.recording, record=now.record, tag=now.tag, question=now.question)
