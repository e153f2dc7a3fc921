"""Which entries of a history are wanted: of a part, a question, a person or a day, and what led there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from notepipe.days import day_of
from notepipe.entries import (
    Entry,
    NoteTaken,
    PartConfirmed,
    PartsJoined,
    QuestionAnswered,
    QuestionConfirmed,
    RecordPutOff,
)
from notepipe.errors import NotFound, nearest
from notepipe.telling import tags_of
from notepipe.transcript import Frozen


class Wanted(Frozen):
    """What an entry must be about; of several, all."""

    part: str | None = None
    """The tag of a part, or of a question."""
    question: str | None = None
    person: str | None = None
    """Whose hand the entry is in, or who gave the answer in it."""
    day: str | None = None
    """ISO 8601."""


def chosen(entries: Sequence[Entry], wanted: Wanted) -> tuple[Entry, ...]:
    """The entries that are *wanted*, in their order.

    Raises BadAnswer for a day that is none, NotFound for a tag, a person or a day that no entry has, and
    where no entry fits all that is wanted.
    """
    kept = [_about(entries, tag) for tag in (wanted.part, wanted.question) if tag is not None]
    if wanted.person is not None:
        kept.append(_by(entries, wanted.person))
    if wanted.day is not None:
        kept.append(_on(entries, wanted.day))
    fit = tuple(entry for entry in entries if all(entry.number in numbers for numbers in kept))
    if not fit:
        do = "Ask for less at once, or for the whole: notepipe history " + entries[0].job
        raise NotFound(f"job {entries[0].job}", "no entry fits all of that", do)
    return fit


def _about(entries: Sequence[Entry], tag: str) -> frozenset[int]:
    """The entries about *tag*, what led to them, and the story of what it was split from or took in."""
    known = frozenset().union(*(tags_of(entry.body) for entry in entries))
    if tag not in known:
        raise NotFound(f"job {entries[0].job}", f"nothing has the tag '{tag}'", nearest(tag, known or {"–"}))
    mine: set[int] = set()
    for kin, until in _kin(entries, tag).items():
        mine |= {entry.number for entry in entries if entry.number <= until and kin in tags_of(entry.body)}
    # What was put off before it was confirmed, and the taking of its note, belong to its story as well.
    names = {
        (entry.body.recording, entry.body.record)
        for entry in entries
        if entry.number in mine
        and isinstance(entry.body, PartConfirmed | QuestionConfirmed)
        and tag in tags_of(entry.body)
    }
    return frozenset(mine | {entry.number for entry in entries if _leads_to(entry, names)})


def _kin(entries: Sequence[Entry], tag: str) -> dict[str, int]:
    """*tag* and the tags its story goes back to, each with the last entry that still is of that story."""
    kin, new = {tag: entries[-1].number}, [tag]
    while new:
        one = new.pop()
        for older, until in _older(entries, one):
            if older not in kin:
                kin[older] = min(until, kin[one])
                new.append(older)
    return kin


def _older(entries: Sequence[Entry], tag: str) -> Iterable[tuple[str, int]]:
    for entry in entries:
        body = entry.body
        if isinstance(body, PartConfirmed) and body.tag == tag and body.split_from:
            yield body.split_from, entry.number
        elif isinstance(body, PartsJoined) and body.into == tag:
            yield body.tag, entry.number


def _leads_to(entry: Entry, names: set[tuple[str, str]]) -> bool:
    body = entry.body
    if isinstance(body, NoteTaken):
        return body.recording in {recording for recording, _ in names}
    return isinstance(body, RecordPutOff) and (body.recording, body.record) in names


def _by(entries: Sequence[Entry], person: str) -> frozenset[int]:
    name = person.strip().casefold()
    found = frozenset(e.number for e in entries if name in {one.casefold() for one in _people(e)})
    if not found:
        people = {one for entry in entries for one in _people(entry)}
        raise NotFound(f"job {entries[0].job}", f"'{person}' did nothing in it", nearest(person, people))
    return found


def _people(entry: Entry) -> tuple[str, ...]:
    return (entry.who, entry.body.by) if isinstance(entry.body, QuestionAnswered) else (entry.who,)


def _on(entries: Sequence[Entry], text: str) -> frozenset[int]:
    day = day_of(f"job {entries[0].job}", text).isoformat()
    found = frozenset(entry.number for entry in entries if entry.at[:10] == day)
    if not found:
        do = f"Its history goes from {entries[0].at[:10]} to {entries[-1].at[:10]}."
        raise NotFound(f"job {entries[0].job}", f"nothing happened on {day}", do)
    return found
