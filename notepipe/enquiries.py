"""The questions of a job as lines: to whom, open since when, asked in which letters, answered how."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from notepipe.changing import decision_in_words
from notepipe.days import days_ago
from notepipe.months.asking import Hangs, hanging, is_about
from notepipe.papers.questions import ISSUED
from notepipe.register import IssuedNow, QuestionNow, Register
from notepipe.showing import count, wrapped

InWords = Callable[[str], str]
"""The day of a time (RFC 3339) or a date (ISO 8601), as the shop writes dates."""


def question_lines(
    register: Register, question: QuestionNow, today: date, in_words: InWords
) -> Iterator[str]:
    """One question, and below it how long it has been open and where it was asked, or its answer."""
    asked = question.question
    parts = ", ".join(now.tag for now in register.parts if is_about(question, now))
    about = f"{asked.about}{f' ({parts})' if parts else ''}"
    yield from wrapped([f"{question.tag}  to the {asked.to}, about the {about}: {asked.text}"], "")
    yield from wrapped(_stands(register, question, today, in_words), "     ")
    yield from wrapped((f"waits for it: {_named(one)}" for one in hanging(register, question)), "     ")


def hanging_lines(register: Register, question: QuestionNow) -> Iterator[str]:
    """Each decision that hangs on *question*, with what settles it."""
    for one in hanging(register, question):
        key = f"{one.tag}/{one.number}"
        yield f"{_named(one)}   --decides {key}=decided   or   --decides {key}=ruled-out"


def settling_command(register: Register, question: QuestionNow, who: str) -> str:
    """A whole command that settles what hangs: the first of each part decided, the others ruled out."""
    found = hanging(register, question)
    firsts = {one.tag: one.number for one in reversed(found)}
    decides = (
        f"--decides {one.tag}/{one.number}={'decided' if firsts[one.tag] == one.number else 'ruled-out'}"
        for one in found
    )
    must = dict.fromkeys(c.id for one in found for c in one.part.cautions if c.acknowledge)
    read = (f"--acknowledge {caution}" for caution in must)
    return " ".join([f"notepipe answer {register.job} {question.tag}", *decides, *read, f'--as "{who}"'])


def issued_line(one: IssuedNow, in_words: InWords) -> str:
    """``1  3 December 2026  client update to Fennimore Museum, by e-mail, asking Q01; issued by Ada``."""
    way = f", {one.way}" if one.way else ""
    asked = f", asking {', '.join(one.asked)}" if one.asked else ""
    return f"{one.number:>3}  {in_words(one.at)}  {one.paper} to {one.to}{way}{asked}; issued by {one.by}"


def _stands(register: Register, question: QuestionNow, today: date, in_words: InWords) -> Iterator[str]:
    first = question.first_at or question.at
    letters = [
        f"update {one.number} ({in_words(one.at)})"
        for one in register.issued
        if one.paper == ISSUED and question.tag in one.asked
    ]
    asked = f"asked in {', '.join(letters)}" if letters else "in no letter yet"
    told = f"; {asked}" if question.question.to == "client" or letters else ""
    answer = question.answer
    if answer is None:
        days = days_ago(first, today)
        age = count(days, "day") if days else "today"
        yield f"open since {in_words(first)} ({age}){told}"
        return
    way = f", {answer.way}" if answer.way else ""
    yield f"answered on {in_words(answer.on)} by {answer.by}{way}: “{answer.text}”"
    yield f"written down by {answer.written_by} on {in_words(answer.written_at)}{told}"


def _named(one: Hangs) -> str:
    return f"{one.tag} {one.part.name}, decision {one.number}: {decision_in_words(one.decision)}"
