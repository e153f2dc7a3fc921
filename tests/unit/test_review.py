"""Answers become entries: nothing is confirmed that contradicts the record, a doubt or a caution."""

import pytest

from notepipe.draft import Caution, Decision, Doubt, Draft, Note, Part, Question, Quote, Size
from notepipe.entries import Body, Change, PartConfirmed, QuestionConfirmed, RecordDropped, RecordPutOff
from notepipe.errors import BadAnswer
from notepipe.review import (
    Answer,
    Confirm,
    ConfirmAll,
    Drop,
    Group,
    PutOff,
    Sitting,
    Split,
    Standing,
    correction,
    entries_for,
    open_doubts,
    undoubted,
    withdrawal,
)

SLING = Caution(id="lifting", text="It carries people.", defer_to="the crane examiner", acknowledge=True)
DUST = Caution(id="dust", text="Old paint may hold lead.", defer_to="the paint's maker")
HOOKS = Part(
    name="coat hook",
    heard_as=("six coat hooks",),
    quantity=6,
    metal="bronze",
    condition=("two are bent",),
    sizes=(Size(feature="length", value="4 1/2", unit="in", mm=114.3),),
    decisions=(
        Decision(action="buff", standing="decided", by="in-house", quote="we'll buff those"),
        Decision(action="straighten", standing="considering", quote="might true them up"),
    ),
    quotes=(Quote(text="six coat hooks", start_s=18.0, end_s=19.6),),
)
SHACKLE = Part(name="shackle", quantity=1, cautions=(SLING, DUST))
LAMP = Part(
    name="lamp",
    metal="brass",
    doubts=(
        Doubt(field="quantity", why="heard two ways: 8 / a", other="8"),
        Doubt(field="metal", why="copper?"),
    ),
)
COLOUR = Question(to="client", about="lamp", text="Which colour?", quote="which colour do you want")
WHERE = COLOUR.model_copy(update={"doubts": (Doubt(field="to", why="client or shop?"),)})
TABLE = Sitting(
    recording="ab" * 32,
    file="walk.m4a",
    draft=Draft(
        note=Note(file="walk.m4a", sha256="ab" * 32), parts=(HOOKS, SHACKLE, LAMP), questions=(COLOUR, WHERE)
    ),
    next_part=4,
    next_question=2,
)


def part_of(answer: Answer, table: Sitting = TABLE) -> PartConfirmed:
    (body,) = entries_for(table, answer)
    assert isinstance(body, PartConfirmed)
    return body


def test_a_part_confirmed_as_it_stands_takes_the_next_tag() -> None:
    body = part_of(Confirm(record="p1"))
    assert (body.tag, body.record, body.recording) == ("004", "p1", "ab" * 32)
    assert (body.part, body.changes, body.how) == (HOOKS, (), "one by one")


def test_a_question_confirmed_takes_the_next_question_s_tag() -> None:
    (body,) = entries_for(TABLE, Confirm(record="q1", fields={"text": "Cream or red?"}))
    assert isinstance(body, QuestionConfirmed)
    assert (body.tag, body.question.text) == ("Q02", "Cream or red?")
    assert body.changes == (Change(field="text", was="Which colour?", now="Cream or red?"),)


def test_doubts_are_settled_by_confirming_and_how_is_kept() -> None:
    body = part_of(Confirm(record="p3", fields={"quantity": "8"}))
    assert body.part.doubts == ()
    assert body.settled == (
        "quantity: heard two ways: 8 / a (put right: quantity is 8)",
        "metal: copper? (left as it stands)",
    )


def test_a_question_s_doubts_are_settled_too() -> None:
    (body,) = entries_for(TABLE, Confirm(record="q2"))
    assert isinstance(body, QuestionConfirmed)
    assert body.settled == ("to: client or shop? (left as it stands)",)
    assert body.question.doubts == ()


def test_the_doubts_an_answer_does_not_speak_of_are_told() -> None:
    assert [d.field for d in open_doubts(LAMP, ["quantity"])] == ["metal"]
    assert open_doubts(LAMP, ["quantity", "metal"]) == ()
    doubtful = HOOKS.model_copy(update={"doubts": (Doubt(field="decisions", why="replace or replate?"),)})
    assert open_doubts(doubtful, ["decision 1 action"]) == ()
    assert len(open_doubts(doubtful, ["metal"])) == 1


def test_a_caution_for_life_and_limb_is_acknowledged_before_anything_is_confirmed() -> None:
    for answer in (Confirm(record="p2"), Split(record="p2", groups=(Group(quantity=1),) * 2, uneven=True)):
        with pytest.raises(BadAnswer, match="lifting"):
            entries_for(TABLE, answer)
    assert part_of(Confirm(record="p2", acknowledged=("lifting",))).acknowledged == ("lifting",)


def test_a_split_gives_each_group_its_count_its_fields_and_a_tag() -> None:
    groups = (Group(quantity=4), Group(quantity=2, fields={"decision 1": "", "condition": "bent"}))
    bodies = entries_for(TABLE, Split(record="p1", groups=groups))
    parts = [body for body in bodies if isinstance(body, PartConfirmed)]
    assert [(b.tag, b.part.quantity, b.split_from) for b in parts] == [("004", 4, None), ("005", 2, "004")]
    assert [len(b.part.decisions) for b in parts] == [2, 1]
    assert all(Change(field="quantity", was="6", now=str(b.part.quantity)) in b.changes for b in parts)


def test_a_split_that_does_not_add_up_is_refused_unless_the_person_says_so() -> None:
    groups = (Group(quantity=3), Group(quantity=4))
    with pytest.raises(BadAnswer, match="3 \\+ 4 is 7, and 6 were heard"):
        entries_for(TABLE, Split(record="p1", groups=groups))
    assert len(entries_for(TABLE, Split(record="p1", groups=groups, uneven=True))) == 2


def test_a_set_that_was_not_counted_can_be_split_into_any_counts() -> None:
    assert len(entries_for(TABLE, Split(record="p3", groups=(Group(quantity=3), Group(quantity=9))))) == 2


ONE, TWO = (Group(quantity=6),), (Group(quantity=1), Group(quantity=1))


@pytest.mark.parametrize("answer", [Split(record="p1", groups=ONE), Split(record="q1", groups=TWO)])
def test_one_group_or_a_question_is_no_split(answer: Answer) -> None:
    with pytest.raises(BadAnswer):
        entries_for(TABLE, answer)


def test_dropping_needs_a_reason_and_putting_off_does_not() -> None:
    with pytest.raises(BadAnswer, match="without a reason"):
        entries_for(TABLE, Drop(record="p1", reason="  "))
    assert entries_for(TABLE, Drop(record="p1", reason=" a hat peg ")) == (
        RecordDropped(recording="ab" * 32, record="p1", reason="a hat peg"),
    )
    assert entries_for(TABLE, PutOff(record="q1")) == (RecordPutOff(recording="ab" * 32, record="q1"),)


def kinds(bodies: tuple[Body, ...]) -> list[str]:
    return [f"{getattr(b, 'record', '')} {getattr(b, 'tag', '')} {getattr(b, 'how', '')}" for b in bodies]


def test_one_stroke_takes_what_has_no_doubt_and_no_caution_and_says_so() -> None:
    assert undoubted(TABLE) == ("p1", "q1")
    assert kinds(entries_for(TABLE, ConfirmAll())) == [
        "p1 004 all without a doubt",
        "q1 Q02 all without a doubt",
    ]


def test_one_stroke_passes_over_what_is_settled_or_was_put_off() -> None:
    table = TABLE.model_copy(update={"reviewed": frozenset({"p1"}), "put_off": frozenset({"q1"})})
    assert entries_for(table, ConfirmAll()) == ()


def test_what_is_settled_or_is_not_there_takes_no_answer() -> None:
    table = TABLE.model_copy(update={"reviewed": frozenset({"p1"})})
    with pytest.raises(BadAnswer, match="settled already"):
        entries_for(table, Confirm(record="p1"))
    with pytest.raises(BadAnswer, match="no record 'p9'"):
        entries_for(table, Drop(record="p9", reason="x"))


def test_what_was_confirmed_can_be_put_right_under_its_tag_and_what_it_was_is_kept() -> None:
    stands = Standing(tag="003", recording="ab" * 32, record="p1", value=HOOKS, split_from="002")
    body = correction(stands, {"metal": "brass"})
    assert isinstance(body, PartConfirmed)
    assert (body.tag, body.record, body.split_from, body.part.metal) == ("003", "p1", "002", "brass")
    assert body.changes == (Change(field="metal", was="bronze", now="brass"),)
    with pytest.raises(BadAnswer, match="like that already"):
        correction(stands, {"metal": "bronze"})


def test_putting_right_asks_for_the_caution_again() -> None:
    stands = Standing(tag="003", recording="ab" * 32, record="p2", value=SHACKLE)
    with pytest.raises(BadAnswer, match="lifting"):
        correction(stands, {"quantity": "2"})
    body = correction(stands, {"quantity": "2"}, ("lifting",))
    assert isinstance(body, PartConfirmed)
    assert body.acknowledged == ("lifting",)


def test_a_question_is_put_right_under_its_tag() -> None:
    body = correction(Standing(tag="Q01", recording="ab" * 32, record="q1", value=COLOUR), {"to": "shop"})
    assert isinstance(body, QuestionConfirmed)
    assert (body.tag, body.question.to) == ("Q01", "shop")


def test_taking_back_a_confirmation_needs_a_reason_and_names_the_tag() -> None:
    stands = Standing(tag="003", recording="ab" * 32, record="p1", value=HOOKS)
    assert withdrawal(stands, "a shadow").tag == "003"
    with pytest.raises(BadAnswer, match="reason"):
        withdrawal(stands, "")
