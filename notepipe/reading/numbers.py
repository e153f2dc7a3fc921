"""Number words and figures become counts and sizes.

A size is exact: value and unit as said, millimetres from the inch of 25.4 mm (1959 agreement, NIST SP 811 B.8).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from notepipe.reading.tokens import Token

ONES = {
    w: n
    for n, w in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen".split()
    )
}
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
BIG = {"hundred": 100, "thousand": 1000}
GROUPS = {"pair": 2, "couple": 2, "brace": 2, "trio": 3, "dozen": 12, "score": 20, "gross": 144}
ORDINALS = {
    w: n + 1
    for n, w in enumerate(
        "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth "
        "fifteenth sixteenth seventeenth eighteenth nineteenth twentieth".split()
    )
}
PARTS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "eights": 8, "8ths": 8, "8th": 8, "16ths": 16, "16th": 16,
    "sixteenth": 16, "sixteenths": 16, "thirty-second": 32, "thirty-seconds": 32, "32nd": 32, "32nds": 32, "sixty-fourth": 64, "sixty-fourths": 64, "64ths": 64,
}  # fmt: skip
MM = {
    "in": Fraction(254, 10), "ft": Fraction(3048, 10), "yd": Fraction(9144, 10), "thou": Fraction(254, 10000),
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000),
}  # fmt: skip
UNITS = {
    "inch": "in", "inches": "in", "in": "in", '"': "in", "″": "in", "foot": "ft", "feet": "ft", "ft": "ft", "yard": "yd", "yards": "yd", "mm": "mm", "millimetre": "mm",
    "millimetres": "mm", "millimeter": "mm", "millimeters": "mm", "mil": "mm", "mils": "mm", "mill": "mm", "cm": "cm", "centimetre": "cm", "centimetres": "cm",
    "centimeter": "cm", "centimeters": "cm", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "m": "m", "thou": "thou", "thousandth": "thou", "thousandths": "thou",
}  # fmt: skip
LOOSE_UNITS = {"mil", "mils", "mill"}
MAKER_S_FRACTIONS = {2, 4, 8, 16, 32, 64}


class Number(NamedTuple):
    """A number said at tokens ``first`` to ``last`` (inclusive); *kind* tells "two", "5/8", "a pair", "the fifth"."""

    first: int
    last: int
    value: Fraction
    kind: str


class Measure(NamedTuple):
    """A size said at tokens ``first`` to ``last``; ``unit`` None where none was said ("nine and five eighths")."""

    first: int
    last: int
    value: Fraction
    unit: str | None
    loose: bool
    """The unit word means different things to different mouths ("mil")."""


def to_mm(value: Fraction, unit: str) -> float:
    """*value* in *unit* (in, ft, yd, thou, mm, cm, m) as millimetres, exact until the last step. KeyError: no such unit."""
    return float(value * MM[unit])


def spoken(value: Fraction, unit: str | None = None) -> str:
    """``4 1/2``, ``5/8``, ``13.5``: as a shop writes it, metric sizes with a decimal point."""
    if value.denominator == 1:
        return str(value.numerator)
    if value.denominator in MAKER_S_FRACTIONS and unit not in ("mm", "cm", "m"):
        whole, rest = divmod(value, 1)
        return f"{whole} {rest}" if whole else str(rest)
    return f"{float(value):g}"


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


def _norm(tokens: Sequence[Token], i: int) -> str:
    return tokens[i].norm if 0 <= i < len(tokens) else ""


def _number_at(tokens: Sequence[Token], i: int) -> Number | None:
    for reader in (_mixed, _fraction, _group, _cardinal, _ordinal):
        number = reader(tokens, i)
        if number is not None:
            return number
    return None


def _cardinal(tokens: Sequence[Token], i: int) -> Number | None:
    """ "twenty-four", "two hundred and twenty", "1,200", "13.5"."""
    word = _norm(tokens, i)
    if re.fullmatch(r"\d+(,\d{3})*(\.\d+)?", word):
        return Number(i, i, Fraction(word.replace(",", "")), "count")
    total, here, last = Fraction(0), Fraction(0), -1
    j = i
    while j < len(tokens):
        word = _norm(tokens, j)
        small = _small(word)
        if small is not None and (last < 0 or _norm(tokens, j - 1) in BIG or _joins(tokens, j)):
            here += small
        elif word in BIG and (last >= 0 or (word == "hundred" and _norm(tokens, i - 1) == "a" and j == i)):
            here = (here or 1) * BIG[word]
            if word == "thousand":
                total, here = total + here, Fraction(0)
        elif (
            word == "and"
            and last >= 0
            and _norm(tokens, j - 1) in BIG
            and _small(_norm(tokens, j + 1)) is not None
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
    before = _norm(tokens, j - 1)
    return (before in TENS and _norm(tokens, j) in ONES and ONES[_norm(tokens, j)] < 10) or (before == "and")


def _group(tokens: Sequence[Token], i: int) -> Number | None:
    """ "a pair", "half a dozen", "two dozen", "a baker's dozen"."""
    words = [_norm(tokens, i + k) for k in range(4)]
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
    if words[0] in ("pair", "dozen", "couple", "brace", "score") and _norm(tokens, i - 1) not in ("each",):
        return Number(i, i, Fraction(GROUPS[words[0]]), "count")
    return None


def _ordinal(tokens: Sequence[Token], i: int) -> Number | None:
    word = _norm(tokens, i)
    if word in ORDINALS:
        return Number(i, i, Fraction(ORDINALS[word]), "ordinal")
    figure = re.fullmatch(r"(\d+)(st|nd|rd|th)", word)
    return Number(i, i, Fraction(int(figure[1])), "ordinal") if figure else None


def _fraction(tokens: Sequence[Token], i: int) -> Number | None:
    """ "3/8", "5-8", "5 8ths", "five eighths", "a quarter", "half"."""
    word = _norm(tokens, i)
    figure = re.fullmatch(r"(\d+)[/-](\d+)(?:ths?|nds?)?", word)
    if figure and int(figure[2]) in MAKER_S_FRACTIONS and 0 < int(figure[1]) < int(figure[2]):
        return Number(i, i, Fraction(int(figure[1]), int(figure[2])), "fraction")
    joined = re.fullmatch(r"([a-z]+)-([a-z-]+)", word)
    if joined and joined[1] in ONES and joined[2] in PARTS:
        return Number(i, i, Fraction(ONES[joined[1]], PARTS[joined[2]]), "fraction")
    top = int(word) if word.isdigit() and int(word) < 64 else ONES.get(word)
    below = PARTS.get(_norm(tokens, i + 1))
    if top and below and below != 2 and top < below:
        return Number(i, i + 1, Fraction(top, below), "fraction")
    if word in ("a", "an", "one") and below and _unit_near(tokens, i + 2):
        return Number(i, i + 1, Fraction(1, below), "fraction")
    if word in ("half", "quarter", "eighth", "sixteenth") and _unit_near(tokens, i + 1):
        return Number(i, i, Fraction(1, PARTS[word]), "fraction")
    return None


def _unit_near(tokens: Sequence[Token], i: int) -> bool:
    """An inch word follows, perhaps after "of an": "a quarter of an inch", "quarter inch", "an eighth thick"."""
    words = [_norm(tokens, i + k) for k in range(3)]
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
    if re.fullmatch(r"\d+", _norm(tokens, i)) and re.fullmatch(r"\d+/\d+", _norm(tokens, j)):
        part = _fraction(tokens, j)
        return Number(i, j, whole.value + part.value, "fraction") if part else None
    if _norm(tokens, j) != "and":
        return None
    part = _part_after_and(tokens, j + 1)
    return Number(i, part.last, whole.value + part.value, "fraction") if part else None


def _part_after_and(tokens: Sequence[Token], i: int) -> Number | None:
    word, below = _norm(tokens, i), PARTS.get(_norm(tokens, i + 1))
    if word in ("a", "an", "one") and below:
        return Number(i, i + 1, Fraction(1, below), "fraction")
    part = _fraction(tokens, i)
    return part if part and part.value < 1 else None


def measures_in(tokens: Sequence[Token], numbers: Sequence[Number]) -> list[Measure]:
    """Every size: "9 foot 6", "610 by 230 mil", "an inch and a quarter", "five eighths", never money or weeks."""
    found: list[Measure] = []
    used: set[int] = set()
    for first in range(len(tokens)):
        if first in used:
            continue
        measure = (
            _inch_and(tokens, first)
            or _with_unit(tokens, first, numbers)
            or _bare_fraction(tokens, first, numbers)
        )
        if measure is not None:
            found.append(measure)
            used.update(range(measure.first, measure.last + 1))
    return _by_pairs(tokens, numbers, found, used)


def _inch_and(tokens: Sequence[Token], i: int) -> Measure | None:
    """ "an inch and a quarter", "inch and seven eighths": the unit stands before the fraction."""
    if _norm(tokens, i) != "inch" or _norm(tokens, i + 1) != "and" or _norm(tokens, i - 1) in ("-",):
        return None
    if any(_norm(tokens, i - 1) == w for w in ONES if w != "one") or _norm(tokens, i - 1).isdigit():
        return None
    part = _part_after_and(tokens, i + 2)
    if part is None:
        return None
    first = i - 1 if _norm(tokens, i - 1) in ("an", "one", "a") else i
    return Measure(first, part.last, 1 + part.value, "in", loose=False)


def _with_unit(tokens: Sequence[Token], i: int, numbers: Sequence[Number]) -> Measure | None:
    attached = re.fullmatch(r"(\d+(?:\.\d+)?)(mm|cm|m|in|ft)", _norm(tokens, i))
    if attached:
        return Measure(i, i, Fraction(attached[1]), attached[2], loose=False)
    joined = re.fullmatch(r"(\d+|[a-z]+)-(inch|foot|mm|mil)", _norm(tokens, i))
    if joined and (joined[1].isdigit() or joined[1] in ONES or joined[1] in PARTS):
        value = (
            Fraction(int(joined[1]))
            if joined[1].isdigit()
            else Fraction(ONES[joined[1]])
            if joined[1] in ONES
            else Fraction(1, PARTS[joined[1]])
        )
        return Measure(i, i, value, UNITS[joined[2]], loose=joined[2] in LOOSE_UNITS)
    number = next((n for n in numbers if n.first == i and n.kind != "ordinal"), None)
    if (
        number is None
        and _norm(tokens, i) in ("a", "an")
        and _norm(tokens, i + 1) in ("inch", "foot", "metre", "yard")
    ):
        number = Number(i, i, Fraction(1), "count")
    if number is None:
        return None
    j = number.last + 1
    if _norm(tokens, j) == "of" and _norm(tokens, j + 1) in ("an", "a") and number.kind == "fraction":
        j += 2
    if _norm(tokens, j) == "-":
        j += 1
    word = _norm(tokens, j)
    if (
        word not in UNITS
        or (word == "in" and not _in_is_unit(tokens, j))
        or (word == "m" and not _norm(tokens, i)[0].isdigit())
    ):
        return None
    if _norm(tokens, i - 1) in ("$", "£", "€"):
        return None
    unit = UNITS[word]
    if unit == "ft":
        return _feet(tokens, number, j, numbers)
    value = number.value
    if unit == "in" and _norm(tokens, j + 1) == "and" and number.kind == "count":
        part = _part_after_and(tokens, j + 2)
        if part is not None:
            return Measure(i, part.last, value + part.value, unit, loose=False)
    return Measure(i, j, value, unit, loose=word in LOOSE_UNITS)


def _in_is_unit(tokens: Sequence[Token], j: int) -> bool:
    """ "in" after a figure at the end of a phrase; "four in the box" is no size."""
    return _norm(tokens, j - 1)[-1:].isdigit() and _norm(tokens, j + 1) in (
        ".",
        ",",
        ";",
        "",
        "by",
        "long",
        "wide",
        "across",
        "diameter",
    )


def _feet(tokens: Sequence[Token], number: Number, j: int, numbers: Sequence[Number]) -> Measure:
    """ "9 foot 6", "two foot six", "9 foot 6 inches": what follows the foot is inches."""
    after = next((n for n in numbers if n.first == j + 1 and n.kind != "ordinal"), None)
    if after is None and _norm(tokens, j + 1) == "and":
        after = next(
            (
                n
                for n in numbers
                if n.first == j + 2
                and n.kind != "ordinal"
                and _norm(tokens, n.last + 1) in ("inch", "inches")
            ),
            None,
        )
    if after is None or after.value >= 12:
        return Measure(number.first, j, number.value, "ft", loose=False)
    last = after.last + 1 if _norm(tokens, after.last + 1) in ("inch", "inches") else after.last
    return Measure(number.first, last, number.value * 12 + after.value, "in", loose=False)


def _bare_fraction(tokens: Sequence[Token], i: int, numbers: Sequence[Number]) -> Measure | None:
    """ "nine and five eighths", "three eighths": a maker's fraction with no unit; whoever reads it must doubt the unit."""
    number = next((n for n in numbers if n.first == i and n.kind == "fraction"), None)
    if number is None or number.value.denominator not in MAKER_S_FRACTIONS or number.value == Fraction(1, 2):
        return None
    if _norm(tokens, number.last + 1) in ("of", "an", "past", "to", "hour", "hours", "price") or _norm(
        tokens, i - 1
    ) in ("$", "£"):
        return None
    return Measure(number.first, number.last, number.value, None, loose=False)


def _by_pairs(
    tokens: Sequence[Token], numbers: Sequence[Number], found: list[Measure], used: set[int]
) -> list[Measure]:
    """ "610 by 230 mil", "30 inches by 18", "three by nine": both take the unit that one of them has."""
    for j, token in enumerate(tokens):
        if token.norm not in ("by", "x", "×"):
            continue
        left, right = (
            _side(found, numbers, used, j, before=True),
            _side(found, numbers, used, j, before=False),
        )
        if (
            left is None
            or right is None
            or (left.unit is None and right.unit is None and not _sizes_likely(left, right))
        ):
            continue
        unit = left.unit or right.unit
        for side, other in ((left, right), (right, left)):
            if side.unit is None:
                found[:] = [m for m in found if m.first != side.first]
                found.append(Measure(side.first, side.last, side.value, unit, loose=other.loose))
                used.update(range(side.first, side.last + 1))
    return sorted(found)


def _side(
    found: Sequence[Measure], numbers: Sequence[Number], used: set[int], j: int, *, before: bool
) -> Measure | None:
    for measure in found:
        if (measure.last == j - 1) if before else (measure.first == j + 1):
            return measure
    for number in numbers:
        beside = (number.last == j - 1) if before else (number.first == j + 1)
        if beside and number.kind != "ordinal" and number.first not in used:
            return Measure(number.first, number.last, number.value, None, loose=False)
    return None


def _sizes_likely(left: Measure, right: Measure) -> bool:
    """ "three by nine" is a size, "two by two" is how children walk."""
    return left.value != right.value
