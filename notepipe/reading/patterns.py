"""The little language in which the packs say how something is said.

Words stand apart by blanks. ``a|b`` is either, ``a?`` may be missing, ``^take`` is any form of the
verb, ``*`` is
up to three words, ``<act>`` is an action, ``<ing>`` ``<ed>`` ``<base>`` an action in that form, ``<finish>``
``<metal>`` ``<part>`` ``<trade>`` a word of that kind.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import NamedTuple

from notepipe.reading.tokens import Token
from notepipe.trade.english import english

GAP = 3
DOUBLED = ("b", "d", "g", "l", "m", "n", "p", "r", "t")


class Forms(NamedTuple):
    """The forms of a verb: plate, plates, plating, plated (and both for "nickeled", "nickelled")."""

    base: str
    third: str
    ing: tuple[str, ...]
    ed: tuple[str, ...]


@cache
def forms(verb: str) -> Forms:
    """The inflections of *verb* by the rules of English spelling, irregular ones from a list."""
    third = verb + ("es" if verb.endswith(("s", "sh", "ch", "x", "z", "o")) else "s")
    if verb.endswith("y") and verb[-2] not in "aeiou":
        return Forms(verb, verb[:-1] + "ies", (verb + "ing",), (verb[:-1] + "ied",))
    stems = _stems(verb)
    ing = tuple(stem + "ing" for stem in stems)
    ed = tuple(stem + "ed" for stem in stems)
    return Forms(verb, third, ing, english().verbs.get(verb, ed))


def _stems(verb: str) -> tuple[str, ...]:
    """What stands before -ing and -ed; both spellings where both are written."""
    if verb.endswith("e") and not verb.endswith(("ee", "oe", "ye")):
        return (verb[:-1],)
    vowels = sum(c in "aeiou" for c in verb.rpartition("-")[2])
    if verb.endswith(("el", "al", "il")) and vowels > 1:
        return (verb, verb + "l")
    short = (
        verb[-1] in DOUBLED
        and verb[-2] in "aeiou"
        and verb[-3:-2] not in "aeiou"
        and verb not in english().not_doubled
    )
    return (verb + verb[-1],) if short and len(verb) > 2 else (verb,)


@cache
def all_forms(verb: str) -> frozenset[str]:
    """Every way *verb* is written."""
    f = forms(verb)
    return frozenset({f.base, f.third, *f.ing, *f.ed})


class Step(NamedTuple):
    """One word of a pattern."""

    words: frozenset[str]
    kinds: frozenset[str]
    optional: bool
    gap: bool


@cache
def compiled(pattern: str) -> tuple[Step, ...]:
    """*pattern* as steps. ValueError where it is empty or holds an empty alternative."""
    steps = []
    for word in pattern.split():
        if word == "*":
            steps.append(Step(frozenset(), frozenset(), optional=True, gap=True))
            continue
        optional = word.endswith("?") and len(word) > 1
        words: set[str] = set()
        kinds: set[str] = set()
        for choice in (word[:-1] if optional else word).split("|"):
            if not choice:
                raise ValueError(f"empty alternative in '{pattern}'")
            if choice.startswith("<"):
                kinds.add(choice.strip("<>"))
            elif choice.startswith("^"):
                words |= all_forms(choice[1:])
            else:
                words.add(choice)
        steps.append(Step(frozenset(words), frozenset(kinds), optional, gap=False))
    if not steps:
        raise ValueError("empty pattern")
    return tuple(steps)


Kinds = Mapping[int, Mapping[str, int]]
"""Token number → kinds that begin there → the token after each."""


def match_at(steps: Sequence[Step], tokens: Sequence[Token], i: int, kinds: Kinds) -> int | None:
    """The token after the match of *steps* at token *i*, or None. Never crosses the end of a sentence."""
    if not steps:
        return i
    step, rest = steps[0], steps[1:]
    if step.gap:
        for skip in range(GAP + 1):
            if skip and (i + skip > len(tokens) or tokens[i + skip - 1].text in ".?!;"):
                return None
            end = match_at(rest, tokens, i + skip, kinds)
            if end is not None:
                return end
        return None
    if i < len(tokens):
        if tokens[i].norm in step.words:
            end = match_at(rest, tokens, i + 1, kinds)
            if end is not None:
                return end
        for kind in step.kinds & kinds.get(i, {}).keys():
            end = match_at(rest, tokens, kinds[i][kind], kinds)
            if end is not None:
                return end
    return match_at(rest, tokens, i, kinds) if step.optional else None


def matches(pattern: str, tokens: Sequence[Token], kinds: Kinds) -> list[tuple[int, int]]:
    """Every place (first token, token after) where *pattern* stands in *tokens*."""
    steps = compiled(pattern)
    found = []
    for i in range(len(tokens)):
        end = match_at(steps, tokens, i, kinds)
        if end is not None and end > i:
            found.append((i, end))
    return found
