"""What comes back is booked against what went out; what was wrong stays in sight until it is settled."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from notepipe.booking import Returned, booked, finished, marked_done, settled
from notepipe.draft import Caution, Decision, Part
from notepipe.entries import Body, JobOpened, PartConfirmed
from notepipe.errors import BadAnswer, NotepipeError
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.outside import lines_of, open_lines
from notepipe.papers import Letter
from notepipe.papers.parts_out import parts_out, parts_out_csv
from notepipe.register import Register
from notepipe.sheets import Parcel, packed

TODAY = date(2026, 12, 16)
REPLATE = Decision(action="replate", standing="decided", by="plater", to_finish="nickel", quote="x")
LETTER = Letter(shop="Larkhill Tramway Workshop", date="16 December 2026", today="2026-12-16")


class Office:
    """A job with two sets at the plater's, kept as the commands keep it."""

    def __init__(self, *cautions: Caution) -> None:
        self.ledger = Ledger(None)
        self.lay(JobOpened(name="tram-7", client="Fennimore Museum", what="Tram 7"))
        for number, (name, quantity) in enumerate((("seat handle", 6), ("handrail", 2)), start=1):
            part = Part(name=name, quantity=quantity, decisions=(REPLATE,), cautions=cautions)
            self.lay(PartConfirmed(recording="ab", record=f"p{number}", tag=f"{number:03}", part=part))
        self.send()

    @property
    def now(self) -> Register:
        return fold(self.ledger.entries("tram-7"))

    def lay(self, *bodies: Body) -> None:
        self.ledger.append("tram-7", Hand(who="Ada Fenn", at="2026-12-16T10:00:00+00:00"), *bodies)

    def send(self, **change: object) -> None:
        parcel = Parcel(vendor="Tarn Plating", trade="plater", on="2026-11-25")
        self.lay(packed(self.now, parcel.model_copy(update=change), TODAY, ()).sent)

    def back(self, name: str = "S01", **told: object) -> None:
        self.lay(booked(self.now, name, Returned.model_validate({"on": "2026-12-16", **told}), TODAY))

    def settle(self, line: int, how: str = "credited", *, missing: bool = False) -> None:
        self.lay(settled(self.now, "S01", line, how, missing=missing))

    def out(self) -> list[int]:
        return [line.missing for line in lines_of(self.now.sheet("S01"))]


@pytest.fixture
def office() -> Office:
    return Office()


def refused(do: Callable[[], None]) -> str:
    with pytest.raises(NotepipeError) as found:
        do()
    return str(found.value)


def test_what_came_back_is_no_longer_out(office: Office) -> None:
    assert office.out() == [6, 2]
    office.back(counts={1: 4})
    assert office.out() == [2, 2]
    office.back(everything=True)
    assert office.out() == [0, 0]
    assert open_lines(office.now) == ()


def test_all_but_the_lines_that_are_counted(office: Office) -> None:
    office.back(everything=True, counts={1: 5})
    assert office.out() == [1, 0]


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"counts": {1: 7}}, "7 came back, and 6 went out"),
        ({"counts": {1: 0}}, "0 came back"),
        ({"counts": {3: 1}}, "no line 3"),
        ({"damage": ((1, "a run"),)}, "a remark on what is not back"),
        ({"finish": {9: "chrome"}}, "no line 9"),
        ({"counts": {1: 1}, "on": "2026-11-24"}, "and it only went on 2026-11-25"),
        ({"counts": {1: 1}, "on": "2026-12-17"}, "is still to come"),
        ({"counts": {1: 1}, "on": "yesterday"}, "is no date"),
        ({}, "nothing came back"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_booked(
    office: Office, told: dict[str, object], says: str
) -> None:
    assert says in refused(lambda: office.back(**told))
    assert office.out() == [6, 2]


def test_more_than_is_still_out_is_refused(office: Office) -> None:
    office.back(counts={1: 4})
    assert "3 came back, and 6 went out, and 4 came back before" in refused(
        lambda: office.back(counts={1: 3})
    )
    office.back(everything=True)
    assert "nothing is out on it any more" in refused(lambda: office.back(everything=True))
    assert "no sheet 'S09'" in refused(lambda: office.back("S09", everything=True))


def test_damage_and_a_wrong_finish_stay_until_settled(office: Office) -> None:
    office.back(everything=True, damage=((1, "a run"), (1, "a dent")), finish={1: "chrome", 2: "nickel"})
    (line,) = open_lines(office.now)
    assert (line.damage, line.wrong) == (("a run; a dent",), ("chrome",))
    told = parts_out((office.now,), LETTER)
    assert "came back chromed, wanted" in told
    assert "0 pieces out, 1 line to be settled" in told
    office.settle(1)
    assert open_lines(office.now) == ()
    office.back(damage=((1, "found another run"),))
    assert [line.damage for line in open_lines(office.now)] == [("found another run",)]


def test_settling_a_remark_leaves_what_is_out_out(office: Office) -> None:
    office.back(counts={1: 4}, damage=((1, "a run"),))
    office.settle(1)
    assert office.out() == [2, 2]
    assert not open_lines(office.now)[0].remarked
    office.settle(1, "two lost, paid for")
    assert office.out() == [0, 2]
    office.back(counts={1: 1})  # One of them turned up after all.
    assert office.out() == [0, 2]


def test_both_are_settled_where_it_is_said(office: Office) -> None:
    office.back(counts={1: 4}, damage=((1, "a run"),))
    office.settle(1, missing=True)
    assert [line.line.line for line in open_lines(office.now)] == [2]


def test_what_is_not_open_cannot_be_settled(office: Office) -> None:
    office.back(counts={1: 6})
    assert "nothing is open on it" in refused(lambda: office.settle(1))
    assert "no line 9" in refused(lambda: office.settle(9))
    assert "no word how" in refused(lambda: office.settle(2, " "))


def test_a_decision_can_be_marked_done_once_all_is_back_and_in_order(office: Office) -> None:
    office.back(counts={1: 5, 2: 2}, damage=((2, "a run"),))
    assert finished(office.now, "S01") == ()
    office.back(counts={1: 1})
    assert [row.tag for row in finished(office.now, "S01")] == ["001"]
    office.settle(2)
    first, second = finished(office.now, "S01")
    assert first.command("tram-7") == 'notepipe correct tram-7 001 "decision 1 standing=done"'
    office.lay(*marked_done(office.now, (first, second)))
    assert {part.part.decisions[0].standing for part in office.now.parts} == {"done"}
    assert finished(office.now, "S01") == ()


def test_a_set_sent_in_two_boxes_is_done_with_the_second() -> None:
    office = Office()
    office.back(everything=True)
    office.send(tags=("001",), counts={"001": 2})  # Two of them go again.
    assert [row.tag for row in finished(office.now, "S01")] == ["002"]
    office.back("S02", everything=True)
    assert [row.tag for row in finished(office.now, "S02")] == ["001"]


def test_a_decision_that_was_changed_meanwhile_is_not_offered(office: Office) -> None:
    chrome = Part(
        name="handrail", quantity=2, decisions=(REPLATE.model_copy(update={"to_finish": "chrome"}),)
    )
    office.lay(PartConfirmed(recording="ab", record="p2", tag="002", part=chrome))
    office.back(everything=True)
    assert [row.tag for row in finished(office.now, "S01")] == ["001"]


def test_a_caution_that_has_to_be_is_acknowledged_with_it() -> None:
    office = Office(Caution(id="lifting", text="Does it lift?", defer_to="a rigger", acknowledge=True))
    office.back(everything=True)
    rows = finished(office.now, "S01")
    assert rows[0].command("tram-7").endswith(" --acknowledge lifting")
    with pytest.raises(BadAnswer, match="Does it lift"):
        marked_done(office.now, rows)
    assert len(marked_done(office.now, rows, ("lifting",))) == 2


def test_the_parts_out_are_a_table_of_lines_with_whom_and_since_when(office: Office) -> None:
    office.back(counts={1: 4}, remark="in two boxes")
    told = parts_out((office.now,), LETTER)
    assert "Tarn Plating (plater), sheet S01 of job tram-7" in told
    assert "since 25 November 2026, 21 days ago" in told
    assert "1    001 seat handle 6    4    2" in told
    assert "remark 2026-12-16: in two boxes" in told
    assert "4 pieces out" in told
    _, first, second = parts_out_csv((office.now,), LETTER).splitlines()
    assert first.startswith("001,tram-7,seat handle,S01,1,Tarn Plating,plater,2026-11-25,21,,6,4,2,,")
    assert second.startswith("002,tram-7,handrail,S01,2,")
