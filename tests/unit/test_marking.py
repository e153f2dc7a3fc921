"""By the rules: which value and which fate belong to which group, and what is none of either."""

import pytest

from notepipe.reading.marking import mark_by_rules
from notepipe.reading.marks import Marks
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import load_trade

TRADE = load_trade()
LEXICON = Lexicon(TRADE)


def marked(text: str) -> Marks:
    return mark_by_rules(tokens_of(text), TRADE, LEXICON)


def said(text: str, field: str) -> dict[str, list[object]]:
    return {g.name: [v.value for v in g.values if v.field == field] for g in marked(text).groups}


def fates(text: str) -> list[tuple[str, str, str]]:
    return [(g.name, f.action, f.standing) for g in marked(text).groups for f in g.fates]


def test_a_metal_goes_to_the_thing_it_is_said_of() -> None:
    text = "The bell is solid brass. The bracket is steel."
    assert said(text, "metal") == {"bell": ["brass"], "bracket": ["steel"]}


@pytest.mark.parametrize(
    "text",
    ["The bracket is not brass.", "We'll make a new bracket in brass.", "The bracket will be as brass."],
)
def test_a_metal_it_has_not_is_no_metal_of_it(text: str) -> None:
    assert said(text, "metal") == {"bracket": []}


def test_what_it_is_to_be_made_of_stands_with_the_making() -> None:
    (group,) = marked("We'll make a new bracket in brass.").groups
    assert [(f.action, f.to_metal) for f in group.fates] == [("make", "brass")]


def test_a_finish_it_is_to_get_is_none_it_has() -> None:
    (group,) = marked("We'll replate the bell in nickel.").groups
    assert [f.to_finish for f in group.fates] == ["nickel"]


def test_the_size_of_a_dent_is_no_size_of_the_part() -> None:
    assert len(said("The gong is six inches across.", "size")["gong"]) == 1
    assert said("The gong has a six inch dent.", "size") == {"gong": []}


def test_a_size_is_exact_in_millimetres() -> None:
    (size,) = said("The gong is six and a half inches across.", "size")["gong"]
    assert size == {"feature": "across", "value": "6 1/2", "unit": "in", "mm": 165.1}


def test_money_and_weeks_count_nothing() -> None:
    assert said("The brackets, forty pounds, and four weeks.", "quantity") == {"bracket": []}


def test_a_heading_holds_for_everything_named_until_it_ends() -> None:
    text = "None of this lot gets plated. The bell. The lamp. End of that. The gong is bent."
    assert fates(text) == [("bell", "replate", "ruled-out"), ("lamp", "replate", "ruled-out")]


def test_who_does_it_is_heard() -> None:
    by_trade, by_us = marked("The rail goes to the plater. Polish the bell ourselves.").groups
    assert [f.by for f in by_trade.fates] == ["plater"]
    assert [f.by for f in by_us.fates] == ["in-house"]


def test_small_talk_marks_nothing() -> None:
    marks = marked("It's raining again. My brother came round on Sunday, lovely to see him.")
    assert [g for g in marks.groups if g.fates] == []
    assert marks.asked == []
