"""The looking-for list: what is hunted for, and where somebody has looked already, as text and CSV.

Where was looked is what was said of it: the sentences of the notes that the hunt was heard in, and the
questions to the shop about the part with their answers. A sentence with a price in it is not repeated.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from notepipe.months.asking import is_about
from notepipe.papers.layout import plain, plain_but_held
from notepipe.papers.letter import Letter, left_out, short_hash
from notepipe.papers.lists import Head, head_of, with_left_out
from notepipe.papers.sheet import csv_text
from notepipe.papers.tasks import Task, count_of, sizes_of, tasks
from notepipe.papers.templates import rendered
from notepipe.register import QuestionNow, Register
from notepipe.trade.wording import wording
from notepipe.transcript import Frozen

TEMPLATE = "looking_for.txt.j2"
_CSV = ("tag", "job", "part", "count", "metal", "finish", "size", "who", "standing", "looked", "asked")


class Sought(Frozen):
    """One part that is hunted for."""

    tag: str
    part: str
    about: str
    """Count, metal, finish and sizes, in one line."""
    who: str
    standing: str
    looked: tuple[str, ...]
    """What was said of the hunt, each with the note it was said in."""
    asked: tuple[str, ...]
    """Questions to the shop about it, with their answers."""


class LookingFor(Frozen):
    """All that the template of the looking-for list may name."""

    head: Head
    sought: tuple[Sought, ...]
    left_out: int
    hash: str


def looking_for(register: Register, letter: Letter) -> str:
    """The looking-for list as plain text. Raises NotReviewed while records wait, BadTemplate."""
    missing = left_out(register, letter)
    view = LookingFor(
        head=head_of(register, letter),
        sought=tuple(_sought(register, task) for task in tasks(register, "looking for")),
        left_out=missing,
        hash=short_hash(register),
    )
    return rendered(TEMPLATE, view, letter)


def looking_csv(register: Register, letter: Letter) -> str:
    """The looking-for list as CSV. Raises NotReviewed while records wait."""
    missing = left_out(register, letter)
    rows: list[tuple[str, ...]] = [_CSV]
    for task in tasks(register, "looking for"):
        one, part = _sought(register, task), task.part
        about = (part.name, count_of(part), part.metal or "", part.finish or "", sizes_of(part))
        said = ("; ".join(one.looked), "; ".join(one.asked))
        rows.append(
            (one.tag, plain(register.job), *map(plain, about), one.who, task.decision.standing, *said)
        )
    return csv_text(with_left_out(rows, missing))


def _sought(register: Register, task: Task) -> Sought:
    part = task.part
    metal = task.decision.to_metal or part.metal
    count = f"{part.quantity} of them" if part.quantity not in (None, 1) else ""
    return Sought(
        tag=task.now.tag,
        part=plain(part.name),
        about=plain_but_held(", ".join(filter(None, (count, metal, part.finish, sizes_of(part))))),
        who=task.who,
        standing="" if task.decision.standing == "decided" else task.decision.standing,
        looked=tuple(dict.fromkeys(_looked(register, task))),
        asked=tuple(_asked(question) for question in _questions(register, task)),
    )


def _looked(register: Register, task: Task) -> Iterator[str]:
    """The sentences that hold the words of the hunt, and those of the part that speak of looking."""
    notes = {note.recording: note for note in register.notes}
    decision, own = task.decision, task.now.recording
    said = [(decision.quote, decision.recording or own)]
    said += [(quote.text, quote.recording or own) for quote in task.part.quotes if _of_looking(quote.text)]
    for words, recording in said:
        note = notes.get(recording)
        text = _sentence(words, note.transcript) if note else words
        if text and not _price_in(text):
            yield f"“{plain(text)}”" + (f" ({plain(note.file)})" if note else "")


def _sentence(words: str, transcript: str) -> str:
    """The whole sentence of *transcript* that *words* stand in; *words* themselves where they do not."""
    at = transcript.find(words) if words else -1
    if at < 0:
        return words
    ends = [m.end() for m in re.finditer(r"[.!?](?=\s|$)", transcript)]
    start = max((end for end in ends if end <= at), default=0)
    end = min((end for end in ends if end >= at + len(words)), default=len(transcript))
    return transcript[start:end].strip()


def _of_looking(text: str) -> bool:
    return bool(set(re.findall(r"[\w'’-]+", text.casefold())) & set(wording().looking))


def _price_in(text: str) -> bool:
    words = set(re.findall(r"[\w'’-]+|[£$€]", text.casefold()))
    return bool(words & set(wording().money))


def _questions(register: Register, task: Task) -> list[QuestionNow]:
    return [q for q in register.questions if q.question.to == "shop" and is_about(q, task.now)]


def _asked(question: QuestionNow) -> str:
    text = plain(question.question.text)
    if question.answer is None:
        return f"{question.tag} {text} Not answered yet."
    answer = question.answer
    told = "the answer names a price" if _price_in(answer.text) else plain(answer.text)
    return f"{question.tag} {text} {plain(answer.by)}, {answer.on}: {told}"
