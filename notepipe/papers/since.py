"""What a letter says of the time since the last one: new, changed, gone, answered, and what is as it was."""

from __future__ import annotations

from collections.abc import Iterator

from notepipe.papers.layout import HARD_BLANK, hold, plain
from notepipe.papers.letter import Letter
from notepipe.papers.phrases import counted, is_many, subject
from notepipe.papers.questions import ISSUED, answered_by_client, number_for, worded
from notepipe.papers.sections import Line, Section, Waits, place_of, sectioned, text_of
from notepipe.register import AnswerNow, IssuedNow, PartNow, Register
from notepipe.trade.wording import wording
from notepipe.transcript import Frozen


class Answered(Frozen):
    """A question that was open when the last letter went out, or came up since, and needs no answer now."""

    question: str
    date: str = ""
    words: str = ""
    """As the client gave it; empty where it was settled otherwise."""


class Gone(Frozen):
    """A part of the last letter that no longer stands by itself."""

    tag: str
    name: str
    many: bool
    into: str | None = None
    """The tag that it is the same part as."""


class Since(Frozen):
    """What the template may name of the time since the last letter that was issued."""

    number: int
    date: str
    answers: tuple[Answered, ...] = ()
    new: tuple[Line, ...] = ()
    changed: tuple[Line, ...] = ()
    gone: tuple[Gone, ...] = ()
    unchanged: tuple[Section, ...] = ()
    """The rest; the text of each part is tag, count and name."""
    nothing: bool
    """Whether all four are empty."""


def since_view(register: Register, letter: Letter, waits: Waits) -> Since | None:
    """What changed from ``letter.since`` to *register*; None for a first letter or a whole one."""
    last = last_issued(register)
    if letter.since is None or last is None:
        return None
    then, old = letter.since, Waits(answered=answered_by_client(letter.since))
    before = {now.tag: now for now in then.parts}
    new = [now for now in register.parts if now.tag not in before]
    kept = [(before[now.tag], now) for now in register.parts if now.tag in before]
    other = {now.tag: was for was, now in kept if was != now and _differs(was, now, old, waits)}
    answers = tuple(_answers(then, register, letter))
    gone = tuple(_gone(then, register))
    same = [(now, _short(now, waits)) for _, now in kept if now.tag not in other]
    return Since(
        number=last.number,
        date=hold(letter.day(last.at)),
        answers=answers,
        new=tuple(_new(now, before, waits) for now in new),
        changed=tuple(_changed(other[now.tag], now, old, waits) for _, now in kept if now.tag in other),
        gone=gone,
        unchanged=sectioned(same, waits),
        nothing=not (answers or new or other or gone),
    )


def last_issued(register: Register) -> IssuedNow | None:
    """The client's update that was issued last."""
    return next((one for one in reversed(register.issued) if one.paper == ISSUED), None)


def _differs(was: PartNow, now: PartNow, old: Waits, waits: Waits) -> bool:
    """Whether a client reads another thing; the number of a question is none."""
    unnumbered = Waits(answered=waits.answered)
    return (place_of(was, old), text_of(was, old)) != (place_of(now, waits), text_of(now, unnumbered))


def _new(now: PartNow, before: dict[str, PartNow], waits: Waits) -> Line:
    split_from = now.split_from if now.split_from in before else None
    return Line(tag=now.tag, text=text_of(now, waits), split_from=split_from)


def _changed(was: PartNow, now: PartNow, old: Waits, waits: Waits) -> Line:
    """The line as it reads now, and what it read: without the name where that is the same."""
    before, name = text_of(was, old), f"{subject(was.part)} "
    if subject(was.part) == subject(now.part):
        before = before.removeprefix(name)
    return Line(tag=now.tag, text=text_of(now, waits), before=before)


def _short(now: PartNow, waits: Waits) -> Line:
    name = counted(now.part)
    number = number_for(now.tag, waits.asked)
    asks = f" (question{HARD_BLANK}{number} below)" if number else ""
    return Line(tag=now.tag, text=f"{now.tag}{HARD_BLANK}{name[:1].lower()}{name[1:]}{asks}")


def _gone(then: Register, register: Register) -> Iterator[Gone]:
    standing = {now.tag for now in register.parts}
    into = {tag: now.tag for now in register.parts for tag in now.joined}
    for was in then.parts:
        if was.tag not in standing:
            name, many = counted(was.part), is_many(was.part)
            yield Gone(tag=was.tag, name=name, many=many, into=into.get(was.tag))


def _answers(then: Register, register: Register, letter: Letter) -> Iterator[Answered]:
    """First what was answered since, then what the client was asked and need not answer any more."""
    before = {question.tag: question for question in then.questions}
    now = {question.tag for question in register.questions}
    asked = {tag for issued in register.issued for tag in issued.asked}
    for question in register.questions:
        was = before.get(question.tag)
        told = question.answer
        if told is None or question.question.to != "client" or (was and was.answer == told):
            continue
        if by_client(told, register.client):
            yield Answered(
                question=worded(question), date=hold(letter.day(told.on)), words=_quoted(told.text)
            )
        elif question.tag in asked:
            yield Answered(question=worded(question))
    for question in then.open_questions:
        if question.tag in asked and question.tag not in now:
            yield Answered(question=worded(question))


def by_client(answer: AnswerNow, client: str) -> bool:
    """Whether the client gave it: by that word, or by name. What others said is not quoted to a client."""
    by = answer.by.casefold().strip()
    return by.startswith((*wording().the_client, client.casefold()))


def _quoted(text: str) -> str:
    return f"“{plain(text).strip('“”').rstrip('.')}”"
