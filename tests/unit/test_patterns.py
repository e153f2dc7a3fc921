"""The packs' little language finds what it says and nothing beyond the end of a sentence."""

import pytest

from notepipe.reading.patterns import all_forms, compiled, forms, matches
from notepipe.reading.tokens import tokens_of


@pytest.mark.parametrize(
    ("verb", "ing", "ed"),
    [
        ("plate", "plating", "plated"),
        ("strip", "stripping", "stripped"),
        ("buff", "buffing", "buffed"),
        ("straighten", "straightening", "straightened"),
        ("enamel", "enamelling", "enamelled"),
        ("enamel", "enameling", "enameled"),
        ("tidy", "tidying", "tidied"),
        ("rebuild", "rebuilding", "rebuilt"),
        ("scrap", "scrapping", "scrapped"),
    ],
)
def test_a_verb_is_known_in_its_forms(verb: str, ing: str, ed: str) -> None:
    assert ing in forms(verb).ing
    assert ed in forms(verb).ed


def test_a_clipped_spelling_is_no_form() -> None:
    """ "striping" is another trade's work, and must not order a stripping."""
    assert "straightenned" not in all_forms("straighten")
    assert "striping" not in all_forms("strip")


def found(pattern: str, text: str) -> list[str]:
    tokens = tokens_of(text)
    return [text[tokens[a].at : tokens[b - 1].end] for a, b in matches(pattern, tokens, {})]


def test_either_word_is_found_and_a_missing_one_forgiven() -> None:
    assert found("up|down to them?", "It is up to them, or down to us.") == ["up to them", "down to"]


def test_any_form_of_a_verb_is_found() -> None:
    assert found("^take off", "Taken off, taking off, took on.") == ["Taken off", "taking off"]


def test_a_gap_is_three_words_at_most() -> None:
    assert found("send * away", "Send all the lamps away.") == ["Send all the lamps away"]
    assert found("send * away", "Send all the old lamps away.") == []


def test_no_match_runs_from_one_sentence_into_the_next() -> None:
    assert found("not * plate", "Certainly not. Plate it.") == []


def test_an_empty_pattern_is_an_error() -> None:
    for slip in ("", "a||b"):
        with pytest.raises(ValueError, match="empty"):
            compiled(slip)
