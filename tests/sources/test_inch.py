"""NIST and the agreement of 1959 (Federal Register notice 59-5442): 1 in = 25.4 mm exactly."""

from fractions import Fraction

import pytest

from notepipe.reading.measures import to_mm

# (value, unit, mm), computed by hand from 25.4 mm to the inch and 36 in to the yard of 0.9144 m; all exact.
TABLE = [
    ("1", "in", "25.4"),
    ("1/16", "in", "1.5875"),
    ("1/8", "in", "3.175"),
    ("5/8", "in", "15.875"),
    ("15/16", "in", "23.8125"),
    ("1/32", "in", "0.79375"),
    ("1/64", "in", "0.396875"),
    ("3/64", "in", "1.190625"),
    ("17/16", "in", "26.9875"),
    ("9/2", "in", "114.3"),
    ("5/2", "ft", "762"),
    ("6", "ft", "1828.8"),
    ("1", "yd", "914.4"),
    ("37", "thou", "0.9398"),
    ("1/2", "thou", "0.0127"),
    ("13.5", "mm", "13.5"),
    ("2.5", "cm", "25"),
]


@pytest.mark.parametrize(("value", "unit", "mm"), TABLE)
def test_a_measure_is_exact_to_the_agreement(value: str, unit: str, mm: str) -> None:
    assert to_mm(Fraction(value), unit) == float(Fraction(mm))


def test_every_sixty_fourth_up_to_a_yard_is_exact() -> None:
    for count in range(1, 36 * 64 + 1):
        assert Fraction(to_mm(Fraction(count, 64), "in")).limit_denominator(10**7) == Fraction(
            count, 64
        ) * Fraction(127, 5)
