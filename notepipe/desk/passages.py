"""Where the words of a record stand in what was heard, and the seconds to play for it. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from notepipe.draft import Part, Question
from notepipe.transcript import Transcript

APART_S = 1.0
"""Passages nearer to each other than this are played in one go."""


class Passage(NamedTuple):
    """Words that a record rests on, and when they were said."""

    text: str
    start_s: float | None
    end_s: float | None


def passages(record: Part | Question, recording: str) -> tuple[Passage, ...]:
    """The words of *record* that were said in *recording*, each once, in the order they were said."""
    if isinstance(record, Question):
        return (Passage(record.quote, record.start_s, record.end_s),)
    told = [Passage(q.text, q.start_s, q.end_s) for q in record.quotes if q.recording in (None, recording)]
    told += [
        Passage(d.quote, d.start_s, d.end_s)
        for d in record.decisions
        if d.quote and d.recording in (None, recording)
    ]
    return tuple(sorted(dict.fromkeys(told), key=lambda passage: passage.start_s or 0.0))


def to_play(told: Sequence[Passage]) -> tuple[tuple[float, float], ...]:
    """The seconds of *told*, those that overlap or nearly touch in one; none for a note that came as text."""
    times = sorted((p.start_s, p.end_s) for p in told if p.start_s is not None and p.end_s is not None)
    joined: list[tuple[float, float]] = []
    for start_s, end_s in times:
        if joined and start_s <= joined[-1][1] + APART_S:
            joined[-1] = (joined[-1][0], max(end_s, joined[-1][1]))
        else:
            joined.append((start_s, end_s))
    return tuple(joined)


def places(told: Sequence[Passage], transcript: Transcript) -> Iterator[tuple[int, int]]:
    """For each passage where it stands in the text: its first letter, and the one behind its last."""
    for passage in told:
        if place := _place(passage, transcript):
            yield place


def _place(passage: Passage, transcript: Transcript) -> tuple[int, int] | None:
    start_s = passage.start_s
    words = r"\s+".join(map(re.escape, passage.text.split()))
    found = [match.span() for match in re.finditer(words, transcript.text)] if words else []
    if found and (start_s is None or len(found) == 1):
        return found[0]
    if found and start_s is not None:

        def away_s(span: tuple[int, int]) -> float:
            said_s = transcript.seconds(*span)[0]
            return abs(said_s - start_s) if said_s is not None else 0.0

        return min(found, key=away_s)
    return _at_that_time(passage, transcript)


def _at_that_time(passage: Passage, transcript: Transcript) -> tuple[int, int] | None:
    """Words put together from two places are found by their seconds."""
    if passage.start_s is None or passage.end_s is None:
        return None
    middle = [
        word
        for word in transcript.words
        if word.start_s is not None
        and word.end_s is not None
        and passage.start_s <= (word.start_s + word.end_s) / 2 <= passage.end_s
    ]
    return (middle[0].at, middle[-1].at + len(middle[-1].text)) if middle else None
