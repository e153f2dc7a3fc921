"""Parts, metals, finishes and actions are found in running words, the longest first."""

import pytest

from notepipe.reading.terms import Lexicon, singular
from notepipe.reading.tokens import tokens_of
from notepipe.trade import load_trade

LEXICON = Lexicon(load_trade())


def terms(text: str, kind: str) -> list[str]:
    return [t.value for t in LEXICON.terms(tokens_of(text)) if t.kind == kind]


def actions(text: str) -> list[tuple[str, str]]:
    return [(a.row.action, a.form) for a in LEXICON.actions(tokens_of(text))]


@pytest.mark.parametrize(
    ("plural", "one"),
    [
        ("hinges", "hinge"),
        ("glasses", "glass"),
        ("lenses", "lens"),
        ("lens", "lens"),
        ("brass", "brass"),
        ("trolleys", "trolley"),
        ("bushes", "bush"),
        ("assemblies", "assembly"),
    ],
)
def test_a_plural_is_brought_to_its_singular(plural: str, one: str) -> None:
    assert singular(plural) == one


def test_the_longest_name_wins() -> None:
    assert terms("The door handles are loose.", "part") == ["door handle"]
    assert terms("It is cast iron.", "metal") == ["cast iron"]


def test_a_finish_said_as_a_verb_is_an_action_and_said_of_a_surface_is_none() -> None:
    """ "nickel them" orders work; "the worn nickel" describes what is there."""
    assert ("replate", "base") in actions("We'll nickel them.")
    assert actions("The worn nickel shows.") == []


def test_an_action_is_told_in_its_form() -> None:
    assert actions("We are polishing it.") == [("polish", "ing")]
    assert actions("The bell was polished.") == [("polish", "ed")]
    assert actions("It wants a good polish.") == [("polish", "noun")]


def test_a_phrase_wins_over_the_verb_inside_it() -> None:
    assert actions("Run it over the wheel.") == [("buff", "phrase")]
