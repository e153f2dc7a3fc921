"""Words that pick some out of a set pick as many as they say, and a count of something else picks none."""

import pytest

from notepipe.reading.marks import Group, Span, Value
from notepipe.reading.measures import measures_in
from notepipe.reading.numbers import numbers_in
from notepipe.reading.picks import Pick, pick
from notepipe.reading.tokens import tokens_of

SIX = Group("bracket", [Span(0, 1)], plural=True)


def picked(text: str, whole: Group | None = SIX) -> tuple[Pick, str] | None:
    """What the first words of *text* pick out of *whole*, and those words."""
    tokens = tokens_of(text)
    numbers = numbers_in(tokens)
    found = pick(tokens, numbers, measures_in(tokens, numbers), whole, 0)
    return (found, text[: tokens[found.last].end]) if found else None


@pytest.mark.parametrize(
    ("text", "words", "number"),
    [
        ("Two of them are bent.", "Two of them", 2),
        ("Two are bent.", "Two", 2),
        ("The other three are fine.", "The other three", 3),
        ("The fifth is cracked.", "The fifth", 1),
        ("The last one is cracked.", "The last one", 1),
        ("The bent ones go in the bin.", "The bent ones", None),
    ],
)
def test_some_are_picked_out(text: str, words: str, number: int | None) -> None:
    found = picked(text)
    assert found is not None
    assert (found[1], found[0].number, found[0].everything) == (words, number, False)


@pytest.mark.parametrize("text", ["The rest get polished.", "The others are fine.", "The other is fine."])
def test_what_is_left_is_the_rest(text: str) -> None:
    found = picked(text)
    assert found is not None
    assert (found[0].rest, found[0].number) == (True, None)


@pytest.mark.parametrize("text", ["Both are bent.", "All three of them go.", "The pair of them go."])
def test_all_of_them_is_the_set_itself(text: str) -> None:
    found = picked(text)
    assert found is not None
    assert found[0].everything


OTHERS = pytest.param(
    "Two of the lamps are bent.",
    marks=pytest.mark.xfail(strict=True, reason="the noun after 'of the' is not held against the set's"),
)


@pytest.mark.parametrize("text", ["Two dents in that.", "Two inches are missing.", OTHERS])
def test_a_count_of_something_else_picks_nothing(text: str) -> None:
    assert picked(text) is None


def test_nothing_is_picked_out_of_one_thing_or_of_none() -> None:
    one = Group("bell", [Span(0, 1)], plural=False, values=[Value("quantity", 1, Span(0, 0), "r")])
    assert picked("The other one is bent.") is not None
    assert picked("The other one is bent.", one) is None
    assert picked("The other one is bent.", None) is None
