"""How firmly an action stands is what the words around it say; where they say nothing it is no decision."""

import pytest

from notepipe.reading.clauses import clauses_of
from notepipe.reading.standing import cues_in, kinds_of, standing_of
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import load_trade

TRADE = load_trade()
LEXICON = Lexicon(TRADE)


def standings(text: str) -> list[str | None]:
    """Of every action in *text*, in order."""
    tokens = tokens_of(text)
    actions = LEXICON.actions(tokens)
    cues = cues_in(tokens, TRADE, kinds_of(actions, LEXICON.terms(tokens)))
    out: list[str | None] = []
    for action in actions:
        clause = next(c for c in clauses_of(tokens) if c.first <= action.first <= c.last)
        said = standing_of(action, clause, cues, tokens)
        out.append(said[0] if said else None)
    return out


@pytest.mark.parametrize(
    ("text", "standing"),
    [
        ("We'll polish the bell.", "decided"),
        ("We won't polish the bell.", "ruled-out"),
        ("We might polish the bell.", "considering"),
        ("Shall we polish the bell?", "asking"),
        ("We've already polished the bell.", "done"),
        ("Polish the bell.", "decided"),
        ("Polished on Monday.", "done"),
        ("Do they want it polished?", "asking"),
        ("We can't polish that.", "ruled-out"),
        ("Nobody is polishing that.", "ruled-out"),
    ],
)
def test_the_words_around_an_action_say_how_it_stands(text: str, standing: str) -> None:
    assert standings(text) == [standing]


def test_an_action_nobody_decided_on_is_no_decision() -> None:
    """ "The polished one" tells lamps apart; nothing is to happen to it."""
    assert standings("The polished one is the front lamp.") == [None]


def test_a_refusal_ends_with_its_clause() -> None:
    assert standings("We won't plate the bell, but we'll polish it.") == ["ruled-out", "decided"]


def test_a_question_wins_over_a_plan_in_the_same_sentence() -> None:
    assert standings("Should we plate it, or will you want it polished?") == ["asking", "asking"]
