"""The history of a job as a story: who decided what, when, from which words, and what it was before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from notepipe.changing import decision_in_words, size_in_words
from notepipe.choosing import Wanted, chosen
from notepipe.draft import Part, Question
from notepipe.entries import (
    Body,
    Change,
    Entry,
    JobOpened,
    NoteTaken,
    PaperWritten,
    PartConfirmed,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)
from notepipe.showing import clock, count, records, said, wrapped
from notepipe.telling import deed, grounds

Drafts = Mapping[str, NoteTaken]
"""The notes taken, by the hash of their recording."""
Passage = tuple[float | None, float | None, str]
Tagged = PartConfirmed | QuestionConfirmed
_AGAINST = {
    "says the same": ", as it was on file",
    "adds": ", with more than was on file",
    "changes": ", otherwise than on file",
    "withdraws": ", and withdrew what was on file",
}


def history_lines(entries: Sequence[Entry], wanted: Wanted | None = None) -> Iterator[str]:
    """Every entry in order, or only those that are *wanted*.

    Raises what ``chosen`` raises.
    """
    drafts = {e.body.recording: e.body for e in entries if isinstance(e.body, NoteTaken)}
    told = entries if wanted is None else chosen(entries, wanted)
    for entry in told:
        yield f"{entry.number:>3}  {entry.at[:10]} {entry.at[11:16]}  {entry.who} {_deed(entry.body)}"
        yield from wrapped(_grounds(entry.body, drafts), " " * 8)
    some = f"{len(told)} of " if len(told) < len(entries) else ""
    yield f"     {some}{len(entries)} entries, the last {entries[-1].hash[:12]}"


def told(entries: Sequence[Entry]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """For each entry what was done, and the lines that stand under it."""
    drafts = {e.body.recording: e.body for e in entries if isinstance(e.body, NoteTaken)}
    return tuple((_deed(entry.body), tuple(_grounds(entry.body, drafts))) for entry in entries)


def _deed(body: Body) -> str:
    if isinstance(body, JobOpened):
        return f"opened the job {body.name} for {body.client}: {body.what}"
    if isinstance(body, NoteTaken):
        draft = body.draft
        heard = f", heard with {draft.note.heard_with}" if draft.note.heard_with else ""
        drafted = f"{count(len(draft.parts), 'part')} and {count(len(draft.questions), 'question')}"
        return f"took {body.file}{heard}: {drafted} drafted"
    if isinstance(body, PartConfirmed) and body.how == "added by hand":
        return f"added {body.tag} {body.part.name} by hand"
    if isinstance(body, PartConfirmed) and body.how == "as it stood before":
        return f"put {body.tag} {body.part.name} back as it stood before"
    if isinstance(body, Tagged):
        stroke = " with all records without a doubt" if body.how == "all without a doubt" else ""
        what = body.part.name if isinstance(body, PartConfirmed) else f"question to the {body.question.to}"
        against = _AGAINST.get(body.against or "", "") if isinstance(body, PartConfirmed) else ""
        return f"confirmed {body.tag} {what}{stroke}{against}"
    if isinstance(body, RecordDropped):
        return f"dropped {body.tag or body.record}: {body.reason}"
    if isinstance(body, RecordPutOff):
        return f"put {body.record} off{f': {body.reason}' if body.reason else ''}"
    told = deed(body)
    return told if told is not None else _wrote(body)


def _wrote(body: Body) -> str:
    assert isinstance(body, PaperWritten)
    out = f", {count(body.left_out, 'unreviewed record')} left out" if body.left_out else ""
    return f"wrote the paper '{body.paper}' (SHA-256 {body.sha256[:12]}){out}"


def _grounds(body: Body, drafts: Drafts) -> Iterator[str]:
    """Under an entry: the value, the words it rests on, what it was before, what was settled."""
    if isinstance(body, NoteTaken):
        length = "" if body.draft.note.duration_s is None else f"{clock(body.draft.note.duration_s)} long, "
        yield f"{length}recording {body.recording}"
        yield from (f"! {warning}" for warning in body.draft.note.warnings)
    elif isinstance(body, PartConfirmed):
        yield from _part(body.part)
        yield from _words(body.part, _file(drafts, body.recording), body.recording)
        yield from _what_was(body.changes)
        yield from (f"put right in review, {line}" for line in _what_was(body.corrected))
        yield from (f"settled: {doubt}" for doubt in body.settled)
        yield from (f"acknowledged the caution: {caution}" for caution in body.acknowledged)
        if body.split_from:
            yield f"split from {body.split_from}"
        if body.because:
            yield f"because of the answer to {body.because}"
    elif isinstance(body, QuestionConfirmed):
        if body.question.text != body.question.quote:
            yield body.question.text
        yield from _words(body.question, _file(drafts, body.recording))
        yield from _what_was(body.changes)
        yield from (f"settled: {doubt}" for doubt in body.settled)
    elif isinstance(body, RecordDropped | RecordPutOff) and body.recording in drafts:
        record = dict(records(drafts[body.recording].draft)).get(body.record)
        if record is not None:
            yield f"it was: {record.name if isinstance(record, Part) else record.text}"
            yield from _words(record, _file(drafts, body.recording))
    else:
        yield from grounds(body)


def _part(part: Part) -> Iterator[str]:
    known = [None if part.quantity is None else str(part.quantity), part.metal, part.finish, part.location]
    values = [value for value in (*known, *part.condition, *map(size_in_words, part.sizes)) if value]
    if values:
        yield ", ".join(values)
    yield from (decision_in_words(decision) for decision in part.decisions)


def _words(record: Part | Question, file: str, recording: str | None = None) -> Iterator[str]:
    """Every passage the record rests on, in the order it was said; one that lies in another once.

    Those of earlier notes than *recording* stand under the entries that brought them.
    """
    if isinstance(record, Question):
        passages = [(record.start_s, record.end_s, record.quote)]
    else:
        passages = [(q.start_s, q.end_s, q.text) for q in record.quotes if q.recording in (None, recording)]
        passages += [
            (d.start_s, d.end_s, d.quote)
            for d in record.decisions
            if d.quote and d.recording in (None, recording)
        ]
    told = [p for p in dict.fromkeys(passages) if not any(_lies_in(p, other) for other in passages)]
    for start_s, end_s, text in sorted(told, key=lambda passage: passage[0] or 0.0):
        yield f"from {file} {said(text, start_s, end_s)}"


def _lies_in(passage: Passage, other: Passage) -> bool:
    (start_s, end_s, text), (other_start_s, other_end_s, other_text) = passage, other
    if text == other_text or text not in other_text:
        return False
    # The same words may have been said twice: "six of them" at 0:05 and at 2:30.
    timed = None not in (start_s, end_s, other_start_s, other_end_s)
    return not timed or ((other_start_s or 0) <= (start_s or 0) and (end_s or 0) <= (other_end_s or 0))


def _what_was(changes: Sequence[Change]) -> Iterator[str]:
    for change in changes:
        yield f"{change.field}: was {change.was or 'not there'}, now {change.now or 'taken away'}"


def _file(drafts: Drafts, recording: str) -> str:
    return drafts[recording].file if recording in drafts else f"recording {recording[:12]}"
