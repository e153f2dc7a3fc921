"""What was heard, to stand beside the records: word by word, with what each word is part of. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from notepipe.desk.passages import passages, places
from notepipe.draft import Draft
from notepipe.showing import records
from notepipe.transcript import Difference, Transcript, Word

WEAK: Final = 0.5
"""A word heard with less probability than this is told apart, whatever it says."""
PAUSE_S: Final = 1.2
"""Behind a longer silence a new paragraph begins."""


class Shown(NamedTuple):
    """One word as it is shown."""

    text: str
    before: str
    """The blank before it; empty at the beginning."""
    start_s: float | None
    end_s: float | None
    of: tuple[str, ...]
    """The records that rest on it: ``p1`` …"""
    weak: bool
    percent: int | None
    """Its probability in hundredths; None where it came as text."""
    differs: bool
    """The other hearing has something else here."""
    other: str | None
    """At the last of such words: what the other hearing has; empty where it has nothing."""


def paragraphs(transcript: Transcript, draft: Draft, recording: str) -> tuple[tuple[Shown, ...], ...]:
    """All the words of *transcript*, a new paragraph where somebody paused."""
    words = transcript.words or tuple(_plain(transcript.text))
    rests = [
        (name, start, end)
        for name, record in records(draft)
        for start, end in places(passages(record, recording), transcript)
    ]
    told: list[list[Shown]] = [[]]
    before: Word | None = None
    for number, word in enumerate(words):
        if before is not None and _paused(before, word):
            told.append([])
        following = words[number + 1] if number + 1 < len(words) else None
        told[-1].append(_shown(word, following, (transcript, rests, before)))
        before = word
    return tuple(tuple(paragraph) for paragraph in told if paragraph)


def _shown(
    word: Word,
    following: Word | None,
    around: tuple[Transcript, Sequence[tuple[str, int, int]], Word | None],
) -> Shown:
    transcript, rests, before = around
    end = word.at + len(word.text)
    gap = transcript.text[before.at + len(before.text) : word.at] if before else ""
    of = tuple(dict.fromkeys(name for name, first, last in rests if word.at < last and end > first))
    here = [d for d in transcript.differences if _touches(d, word)]
    ends = [d for d in here if following is None or not _touches(d, following)]
    percent = None if word.probability is None else round(100 * word.probability)
    return Shown(
        text=word.text,
        before=gap or (" " if before else ""),
        start_s=word.start_s,
        end_s=word.end_s,
        of=of,
        weak=word.probability is not None and word.probability < WEAK,
        percent=percent,
        differs=any(d.end > d.start for d in here),
        other=ends[-1].other if ends else None,
    )


def _touches(difference: Difference, word: Word) -> bool:
    """Where only the other hearing has words they stand behind the word before them."""
    end = word.at + len(word.text)
    if difference.end == difference.start:
        return word.at < difference.start <= end + 1
    return word.at < difference.end and end > difference.start


def _paused(before: Word, word: Word) -> bool:
    if before.end_s is None or word.start_s is None:
        return False
    return word.start_s - before.end_s > PAUSE_S


def _plain(text: str) -> Iterator[Word]:
    """The words of a text without times."""
    yield from (Word(text=match[0], at=match.start()) for match in re.finditer(r"\S+", text))
