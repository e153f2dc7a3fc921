"""Field by field: what is said now against what is on file, and the whole part that comes of it."""

from typing import Any

import pytest

from notepipe.draft import Caution, Decision, Part, Quote, Size
from notepipe.later.comparing import against, compared
from notepipe.later.merging import Layer, laid_over

OLD, NEW = "11" * 32, "22" * 32


def decision(action: str, standing: str = "decided", **more: Any) -> Decision:
    return Decision.model_validate({"action": action, "standing": standing, "quote": "", **more})


def told(
    on_file: Part, said: Part, asked: tuple[str, ...] = ()
) -> list[tuple[str, str, str | None, str | None]]:
    return [(d.field, d.kind, d.was, d.now) for d in compared(on_file, said, asked)]


def part(**fields: Any) -> Part:
    return Part(name="stirrup", **fields)


def test_nothing_said_is_no_difference() -> None:
    assert told(part(quantity=4, metal="steel", decisions=(decision("polish"),)), part()) == []


def test_a_value_adds_changes_or_says_the_same() -> None:
    said = told(part(metal="steel", finish="nickel"), part(quantity=46, metal="brass", finish="Nickel"))
    assert said == [
        ("quantity", "adds", None, "46"),
        ("metal", "changes", "steel", "brass"),
        ("finish", "says the same", "nickel", "nickel"),
    ]


def test_both_quotes_stand_beside_a_change() -> None:
    before = part(metal="steel", quotes=(Quote(text="stirrups"), Quote(text="they are steel")))
    (change,) = compared(before, part(metal="brass", quotes=(Quote(text="brass, not steel"),)))
    assert [q.text for q in change.was_said] == ["they are steel"]
    assert [q.text for q in change.now_said] == ["brass, not steel"]


DECISIONS = [
    (decision("coat", "considering"), decision("coat", "ruled-out"), "withdraws", "coat: ruled-out"),
    (decision("replate", "considering"), decision("replate", by="plater"), "changes",
     "replate, plater: decided"),
    (decision("coat"), decision("coat", to_finish="burgundy"), "adds", "coat to burgundy: decided"),
    (decision("polish", by="in-house"), decision("polish"), "says the same", "polish, in-house: decided"),
    (decision("make", by="pole man"), decision("replace"), "says the same", "make, pole man: decided"),
    (decision("leave"), decision("polish"), "changes", "polish: decided"),
    (decision("polish"), decision("leave"), "changes", "leave: decided"),
    (decision("source"), decision("source", "done"), "withdraws", "source: done"),
    (decision("clean", "ruled-out"), decision("clean", "ruled-out"), "says the same", "clean: ruled-out"),
    (decision("coat", to_finish="cream paint"), decision("coat", to_finish="paint"), "says the same",
     "coat to cream paint: decided"),
]  # fmt: skip


@pytest.mark.parametrize(("was", "said", "kind", "now"), DECISIONS)
def test_a_decision_on_the_same_work_takes_the_place_of_the_one_on_file(
    was: Decision, said: Decision, kind: str, now: str
) -> None:
    ((_, got, _, words),) = told(part(decisions=(was,)), part(decisions=(said,)))
    assert (got, words) == (kind, now)


def test_work_that_was_read_from_the_same_word_is_the_same_work() -> None:
    was = decision("replate", by="glass man", quote="the glass man's re-silvering them")
    said = decision("repair", quote="the eleven for re-silvering")
    assert [d.kind for d in compared(part(decisions=(was,)), part(decisions=(said,)))] == ["says the same"]


def test_other_work_by_the_same_trade_is_other_work() -> None:
    was, said = decision("polish", by="plater"), decision("coat", by="plater")
    assert [d.kind for d in compared(part(decisions=(was,)), part(decisions=(said,)))] == ["adds"]
    was, said = decision("polish", quote="they get polished"), decision("coat", quote="polished and waxed")
    assert [d.kind for d in compared(part(decisions=(was,)), part(decisions=(said,)))] == ["adds"]


def test_leaving_it_gives_up_every_plan_that_stood_and_none_that_is_done() -> None:
    on_file = part(decisions=(decision("clean", "done"), decision("polish"), decision("coat", "considering")))
    merged = laid_over(Layer(on_file, OLD), Layer(part(decisions=(decision("leave"),)), NEW))
    assert [(d.action, d.standing) for d in merged.part.decisions] == [
        ("clean", "done"),
        ("leave", "decided"),
        ("coat", "ruled-out"),
    ]


def size(value: str, unit: str, mm: float, feature: str | None = None) -> Size:
    return Size(feature=feature, value=value, unit=unit, mm=mm)


def test_one_of_two_readings_of_a_size_settles_which_is_right() -> None:
    on_file = part(sizes=(size("5/16", "in", 7.9375), size("8", "mm", 8.0)))
    said = part(sizes=(size("8", "mm", 8.0),))
    assert told(on_file, said) == [("sizes", "changes", "5/16 in; 8 mm", "8 mm")]
    assert laid_over(Layer(on_file, OLD), Layer(said, NEW)).part.sizes == said.sizes


def test_sizes_far_apart_are_alternatives_only_where_a_question_says_so() -> None:
    on_file, said = part(sizes=(size("6", "mm", 6), size("8", "mm", 8))), part(sizes=(size("8", "mm", 8),))
    assert [kind for _, kind, _, _ in told(on_file, said)] == ["says the same"]
    asked = ("Measure whether the bars are 6 or 8 mm.",)
    assert [kind for _, kind, _, _ in told(on_file, said, asked)] == ["changes"]


def test_a_size_of_the_same_feature_takes_its_place_and_one_of_another_stands_beside_it() -> None:
    on_file = part(sizes=(size("40", "mm", 40, "length"), size("10", "mm", 10, "width")))
    merged = laid_over(Layer(on_file, OLD), Layer(part(sizes=(size("60", "mm", 60, "length"),)), NEW))
    assert [s.value for s in merged.part.sizes] == ["10", "60"]


def test_conditions_add_up_and_the_same_in_other_words_is_no_news() -> None:
    on_file = part(condition=("lost their noses",))
    assert told(on_file, part(condition=("no noses",))) == []
    merged = laid_over(Layer(on_file, OLD), Layer(part(condition=("cracked",)), NEW))
    assert merged.part.condition == ("lost their noses", "cracked")
    assert told(part(condition=("cracked",)), part(condition=("not cracked",)))[0][1] == "adds"


@pytest.mark.parametrize(
    ("said", "word"),
    [
        (part(), "says the same"),
        (part(quantity=3), "adds"),
        (part(metal="brass", quantity=3), "changes"),
        (part(decisions=(decision("polish", "ruled-out"),)), "withdraws"),
        (part(metal="brass", decisions=(decision("polish", "ruled-out"),)), "changes"),
    ],
)
def test_a_record_as_a_whole_is_told_in_one_word(said: Part, word: str) -> None:
    on_file = part(metal="steel", decisions=(decision("polish"),))
    assert against(compared(on_file, said)) == word


def test_every_passage_keeps_the_note_it_was_said_in() -> None:
    on_file = part(decisions=(decision("polish", quote="polish"),), quotes=(Quote(text="stirrups"),))
    said = part(decisions=(decision("coat", quote="wax them"),), quotes=(Quote(text="the stirrups"),))
    merged = laid_over(Layer(on_file, OLD), Layer(said, NEW)).part
    assert [(d.action, d.recording) for d in merged.decisions] == [("polish", OLD), ("coat", NEW)]
    assert [(q.text, q.recording) for q in merged.quotes] == [("stirrups", OLD), ("the stirrups", NEW)]


def test_the_cautions_of_both_stand_once_and_the_name_on_file_stays() -> None:
    dust = Caution(id="dust", text="Lead.", defer_to="the paint's maker")
    fumes = Caution(id="fumes", text="Fumes.", defer_to="the plater")
    merged = laid_over(
        Layer(part(cautions=(dust,)), OLD), Layer(Part(name="iron", cautions=(dust, fumes)), NEW)
    ).part
    assert ([c.id for c in merged.cautions], merged.name) == (["dust", "fumes"], "stirrup")
