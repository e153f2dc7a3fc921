"""One and many: the plurals of the workshop's names, and words folded so that both forms meet."""

import pytest

from notepipe.trade.plurals import fold, head_word, plural

PLURALS = [
    ("coat hook", "coat hooks"),
    ("hinge leaf", "hinge leaves"),
    ("pipe foot", "pipe feet"),
    ("pump body", "pump bodies"),
    ("window tray", "window trays"),
    ("bell push", "bell pushes"),
    ("gauge glass", "gauge glasses"),
    ("oil box", "oil boxes"),
    ("bow light lens", "bow light lenses"),
    ("bellows", "bellows"),
    ("box of screws", "boxes of screws"),
    ("sidelight (port)", "sidelights (port)"),
    ("letter N", "letters N"),
    ("hat-and-coat hook", "hat-and-coat hooks"),
]


@pytest.mark.parametrize(("one", "many"), PLURALS)
def test_a_name_has_its_plural(one: str, many: str) -> None:
    assert plural(one) == many


@pytest.mark.parametrize(("one", "many"), PLURALS)
def test_both_forms_fold_to_the_same(one: str, many: str) -> None:
    assert [fold(word) for word in one.split()] == [fold(word) for word in many.split()]


@pytest.mark.parametrize("word", ["brass", "glass", "chassis", "compass", "gas", "radius"])
def test_a_word_that_only_ends_like_a_plural_is_left_alone(word: str) -> None:
    assert fold(word) == word


def test_different_things_do_not_fold_together() -> None:
    assert (
        len({fold(word) for word in ("lens", "lever", "glass", "gas", "brass", "bras", "pin", "pinion")}) == 8
    )


def test_the_head_says_what_it_is() -> None:
    assert head_word("door Hinge (left)") == "hinge"
    assert head_word("box of screws") == "box"
