"""Names, picks and pointing words land on the group they mean."""

import pytest

from notepipe.reading.clauses import clauses_of
from notepipe.reading.marks import Group
from notepipe.reading.measures import measures_in
from notepipe.reading.numbers import numbers_in
from notepipe.reading.pointing import Memory, Scene, point
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import load_trade

LEXICON = Lexicon(load_trade())


def pointed(text: str) -> Memory:
    tokens = tokens_of(text)
    numbers = numbers_in(tokens)
    return point(
        Scene(
            tokens,
            clauses_of(tokens),
            LEXICON.terms(tokens),
            LEXICON.actions(tokens),
            numbers,
            measures_in(tokens, numbers),
        )
    )


def meant(text: str, word: str) -> Group | None:
    """The group that the last *word* of *text* means."""
    last = max(t.i for t in tokens_of(text) if t.norm == word)
    return pointed(text).at.get(last)


def counts(text: str) -> list[tuple[str, object]]:
    return [(g.name, g.value("quantity")) for g in pointed(text).groups]


@pytest.mark.parametrize(
    ("text", "word", "name"),
    [
        ("The bell is brass. It needs a polish.", "it", "bell"),
        ("The bell is brass. The lamp is bent. It needs a polish.", "it", "lamp"),
        ("Four door handles. Those get polished.", "those", "door handle"),
    ],
)
def test_a_pointing_word_means_the_thing_last_spoken_of(text: str, word: str, name: str) -> None:
    group = meant(text, word)
    assert group is not None
    assert group.name == name


def test_nothing_is_pointed_at_before_anything_is_named() -> None:
    assert pointed("It is raining, and that is that.").at == {}


def test_a_thing_named_again_is_the_same_thing() -> None:
    assert counts("The bell is loud. We polish the bell.") == [("bell", 1)]


def test_the_rest_of_a_set_is_counted_from_what_was_picked() -> None:
    assert counts("Six brackets. Two of them are bent. The rest get polished.") == [
        ("bracket", 6),
        ("bracket", 2),
        ("bracket", 4),
    ]


def test_the_rest_of_a_set_of_no_known_size_is_not_counted() -> None:
    assert ("bracket", None) in counts("The brackets. Two of them are bent. The rest get polished.")


def test_a_picked_group_knows_its_set() -> None:
    groups = pointed("Six brackets. Two of them are bent.").groups
    assert groups[1].set_of is groups[0]
    assert groups[0].picked == [groups[1]]


def test_a_place_is_no_part() -> None:
    assert counts("The bell is on the bench.") == [("bell", 1)]
