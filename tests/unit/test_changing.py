"""Any field of a record can be put right, what it was is kept, and nonsense is refused with a hint."""

import pytest

from notepipe.changing import changed_part, changed_question, size_in_words
from notepipe.draft import Decision, Part, Question, Size
from notepipe.entries import Change
from notepipe.errors import BadAnswer

HOOKS = Part(
    name="coat hook",
    quantity=6,
    metal="bronze",
    condition=("two are bent",),
    sizes=(Size(feature="length", value="4 1/2", unit="in", mm=114.3),),
    decisions=(
        Decision(action="buff", standing="decided", by="in-house", quote="we'll buff those"),
        Decision(action="straighten", standing="considering", quote="might true them up"),
    ),
)
COLOUR = Question(to="client", about="lamp", text="Which colour?", quote="which colour do you want")


def corrected(**fields: str) -> Part:
    return changed_part("p1", HOOKS, {name.replace("_", " "): text for name, text in fields.items()})[0]


CORRECTIONS = [
    ("quantity", "8", "6", "8"),
    ("count", "", "6", None),
    ("metal", "brass", "bronze", "brass"),
    ("metal", "", "bronze", None),
    ("finish", "nickel", None, "nickel"),
    ("condition", "bent; worn", "two are bent", "bent; worn"),
    ("decision 1 by", "plater", "in-house", "plater"),
    ("decision 1 to_finish", "nickel", None, "nickel"),
    ("Decision 2 Standing", "decided", "considering", "decided"),
    ("decision 1 action", "polish", "buff", "polish"),
    ("decision 2", "", "straighten: considering", None),
    ("new decision", "clean", None, "clean: decided"),
    ("size 1", "length 4 5/8 in", "length 4 1/2 in", "length 4 5/8 in"),
    ("size 1", "", "length 4 1/2 in", None),
    ("new size", "16 gauge", None, "16 gauge"),
]


@pytest.mark.parametrize(("field", "text", "was", "now"), CORRECTIONS)
def test_every_field_can_be_put_right_and_what_it_was_is_kept(
    field: str, text: str, was: str | None, now: str | None
) -> None:
    changes = changed_part("p1", HOOKS, {field: text})[1]
    assert [(c.was, c.now) for c in changes] == [(was, now)]


def test_a_correction_to_what_it_was_is_no_change() -> None:
    same = {"metal": "bronze", "decision 1 by": "in-house"}
    assert changed_part("p1", HOOKS, same) == (HOOKS, ())


def test_the_confirmed_part_holds_the_corrections() -> None:
    part = corrected(quantity="8", decision_1="", decision_2_standing="decided", new_decision="clean done")
    assert part.quantity == 8
    assert [(d.action, d.standing) for d in part.decisions] == [("straighten", "decided"), ("clean", "done")]


def test_decisions_keep_the_numbers_the_person_saw_while_one_is_taken_away() -> None:
    part = corrected(decision_1="", decision_2_by="smith")
    assert [(d.action, d.by) for d in part.decisions] == [("straighten", "smith")]


def test_a_decision_from_review_rests_on_no_words_but_says_so() -> None:
    new = corrected(new_decision="replate considering; polish").decisions[2:]
    assert [(d.action, d.standing, d.quote, d.rule) for d in new] == [
        ("replate", "considering", "", "said in review"),
        ("polish", "decided", "", "said in review"),
    ]


SIZES = [("5/8 in", 15.875), ("1 1/16 in", 26.9875), ("2 ft 6 in", 762.0), ("8 mm", 8.0), ("0.010 in", 0.254),
         ("16 gauge", None), ("2 BA", None), ("12", None), ("1/0 in", None)]  # fmt: skip


@pytest.mark.parametrize(("text", "mm"), SIZES)
def test_a_size_from_review_is_exact_in_mm_or_has_none(text: str, mm: float | None) -> None:
    assert corrected(size_1=text).sizes[0].mm == mm


WRONG = [
    ("metl", "brass", "Did you mean 'metal'"),
    ("decision 3 by", "plater", "There are 2"),
    ("decision 0 by", "plater", "There are 2"),
    ("decision 1 bye", "plater", "Did you mean 'by'"),
    ("decision 1", "plater", "One of: action"),
    ("decision 1 standing", "deciding", "Did you mean 'decided'"),
    ("new decision", "replait", "Did you mean 'replate'"),
    ("new thing", "x", "Did you mean 'new"),
    ("size 1", "long", "4 1/2 in"),
    ("size 1 unit", "mm", "whole size"),
    ("quantity", "six", "whole number"),
    ("quantity", "0", "whole number"),
    ("quantity", "1.5", "whole number"),
    ("name", "", "drop the record"),
]


@pytest.mark.parametrize(("field", "text", "hint"), WRONG)
def test_a_correction_that_makes_no_sense_is_refused_with_a_hint(field: str, text: str, hint: str) -> None:
    with pytest.raises(BadAnswer) as caught:
        changed_part("walk.m4a p1", HOOKS, {field: text})
    assert caught.value.where == "walk.m4a p1"
    assert hint in caught.value.do


def test_a_question_can_be_put_right_and_not_emptied() -> None:
    question, changes = changed_question("q1", COLOUR, {"to": "shop", "text": "Which colour?"})
    assert question.to == "shop"
    assert changes == (Change(field="to", was="client", now="shop"),)
    for field, text in (("text", ""), ("to", "plater"), ("metal", "brass")):
        with pytest.raises(BadAnswer):
            changed_question("q1", COLOUR, {field: text})


def test_feet_and_inches_stand_each_beside_their_number() -> None:
    assert size_in_words(Size(feature="length", value="9 6", unit="ft in", mm=2895.6)) == "length 9 ft 6 in"
    assert size_in_words(Size(value="9 1/2", unit="in", mm=241.3)) == "9 1/2 in"
    assert size_in_words(Size(value="12", unit=None, mm=None)) == "12"
