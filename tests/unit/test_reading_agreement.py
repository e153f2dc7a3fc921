"""A mark both readers make is firm sooner than one that only the trained reader makes."""

import pytest

from notepipe.reading import odds
from notepipe.reading.agreement import doubted
from notepipe.reading.marks import Fate, Group, Marks, Signs, Span, Value

SURE, BETWEEN, UNSURE = 0.999, 0.9, 0.5
"""Likelihoods: firm by itself, firm where the rules agree, and doubted all the same."""


@pytest.fixture(autouse=True)
def weights(monkeypatch: pytest.MonkeyPatch) -> None:
    """The mark's own likelihood and the rules' agreement alone, whatever the shipped reader's weights are."""
    weighed = {"bias": 0.0, "tagged": -1.0, "agreed": -2.0}
    kinds = ("metal", "decision")
    told = {"weights": dict.fromkeys(kinds, weighed), "line": dict.fromkeys(kinds, 0.05)}
    monkeypatch.setattr(odds, "_weights", lambda folder: told)


def reader(likely: float, *, at: int = 5, standing: str = "decided", metal: str = "brass") -> Marks:
    """One bell, of one metal, to be polished."""
    group = Group("bell", [Span(0, 1)], plural=False)
    signs = Signs(said=likely)
    group.values.append(Value("metal", metal, Span(3, 3), "r", signs=signs))
    clause = Span(at, at + 2)
    group.fates.append(Fate("polish", standing, Span(at, at), clause, "rule.polish", signs=signs))
    return Marks([group])


def sure(marks: Marks) -> tuple[bool, bool]:
    """Of the metal, of the fate."""
    (group,) = marks.groups
    return group.values[0].sure, group.fates[0].sure


def test_what_both_say_is_firm_where_one_alone_would_be_doubted() -> None:
    assert sure(doubted(reader(BETWEEN), reader(1.0))) == (True, True)
    assert sure(doubted(reader(BETWEEN), Marks())) == (False, False)


@pytest.mark.parametrize(("likely", "firm"), [(SURE, True), (UNSURE, False)])
def test_a_very_likely_mark_needs_nobody_and_an_unlikely_one_is_not_helped(likely: float, firm: bool) -> None:
    rules = Marks() if firm else reader(1.0)
    assert sure(doubted(reader(likely), rules)) == (firm, firm)


def test_another_metal_and_another_place_are_no_agreement() -> None:
    assert sure(doubted(reader(BETWEEN), reader(1.0, at=50, metal="bronze"))) == (False, False)


def test_where_the_rules_hear_another_standing_it_is_offered() -> None:
    """The reviewer sees "it may be ruled-out", and can take that over."""
    (group,) = doubted(reader(BETWEEN), reader(1.0, standing="ruled-out")).groups
    assert (group.fates[0].standing, group.fates[0].other) == ("decided", "ruled-out")
    assert "ruled-out" in group.fates[0].why


def test_the_rule_that_agrees_is_named_with_the_mark() -> None:
    (group,) = doubted(reader(1.0), reader(1.0)).groups
    assert group.fates[0].rule == "rule.polish, and rule.polish"


def test_the_rules_add_no_mark_of_their_own() -> None:
    assert doubted(Marks(), reader(1.0)).groups == []
