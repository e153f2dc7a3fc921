"""Every row of every pack does what its example says; without the row the example comes out otherwise."""

from __future__ import annotations

import pytest

from notepipe.reading.examples import Tested, comes_out, failures, name_of, rows_of, tokens
from notepipe.reading.patterns import all_forms
from notepipe.reading.terms import Lexicon
from notepipe.trade import ActionRow, CueRow, Example, Mishearing, Pack, Term, Trade, load_trade

TRADE = load_trade()
ROWS = [row for pack in TRADE.packs for row in rows_of(pack)]
WHOLE = Lexicon(TRADE)


def with_row(**rows: tuple[object, ...]) -> Trade:
    """Our packs and one of a shop's own."""
    return Trade(packs=(*TRADE.packs, Pack.model_validate(rows)))


@pytest.mark.parametrize("row", ROWS, ids=name_of)
def test_a_row_does_what_its_examples_say_and_nothing_else_does_it(row: Tested) -> None:
    assert list(failures(row, TRADE)) == []


def test_every_kind_of_row_that_has_examples_is_tested() -> None:
    kinds = {type(row) for row in ROWS}
    assert kinds == {Term, ActionRow, CueRow, Mishearing}


def test_a_cue_leaves_alone_what_its_example_says() -> None:
    silent = [(c, e.say) for c in TRADE.cues for e in c.examples if e.gives is None]
    assert silent
    assert [(c.id, say) for c, say in silent if c.sets in comes_out(c, say, TRADE)] == []


def test_an_example_that_comes_out_otherwise_is_told() -> None:
    say = Example(say="The glimmer lamp is bent.", gives="dash lamp")
    dead = Term(id="x", kind="part", phrases=("gleaming lamp",), example=say)
    (why,) = failures(dead, with_row(term=(dead,)))
    assert why == "“The glimmer lamp is bent.” should give 'dash lamp', and gives 'lamp'"


def test_an_example_that_holds_without_its_row_is_told() -> None:
    idle = Term(id="x", kind="metal", phrases=("brass",), example=Example(say="It is brass.", gives="brass"))
    assert list(failures(idle, with_row(term=(idle,)))) == ["“It is brass.” gives 'brass' without it as well"]


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
