"""Counts and sizes as they are said and as a recogniser writes them."""

from fractions import Fraction

import pytest

from notepipe.reading.measures import measures_in, spoken, to_mm, unit_for, unmeasured
from notepipe.reading.numbers import numbers_in
from notepipe.reading.tokens import tokens_of

SIZES = [
    ("five eighths of an inch", [("5/8", "in", 15.875)]),
    ("it is 5-8 of an inch across", [("5/8", "in", 15.875)]),
    ("5 8 of an inch", [("5/8", "in", 15.875)]),
    ("1½ inches wide", [("1 1/2", "in", 38.1)]),
    ("¾ inch", [("3/4", "in", 19.05)]),
    ("half an inch across", [("1/2", "in", 12.7)]),
    ("5 8ths of an inch", [("5/8", "in", 15.875)]),
    ("3 16ths of an inch", [("3/16", "in", 4.7625)]),
    ("a 3/16 inch rod", [("3/16", "in", 4.7625)]),
    ("an inch and a quarter across", [("1 1/4", "in", 31.75)]),
    ("inch and seven eighths", [("1 7/8", "in", 47.625)]),
    ("14 and a half inches", [("14 1/2", "in", 368.3)]),
    ("thirty-one and a half inches high", [("31 1/2", "in", 800.1)]),
    ("33 1/4 inches", [("33 1/4", "in", 844.55)]),
    ("two foot six", [("30", "in", 762.0)]),
    ("9 foot 6 long", [("114", "in", 2895.6)]),
    ("fourteen feet long", [("14", "ft", 4267.2)]),
    ("610 by 230 mil", [("610", "mm", 610.0), ("230", "mm", 230.0)]),
    ("30 inches by 18", [("30", "in", 762.0), ("18", "in", 457.2)]),
    ("4 by 16 inches, an eighth thick", [("4", "in", 101.6), ("16", "in", 406.4), ("1/8", None, None)]),
    ("13.5 millimetres", [("13.5", "mm", 13.5)]),
    ("2.24 metres long", [("2.24", "m", 2240.0)]),
    ("thirty-seven thou", [("37", "thou", 0.9398)]),
    ("10mm pin", [("10", "mm", 10.0)]),
    ("two metres forty", [("2.4", "m", 2400.0)]),
    ("3 metres 10 long", [("3.1", "m", 3100.0)]),
    ("two metres, four of them", [("2", "m", 2000.0)]),
    ("two metres forty centimetres", [("2", "m", 2000.0), ("40", "cm", 400.0)]),
    ("a quarter-inch pane", [("1/4", "in", 6.35)]),
    ("nine and five eighths", [("9 5/8", None, None)]),
    ("two and a half hours", []),
    ("$212, three weeks out", []),
    ("four in the box", []),
    ("a quarter past nine", []),
]


@pytest.mark.parametrize(("said", "wanted"), SIZES)
def test_a_size_as_said(said: str, wanted: list[tuple[str, str | None, float | None]]) -> None:
    tokens = tokens_of(said)
    got = [
        (spoken(m.value, m.unit), m.unit, to_mm(m.value, m.unit) if m.unit else None)
        for m in measures_in(tokens, numbers_in(tokens))
    ]
    assert [g[:2] for g in got] == [w[:2] for w in wanted]
    assert [g[2] for g in got] == pytest.approx([w[2] for w in wanted])


COUNTS = [
    ("a pair of hinges", 2),
    ("half a dozen hooks", 6),
    ("two dozen screws", 24),
    ("four dozen bolts", 48),
    ("a score of rivets", 20),
    ("a hundred and nine tabs", 109),
    ("two hundred twenty sockets", 220),
    ("three hundred and twelve drops", 312),
    ("forty-one rings", 41),
    ("a baker's dozen of snaps", 13),
    ("142 letters", 142),
    ("1,200 tiles", 1200),
    ("a couple of plates", 2),
    ("forty one rings", 41),
]


@pytest.mark.parametrize(("said", "count"), COUNTS)
def test_a_count_as_said(said: str, count: int) -> None:
    assert numbers_in(tokens_of(said))[0].value == Fraction(count)


@pytest.mark.parametrize(
    ("said", "words", "values"),
    [
        ("The track's fourteen.", "fourteen", ["14"]),
        ("They're an eighth.", "an eighth", ["1/8"]),
        ("Two of them, ten mil.", "Two of them", ["2"]),
    ],
)
def test_a_number_without_a_unit_is_a_size_where_the_trained_reader_says_so(
    said: str, words: str, values: list[str]
) -> None:
    tokens = tokens_of(said)
    numbers = numbers_in(tokens)
    first, last = (
        next(t.i for t in tokens if t.at == said.index(words)),
        next(t.i for t in tokens if t.end == said.index(words) + len(words)),
    )
    found = unmeasured(tokens, (first, last), numbers, measures_in(tokens, numbers))
    assert [spoken(m.value) for m in found] == values


@pytest.mark.parametrize(
    ("said", "unit"),
    [
        ("600 by 200", "mm"),
        ("12 by 18", "in"),
        ("12 by 18, and a pin of 6 mm", "mm"),
        ("an eighth by five eighths, 6 mm", "in"),
        ("200 by 150, an inch thick", "mm"),
    ],
)
def test_a_size_without_a_unit_takes_the_likely_one(said: str, unit: str) -> None:
    tokens = tokens_of(said)
    measures = measures_in(tokens, numbers_in(tokens))
    assert unit_for(next(m for m in measures if m.unit is None), measures) == unit
