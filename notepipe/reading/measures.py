"""Numbers with a unit become sizes.

A size is exact: value and unit as said, millimetres from the inch of 25.4 mm (1959 agreement, NIST SP
811 B.8).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from notepipe.reading.numbers import MAKER_S_FRACTIONS, ONES, PARTS, Number, norm_at, part_after_and
from notepipe.reading.tokens import Token

MM = {
    "in": Fraction(254, 10), "ft": Fraction(3048, 10), "yd": Fraction(9144, 10), "thou": Fraction(254, 10000),
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000),
}  # fmt: skip
UNITS = {
    "inch": "in", "inches": "in", "in": "in", '"': "in", "″": "in", "foot": "ft", "feet": "ft",
    "ft": "ft", "yard": "yd", "yards": "yd", "mm": "mm", "millimetre": "mm",
    "millimetres": "mm", "millimeter": "mm", "millimeters": "mm", "mil": "mm", "mils": "mm",
    "mill": "mm", "cm": "cm", "centimetre": "cm", "centimetres": "cm",
    "centimeter": "cm", "centimeters": "cm", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "m": "m", "thou": "thou", "thousandth": "thou", "thousandths": "thou",
}  # fmt: skip
ONE_UNIT = ("inch", "foot", "metre", "yard")
LONG_IN = 100
"""A bare whole number from here on is no inches."""
LOOSE_UNITS = {"mil", "mils", "mill"}


class Measure(NamedTuple):
    """A size said at tokens ``first`` to ``last``; ``unit`` None where none was said ("nine and five
    eighths").
    """

    first: int
    last: int
    value: Fraction
    unit: str | None
    loose: bool
    """The unit word means different things to different mouths ("mil")."""


def to_mm(value: Fraction, unit: str) -> float:
    """*value* in *unit* (in, ft, yd, thou, mm, cm, m) as millimetres, exact until the last step.
    KeyError: no such unit.
    """
    return float(value * MM[unit])


def spoken(value: Fraction, unit: str | None = None) -> str:
    """``4 1/2``, ``5/8``, ``13.5``: as a shop writes it, metric sizes with a decimal point."""
    if value.denominator == 1:
        return str(value.numerator)
    if value.denominator in MAKER_S_FRACTIONS and unit not in ("mm", "cm", "m"):
        whole, rest = divmod(value, 1)
        return f"{whole} {rest}" if whole else str(rest)
    return f"{float(value):g}"


def measures_in(tokens: Sequence[Token], numbers: Sequence[Number]) -> list[Measure]:
    """Every size: "9 foot 6", "610 by 230 mil", "an inch and a quarter", "five eighths", never money or
    weeks.
    """
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
    if norm_at(tokens, i) != "inch" or norm_at(tokens, i + 1) != "and" or norm_at(tokens, i - 1) in ("-",):
        return None
    if any(norm_at(tokens, i - 1) == w for w in ONES if w != "one") or norm_at(tokens, i - 1).isdecimal():
        return None
    part = part_after_and(tokens, i + 2)
    if part is None:
        return None
    first = i - 1 if norm_at(tokens, i - 1) in ("an", "one", "a") else i
    return Measure(first, part.last, 1 + part.value, "in", loose=False)


def _with_unit(tokens: Sequence[Token], i: int, numbers: Sequence[Number]) -> Measure | None:
    return _written_together(tokens, i) or _number_and_unit(tokens, i, numbers)


def _written_together(tokens: Sequence[Token], i: int) -> Measure | None:
    """ "10mm", "quarter-inch", "ten-inch": number and unit in one word."""
    attached = re.fullmatch(r"(\d+(?:\.\d+)?)(mm|cm|m|in|ft)", norm_at(tokens, i))
    if attached:
        return Measure(i, i, Fraction(attached[1]), attached[2], loose=False)
    joined = re.fullmatch(r"(\d+|[a-z]+)-(inch|foot|mm|mil)", norm_at(tokens, i))
    values = joined and {
        **{str(n): Fraction(n) for n in range(1, 400)},
        **{w: Fraction(n) for w, n in ONES.items()},
        **{w: Fraction(1, n) for w, n in PARTS.items()},
    }
    if not joined or not values or joined[1] not in values:
        return None
    return Measure(i, i, values[joined[1]], UNITS[joined[2]], loose=joined[2] in LOOSE_UNITS)


def _number_and_unit(tokens: Sequence[Token], i: int, numbers: Sequence[Number]) -> Measure | None:
    """ "22 inches", "five eighths of an inch", "half an inch"; never "$212" or "four in the box"."""
    number = next((n for n in numbers if n.first == i and n.kind != "ordinal"), None)
    if number is None and norm_at(tokens, i) in ("a", "an") and norm_at(tokens, i + 1) in ONE_UNIT:
        number = Number(i, i, Fraction(1), "count")
    if number is None or norm_at(tokens, i - 1) in ("$", "£", "€"):
        return None
    j = _unit_after(tokens, number)
    word = norm_at(tokens, j)
    figure = norm_at(tokens, i)[0].isdecimal()
    if word not in UNITS or (word == "in" and not _in_is_unit(tokens, j)) or (word == "m" and not figure):
        return None
    if UNITS[word] == "ft":
        return _feet(tokens, number, j, numbers)
    if UNITS[word] == "m" and number.kind == "count":
        return _metres(tokens, number, j, numbers)
    part = (
        part_after_and(tokens, j + 2) if norm_at(tokens, j + 1) == "and" and number.kind == "count" else None
    )
    if part is not None and UNITS[word] == "in":
        return Measure(i, part.last, number.value + part.value, "in", loose=False)
    return Measure(i, j, number.value, UNITS[word], loose=word in LOOSE_UNITS)


def _unit_after(tokens: Sequence[Token], number: Number) -> int:
    """The token where the unit would stand: past "of an" or "an" after a fraction, past a hyphen."""
    j = number.last + 1
    if number.kind == "fraction":
        j += norm_at(tokens, j) == "of" and norm_at(tokens, j + 1) in ("an", "a")
        j += norm_at(tokens, j) in ("an", "a")
    return j + (norm_at(tokens, j) == "-")


def _in_is_unit(tokens: Sequence[Token], j: int) -> bool:
    """ "in" after a figure at the end of a phrase; "four in the box" is no size."""
    return norm_at(tokens, j - 1)[-1:].isdecimal() and norm_at(tokens, j + 1) in (
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
    if after is None and norm_at(tokens, j + 1) == "and":
        after = next(
            (
                n
                for n in numbers
                if n.first == j + 2
                and n.kind != "ordinal"
                and norm_at(tokens, n.last + 1) in ("inch", "inches")
            ),
            None,
        )
    if after is None or after.value >= 12:
        return Measure(number.first, j, number.value, "ft", loose=False)
    last = after.last + 1 if norm_at(tokens, after.last + 1) in ("inch", "inches") else after.last
    return Measure(number.first, last, number.value * 12 + after.value, "in", loose=False)


def _metres(tokens: Sequence[Token], number: Number, j: int, numbers: Sequence[Number]) -> Measure:
    """ "two metres forty", "3 metres 10": what follows the metre are centimetres, where it is two figures."""
    after = next((n for n in numbers if n.first == j + 1 and n.kind == "count"), None)
    if after is None or not 10 <= after.value < 100 or norm_at(tokens, after.last + 1) in UNITS:
        return Measure(number.first, j, number.value, "m", loose=False)
    return Measure(number.first, after.last, number.value + after.value / 100, "m", loose=False)


def unmeasured(
    tokens: Sequence[Token], span: tuple[int, int], numbers: Sequence[Number], measures: Sequence[Measure]
) -> list[Measure]:
    """The numbers in *span* as measures without a unit: "the track's fourteen", "830 by 200", "an eighth"."""
    first, last = span
    bare = [
        Measure(n.first, n.last, n.value, None, loose=False)
        for n in numbers
        if first - 1 <= n.first and n.last <= last + 1 and n.last >= first and n.first <= last
        and n.kind != "ordinal" and not any(m.first <= n.last and n.first <= m.last for m in measures)
    ]  # fmt: skip
    if bare:
        return bare
    parts = [(i, PARTS.get(norm_at(tokens, i))) for i in range(first, last + 1)]
    return [Measure(i, i, Fraction(1, n), None, loose=False) for i, n in parts if n is not None]


def unit_for(measure: Measure, measures: Sequence[Measure]) -> str:
    """The unit a size without one is likely meant in: inches for a maker's fraction, else that of the size
    said nearest, else millimetres for what would be a very long inch.
    """
    if measure.value.denominator != 1:
        return "in"
    others = [m for m in measures if m.unit in ("in", "mm", "cm", "m")]
    near = min(others, key=lambda m: abs(m.first - measure.first), default=None)
    if near is not None and near.unit in ("mm", "in"):
        return near.unit if near.unit == "mm" or measure.value < LONG_IN else "mm"
    return "mm" if measure.value >= LONG_IN else "in"


def _bare_fraction(tokens: Sequence[Token], i: int, numbers: Sequence[Number]) -> Measure | None:
    """ "nine and five eighths", "three eighths": a maker's fraction with no unit; whoever reads it must
    doubt the unit.
    """
    number = next((n for n in numbers if n.first == i and n.kind == "fraction"), None)
    if number is None or number.value.denominator not in MAKER_S_FRACTIONS or number.value == Fraction(1, 2):
        return None
    if norm_at(tokens, number.last + 1) in ("of", "an", "past", "to", "hour", "hours", "price") or norm_at(
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
