"""One decision in words: ``stripped``, ``replated in nickel``, ``made new in bronze``; and by whom."""

from __future__ import annotations

import re
from functools import cache

from notepipe.draft import Decision, Part
from notepipe.papers.fit import conditions, is_gone
from notepipe.papers.phrases import finished, is_many
from notepipe.trade.wording import ActionWords, wording

IN_HOUSE = "in-house"


def said(decision: Decision, part: Part) -> str:
    """What is done, as a participle with what it becomes; by whom is left to ``by_whom``."""
    words = wording().of(decision.action)
    if decision.action == "coat":
        return _coat(decision, words)
    if decision.action == "replate":
        return _plate(decision, part, words)
    participle = _participle(words, part)
    return _spoken(decision.quote, words, participle) + _becoming(decision, part, words)


def by_whom(decision: Decision) -> str:
    """``here``, ``by the plater``; empty where nobody was named, or somebody by a name of their own."""
    if decision.by is None:
        return ""
    if decision.by == IN_HOUSE:
        return wording().of(decision.action).in_house
    return f"by the {decision.by}" if is_trade(decision.by) else ""


def is_trade(by: str) -> bool:
    """Whether *by* names a trade ("gauge repairer") that a client may read, and not a person ("Ada")."""
    return by == by.lower() and "'" not in by and "’" not in by


def _participle(words: ActionWords, part: Part) -> str:
    """In the part's number. Where its condition is told, "(broken) will be bought" would buy the broken."""
    one = not is_many(part)
    if words.in_place and any(not is_gone(condition) for condition in conditions(part)):
        return words.in_place_one if words.in_place_one and one else words.in_place
    return words.participle_one if words.participle_one and one else words.participle


def _plate(decision: Decision, part: Part, words: ActionWords) -> str:
    again = part.finish in wording().plates or _has(decision.quote, words.again)
    participle = words.participle if again else words.first_time or words.participle
    return participle + _in_finish(decision, words)


def _coat(decision: Decision, words: ActionWords) -> str:
    if decision.to_finish is None:
        return _spoken(decision.quote, words, words.participle)
    own_verb = finished(decision.to_finish, wording().coated)
    if own_verb is None:
        return (words.finished or words.participle) + _in_finish(decision, words)
    # "re-lacquered" where that was said of the lacquer it gets.
    spoken = _spoken(decision.quote, words, own_verb)
    return spoken if spoken.endswith(own_verb) else own_verb


def _in_finish(decision: Decision, words: ActionWords) -> str:
    if not decision.to_finish or not words.finish:
        return ""
    return words.finish.replace("{finish}", wording().in_finish.get(decision.to_finish, decision.to_finish))


def _becoming(decision: Decision, part: Part, words: ActionWords) -> str:
    """`` with brass ones``, `` to a satin finish``, ``, nickel-plated``; empty where nothing was said."""
    pattern = words.metal if is_many(part) or not words.metal_one else words.metal_one
    text = _in_metal(pattern, decision.to_metal) if decision.to_metal and pattern else ""
    finish = decision.to_finish
    if finish is None:
        return text
    if finish in wording().to_finish and words.step:
        return text + wording().to_finish[finish]
    if words.step:
        return f"{text} to a {finish} finish"
    return f"{text}, {finished(finish, wording().has_finish) or finish}"


def _in_metal(pattern: str, metal: str) -> str:
    return pattern.replace("{a}", "an" if metal[0] in "aeiou" else "a").replace("{metal}", metal)


def _spoken(quote: str, words: ActionWords, otherwise: str) -> str:
    """The one verb of this action spoken in *quote* ("stripped"); *otherwise* where none or several were.

    Several would need to know which is meant ("blasted, not soaked"), so the plain word stands.
    """
    heard = [participle for participle, others in words.said.items() if _has(quote, (participle, *others))]
    return heard[0] if len(heard) == 1 else otherwise


def _has(quote: str, phrases: tuple[str, ...]) -> bool:
    return bool(phrases) and bool(_any_of(phrases).search(quote.casefold().replace("’", "'")))


@cache
def _any_of(phrases: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, phrases))})(?![\w-])")
