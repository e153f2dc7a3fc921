"""Words are cut so that what the trade writes as one word stays one, and every token knows where it stood."""

import pytest

from notepipe.reading.tokens import cut, tokens_of


@pytest.mark.parametrize("word", ["re-plated", "die-cast", "5-8", "1,200", "3/8", "1-1/2", "12mm", "16ths"])
def test_a_word_of_the_trade_is_not_cut(word: str) -> None:
    assert [piece.text for piece in cut(f"the {word} one")] == ["the", word, "one"]


def test_a_refusal_is_cut_from_its_verb_and_written_out() -> None:
    """ "won't" and "will not" must be one to the packs, however the apostrophe is typed."""
    for said in ("We won't plate it.", "We won’t plate it."):
        assert [t.norm for t in tokens_of(said)] == ["we", "will", "not", "plate", "it", "."]


def test_every_token_stands_in_the_text_where_it_says() -> None:
    text = "Gonna strip 'em — “all” of\nthem, aren't we? 5/8 inch."
    tokens = tokens_of(text)
    assert [text[t.at : t.end] for t in tokens] == [t.text for t in tokens]
    left = set(range(len(text))) - {i for t in tokens for i in range(t.at, t.end)}
    assert {text[i] for i in left} <= {" ", "\n", "'"}


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        ("Strip it. Then wax it.", 2),
        ("Strip it for Mr. Fenn today.", 1),
        ("Strip the lamp\nWax the bell", 2),
        ("Strip it? Wax it!", 2),
        ("It is 4.5 inches.", 1),
    ],
)
def test_sentences_end_at_stops_and_lines_but_not_after_a_short_form(text: str, sentences: int) -> None:
    assert len({t.sentence for t in tokens_of(text)}) == sentences


def test_a_note_of_nothing_has_no_tokens() -> None:
    assert tokens_of(" \n ") == ()
