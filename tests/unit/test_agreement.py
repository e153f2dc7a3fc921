"""Two hearings are compared by what was said, not by its spelling; what one leaves out, the other keeps."""

from __future__ import annotations

import pytest

from notepipe.agreement import Heard, differences, filled, key, without_read_back
from notepipe.transcript import Word

SAME = {"eight": "8", "8": "8", "color": "colour", "colour": "colour"}


def heard(text: str, start_s: float = 0.0, probability: float = 0.9) -> list[Heard]:
    """Words of half a second each, one behind the other."""
    return [Heard(w, start_s + i / 2, start_s + i / 2 + 0.5, probability) for i, w in enumerate(text.split())]


def written(text: str, probability: float = 0.9) -> list[Word]:
    words, at = [], 0
    for word in text.split():
        words.append(Word(text=word, at=at, probability=probability))
        at += len(word) + 1
    return words


def differ(text: str, other: str, probability: float = 0.9) -> list[tuple[str, str]]:
    found = differences(written(text, probability), heard(other), SAME)
    return [(text[d.start : d.end], d.other) for d in found]


@pytest.mark.parametrize(
    ("text", "other"),
    [
        ("We'll replate them.", "we’ll re-plate them"),
        ("We'll replate them.", "We'll re plate them."),
        ("Eight hooks, bent.", "8 hooks bent"),
        ("the color", "The colour."),
    ],
)
def test_spelling_capitals_and_punctuation_are_no_difference(text: str, other: str) -> None:
    assert differ(text, other) == []


def test_another_word_is_a_difference_with_both_readings() -> None:
    assert differ("We'll replate the hinges.", "We'll replace the hinges.") == [("replate", "replace")]


def test_a_word_only_one_of_them_has_is_a_difference() -> None:
    assert differ("We won't buff it.", "We buff it.") == [("won't", "")]
    assert differ("We buff it.", "We won't buff it.") == [("", "won't")]


def test_a_word_missing_in_the_text_stands_behind_the_word_before_it() -> None:
    (found,) = differences(written("We buff it."), heard("We won't buff it."), {})
    assert (found.start, found.end) == (2, 2)


def test_where_the_text_has_nothing_the_difference_stands_at_its_end() -> None:
    (found,) = differences([], heard("Buff it."), {}, 40)
    assert (found.start, found.end, found.other) == (40, 40, "Buff it.")


def test_a_clause_the_check_left_out_is_no_difference_unless_it_was_heard_badly() -> None:
    text, other = "Leave the hook. It was fine all right. Buff it.", "Leave the hook. Buff it."
    assert differ(text, other) == []
    assert differ(text, other, probability=0.2) == [("It was fine all right.", "")]


def test_a_clause_the_text_left_out_is_put_in_where_there_is_time_for_it() -> None:
    check = heard("Leave it. Ten of these go for nickel. Good.")
    text = [check[0], check[1], check[8]]
    words, added = filled(text, check)
    assert [w.text for w in words] == [w.text for w in check]
    assert [w.text for w in added] == ["Ten", "of", "these", "go", "for", "nickel."]


def test_no_clause_is_put_in_where_the_text_has_words_all_the_time() -> None:
    check = heard("Leave it. Ten of these go for nickel. Good.")
    text = [check[0], Heard("it.", 0.5, 4.0, 0.9), check[8]]
    assert filled(text, check) == (text, [])


def test_a_few_words_are_not_put_in() -> None:
    check = heard("Leave it. In bronze. Good.")
    text = [check[0], check[1], check[4]]
    assert filled(text, check) == (text, [])


PROMPT = "Strip and replate the cleats, buff the rest."


def test_the_prompts_own_words_are_left_out_where_the_check_does_not_have_them() -> None:
    kept, dropped = without_read_back(heard("Hello. Strip and replate the cleats."), PROMPT, heard("Hello."))
    assert [w.text for w in kept] == ["Hello."]
    assert [w.text for w in dropped] == ["Strip", "and", "replate", "the", "cleats."]


def test_the_prompts_words_stay_where_they_were_said() -> None:
    said = heard("Strip and replate the cleats.")
    assert without_read_back(said, PROMPT, heard("Strip and we play the cleats")) == (said, [])


def test_a_short_phrase_that_is_in_the_prompt_stays() -> None:
    said = heard("Replate the cleats.")
    assert without_read_back(said, PROMPT, []) == (said, [])


def test_a_word_is_compared_without_its_edges() -> None:
    assert key("“Re-plate,”", {}) == "replate"
    assert key("won't.", {}) == "won't"
