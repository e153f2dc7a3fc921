"""What the client is asked: the confirmed questions, and what else hangs on the client's word, numbered."""

from __future__ import annotations

import re

from notepipe.draft import Decision, Part
from notepipe.papers.actions import said
from notepipe.papers.phrases import counted
from notepipe.register import PartNow, QuestionNow, Register
from notepipe.trade.plurals import fold
from notepipe.trade.wording import wording
from notepipe.transcript import Frozen


class Asked(Frozen):
    """One numbered question of a letter."""

    number: int
    text: str
    tags: tuple[str, ...] = ()
    """The parts whose decisions wait for its answer."""


def asked_of_client(register: Register) -> tuple[Asked, ...]:
    """The questions to the client, then one for each part that waits for a word nobody has asked for yet."""
    asked: list[Asked] = []
    waiting = [now for now in register.parts if _asking(now.part)]
    for question in register.questions:
        if question.question.to == "client":
            tags = tuple(now.tag for now in waiting if _is_about(question, now))
            asked.append(Asked(number=len(asked) + 1, text=_worded(question), tags=tags))
    known = {tag for question in asked for tag in question.tags}
    for now in waiting:
        if now.tag not in known:
            asked.append(Asked(number=len(asked) + 1, text=_should(now.part), tags=(now.tag,)))
    return tuple(asked)


def number_for(tag: str, asked: tuple[Asked, ...]) -> int | None:
    """The number of the question that the part *tag* waits for."""
    return next((question.number for question in asked if tag in question.tags), None)


def _asking(part: Part) -> tuple[Decision, ...]:
    return tuple(d for d in part.decisions if d.standing == "asking")


def _is_about(question: QuestionNow, now: PartNow) -> bool:
    """Whether the answer settles a decision on this part: same words, or the same thing by name."""
    if question.recording == now.recording and any(
        _same_words(question.question.quote, decision.quote) for decision in _asking(now.part)
    ):
        return True
    about, name = _words(question.question.about), _words(now.part.name)
    return (
        bool(about and name)
        and about[-1] == name[-1]
        and (set(about) <= set(name) or set(name) <= set(about))
    )


def _same_words(one: str, other: str) -> bool:
    a, b = " ".join(_words(one)), " ".join(_words(other))
    return bool(a and b) and (a in b or b in a)


def _words(text: str) -> list[str]:
    return [fold(word) for word in re.findall(r"[\w'’-]+", text)]


def _worded(question: QuestionNow) -> str:
    """The question as confirmed, with its part in front where it only says "it"."""
    text = question.question.text.strip()
    text = text[:1].upper() + text[1:]
    if text[-1:] not in (".", "?", "!"):
        starts = {fold(word) for word in wording().question_words}
        text += "?" if starts.intersection(_words(text)[:1]) else "."
    about = _words(question.question.about)
    if not about or about[-1] in _words(text):
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
