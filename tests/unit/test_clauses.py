"""A clause is the stretch that a cue reaches: what is said of one thing must not reach the next."""

import pytest

from notepipe.reading.clauses import clauses_of
from notepipe.reading.tokens import tokens_of


def clauses(text: str) -> list[str]:
    tokens = tokens_of(text)
    return [text[tokens[c.first].at : tokens[c.last].end] for c in clauses_of(tokens)]


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        (
            "We'll polish the bell, but we won't plate it.",
            ["We'll polish the bell,", "but we won't plate it."],
        ),
        ("Two go to the plater, one is cracked.", ["Two go to the plater,", "one is cracked."]),
        ("Strip it; wax it.", ["Strip it;", "wax it."]),
        ("The old, worn, brass bell.", ["The old, worn, brass bell."]),
        ("Strip and wax it.", ["Strip and wax it."]),
    ],
)
def test_a_clause_begins_where_a_new_statement_does(text: str, pieces: list[str]) -> None:
    assert clauses(text) == pieces


def test_the_clauses_hold_every_token_once_and_none_spans_two_sentences() -> None:
    text = "Right, the lamps: two are bent, and one's gone. Do we plate them, or not? I'd wax it — she'd not."
    tokens = tokens_of(text)
    found = clauses_of(tokens)
    assert [i for c in found for i in range(c.first, c.last + 1)] == list(range(len(tokens)))
    assert all(tokens[c.first].sentence == tokens[c.last].sentence == c.sentence for c in found)


def test_no_tokens_have_no_clauses() -> None:
    assert clauses_of(()) == []
