"""What the trained reader tags becomes a stretch of words, and those words a name or a value of the packs."""

import numpy as np
import pytest

from notepipe.reading.clauses import clauses_of
from notepipe.reading.ground import Ground, canonical, name_of, spans
from notepipe.reading.marks import Span
from notepipe.reading.measures import measures_in
from notepipe.reading.network import Floats, look
from notepipe.reading.numbers import numbers_in
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import load_trade

LEXICON = Lexicon(load_trade())


def ground(text: str) -> Ground:
    tokens = tokens_of(text)
    numbers = numbers_in(tokens)
    terms, measures = LEXICON.terms(tokens), measures_in(tokens, numbers)
    return Ground(
        tokens, look([t.text for t in tokens]), terms, numbers, measures, clauses_of(tokens), LEXICON
    )


def logits(tags: list[int]) -> Floats:
    """Of 3 classes, *tags* the likeliest."""
    return np.eye(3, dtype=np.float32)[tags]


@pytest.mark.parametrize(
    ("tags", "found"),
    [
        ([0, 1, 2, 2, 0], [Span(1, 3)]),
        ([1, 1, 2], [Span(0, 0), Span(1, 2)]),
        ([0, 2, 2], []),
        ([0, 0, 1], [Span(2, 2)]),
    ],
)
def test_a_stretch_begins_with_its_own_tag_and_runs_while_it_is_tagged_on(
    tags: list[int], found: list[Span]
) -> None:
    assert spans(logits(tags), 1, 2) == found


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("the old door handles", ("old door handle", True)),
        ("a brass bell", ("bell", False)),
        ("the other two", ("", False)),
        ("those", ("", False)),
    ],
)
def test_a_name_is_its_own_words_in_the_singular(text: str, name: tuple[str, bool]) -> None:
    whole = ground(text)
    assert name_of(whole, Span(0, len(whole.tokens) - 1)) == name


def test_a_finish_is_given_in_the_word_of_the_packs() -> None:
    assert canonical(ground("chromed again"), "finish", Span(0, 0)) == "chrome"
    assert canonical(ground("stripy purple"), "finish", Span(0, 1)) == "stripy purple"


def test_a_guessed_name_needs_a_noun() -> None:
    """ "Four good" names nothing: the group is called as the one before it."""
    for text, name in (("four good", ""), ("four good bells", "good bell")):
        whole = ground(text)
        assert name_of(whole, Span(0, len(whole.tokens) - 1), guess=True)[0] == name
