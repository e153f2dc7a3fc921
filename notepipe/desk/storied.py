"""The history of a job as a page tells it: entry by entry, the words in it ready to be played. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from notepipe.desk.listening import Quoted, told_from
from notepipe.entries import Entry, NoteTaken
from notepipe.story import told
from notepipe.telling import tags_of


class Under(NamedTuple):
    """A line below an entry, and the words to play where it has some."""

    text: str
    quoted: Quoted | None


class Chapter(NamedTuple):
    """An entry, told."""

    number: int
    at: str
    who: str
    deed: str
    under: tuple[Under, ...]
    tags: tuple[str, ...]


def chapters(entries: Sequence[Entry], notes: Sequence[Entry], files: dict[str, str]) -> tuple[Chapter, ...]:
    """*entries* told one by one; *notes* are the entries of the notes taken, *files* their names."""
    missing = [note for note in notes if note.number not in {entry.number for entry in entries}]
    tales = told((*missing, *entries))[len(missing) :]
    return tuple(_chapter(entry, tale, files) for entry, tale in zip(entries, tales, strict=True))


def notes_taken(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """The entries of the notes taken."""
    return tuple(entry for entry in entries if isinstance(entry.body, NoteTaken))


def _chapter(entry: Entry, tale: tuple[str, tuple[str, ...]], files: dict[str, str]) -> Chapter:
    deed, lines = tale
    return Chapter(
        number=entry.number,
        at=entry.at,
        who=entry.who,
        deed=deed,
        under=tuple(_under(entry, lines, files)),
        tags=tuple(sorted(tags_of(entry.body))),
    )


def _under(entry: Entry, lines: Sequence[str], files: dict[str, str]) -> Iterator[Under]:
    places = dict(told_from(entry.body, files))
    for line in lines:
        quoted = places.get(line) or next((q for text, q in places.items() if line.startswith(text)), None)
        yield Under(line, quoted if quoted is not None and quoted.start_s is not None else None)
