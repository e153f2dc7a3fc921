"""The promised times heard in the notes of a job, each with the tags it is about and what became of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from notepipe.entries import Entry, PartConfirmed
from notepipe.errors import BadAnswer
from notepipe.months.promising import Told
from notepipe.reading.promised import Promised, Setting, promised
from notepipe.register import NoteNow, PromiseNow, Register
from notepipe.trade import Trade
from notepipe.transcript import Frozen, Transcript
from notepipe.working_days import WorkingDays

Words = Callable[[NoteNow], Transcript]
"""The timed words of a note."""


class Candidate(Frozen):
    """A promise as heard, under the number a person takes it by."""

    number: int
    file: str
    recording: str
    said_on: date
    """The day of the note."""
    heard: Promised
    tags: tuple[str, ...] = ()
    """The parts that stand for the records it is about."""
    noted: str | None = None
    """The promise it was noted as: ``D01``."""


class Listening(Frozen):
    """Which notes to go through, and what day they were said on, where it was not the day they were taken."""

    notes: tuple[NoteNow, ...]
    said_on: date | None = None


def candidates(
    entries: Sequence[Entry],
    register: Register,
    listening: Listening,
    trade: Trade,
    working: WorkingDays,
    words: Words,
) -> tuple[Candidate, ...]:
    """Every promise heard in the notes, numbered in their order, also those that were noted before."""
    vendors = {sheet.sent.vendor for sheet in register.sheets} | {p.noted.who for p in register.promises}
    tags = _tags(entries, register)
    names = {part.tag: part.part.name for part in register.parts}
    found: list[Candidate] = []
    for note in listening.notes:
        on = listening.said_on or date.fromisoformat(note.taken_at[:10])
        setting = Setting(on=on, working=working, vendors=tuple(sorted(vendors)))
        for heard in promised(words(note), note.draft, trade, setting):
            about = dict.fromkeys(tag for r in heard.records for tag in tags.get((note.recording, r), ()))
            found.append(
                Candidate(
                    number=len(found) + 1,
                    file=note.file,
                    recording=note.recording,
                    said_on=on,
                    heard=_on_file(heard, tuple(about), names),
                    tags=tuple(about),
                    noted=_noted(register.promises, note, heard),
                )
            )
    return tuple(found)


def told(candidate: Candidate, who: str | None, due: str | None) -> Told:
    """*candidate* as a person takes it; *who* and *due* where the words left them open, or had them wrong.

    Raises BadAnswer where one of them is still open.
    """
    where, heard = f"{candidate.file}, candidate {candidate.number}", candidate.heard
    if candidate.noted:
        raise BadAnswer(where, f"was noted already, as {candidate.noted}", "Take another, or move that one.")
    if not (who or heard.who):
        raise BadAnswer(where, "nobody was named", 'Say who: --who "Tarn Plating"')
    if due is None and heard.due is None:
        raise BadAnswer(where, "no day can be worked out of it", "Give the day: --due 2026-12-09")
    return Told(
        who=who or heard.who or "",
        due=due or (heard.due.isoformat() if heard.due else ""),
        words=heard.words,
        said_on=candidate.said_on.isoformat(),
        tags=candidate.tags,
        what=heard.what,
        recording=candidate.recording,
        start_s=heard.quote.start_s,
        end_s=heard.quote.end_s,
        past=True,
    )


def _noted(promises: Sequence[PromiseNow], note: NoteNow, heard: Promised) -> str | None:
    for p in promises:
        same = (p.noted.recording, p.noted.words, p.noted.start_s)
        if same == (note.recording, heard.words, heard.quote.start_s):
            return p.noted.promise
    return None


def _tags(entries: Sequence[Entry], register: Register) -> dict[tuple[str, str], tuple[str, ...]]:
    """Recording and record → the tags that stand for it now; what was joined stands under the other tag."""
    standing = {part.tag: part.tag for part in register.parts}
    standing |= {tag: part.tag for part in register.parts for tag in part.joined}
    found: dict[tuple[str, str], dict[str, None]] = {}
    for entry in entries:
        body = entry.body
        if isinstance(body, PartConfirmed) and body.tag in standing:
            found.setdefault((body.recording, body.record), {})[standing[body.tag]] = None
    return {place: tuple(tags) for place, tags in found.items()}


def _on_file(heard: Promised, tags: Sequence[str], names: dict[str, str]) -> Promised:
    """*heard* with its parts called as they are on file, where each of them is."""
    if not tags or len(tags) != len(heard.records):
        return heard
    return heard.model_copy(update={"what": ", ".join(dict.fromkeys(names[tag] for tag in tags))})
