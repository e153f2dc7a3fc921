"""Open questions that a new note answers, or asks again: offered to a person, never written. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from notepipe.draft import Addressee, Draft, Part, Question, Quote
from notepipe.later.comparing import Difference
from notepipe.later.finding import passages, replies_in
from notepipe.later.likeness import telling_words
from notepipe.later.matching import Match, is_about
from notepipe.trade.alike import alike
from notepipe.transcript import Frozen

_ENOUGH = 2
_LIKE_TEXT = 0.4
"""So much of its words a question asked again has in common with the one on file."""


class OpenQuestion(Frozen):
    """A question on file, as far as an answer to it must know it."""

    tag: str
    question: Question
    since: str = ""
    """When it was first confirmed, RFC 3339."""


class Offer(Frozen):
    """Words of a note that look like the answer to an open question."""

    tag: str
    to: Addressee
    about: str
    asked: str
    """The question's text."""
    record: str
    """The part of the draft they were said of: ``p1``, ``p2`` …"""
    answer: str
    """The words."""
    start_s: float | None = None
    end_s: float | None = None


class _Sign(NamedTuple):
    weight: int
    quote: Quote


def offered(
    draft: Draft, matches: Sequence[Match], questions: Sequence[OpenQuestion], transcript: str = ""
) -> tuple[Offer, ...]:
    """For each open question at most one offer, in the order of the questions."""
    again = {asked_again(question, questions) for question in draft.questions}
    offers: list[Offer] = []
    for row in sorted(questions, key=lambda row: row.tag):
        if row.tag not in again:
            offers += _best(row, draft, matches, transcript)
    return tuple(offers)


def asked_again(question: Question, on_file: Sequence[OpenQuestion]) -> str | None:
    """The tag of the open question on file that *question* asks once more; None where it is a new one."""
    for row in sorted(on_file, key=lambda row: row.tag):
        if same_question(question, row.question):
            return row.tag
    return None


def same_question(one: Question, other: Question) -> bool:
    """Whether two questions ask the same of the same person about the same part."""
    if one.to != other.to or not is_about(one.about, Part(name=other.about)):
        return False
    if one.text.casefold() == other.text.casefold():
        return True
    mine, yours = telling_words([one.text]), telling_words([other.text])
    part = telling_words([one.about, other.about])
    mine, yours = mine - part, yours - part
    return bool(mine and yours) and len(mine & yours) / min(len(mine), len(yours)) >= _LIKE_TEXT


def _best(row: OpenQuestion, draft: Draft, matches: Sequence[Match], transcript: str) -> Iterator[Offer]:
    signs = [
        (max(found, key=lambda sign: sign.weight), number)
        for number, (part, match) in enumerate(zip(draft.parts, matches, strict=True), start=1)
        if is_about(row.question.about, part) or is_about(row.question.about, Part(name=match.name or ""))
        if (found := list(_signs(row.question, part, match, transcript)))
    ]  # fmt: skip
    if not signs:
        return
    sign, number = max(signs, key=lambda pair: (pair[0].weight, -pair[1]))
    if sign.weight >= _ENOUGH:
        yield Offer(
            tag=row.tag,
            to=row.question.to,
            about=row.question.about,
            asked=row.question.text,
            record=f"p{number}",
            answer=sign.quote.text,
            start_s=sign.quote.start_s,
            end_s=sign.quote.end_s,
        )


def _signs(question: Question, part: Part, match: Match, transcript: str) -> Iterator[_Sign]:
    """What speaks for an answer, each with its weight: 2 is enough."""
    for difference in match.differences:
        if weight := _settles(question, difference):
            yield from (_Sign(weight, quote) for quote in difference.now_said[:1])
    if match.tag is None and _says_value(question, part):
        yield from (_Sign(3, quote) for quote in passages(part, transcript))
    told = _choices(question, part)
    # The few words that say the choice are the answer; only where none do, the sentence.
    yield from (_Sign(3, quote) for quote in passages(part) if told & telling_words([quote.text]))
    for quote in passages(part, transcript):
        words = telling_words([quote.text])
        if told & words:
            yield _Sign(3, quote)
        if any(row.to == question.to for row in replies_in(quote.text)):
            yield _Sign(2, quote)


def _settles(question: Question, difference: Difference) -> int:
    """Whether a difference decides what was asked: a plan that hung on it, or the very value."""
    if difference.kind == "says the same":
        return 0
    was, now = difference.was_decision, difference.now_decision
    if was is not None:
        asked = was.standing == "asking" and (now is None or now.standing != "asking")
        found = was.action == "source" and difference.kind == "withdraws" and question.to == "shop"
        return 4 * (asked and question.to == "client") or 4 * found
    return 3 * any(row.asks(question.text) for row in alike().asks if row.field == difference.field)


def _says_value(question: Question, part: Part) -> bool:
    """Whether a new part says the very value that was asked for before it was on file."""
    return any(row.asks(question.text) and getattr(part, row.field) for row in alike().asks)


def _choices(question: Question, part: Part) -> frozenset[str]:
    """The words a question gives to choose from ("cream or burgundy") that are said of *part* now."""
    texts = f"{question.text} {question.quote}".casefold()
    either = {word for pair in re.findall(r"([a-z]+),? or (?:a |an |the )?([a-z]+)", texts) for word in pair}
    becomes = [w for d in part.decisions for w in (d.to_finish, d.to_metal) if w]
    values = telling_words([*becomes, part.metal or "", part.finish or "", part.location or ""])
    return telling_words(either) & values
