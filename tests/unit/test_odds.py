"""A mark is doubted from its grounds: the more speaks for it, the less; and the shipped weights are whole."""

import json

import pytest

from notepipe.reading import odds
from notepipe.reading.marks import Fate, Group, Signs, Span, Value
from notepipe.reading.network import ACTIONS, STANDINGS, reader_folder
from notepipe.reading.odds import chance_wrong, grounds_of_fate, grounds_of_value

GROUP = Group("bell", [Span(0, 1)], plural=False, likely=0.99)
KINDS = ("decision", "metal", "finish", "quantity", "size")


def value(said: float, linked: float = 0.99, rival: float = 0.0, how: str = "") -> Value:
    return Value("metal", "brass", Span(3, 3), "r", signs=Signs(said, 1.0, linked, rival, 2, how))


def fate(said: float, stands: float, linked: float = 0.99, apart: int = 2) -> Fate:
    signs = Signs(said, stands, linked, 0.0, apart)
    return Fate("polish", "decided", Span(5, 5), Span(4, 6), "r", signs=signs)


def test_the_less_sure_the_reader_the_likelier_it_is_wrong() -> None:
    sure, unsure = (grounds_of_value(value(p, p), GROUP, agreed=False) for p in (0.999, 0.5))
    assert chance_wrong("metal", unsure) > chance_wrong("metal", sure)
    sure, unsure = (grounds_of_fate(fate(p, p, p), GROUP, agreed=False, against=False) for p in (0.999, 0.5))
    assert chance_wrong("decision", unsure) > chance_wrong("decision", sure)


@pytest.mark.parametrize("kind", KINDS)
def test_what_the_rules_say_too_is_likelier_right(kind: str) -> None:
    alone, together = ({"tagged": 3.0, "agreed": a} for a in (0.0, 1.0))
    assert chance_wrong(kind, together) < chance_wrong(kind, alone)


def test_a_likelihood_of_nothing_or_of_all_is_no_infinity() -> None:
    for p in (0.0, 1.0):
        assert 0 < chance_wrong("metal", grounds_of_value(value(p, p, p), GROUP, agreed=True)) < 1


def test_the_shipped_weights_know_every_kind_and_name_no_ground_that_is_never_given() -> None:
    told = json.loads((reader_folder() / "doubts.json").read_text("utf-8"))
    assert set(told["weights"]) == set(told["line"]) == set(KINDS)
    assert all(0 < line < 1 for line in told["line"].values())
    given = {*grounds_of_value(value(0.9), GROUP, agreed=True), "bias", *ACTIONS, *STANDINGS}
    given |= {*grounds_of_fate(fate(0.9, 0.9), GROUP, agreed=True, against=True)}
    given |= {"one", "two", "singular", "rest", "own words", "handed", "said"}
    assert {name for weights in told["weights"].values() for name in weights} <= given


def test_a_line_between_two_marks_doubts_one(monkeypatch: pytest.MonkeyPatch) -> None:
    told = {"weights": {"metal": {"bias": 0.0, "tagged": -1.0}}, "line": {"metal": 0.2}}
    monkeypatch.setattr(odds, "_weights", lambda folder: told)
    assert [odds.doubtful("metal", {"tagged": x}) for x in (0.0, 3.0)] == [True, False]
