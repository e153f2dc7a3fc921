"""The life of a question: what hangs on it, its answer, and what the answer settles. Pure.

A question is open from the day it was confirmed until somebody writes its answer down. A decision that
stands as *asking* hangs on it; what becomes of that decision a reviewer says, never the answer alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from functools import lru_cache

from notepipe.days import day_past
from notepipe.draft import Decision, Part
from notepipe.entries import Body, PartConfirmed, QuestionAnswered
from notepipe.errors import BadAnswer
from notepipe.register import PartNow, QuestionNow, Register
from notepipe.review import correction, refuse_unread
from notepipe.trade.plurals import fold
from notepipe.transcript import Frozen

_DECIDES = re.compile(r"(?P<tag>\S+?)(?:/(?P<short>\d+)|\s+(?P<field>[^=]+?))\s*=\s*(?P<text>.*)")


class Hangs(Frozen):
    """A decision that waits for an answer: the first, second … of the part under *tag*."""

    tag: str
    part: Part
    number: int
    decision: Decision


class Decides(Frozen):
    """What a reviewer says an answer settles: a field of the part under *tag*, and its new text."""

    tag: str
    field: str
    text: str


class Given(Frozen):
    """An answer as somebody wrote it down."""

    answer: str
    by: str
    on: str
    """The day it was given, ISO 8601."""
    way: str | None = None
    again: bool = False
    """It puts an earlier answer right."""
    all_the_same: bool = False
    """The day is right though the question came up later."""


class Said(Frozen):
    """What comes of a question at one stroke."""

    given: Given | None = None
    """None where the answer stands already."""
    decides: tuple[Decides, ...] = ()
    acknowledged: tuple[str, ...] = ()
    """Ids of the cautions the reviewer has acknowledged."""


def waits(part: Part) -> bool:
    """Whether a decision on *part* stands as asking."""
    return any(decision.standing == "asking" for decision in part.decisions)


def is_about(question: QuestionNow, now: PartNow) -> bool:
    """Whether *question* is about this part: words of a decision that waits, or the same thing."""
    heard = (now.recording, *now.said_in)
    if question.recording in heard and any(
        _same_words(question.question.quote, decision.quote)
        for decision in now.part.decisions
        if decision.standing == "asking"
    ):
        return True
    about, name = words_of(question.question.about), words_of(now.part.name)
    same_last = bool(about and name) and about[-1] == name[-1]
    return same_last and (set(about) <= set(name) or set(name) <= set(about))


def hanging(register: Register, question: QuestionNow) -> tuple[Hangs, ...]:
    """The decisions that hang on *question*: those asking, on the parts it is about."""
    return tuple(
        Hangs(tag=now.tag, part=now.part, number=number, decision=decision)
        for now in register.parts
        if waits(now.part) and is_about(question, now)
        for number, decision in enumerate(now.part.decisions, start=1)
        if decision.standing == "asking"
    )


def still_waiting(register: Register) -> tuple[tuple[PartNow, QuestionNow], ...]:
    """The parts that still wait though their question was answered, each with that question.

    A part with an open question as well waits rightly, and so does one that a later note asks about anew.
    """
    found = []
    for now in (part for part in register.parts if waits(part.part)):
        about = [question for question in register.questions if is_about(question, now)]
        answered = [question for question in about if question.answer is not None]
        if answered and len(answered) == len(about) and not _asked_anew(register, now, answered):
            found.append((now, answered[-1]))
    return tuple(found)


def answering(register: Register, tag: str, given: Given, today: date) -> QuestionAnswered:
    """The entry for the answer to the question *tag*.

    Raises NotFound for no such question, BadAnswer where it is answered already, for an empty answer, or for
    a day that is none, is still to come, or lies before the question came up.
    """
    question = register.question(tag)
    if question.answer is not None and not given.again:
        before = question.answer
        what = f"was answered already, by {before.by} on {before.on}: {before.text}"
        raise BadAnswer(tag, what, "To put that right, say so: --again")
    if not given.answer.strip() or not given.by.strip():
        raise BadAnswer(tag, "no answer given, or nobody who gave it", "Give both in a few words.")
    day = day_past(tag, given.on, today)
    came_up = date.fromisoformat(_came_up(register, question)[:10])
    if day < came_up and not given.all_the_same:
        what = f"answered on {day.isoformat()}, and it only came up on {came_up.isoformat()}"
        raise BadAnswer(tag, what, "Give the day of the answer; where it is right, add: --all-the-same")
    return QuestionAnswered(
        tag=tag, answer=given.answer.strip(), by=given.by.strip(), on=day.isoformat(), way=given.way or None
    )


def entries_for_answer(register: Register, tag: str, said: Said, today: date) -> tuple[Body, ...]:
    """The entries for an answer and what it settles, or for what an answer already given settles.

    Raises what ``answering`` and ``settling`` raise, and BadAnswer where there is no answer to settle by.
    """
    question = register.question(tag)
    if said.given is None and question.answer is None:
        raise BadAnswer(tag, "has no answer yet", f'Give it: notepipe answer {register.job} {tag} "…"')
    answer = () if said.given is None else (answering(register, tag, said.given, today),)
    return (*answer, *settling(register, tag, said.decides, said.acknowledged))


def settling(
    register: Register, tag: str, decides: Sequence[Decides], acknowledged: Sequence[str] = ()
) -> tuple[Body, ...]:
    """The corrections that the answer to *tag* leads to, one entry a part.

    Raises NotFound for no such part, BadAnswer for a field or a value it can't have, where nothing changes,
    and where a caution that has to be was not acknowledged.
    """
    fields: dict[str, dict[str, str]] = {}
    for one in decides:
        fields.setdefault(one.tag, {})[one.field] = one.text
    made: list[Body] = []
    for part_tag, changes in fields.items():
        part = register.part(part_tag).part
        refuse_unread(part, acknowledged)
        read = tuple(caution.id for caution in part.cautions if caution.id in acknowledged)
        body = correction(register.standing(part_tag), changes, read)
        assert isinstance(body, PartConfirmed)
        made.append(body.model_copy(update={"because": tag}))
    return tuple(made)


def read_decides(text: str) -> Decides:
    """``003/1=decided``, or ``003 FIELD=TEXT`` as in a correction. Raises BadAnswer for anything else."""
    found = _DECIDES.fullmatch(text.strip())
    if found is None:
        do = "Write tag, number of the decision and how it stands now, for example: 003/1=decided"
        raise BadAnswer("--decides", f"'{text}' can't be read", do)
    field = f"decision {found['short']}" if found["short"] else found["field"].strip()
    if re.fullmatch(r"decision \d+", field) and found["text"].strip():
        field += " standing"
    return Decides(tag=found["tag"], field=field, text=found["text"].strip())


def rests_on(bodies: Iterable[Body], tag: str) -> tuple[str, ...]:
    """The tags of the parts that stand as they do because of the answer to the question *tag*."""
    last = {body.tag: body for body in bodies if isinstance(body, PartConfirmed)}
    return tuple(part for part, body in last.items() if body.because == tag)


@lru_cache(maxsize=32768)
def words_of(text: str) -> tuple[str, ...]:
    """The words of *text*, plurals and capitals folded."""
    return tuple(fold(word) for word in re.findall(r"[\w'’-]+", text))


def _came_up(register: Register, question: QuestionNow) -> str:
    """When the note that first asked it was taken: earlier nobody in the house can have known of it."""
    taken = [note.taken_at for note in register.notes if note.recording == question.recording]
    return min([*taken, question.first_at or question.at])


def _same_words(one: str, other: str) -> bool:
    a, b = " ".join(words_of(one)), " ".join(words_of(other))
    return bool(a and b) and (a in b or b in a)


def _asked_anew(register: Register, now: PartNow, answered: Sequence[QuestionNow]) -> bool:
    """Whether a note taken after the answers holds the words of a decision that waits."""
    last = max(_moment(question.answer.written_at) for question in answered if question.answer)
    later = [n for n in register.notes if n.recording in now.said_in and _moment(n.taken_at) > last]
    quotes = [d.quote for d in now.part.decisions if d.standing == "asking" and d.quote]
    return any(quote in note.transcript for quote in quotes for note in later)


def _moment(at: str) -> datetime:
    return datetime.fromisoformat(at)
