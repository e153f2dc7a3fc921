"""What the recogniser is told: the trade's words, the shop's own as far as they fit, never a rival."""

from __future__ import annotations

import re

import pytest

from notepipe.trade.hearing_words import hearing_pack, hearing_words, rough_tokens


def words_of(text: str) -> set[str]:
    return set(re.findall(r"[\w'-]+", text.casefold()))


def test_both_prompts_name_the_words_that_decide() -> None:
    prompts = hearing_words()
    for word in ("replate", "plater", "buff", "polish", "straighten"):
        assert word in words_of(prompts.sentence)
        assert word in words_of(prompts.words)


def test_no_rival_is_named_even_where_the_shop_asks_for_it() -> None:
    prompts = hearing_words(["replace", "step plate", "grab pole"])
    assert not words_of(prompts.sentence + " " + prompts.words) & set(hearing_pack().never)
    assert "grab pole" in prompts.sentence


@pytest.mark.parametrize("count", [0, 1, 3, 200])
def test_prompts_stay_within_the_budget_with_the_first_shop_words_kept(count: int) -> None:
    own = [f"sprocket{i}" for i in range(count)]
    prompts = hearing_words(own)
    budget = hearing_pack().budget_tokens
    assert all(rough_tokens(prompt) <= budget for prompt in prompts if count)
    kept = [word for word in own if word in words_of(prompts.words)]
    assert kept == own[: len(kept)]
    assert (count == 0) == (not kept)


def test_the_shops_words_stand_in_a_sentence() -> None:
    assert hearing_words(["fleet number"]).sentence.endswith("There is also the fleet number.")
    assert hearing_words(["a1", "b2", "c3"]).sentence.endswith("There is also the a1, b2 and c3.")


def test_a_word_that_is_told_already_is_not_told_twice() -> None:
    assert hearing_words(["Escutcheon"]) == hearing_words()


def test_spellings_of_one_word_have_one_key() -> None:
    spellings = hearing_pack().spellings()
    assert spellings["eight"] == spellings["8"]
    assert spellings["gray"] == spellings["grey"]
