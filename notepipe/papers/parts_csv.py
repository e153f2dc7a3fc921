"""The parts list as CSV: one row a part, with where its words can be heard."""

from __future__ import annotations

from notepipe.draft import Decision, Quote
from notepipe.papers.cells import COLUMNS, cells_of
from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter, left_out
from notepipe.papers.sheet import csv_text
from notepipe.papers.sources import source
from notepipe.register import PartNow, Register


def parts_csv(register: Register, letter: Letter) -> str:
    """The parts list as CSV: one row a part, so that the counts add up; decisions, who and standing in step.

    The last column says where the words can be heard. Raises NotReviewed while records wait.
    """
    missing = left_out(register, letter)
    files = {note.recording: note.file for note in register.notes}
    rows: list[tuple[str, ...]] = [(*COLUMNS, "source")]
    for now in register.parts:
        cells = cells_of(now)
        rows.append((*(plain("; ".join(cells[column])) for column in COLUMNS), _sources(now, files)))
    if missing:
        told = f"left out: {missing} record{'s' if missing > 1 else ''} not reviewed"
        rows.append(("", told, *[""] * (len(COLUMNS) - 1)))
    return csv_text(rows)


def _sources(now: PartNow, files: dict[str, str]) -> str:
    def file(recording: str | None) -> str:
        # A part that was spoken of in several notes has words of each.
        return files.get(recording or now.recording, recording or now.recording)

    said: tuple[Decision | Quote, ...] = (*now.part.decisions, *now.part.quotes)
    timed = [words for words in said if words.start_s is not None]
    heard = [source(file(words.recording), words.start_s, words.end_s) for words in timed]
    heard = heard or [source(file(None), None, None)]
    return "; ".join(dict.fromkeys(heard))
