"""Promised times heard in a note: every row of the pack does what its examples say, and who promised what."""

from __future__ import annotations

from datetime import date

import pytest

from notepipe.draft import Decision, Draft, Note, Part, Question, Quote
from notepipe.reading.promised import Promised, Setting, promised
from notepipe.trade import Trade, load_trade
from notepipe.trade.deadlines import DeadlineExample, DeadlineRow
from notepipe.transcript import Transcript, Word
from notepipe.working_days import WorkingDays

TRADE = load_trade()
NOTED = date(2026, 11, 25)
"""A Wednesday."""


def heard(
    say: str, *parts: Part, on: date = NOTED, trade: Trade = TRADE, questions: tuple[Question, ...] = ()
) -> tuple[Promised, ...]:
    draft = Draft(note=Note(file="walk.m4a", sha256="ab" * 32), parts=parts, questions=questions)
    setting = Setting(on=on, working=WorkingDays("GB", "ENG"), vendors=("Tarn Plating",))
    return promised(Transcript(text=say), draft, trade, setting)


def days(found: tuple[Promised, ...]) -> list[str]:
    return [one.due.isoformat() if one.due else "no day" for one in found]


def outcome(say: str, on: date, trade: Trade) -> list[object]:
    return [(one.due, [d.why for d in one.doubts]) for one in heard(say, on=on, trade=trade)]


EXAMPLES = [(row, example) for row in TRADE.deadlines for example in row.examples]


@pytest.mark.parametrize(("row", "example"), EXAMPLES, ids=lambda v: getattr(v, "id", ""))
def test_an_example_comes_out_as_its_row_says(row: DeadlineRow, example: DeadlineExample) -> None:
    found = heard(example.say, on=example.on)
    if example.gives == "doubt":
        assert {doubt.rule for one in found for doubt in one.doubts} & {row.id}
    else:
        assert days(found) == ([example.gives] if example.gives else [])


@pytest.mark.parametrize("row", TRADE.deadlines, ids=lambda row: row.id)
def test_no_row_is_dead(row: DeadlineRow) -> None:
    """Without the row its promise, or the silence of a look-alike, comes out otherwise."""
    without = TRADE.without(row.id)
    changed = [e for e in row.examples if outcome(e.say, e.on, TRADE) != outcome(e.say, e.on, without)]
    assert [e for e in row.examples if e.gives and e not in changed] == []
    assert changed


@pytest.mark.parametrize(
    "say",
    [
        "It came in Wednesday on two lorries.",
        "That was six weeks ago.",
        "The plater has two weeks' holiday.",
        "Made in 1926, nineteen twenty-six.",
        "The lamp is five foot eight by two.",
        "The plaque by the gate wants a polish.",
        "My knee has been bad these two weeks.",
        "Two of those have had it, and it went off in June.",
        "I described them in March as brass.",
        "It's Tuesday, and the kettle's on.",
        "The trolley spring is rusted, and the cap may be bronze.",
        "",
    ],
)
def test_years_and_days_gone_by_are_no_promises(say: str) -> None:
    assert heard(say) == ()


POLE = Part(
    name="horse pole",
    decisions=(
        Decision(
            action="make", standing="decided", by="pole man", quote="three new ones from the pole man",
            start_s=12.4, end_s=17.9,
        ),
    ),
)  # fmt: skip


def test_a_promise_names_who_what_and_the_words_and_the_seconds_of_its_decision() -> None:
    (found,) = heard("So that's three new ones from the pole man, and he's six weeks at the moment.", POLE)
    assert (found.who, found.what, found.records) == ("pole man", "horse pole", ("p1",))
    assert found.words == "and he's six weeks at the moment"
    assert (found.due, found.doubts) == (date(2027, 1, 6), ())
    assert (found.quote.start_s, found.quote.end_s) == (12.4, 17.9)


def test_the_seconds_are_those_of_the_words_where_the_transcript_has_them() -> None:
    words = (
        Word(text="Mirror", at=0, start_s=1.0, end_s=1.2),
        Word(text="weeks", at=17, start_s=2.0, end_s=2.5),
    )
    text = Transcript(text="Mirror shop, two weeks.", words=words)
    setting = Setting(on=NOTED, working=WorkingDays())
    (found,) = promised(text, Draft(note=Note(file="w", sha256="")), TRADE, setting)
    assert (found.quote.start_s, found.quote.end_s) == (1.0, 2.5)


def test_a_time_in_the_next_sentence_belongs_to_the_part_before() -> None:
    (found,) = heard("It's three new ones from the pole man. Six weeks.", POLE)
    assert (found.who, found.what) == ("pole man", "horse pole")


def test_records_that_rest_on_the_same_words_share_the_promise() -> None:
    cap = POLE.model_copy(update={"name": "pole cap"})
    (found,) = heard("It's three new ones from the pole man, six weeks.", POLE, cap)
    assert (found.what, found.records) == ("horse pole, pole cap", ("p1", "p2"))


def test_a_vendor_known_by_name_is_who_promised() -> None:
    (found,) = heard("Tarn Plating say two weeks.")
    assert (found.who, found.due) == ("Tarn Plating", date(2026, 12, 9))


def test_what_the_client_is_asked_for_by_a_day_is_the_clients_to_keep() -> None:
    ask = Question(to="client", about="lamp", text="Brass?", quote="confirm brass or nickel by Friday")
    (found,) = heard("Please confirm brass or nickel by Friday.", questions=(ask,))
    assert (found.who, found.due) == ("client", date(2026, 11, 27))


def test_where_words_and_decision_name_different_people_there_is_a_doubt() -> None:
    lamp = Part(
        name="lamp",
        decisions=(Decision(action="replate", standing="decided", by="plater", quote="the lamp"),),
    )
    (found,) = heard("So the lamp, and the polisher wants two weeks.", lamp)
    assert (found.who, [(d.field, d.other) for d in found.doubts]) == ("polisher", [("who", "plater")])


def test_nobody_named_and_no_part_beside_it_are_doubts() -> None:
    (found,) = heard("Two weeks.")
    assert found.who is None
    assert {doubt.field for doubt in found.doubts} == {"who", "what"}


@pytest.mark.parametrize(
    ("say", "due", "other"),
    [
        ("The plater says six to eight weeks.", "2027-01-20", "2027-01-06"),
        ("The gauge man has it, five weeks he said, which means eight.", "2026-12-30", "2027-01-20"),
        ("He can have them next Friday.", "2026-12-04", "2026-11-27"),
        ("Finished by Wednesday, says the plater.", "2026-12-02", "2026-11-25"),
    ],
)
def test_what_could_be_two_days_carries_the_other_as_a_doubt(say: str, due: str, other: str) -> None:
    (found,) = heard(say)
    assert (days((found,)), [d.other for d in found.doubts if d.field == "due" and d.other]) == (
        [due],
        [other],
    )


def test_two_promises_in_one_sentence_are_two() -> None:
    found = heard("The plater says two weeks and the engraver says by the tenth.")
    assert [(one.who, one.due) for one in found] == [
        ("plater", date(2026, 12, 9)),
        ("engraver", date(2026, 12, 10)),
    ]


def test_working_days_are_counted_by_the_calendar_of_the_place() -> None:
    (found,) = heard("The engraver says five working days.", on=date(2026, 12, 22))
    assert found.due == date(2026, 12, 31)  # Past Christmas Day and Boxing Day, kept on Monday 28 December.


def test_a_quote_of_a_part_serves_where_it_has_no_decision() -> None:
    lamp = Part(name="lamp", quotes=(Quote(text="the lamp", start_s=3.0, end_s=4.0),))
    (found,) = heard("About the lamp, the plater says two weeks.", lamp)
    assert (found.what, found.quote.start_s) == ("lamp", 3.0)
