"""A record as a card: doubts beside their values, other readings only where the field can hold them."""

import pytest

from notepipe.desk.card import called, card
from notepipe.draft import Decision, Doubt, Draft, Note, Part, Question, Size
from notepipe.later.matching import OnFile
from notepipe.sitting import Sitting

SHA = "ab" * 32


def sitting(part: Part, **more: object) -> Sitting:
    draft = Draft(note=Note(file="walk.m4a", sha256=SHA), parts=(part,))
    return Sitting.model_validate({"recording": SHA, "file": "walk.m4a", "draft": draft, **more})


def lamp(*doubts: Doubt, **more: object) -> Part:
    decisions = (
        Decision(action="clean", standing="done", quote="cleaned"),
        Decision(action="replate", standing="decided", quote="replate them"),
    )
    return Part.model_validate(
        {"name": "lamp", "quantity": 6, "metal": "brass", "decisions": decisions, "doubts": doubts, **more}
    )


def taken(part: Part) -> list[tuple[str, str]]:
    made = card(sitting(part), "p1")
    asked = [a for line in (*made.values, *made.sizes) for a in line.asked]
    asked += [a for fate in made.fates for a in fate.asked] + list(made.asked)
    return [(reading.field, reading.text) for one in asked for reading in one.takes]


@pytest.mark.parametrize(
    ("doubt", "takes"),
    [
        (Doubt(field="metal", why="heard badly", other="bronze"), [("metal", "bronze")]),
        (Doubt(field="quantity", why="two ways", other="8"), [("quantity", "8")]),
        (Doubt(field="quantity", why="two ways", other="a few"), []),
        (Doubt(field="metal", why="heard badly"), []),
        (
            Doubt(field="decision", why="replate: may be done", other="done"),
            [("decision 2 standing", "done")],
        ),
        (
            Doubt(field="decision", why="'replate' may be", other="replace"),
            [("decision 2 action", "replace")],
        ),
        (Doubt(field="decision", why="heard two ways", other="and the others"), []),
        (
            Doubt(field="by", why="who?", other="plater"),
            [("decision 1 by", "plater"), ("decision 2 by", "plater")],
        ),
        (Doubt(field="sizes", why="two ways", other="8 mm"), [("size 1", "8 mm")]),
        (Doubt(field="sizes", why="two ways", other="five and a half"), []),
    ],
)
def test_another_reading_is_offered_where_its_field_can_hold_it(
    doubt: Doubt, takes: list[tuple[str, str]]
) -> None:
    size = Size(feature="length", value="5.5", unit="in", mm=139.7)
    assert taken(lamp(doubt, sizes=(size,))) == takes


def test_every_doubt_stands_once_beside_what_it_is_about_or_at_the_end() -> None:
    fields = ("name", "metal", "condition", "decision", "standing", "sizes", "match-maker")
    doubts = tuple(Doubt(field=field, why=f"{field}?") for field in fields)
    made = card(sitting(lamp(*doubts)), "p1")
    beside = [a.field for line in (*made.values, *made.sizes) for a in line.asked]
    beside += [a.field for fate in made.fates for a in fate.asked]
    assert sorted([*beside, *(a.field for a in made.asked)]) == sorted(fields)
    assert [a.field for a in made.asked] == ["sizes", "match-maker"]


def test_a_doubt_about_a_decision_stands_with_the_one_it_names() -> None:
    made = card(sitting(lamp(Doubt(field="decision", why="clean: gone back on later?"))), "p1")
    assert [len(fate.asked) for fate in made.fates] == [1, 0]


def test_a_question_has_its_three_fields_and_its_price_is_told() -> None:
    question = Question(to="client", about="lamp", text="Is £80 right?", quote="is £80 right")
    draft = Draft(note=Note(file="walk.m4a", sha256=SHA), questions=(question,))
    made = card(Sitting(recording=SHA, file="walk.m4a", draft=draft), "q1")
    assert [value.field for value in made.values] == ["to", "about", "text"]
    assert made.warnings


def rows(*parts: Part) -> tuple[OnFile, ...]:
    return tuple(
        OnFile(tag=f"{n:03d}", part=part, recording="cd" * 32) for n, part in enumerate(parts, start=1)
    )


def test_a_record_in_doubt_which_part_it_is_means_none_before_it_is_said() -> None:
    on_file = rows(lamp(location="saloon"), lamp(location="platform"))
    made = card(sitting(lamp(), on_file=on_file), "p1")
    assert made.on_file is not None
    assert made.on_file.doubt
    assert made.on_file.tag == ""
    assert {choice.tag for choice in made.on_file.choices} == {"001", "002", "new"}
    assert not any(choice.chosen for choice in made.on_file.choices)


def test_what_was_chosen_is_shown_against_what_is_on_file() -> None:
    on_file = rows(lamp(location="saloon"), lamp(location="platform", metal="steel"))
    made = card(sitting(lamp(), on_file=on_file), "p1", "002")
    assert made.on_file is not None
    assert (made.on_file.tag, made.on_file.doubt) == ("002", None)
    metal = next(value for value in made.values if value.field == "metal")
    assert metal.difference is not None
    assert (metal.difference.was, metal.difference.now) == ("steel", "brass")


def test_parts_on_file_are_found_by_all_of_the_words_else_by_any() -> None:
    on_file = rows(lamp(location="saloon"), Part(name="dash lamp"), Part(name="step"))
    assert [tag for tag, *_ in called(on_file, "LAMP saloon")] == ["001"]
    assert [tag for tag, *_ in called(on_file, "lamp kitchen")] == ["001", "002"]
    assert [tag for tag, *_ in called(on_file, "")] == ["001", "002", "003"]
    assert called(on_file, "horn") == ()
