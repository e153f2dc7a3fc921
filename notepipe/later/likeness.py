"""How like two names of parts are: by the word that says what it is, and the words that tell it apart."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher
from functools import cache, lru_cache
from typing import NamedTuple

from notepipe.draft import Part
from notepipe.trade.alike import alike
from notepipe.trade.plurals import fold
from notepipe.trade.wording import wording

SAME = 0.55
"""From this likeness on two names may be of one part."""
NEARLY = 0.5
"""What a name that only sounds like the other comes to: it is asked about, never taken."""
_LETTERS = 0.75
_TOO_MANY = 60
"""A longer piece of speech is no name."""


class Named(NamedTuple):
    """A name, taken apart."""

    head: str
    """The word that says what it is, folded: "hinge" of "door hinges (left)"."""
    words: frozenset[str]
    """All of its words, folded."""


def named(name: str) -> Named | None:
    """*name* taken apart; None where no word of it names anything ("the other four")."""
    return _named(name, None)


@lru_cache(maxsize=65536)
def _named(name: str, form: str | None) -> Named | None:
    """*name* taken apart; its last word, where it is *form*, belongs to it: the "kick strip" is a strip."""
    first, rest = _cut(_words(name))
    kept = [word for word in first if _names(word)]
    if len(kept) > 1 and kept[-1] in alike().forms and kept[-1] != form:
        kept.pop()
    kept = kept or first[-1:]
    if not kept or not _names(kept[-1]):
        return None
    telling = (word for word in rest if _names(word))
    # A number or a letter behind the name tells it from its neighbours: "valve 3".
    numbers = (word for word in first if _numbers(word))
    return Named(kept[-1], frozenset((*kept, *telling, *numbers)))


def names_of(part: Part) -> tuple[Named, ...]:
    """What the part is called, and what else it was called when it was spoken of; its name first."""
    last = (_words(part.name) or [""])[-1]
    with_form = (_named(part.name, last),) if last in alike().forms else ()
    called = [named(part.name), *with_form, *(n for words in part.heard_as for n in _called(words))]
    return tuple(dict.fromkeys(name for name in called if name is not None))


def forget() -> None:
    """Take no name for known: what a bench needs."""
    _named.cache_clear()
    _folded_words.cache_clear()


def likeness(one: Named, other: Named) -> float:
    """1 for the same words, from SAME where one only leaves words out, NEARLY where it sounds like it."""
    one, other = _apart(one, other), _apart(other, one)
    if one.words == other.words:
        return 1.0
    one, other = _compound(one, other), _compound(other, one)
    mine, yours = one.words - other.words, other.words - one.words
    if one.head != other.head:
        return _sounding(one, other)
    if _clash(mine, yours):
        return 0.0
    share = len(one.words & other.words) / len(one.words | other.words)
    if not mine or not yours:
        return 0.6 + 0.4 * share
    if all(any(near(a, b) for b in yours) for a in mine):
        return NEARLY
    return min(NEARLY, 0.9 * share)


def near(one: str, other: str) -> bool:
    """Whether two words are spelt or sound alike: what a recogniser may take one for the other."""
    if abs(len(one) - len(other)) > 2 or min(len(one), len(other)) < 4:
        return False
    return SequenceMatcher(None, one, other).ratio() >= _LETTERS


def telling_words(texts: Iterable[str]) -> frozenset[str]:
    """The words of *texts* by which one group of a set may be told from another."""
    words = (word for text in texts for word in _words(text))
    return frozenset(word for word in words if len(word) > 2 and word not in alike().common and _names(word))


def opposed(one: Iterable[str], other: Iterable[str]) -> bool:
    """Whether two sets of words hold both sides of a pair: front and rear."""
    return _clash(frozenset(one), frozenset(other))


def _clash(mine: frozenset[str], yours: frozenset[str]) -> bool:
    if any(map(_numbers, mine)) and any(map(_numbers, yours)):
        return True
    sides = _sides()
    mine_sides = {sides[word] for word in mine if word in sides}
    return any(
        group == sides[word][0] and at != sides[word][1]
        for word in yours
        if word in sides
        for group, at in mine_sides
    )


@cache
def _sides() -> dict[str, tuple[int, int]]:
    """Word → its group of opposites and its place in it; big and large stand at one place."""
    alikes = {"large": "big", "little": "small", "back": "rear", "inside": "inner", "outside": "outer"}
    return {
        word: (group, words.index(alikes.get(word, word)))
        for group, words in enumerate(alike().opposites)
        for word in words
    }


def _sounding(one: Named, other: Named) -> float:
    rest_alike = one.words - {one.head} == other.words - {other.head}
    return NEARLY if rest_alike and near(one.head, other.head) else 0.0


def _apart(one: Named, other: Named) -> Named:
    """``handbrake lever`` beside ``hand brake lever``: what *other* has apart is taken apart in *one*."""
    for word in one.words - other.words:
        for first in other.words:
            last = word.removeprefix(first)
            if last != word and last in other.words:
                head = last if one.head == word else one.head
                return Named(head, (one.words - {word}) | {first, last})
    return one


def _compound(one: Named, other: Named) -> Named:
    """``handrail`` beside ``rail``: the word taken apart, so that the two have one head."""
    before = one.head.removesuffix(other.head)
    if before == one.head or len(before) < 3 or len(other.head) < 4:
        return one
    return Named(other.head, (one.words - {one.head}) | {before, other.head})


def _called(words: str) -> Iterator[Named | None]:
    """The name a piece of speech begins with, and what stands behind "calls"."""
    if len(words) > _TOO_MANY:
        return
    yield named(words)
    spoken = _words(words)
    for at, word in enumerate(spoken):
        if word in alike().calls:
            yield named(" ".join(spoken[at + 1 :]))


def _cut(words: list[str]) -> tuple[list[str], list[str]]:
    """The words of the name itself, and those behind that only tell it apart."""
    ends = _ends()
    while len(words) > 1 and not _names(words[0]) and not _numbers(words[0]) and words[0] not in ends:
        words = words[1:]
    while len(words) > 2 and words[1] == "of" and words[0] in alike().measures:
        words = words[2:]
    at = next((at for at, word in enumerate(words) if word in ends and at), len(words))
    if words[:at] and not any(_names(word) for word in words[:at]) and words[at : at + 1] == ["of"]:
        return _cut(words[at + 1 :])  # "two of the lamps", "a load of bars"
    return words[:at], words[at + 1 :]


@cache
def _ends() -> frozenset[str]:
    return alike().ends | frozenset(wording().name_ends_before) | {","}


def _numbers(word: str) -> bool:
    """A number or a letter, as in "valve 3"; the article is neither."""
    return word.isdigit() or (len(word) == 1 and word not in alike().no_name)


def _names(word: str) -> bool:
    return word not in _nameless() and word.isalpha() and len(word) > 1


@cache
def _nameless() -> frozenset[str]:
    return alike().no_name | _ends() | _counts()


@cache
def _counts() -> frozenset[str]:
    pack = alike()
    return frozenset((*wording().counts, *pack.teens, *pack.tens, *pack.hundreds))


def number_words(number: int) -> tuple[str, ...]:
    """A number below a hundred as it is said: ``forty six``; nothing for any other."""
    pack, ones = alike(), wording().counts
    if number < 10:
        return (ones[number],)
    if number < 20:
        return (pack.teens[number - 10],)
    if number < 100:
        return (pack.tens[number // 10 - 2], *((ones[number % 10],) if number % 10 else ()))
    return ()


def spoken_words(text: str) -> tuple[str, ...]:
    """The words of *text* in small letters and the singular."""
    return _folded_words(text)


@lru_cache(maxsize=65536)
def _folded_words(text: str) -> tuple[str, ...]:
    plain = text.casefold().replace("’", "'").replace("-", " ")
    words = re.findall(r"[a-z0-9]+(?:/[0-9]+)?|'[a-z]+|,", plain)
    return tuple(word if word.startswith("'") else fold(word) for word in words)


def _words(text: str) -> list[str]:
    return [word for word in _folded_words(text) if word != "'s"]
