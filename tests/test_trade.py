"""Every row of every pack does what its example says; without the row the example comes out otherwise."""

from __future__ import annotations

from functools import cache

import pytest

from notepipe.reading.clauses import clauses_of
from notepipe.reading.doubts import misheard
from notepipe.reading.patterns import all_forms
from notepipe.reading.standing import cues_in, kinds_of, standing_of
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import Token, tokens_of
from notepipe.trade import ActionRow, CueRow, Example, Mishearing, Term, Trade, load_trade

TRADE = load_trade()
WHOLE = Lexicon(TRADE)
STANDINGS = ("decided", "considering", "asking", "ruled-out", "done")

tokens = cache(tokens_of)


def id_of(row: Mishearing) -> str:
    return f"{row.said}>{row.heard}"


def terms_said(say: str, kind: str, lexicon: Lexicon) -> set[str]:
    return {t.value for t in lexicon.terms(tokens(say)) if t.kind == kind}


def actions_said(say: str, lexicon: Lexicon) -> set[str]:
    return {a.row.action for a in lexicon.actions(tokens(say))}


def standings_said(words: tuple[Token, ...], trade: Trade) -> set[str]:
    """How every action in *words* stands, and the cues that say something else of the sentence."""
    actions, terms = WHOLE.actions(words), WHOLE.terms(words)
    cues = cues_in(words, trade, kinds_of(actions, terms))
    out = {c.row.sets for c in cues if c.row.sets not in STANDINGS}
    for action in actions:
        clause = next(c for c in clauses_of(words) if c.first <= action.first <= c.last)
        out.add((standing_of(action, clause, cues, words) or ("nothing", ""))[0])
    return out


@pytest.mark.parametrize("term", TRADE.terms, ids=lambda t: t.id)
def test_a_term_is_found_by_its_row_alone(term: Term) -> None:
    say, gives = term.example.say, term.example.gives
    assert gives in terms_said(say, term.kind, WHOLE)
    assert gives not in terms_said(say, term.kind, Lexicon(TRADE.without(term.id)))


@pytest.mark.parametrize("row", TRADE.actions, ids=lambda a: a.id)
def test_an_action_is_found_by_its_row_alone(row: ActionRow) -> None:
    say, gives = row.example.say, row.example.gives
    assert gives in actions_said(say, WHOLE)
    assert gives not in actions_said(say, Lexicon(TRADE.without(row.id)))


@pytest.mark.parametrize(
    ("row", "example"),
    [(c, e) for c in TRADE.cues for e in c.examples if e.gives],
    ids=lambda v: getattr(v, "id", ""),
)
def test_a_cue_is_heard_by_its_row_alone(row: CueRow, example: Example) -> None:
    words = tokens(example.say)
    assert example.gives in standings_said(words, TRADE)
    assert example.gives not in standings_said(words, TRADE.without(row.id))


def test_a_cue_leaves_alone_what_its_example_says() -> None:
    silent = [(c.sets, e.say) for c in TRADE.cues for e in c.examples if e.gives is None]
    assert silent
    assert [(sets, say) for sets, say in silent if sets in standings_said(tokens(say), TRADE)] == []


def doubts_on(say: str, trade: Trade) -> set[str]:
    return {row.said for row in trade.mishearings if misheard(row, tokens(say))}


@pytest.mark.parametrize("row", TRADE.mishearings, ids=id_of)
def test_a_mishearing_is_doubted_by_its_row_alone(row: Mishearing) -> None:
    assert row.example.gives in doubts_on(row.example.say, TRADE)
    assert row.example.gives not in doubts_on(row.example.say, TRADE.without(id_of(row)))


def test_no_phrase_is_said_by_two_rows_of_one_kind() -> None:
    """The second of them could never be found."""
    said = [(t.kind, phrase) for t in TRADE.terms for phrase in t.phrases]
    assert {p for p in said if said.count(p) > 1} == set()


def test_every_phrase_of_a_term_is_found_by_its_own_row() -> None:
    """A longer phrase, an earlier row or a slip of the cutting would leave it dead."""
    dead = [
        (term.id, phrase)
        for term in TRADE.terms
        for phrase in term.phrases
        if term.id not in {t.rule for t in WHOLE.terms(tokens(f"Here, {phrase}."))}
    ]
    assert dead == []


def test_no_form_of_a_verb_is_said_by_two_rows() -> None:
    """The later row would silently win."""
    said = [(form, row.id) for row in TRADE.actions for verb in row.verbs for form in all_forms(verb)]
    rows = {form: {r for f, r in said if f == form} for form, _ in said}
    assert {form: r for form, r in rows.items() if len(r) > 1} == {}
