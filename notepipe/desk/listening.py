"""Words that can be played on any page of a job: which recording, which seconds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.sound import Source, source_of
from notepipe.draft import Part, Question
from notepipe.entries import Body, PartConfirmed, QuestionConfirmed
from notepipe.errands import PromiseNoted
from notepipe.showing import said

Sources = dict[str, Source]
"""Where the sound of each recording of a job is to be had; text notes have none."""


class Quoted(NamedTuple):
    """Words with the place they were said in."""

    text: str
    recording: str
    file: str
    start_s: float | None
    end_s: float | None


def sources_of(desk: Desk) -> Callable[[JobNow], Sources]:
    """Tells the sources of a job's recordings; each recording is looked into once a run."""
    known: dict[str, Source | None] = {}

    def tell(job: JobNow) -> Sources:
        for note in job.register.notes:
            if note.recording not in known:
                known[note.recording] = source_of(desk, note)
        found = {note.recording: known[note.recording] for note in job.register.notes}
        return {recording: source for recording, source in found.items() if source is not None}

    return tell


def quotes_of(record: Part | Question, first: str, files: dict[str, str]) -> tuple[Quoted, ...]:
    """Every passage of *record* once, by note and in the order it was said.

    *first* is the recording of words that name none, *files* the names of the notes by their recording.
    """
    if isinstance(record, Question):
        told = [(first, record.start_s, record.end_s, record.quote)]
    else:
        told = [(q.recording or first, q.start_s, q.end_s, q.text) for q in record.quotes]
        told += [(d.recording or first, d.start_s, d.end_s, d.quote) for d in record.decisions if d.quote]
    order = {recording: place for place, recording in enumerate(files)}
    passages = sorted(dict.fromkeys(told), key=lambda one: (order.get(one[0], len(order)), one[1] or 0.0))
    return tuple(
        Quoted(text, recording, files.get(recording, f"recording {recording[:12]}"), start_s, end_s)
        for recording, start_s, end_s, text in passages
    )


def told_from(body: Body, files: dict[str, str]) -> Iterator[tuple[str, Quoted]]:
    """The lines of a history that are words somebody said, as the story writes them, each with its place."""
    if isinstance(body, PartConfirmed | QuestionConfirmed):
        record = body.part if isinstance(body, PartConfirmed) else body.question
        for quoted in quotes_of(record, body.recording, files):
            yield f"from {quoted.file} {said(quoted.text, quoted.start_s, quoted.end_s)}", quoted
    elif isinstance(body, PromiseNoted) and body.recording:
        place = Quoted(body.words, body.recording, files.get(body.recording, ""), body.start_s, body.end_s)
        yield f"“{body.words}”", place
