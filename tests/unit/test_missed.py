"""What was said and no record has is told as a doubt on the whole note, and nothing else is."""

from notepipe.draft import Doubt
from notepipe.reading.marks import Asked, Fate, Group, Marks, Span, Value
from notepipe.reading.measures import measures_in
from notepipe.reading.missed import missed
from notepipe.reading.numbers import numbers_in
from notepipe.reading.tokens import tokens_of

SAID = "Two lamps, ten inches across, we'll polish those."


def told(said: str, marks: Marks, rules: Marks) -> list[Doubt]:
    tokens = tokens_of(said)
    return list(missed(tokens, marks, rules, measures_in(tokens, numbers_in(tokens))))


def lamps(*fates: Fate, values: tuple[Value, ...] = ()) -> Marks:
    return Marks([Group("lamp", [Span(0, 1)], plural=True, fates=list(fates), values=list(values))])


def polish() -> Fate:
    tokens = tokens_of(SAID)
    at = next(t.i for t in tokens if t.norm == "polish")
    return Fate("polish", "decided", Span(at, at), Span(at - 2, at + 1), "rule.polish")


def size() -> Value:
    return Value("size", {}, Span(3, 4), "r")


def test_an_action_that_only_the_rules_heard_is_told_with_its_words() -> None:
    (doubt,) = told(SAID, lamps(values=(size(),)), lamps(polish()))
    assert (doubt.field, doubt.rule) == ("decision", "rule.polish")
    assert "perhaps polish, decided" in doubt.why
    assert "“we'll polish those”" in doubt.why


def test_an_action_of_the_same_breath_or_in_a_question_is_none() -> None:
    assert told(SAID, lamps(polish(), values=(size(),)), lamps(polish())) == []
    whole = Marks([], [Asked("client", None, "lamp", Span(0, 11), "r")])
    assert [d.field for d in told(SAID, whole, lamps(polish()))] == ["size"]


def test_a_size_that_no_part_took_is_told_and_that_of_a_fault_is_not() -> None:
    (doubt,) = told(SAID, lamps(), Marks())
    assert (doubt.field, "ten inches" in doubt.why) == ("size", True)
    assert told("There's a crack two inches long in it.", lamps(), Marks()) == []
