"""The office's lists: every decision on the list its operation says, with what whoever reads it needs."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from typing import get_args

import pytest

from notepipe.draft import Action, Caution, Decision, Part, Question, Quote, Size
from notepipe.errands import SheetLine, SheetSent
from notepipe.errors import NotReviewed
from notepipe.papers import Letter
from notepipe.papers.bench_list import bench_csv, bench_list
from notepipe.papers.buying_list import buying_csv, buying_list
from notepipe.papers.looking_for import looking_csv, looking_for
from notepipe.papers.tasks import list_of, tasks
from notepipe.register import AnswerNow, Register, SheetNow
from notepipe.trade.operations import Operation, operations

Registered = Callable[..., Register]
WRITERS = [bench_list, bench_csv, buying_list, buying_csv, looking_for, looking_csv]


def decided(action: Action, by: str | None = "in-house", **more: object) -> Decision:
    return Decision.model_validate({"action": action, "standing": "decided", "by": by, "quote": "", **more})


RAIL = Part(
    name="window rail",
    quantity=1,
    metal="brass",
    sizes=(Size(feature="length", value="42", unit="in", mm=1066.8),),
    decisions=(decided("buff"), decided("straighten"), decided("replate", "plater")),
    cautions=(Caution(id="wheel", text="Can it catch a hand?", defer_to="the manual"),),
)
LENS = Part(
    name="ruby lens",
    decisions=(Decision(action="source", standing="decided", quote="still looking for one"),),
    quotes=(Quote(text="Joe asked for ninety quid"), Quote(text="missing")),
)


@pytest.mark.parametrize("row", operations().operation, ids=lambda row: row.action)
def test_a_decision_stands_on_the_list_its_row_says(registered: Registered, row: Operation) -> None:
    decision = decided(row.action, row.example.by)
    part = Part(name="lamp", decisions=(decision,))
    register = registered(part)
    assert list_of(part, decision) == row.example.on
    for name in ("bench", "buying", "looking for"):
        assert bool(tasks(register, name)) == (name == row.example.on)


def test_every_action_is_an_operation_once() -> None:
    assert sorted(row.action for row in operations().operation) == sorted(get_args(Action))


@pytest.mark.parametrize("standing", ["considering", "asking", "ruled-out", "done"])
def test_what_is_not_decided_is_on_no_bench(registered: Registered, standing: str) -> None:
    register = registered(Part(name="lamp", decisions=(decided("polish", standing=standing),)))
    assert not tasks(register, "bench")


def test_the_bench_list_goes_by_operation_in_the_order_of_the_work(
    registered: Registered, letter: Letter
) -> None:
    hooks = Part(name="hook", decisions=(decided("clean", None), decided("polish", "Joe Marsh")))
    told = bench_list(registered(RAIL, hooks), letter)
    at = [told.index(f"\n{title}\n") for title in ("CLEAN", "STRAIGHTEN", "POLISH", "BUFF")]
    assert at == sorted(at)
    assert "PLATE" not in told
    assert "001 window rail 1     brass length 42 in buffed here straightened" in told
    assert "002 hook polished Joe Marsh cleaned" in told
    assert "1 line, 0 pieces, and 1 without a count" in told
    assert "001 window rail: Can it catch a hand? Ask: the manual." in " ".join(told.split())


def test_a_part_that_is_out_is_said_to_be(registered: Registered, letter: Letter) -> None:
    line = SheetLine(line=1, tag="001", name="window rail", count=1)
    sent = SheetSent(
        sheet="S01", vendor="Tarn Plating", trade="plater", lines=(line,), pieces=1, on="2026-11-20"
    )
    register = registered(RAIL).model_copy(
        update={"sheets": (SheetNow(sent=sent, by="Ada", at="2026-11-20T10:00:00+00:00"),)}
    )
    assert "1 of 1 with Tarn Plating (S01)" in bench_csv(register, letter)
    ours = Part(name="lamp", decisions=(decided("polish", "Tarn Plating"),))
    assert list_of(ours, ours.decisions[0], frozenset({"tarn plating"})) == "none"


def test_the_buying_list_has_the_metal_and_size_of_the_new_one(
    registered: Registered, letter: Letter
) -> None:
    plate = RAIL.model_copy(
        update={"quantity": 2, "decisions": (decided("replace", None, to_metal="bronze"),)}
    )
    bolts = Part(name="bolt", decisions=(decided("buy", "chandler"),))
    told = buying_list(registered(plate, bolts), letter)
    assert "001 window rail 2     bronze length 42 in replace" in told
    assert "2 lines, 2 pieces, and 1 without a count" in told
    assert "No size is known of: 002" in told
    rows = list(csv.reader(io.StringIO(buying_csv(registered(plate, bolts), letter), newline="")))
    assert rows[1] == ["001", "car-14", "window rail", "2", "bronze", "", "length 42 in", "replace", ""]
    assert rows[2][-2:] == ["buy", "chandler"]


@pytest.mark.parametrize("other", ["make", "buy", "source"])
def test_what_is_made_or_hunted_for_is_not_bought_twice(registered: Registered, other: Action) -> None:
    part = Part(name="plate", decisions=(decided("replace", None), decided(other, None)))
    assert "replace" not in {task.decision.action for task in tasks(registered(part), "buying")}


def test_the_looking_for_list_says_where_was_looked(registered: Registered, letter: Letter) -> None:
    ask = Question(to="shop", about="ruby lens", text="Who has one?", quote="who has one")
    register = registered(LENS, questions=(ask,))
    heard = "The lens is missing. I'm still looking for one, I've tried Ellerby. The kettle is on."
    note = register.notes[0].model_copy(update={"transcript": heard})
    register = register.model_copy(update={"notes": (note,)})
    told = " ".join(looking_for(register, letter).split())
    assert "“I'm still looking for one, I've tried Ellerby.” (walk.m4a)" in told
    assert "kettle" not in told
    assert "quid" not in told
    assert "Q01 Who has one? Not answered yet." in told
    answer = AnswerNow(
        text="nothing at the sale", by="Joe", on="2026-11-28", way=None, written_by="Ada", written_at="x"
    )
    answered = register.questions[0].model_copy(update={"answer": answer})
    register = register.model_copy(update={"questions": (answered,)})
    assert "Q01 Who has one? Joe, 2026-11-28: nothing at the sale" in " ".join(
        looking_for(register, letter).split()
    )
    rows = list(csv.reader(io.StringIO(looking_csv(register, letter), newline="")))
    assert rows[1][:3] == ["001", "car-14", "ruby lens"]


@pytest.mark.parametrize("write", WRITERS)
def test_no_list_goes_out_with_what_nobody_has_reviewed(
    registered: Registered, letter: Letter, write: Callable[[Register, Letter], str]
) -> None:
    with pytest.raises(NotReviewed):
        write(registered(RAIL, waiting=1), letter)
    left = letter.model_copy(update={"leave_out": True})
    assert "eft out: 1 record" in write(registered(RAIL, waiting=1), left)
    assert "eft out" not in write(registered(RAIL), left)


@pytest.mark.parametrize("write", [bench_list, buying_list, looking_for])
@pytest.mark.parametrize("width", [40, 60, 120])
def test_lines_fit_the_paper(
    registered: Registered, letter: Letter, write: Callable[[Register, Letter], str], width: int
) -> None:
    new = RAIL.model_copy(update={"decisions": (decided("replace", "gauge repairer"),)})
    told = write(registered(RAIL, new, LENS), letter.model_copy(update={"width": width}))
    assert max(len(line) for line in told.splitlines()) <= width


@pytest.mark.parametrize("write", [bench_list, buying_list, looking_for])
def test_an_empty_list_says_so(
    registered: Registered, letter: Letter, write: Callable[[Register, Letter], str]
) -> None:
    assert "Nothing is " in write(registered(), letter)


def test_a_list_names_its_job_and_no_client(registered: Registered, letter: Letter) -> None:
    told = " ".join(bench_list(registered(RAIL), letter).split())
    assert "Bench list of job car-14: Tramcar 14, brass and plated fittings" in told
    assert "Fennimore" not in told
