"""Number words and figures become numbers: counts, ordinals, makers' fractions."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from notepipe.reading.tokens import Token

ONES = {
    w: n
    for n, w in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
BIG = {"hundred": 100, "thousand": 1000}
GROUPS = {"pair": 2, "couple": 2, "brace": 2, "trio": 3, "dozen": 12, "score": 20, "gross": 144}
ORDINALS = {
    w: n + 1
    for n, w in enumerate(
        [
            "first",
            "second",
            "third",
            "fourth",
            "fifth",
            "sixth",
            "seventh",
            "eighth",
            "ninth",
            "tenth",
            "eleventh",
            "twelfth",
            "thirteenth",
            "fourteenth",
            "fifteenth",
            "sixteenth",
            "seventeenth",
            "eighteenth",
            "nineteenth",
            "twentieth",
        ]
    )
}
PARTS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "eights": 8,
    "8ths": 8, "8th": 8, "16ths": 16, "16th": 16,
    "sixteenth": 16, "sixteenths": 16, "thirty-second": 32, "thirty-seconds": 32, "32nd": 32,
    "32nds": 32, "sixty-fourth": 64, "sixty-fourths": 64, "64ths": 64,
}  # fmt: skip
MAKER_S_FRACTIONS = {2, 4, 8, 16, 32, 64}


class Number(NamedTuple):
    """A number said at tokens ``first`` to ``last`` (inclusive); *kind* tells "two", "5/8", "a pair",
    "the fifth".
    """

    first: int
    last: int
    value: Fraction
    kind: str


def numbers_in(tokens: Sequence[Token]) -> list[Number]:
    """Every number in *tokens*, longest first, none overlapping."""
    found: list[Number] = []
    i = 0
    while i < len(tokens):
        number = _number_at(tokens, i)
        if number is None:
            i += 1
            continue
        found.append(number)
        i = number.last + 1
    return found


def norm_at(tokens: Sequence[Token], i: int) -> str:
    """The word at token *i*, "" beyond either end."""
    return tokens[i].norm if 0 <= i < len(tokens) else ""


def _number_at(tokens: Sequence[Token], i: int) -> Number | None:
    for reader in (_vulgar, _mixed, _fraction, _group, _cardinal, _ordinal):
        number = reader(tokens, i)
        if number is not None:
            return number
    return None


def _vulgar(tokens: Sequence[Token], i: int) -> Number | None:
    """ "1½", "¾": a fraction in one character."""
    word = norm_at(tokens, i)
    sign = word[-1:]
    if not sign or unicodedata.decomposition(sign)[:10] != "<fraction>" or not (word[:-1] or "0").isdecimal():
        return None
    part = Fraction(unicodedata.numeric(sign)).limit_denominator(64)
    return Number(i, i, int(word[:-1] or "0") + part, "fraction")


def _cardinal(tokens: Sequence[Token], i: int) -> Number | None:
    """ "twenty-four", "two hundred and twenty", "1,200", "13.5"."""
    word = norm_at(tokens, i)
    if re.fullmatch(r"\d+(,\d{3})*(\.\d+)?", word):
        return Number(i, i, Fraction(word.replace(",", "")), "count")
    total: Fraction = Fraction(0)
    here: Fraction = Fraction(0)
    last = -1
    j = i
    while j < len(tokens):
        word = norm_at(tokens, j)
        small = _small(word)
        if small is not None and (last < 0 or norm_at(tokens, j - 1) in BIG or _joins(tokens, j)):
            here += small
        elif word in BIG and (last >= 0 or (word == "hundred" and norm_at(tokens, i - 1) == "a" and j == i)):
            here = (here or Fraction(1)) * BIG[word]
            if word == "thousand":
                total, here = total + here, Fraction(0)
        elif (
            word == "and"
            and last >= 0
            and norm_at(tokens, j - 1) in BIG
            and _small(norm_at(tokens, j + 1)) is not None
        ):
            j += 1
            continue
        else:
            break
        last = j
        j += 1
    return Number(i, last, total + here, "count") if last >= 0 else None


def _small(word: str) -> int | None:
    if word in ONES:
        return ONES[word]
    if word in TENS:
        return TENS[word]
    tens, _, ones = word.partition("-")
    if tens in TENS and ones in ONES:
        return TENS[tens] + ONES[ones]
    return None


def _joins(tokens: Sequence[Token], j: int) -> bool:
    """ "forty one" said as two words; "hundred and nine"."""
    before = norm_at(tokens, j - 1)
    return (before in TENS and norm_at(tokens, j) in ONES and ONES[norm_at(tokens, j)] < 10) or (
        before == "and"
    )


def _group(tokens: Sequence[Token], i: int) -> Number | None:
    """ "a pair", "half a dozen", "two dozen", "a baker's dozen"."""
    words = [norm_at(tokens, i + k) for k in range(4)]
    if words[0] == "half" and words[1] in ("a", "dozen"):
        k = 2 if words[1] == "a" else 1
        if words[k] == "dozen":
            return Number(i, i + k, Fraction(6), "count")
    if words[0] == "half-dozen":
        return Number(i, i, Fraction(6), "count")
    if words[1:3] == ["baker", "'s"] and words[3] == "dozen":
        return Number(i, i + 3, Fraction(13), "count")
    many = 1 if words[0] in ("a", "an", "the", "one") else _small(words[0])
    if many is not None and words[1] in GROUPS:
        return Number(i, i + 1, Fraction(many * GROUPS[words[1]]), "count")
    if words[0] in ("pair", "dozen", "couple", "brace", "score") and norm_at(tokens, i - 1) not in ("each",):
        return Number(i, i, Fraction(GROUPS[words[0]]), "count")
    return None


def _ordinal(tokens: Sequence[Token], i: int) -> Number | None:
    word = norm_at(tokens, i)
    if word in ORDINALS:
        return Number(i, i, Fraction(ORDINALS[word]), "ordinal")
    figure = re.fullmatch(r"(\d+)(st|nd|rd|th)", word)
    return Number(i, i, Fraction(int(figure[1])), "ordinal") if figure else None


def _fraction(tokens: Sequence[Token], i: int) -> Number | None:
    """ "3/8", "5-8", "5 8ths", "five eighths", "a quarter", "half"."""
    word = norm_at(tokens, i)
    figure = re.fullmatch(r"(\d+)[/-](\d+)(?:ths?|nds?)?", word)
    if figure and int(figure[2]) in MAKER_S_FRACTIONS and 0 < int(figure[1]) < int(figure[2]):
        return Number(i, i, Fraction(int(figure[1]), int(figure[2])), "fraction")
    joined = re.fullmatch(r"([a-z]+)-([a-z-]+)", word)
    if joined and joined[1] in ONES and joined[2] in PARTS:
        return Number(i, i, Fraction(ONES[joined[1]], PARTS[joined[2]]), "fraction")
    top = int(word) if word.isdecimal() and int(word) < 64 else ONES.get(word)
    below = PARTS.get(norm_at(tokens, i + 1))
    if top and below and below != 2 and top < below:
        return Number(i, i + 1, Fraction(top, below), "fraction")
    if top and _of_an_inch(tokens, i + 1, top):
        return Number(i, i + 1, Fraction(top, int(norm_at(tokens, i + 1))), "fraction")
    if word in ("a", "an", "one") and below and _unit_near(tokens, i + 2):
        return Number(i, i + 1, Fraction(1, below), "fraction")
    if word in ("half", "quarter", "eighth", "sixteenth") and _unit_near(tokens, i + 1):
        return Number(i, i, Fraction(1, PARTS[word]), "fraction")
    return None


def _of_an_inch(tokens: Sequence[Token], i: int, top: int) -> bool:
    """ "5 8 of an inch", as a recogniser writes five eighths."""
    word = norm_at(tokens, i)
    below = int(word) if word.isdecimal() and len(word) < 3 else 0
    return (
        below in MAKER_S_FRACTIONS
        and top < below
        and norm_at(tokens, i + 1) == "of"
        and _unit_near(tokens, i + 2)
    )


def _unit_near(tokens: Sequence[Token], i: int) -> bool:
    """An inch word follows, perhaps after "of an": "a quarter of an inch", "quarter inch", "an eighth
    thick".
    """
    words = [norm_at(tokens, i + k) for k in range(3)]
    return (
        words[0] in ("inch", "thick", "in")
        or words[0:2] == ["an", "inch"]
        or words[0:3] == ["of", "an", "inch"]
    )


def _mixed(tokens: Sequence[Token], i: int) -> Number | None:
    """ "1 3/8", "two and a quarter", "14 and a half", "1 and 5-8"."""
    whole = _cardinal(tokens, i)
    if whole is None or whole.value.denominator != 1:
        return None
    j = whole.last + 1
    if re.fullmatch(r"\d+", norm_at(tokens, i)) and re.fullmatch(r"\d+/\d+", norm_at(tokens, j)):
        part = _fraction(tokens, j)
        return Number(i, j, whole.value + part.value, "fraction") if part else None
    if norm_at(tokens, j) != "and":
        return None
    part = part_after_and(tokens, j + 1)
    return Number(i, part.last, whole.value + part.value, "fraction") if part else None


def part_after_and(tokens: Sequence[Token], i: int) -> Number | None:
    """The fraction after "and": "a quarter", "seven eighths"."""
    word, below = norm_at(tokens, i), PARTS.get(norm_at(tokens, i + 1))
    if word in ("a", "an", "one") and below:
        return Number(i, i + 1, Fraction(1, below), "fraction")
    part = _fraction(tokens, i)
    return part if part and part.value < 1 else None
