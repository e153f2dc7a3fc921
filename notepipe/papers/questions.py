"""What the client is asked: the confirmed questions, and what else hangs on the client's word, numbered."""

from __future__ import annotations

import itertools
from datetime import date

from notepipe.days import ago, days_ago
from notepipe.draft import Decision, Part
from notepipe.months.asking import is_about, still_waiting, waits, words_of
from notepipe.papers.actions import said
from notepipe.papers.layout import hold
from notepipe.papers.letter import Letter
from notepipe.papers.phrases import counted
from notepipe.register import QuestionNow, Register
from notepipe.trade.plurals import fold
from notepipe.trade.wording import wording
from notepipe.transcript import Frozen

ISSUED = "client update"
"""What the client's update is called among the papers that are issued."""


class Asked(Frozen):
    """One numbered question of a letter."""

    number: int
    text: str
    tags: tuple[str, ...] = ()
    """The parts whose decisions wait for its answer."""
    question: str | None = None
    """Its own tag; None where only the part's standing asks."""
    first: str = ""
    """The day of the first letter that asked it, as the shop writes dates; empty in that letter itself."""
    age: str = ""
    """How long ago that was: ``21 days ago``."""


def asked_of_client(register: Register) -> tuple[Asked, ...]:
    """The open questions to the client, then one for each part that waits with no question of its own.

    What was answered is not asked again, though a part may still wait for somebody to settle it.
    """
    asked: list[Asked] = []
    waiting = [now for now in register.parts if waits(now.part)]
    for question in register.open_questions:
        if question.question.to == "client":
            tags = tuple(now.tag for now in waiting if is_about(question, now))
            asked.append(
                Asked(number=len(asked) + 1, text=worded(question), tags=tags, question=question.tag)
            )
    known = {tag for question in asked for tag in question.tags} | answered_by_client(register)
    for now in waiting:
        if now.tag not in known:
            asked.append(Asked(number=len(asked) + 1, text=_should(now.part), tags=(now.tag,)))
    return tuple(asked)


def answered_by_client(register: Register) -> frozenset[str]:
    """The tags of the parts that still wait though the client has answered."""
    return frozenset(now.tag for now, question in still_waiting(register) if question.question.to == "client")


def with_ages(asked: tuple[Asked, ...], register: Register, letter: Letter) -> tuple[Asked, ...]:
    """*asked*, each that an issued letter has asked before with the day of the first and its age."""
    letters = [issued for issued in register.issued if issued.paper == ISSUED]
    before = {} if letter.since is None else {one.tags: one.text for one in asked_of_client(letter.since)}

    def first_asked(one: Asked) -> str | None:
        if one.question is not None:
            return next((issued.at for issued in letters if one.question in issued.asked), None)
        if before.get(one.tags) != one.text:
            return None
        # Where only a part's standing asks, an older letter may have asked something else of the same part.
        unbroken = itertools.takewhile(lambda issued: one.tags[0] in issued.asked, reversed(letters))
        return next((issued.at for issued in reversed(list(unbroken))), None)

    return tuple(_aged(one, first_asked(one), letter) for one in asked)


def _aged(one: Asked, at: str | None, letter: Letter) -> Asked:
    if at is None:
        return one
    days = days_ago(at, date.fromisoformat(letter.today)) if letter.today else 0
    return one.model_copy(update={"first": hold(letter.day(at)), "age": hold(ago(days)) if days else ""})


def number_for(tag: str, asked: tuple[Asked, ...]) -> int | None:
    """The number of the question that the part *tag* waits for."""
    return next((question.number for question in asked if tag in question.tags), None)


def _asking(part: Part) -> tuple[Decision, ...]:
    return tuple(d for d in part.decisions if d.standing == "asking")


def worded(question: QuestionNow) -> str:
    """The question as confirmed, with its part in front where it only says "it"."""
    text = question.question.text.strip()
    text = text[:1].upper() + text[1:]
    if text[-1:] not in (".", "?", "!"):
        starts = {fold(word) for word in wording().question_words}
        text += "?" if starts.intersection(words_of(text)[:1]) else "."
    about = words_of(question.question.about)
    if not about or about[-1] in words_of(text):
        return text
    name = question.question.about.strip()
    return f"{name[:1].upper()}{name[1:]}: {text}"


def _should(part: Part) -> str:
    """``Should the three cowl vents be cleaned or left as they are?``"""
    choices = dict.fromkeys(said(decision, part) for decision in _asking(part))
    return f"Should {_the(part)} be {' or '.join(choices)}?"


def _the(part: Part) -> str:
    """``the three vents``, ``the vent``."""
    if part.quantity == 1:
        return f"the {part.name}"
    name = counted(part)
    return name.replace("The ", "the ", 1) if part.quantity is None else f"the {name[0].lower()}{name[1:]}"
