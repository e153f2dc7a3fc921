"""Picks out of a set: "both", "two of them", "the other three", "the fifth", "the last one", "the rest"."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from notepipe.reading.marks import Group
from notepipe.reading.measures import Measure
from notepipe.reading.numbers import Number
from notepipe.reading.terms import singular
from notepipe.reading.tokens import Token

POINTERS = {"the", "that", "this", "another", "them", "his", "her"}
QUALITIES = {
    "other", "remaining", "last", "odd", "left", "right", "top", "bottom", "big", "missing", "bent", "good",
    "bad", "old", "cracked", "broken",
}  # fmt: skip
THEM = {"them", "those", "these", "which", "hers", "his", "ours", "us", "the"}
NOUNS = ("NN", "NNS", "JJ", "CD")
VERBS = ("VBZ", "VBP", "VBD", "MD", "VBN")
VERB_WORDS = ("'s", "are", "is", "have", "has", "will", "to", "of")


class Pick(NamedTuple):
    """Tokens ``first`` to ``last`` pick *number* (None: not said) out of *whole*, or mean the whole of it."""

    whole: Group
    first: int
    last: int
    how: str
    number: int | None = None
    rest: bool = False
    everything: bool = False


class Place(NamedTuple):
    """Where a pick may begin: after the pointer and the qualities stands token ``after``."""

    tokens: Sequence[Token]
    numbers: Sequence[Number]
    whole: Group
    first: int
    after: int
    quality: str

    def norm(self, i: int) -> str:
        """The word at token *i*, "" beyond the end."""
        return self.tokens[i].norm if 0 <= i < len(self.tokens) else ""

    def of_them(self, last: int) -> int:
        """The end of "of them" or of "one" where that follows token *last*."""
        if self.norm(last + 1) == "of" and self.norm(last + 2) in THEM - {"the", "us", "ours"}:
            return last + 2
        return last + 1 if self.norm(last + 1) in ("one", "ones") else last


def pick(
    tokens: Sequence[Token],
    numbers: Sequence[Number],
    measures: Sequence[Measure],
    whole: Group | None,
    first: int,
) -> Pick | None:
    """The pick that begins at token *first* out of the set in hand, or None."""
    if whole is None or not (whole.plural or (whole.value("quantity") or 0) != 1):
        return None
    after, quality = first + (tokens[first].norm in POINTERS), ""
    while after < len(tokens) and tokens[after].norm in QUALITIES and after - first < 3:
        quality = tokens[after].norm
        after += 1
    counts = [
        n
        for n in numbers
        if n.value.denominator == 1 and not any(m.first <= n.first <= m.last for m in measures)
    ]
    place = Place(tokens, counts, whole, first, after, quality)
    return next((found for reader in READERS if (found := reader(place)) is not None), None)


def _everything(place: Place) -> Pick | None:
    """ "both", "all three", "the pair", "every one"."""
    i, word, second = place.first, place.norm(place.first), place.norm(place.first + 1)
    if word not in ("both", "all") and (word, second) not in (
        ("the", "pair"),
        ("the", "lot"),
        ("every", "one"),
    ):
        return None
    number = next((n for n in place.numbers if n.first == i + 1), None)
    if word == "all" and number is None and second != "of":
        return None
    last = number.last if word == "all" and number else place.of_them(i)
    return Pick(place.whole, i, last, "everything", everything=True)


def _rest(place: Place) -> Pick | None:
    """ "the rest", "the others"."""
    if place.norm(place.first) != "the" or place.norm(place.first + 1) not in ("rest", "others"):
        return None
    return Pick(place.whole, place.first, place.of_them(place.first + 1), "rest", rest=True)


def _numbered(place: Place) -> Pick | None:
    """ "two of them", "the other three", "the fifth": a number that counts no other noun."""
    number = next((n for n in place.numbers if n.first == place.after), None)
    if number is None or _counts_another(place, number):
        return None
    before = place.tokens[place.first - 1].text if place.first else "."
    if number.kind == "ordinal":
        if place.norm(place.first) not in ("the", "a") and before not in ".,;–":
            return None
        return Pick(place.whole, place.first, place.of_them(number.last), "ordinal", number=1)
    if place.norm(number.last + 1) == "of" and place.norm(number.last + 2) not in THEM:
        return None
    following = place.tokens[number.last + 1 : number.last + 3]
    verb = any(t.tag in VERBS or t.norm in VERB_WORDS for t in following)
    if place.quality or verb or (before in (".", ",", "and") and place.whole.picked):
        return Pick(
            place.whole,
            place.first,
            place.of_them(number.last),
            place.quality or "count",
            number=int(number.value),
        )
    return None


def _counts_another(place: Place, number: Number) -> bool:
    """ "two dents": a noun that is not the set's own follows the number."""
    following = place.tokens[number.last + 1 : number.last + 2]
    if not following or following[0].tag not in NOUNS or following[0].norm in ("one", "ones"):
        return False
    return singular(following[0].norm) != place.whole.name.split()[-1]


def _one(place: Place) -> Pick | None:
    """ "the last one", "this one", "the bent ones"."""
    word = place.norm(place.after)
    if place.after == place.first or word not in ("one", "ones"):
        return None
    how = place.quality or place.norm(place.first)
    return Pick(place.whole, place.first, place.after, how, number=1 if word == "one" else None)


def _other(place: Place) -> Pick | None:
    """ "the other", alone."""
    alone = place.after >= len(place.tokens) or place.tokens[place.after].tag not in ("NN", "NNS", "NNP")
    if place.quality != "other" or place.norm(place.first) != "the" or not alone:
        return None
    return Pick(place.whole, place.first, place.after - 1, "other", rest=True)


READERS: tuple[Callable[[Place], Pick | None], ...] = (_everything, _rest, _numbered, _one, _other)
