"""What is due: overdue, this week, later; days off; and how long each vendor took before."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from notepipe.agenda import due_lines, promise_line, record_lines, settled_line
from notepipe.errands import LineBack, PromiseNoted, SheetLine, SheetSent
from notepipe.months.due import Due, Took, came_back, due, records
from notepipe.register import Booked, PromiseNow, Register, SheetNow
from notepipe.working_days import WorkingDays

AT = "2026-11-25T10:00:00+00:00"
ENGLAND = WorkingDays("GB", "ENG")
Registered = Callable[..., Register]


def promise(name: str, day: str, **change: object) -> PromiseNow:
    noted = PromiseNoted(
        promise=name,
        who="Tarn Plating",
        what="lamp",
        tags=("001",),
        words="two weeks",
        said_on="2026-11-25",
        due=day,
    )
    now = {key: change.pop(key) for key in ("moved", "settled_on", "how", "first_said") if key in change}
    return PromiseNow(noted=noted.model_copy(update=change), by="Ada", at=AT, **now)


def sheet(
    name: str, on: str, *back: tuple[str, int], count: int = 2, vendor: str = "Tarn Plating"
) -> SheetNow:
    line = SheetLine(line=1, tag="001", name="lamp", count=count)
    sent = SheetSent(sheet=name, vendor=vendor, trade="plater", lines=(line,), pieces=count, on=on)
    booked = tuple(Booked(on=day, by="Ada", back=LineBack(line=1, count=many)) for day, many in back)
    return SheetNow(sent=sent, by="Ada", at=AT, back=booked)


@pytest.fixture
def job(registered: Registered) -> Callable[..., Register]:
    def build(*promises: PromiseNow, sheets: tuple[SheetNow, ...] = ()) -> Register:
        return registered().model_copy(update={"promises": promises, "sheets": sheets})

    return build


def names(found: Due) -> list[list[str]]:
    return [
        [line.promise.noted.promise for line in group]
        for group in (found.overdue, found.this_week, found.later)
    ]


def test_a_promise_is_late_the_day_after_and_a_week_ends_on_sunday(job: Callable[..., Register]) -> None:
    """ISO 8601: Wednesday 9 December 2026 lies in the week from Monday 7 to Sunday 13 December."""
    days = {"D01": "2026-12-08", "D02": "2026-12-09", "D03": "2026-12-11", "D04": "2026-12-14"}
    found = due([job(*(promise(n, d) for n, d in days.items()))], date(2026, 12, 9), ENGLAND)
    assert names(found) == [["D01"], ["D02", "D03"], ["D04"]]
    assert [line.days_late for line in (*found.overdue, *found.this_week)] == [1, 0, -2]


def test_a_deadline_on_a_day_off_is_late_only_after_the_next_working_day(
    job: Callable[..., Register],
) -> None:
    """Christmas Day 2026 is a Friday, and Monday 28 December is kept for Boxing Day in England."""
    register = job(promise("D01", "2026-12-25"))
    found = due([register], date(2026, 12, 29), ENGLAND)
    assert names(found) == [[], ["D01"], []]
    line = found.this_week[0]
    assert (line.day_off, line.falls_on, line.days_late) == ("Christmas Day", date(2026, 12, 29), 0)
    assert names(due([register], date(2026, 12, 30), ENGLAND)) == [["D01"], [], []]


def test_what_is_settled_is_waited_for_no_longer(job: Callable[..., Register]) -> None:
    settled = promise("D01", "2026-12-09", settled_on="2026-12-10", how="kept")
    assert names(due([job(settled)], date(2026, 12, 20), ENGLAND)) == [[], [], []]


def test_a_record_counts_from_the_first_promise_that_was_given(job: Callable[..., Register]) -> None:
    moved = promise(
        "D01", "2026-12-16", said_on="2026-12-08", first_said="2026-11-25", moved=("2026-12-09",),
        settled_on="2026-12-18", how="kept",
    )  # fmt: skip
    (record,) = records([job(moved)]).values()
    assert record.times == (Took(promised=14, days=23),)
    assert (record.days, record.late) == (23, 9)


def test_what_was_given_up_tells_nothing_of_how_long_it_takes(job: Callable[..., Register]) -> None:
    given_up = promise("D01", "2026-12-09", settled_on="2026-12-18", how="given up")
    assert records([job(given_up)]) == {}


def test_a_sheet_counts_once_it_is_all_back_and_with_its_promise(job: Callable[..., Register]) -> None:
    sheets = (
        sheet("S01", "2026-11-01", ("2026-11-10", 1), ("2026-11-20", 1)),
        sheet("S02", "2026-11-05", ("2026-11-10", 1)),
        sheet("S03", "2026-11-06", ("2026-11-16", 2), vendor="tarn plating"),
    )
    kept = promise(
        "D01", "2026-11-15", sheet="S01", said_on="2026-11-01", settled_on="2026-11-20", how="kept"
    )
    (record,) = records([job(kept, sheets=sheets)]).values()
    assert record.times == (Took(promised=None, days=10), Took(promised=14, days=19))
    assert [came_back(one) for one in sheets] == ["2026-11-20", None, "2026-11-16"]


def test_a_line_shows_words_moves_lateness_and_the_record_of_all_jobs(job: Callable[..., Register]) -> None:
    waited = job(promise("D02", "2026-12-09", moved=("2026-12-02",), sheet="S01"))
    before = job(promise("D01", "2026-11-15", said_on="2026-11-01", settled_on="2026-11-20", how="kept"))
    found = due([waited], date(2026, 12, 11), ENGLAND, [waited, before])
    assert list(due_lines(found, date.isoformat))[:6] == [
        "Overdue",
        "    car-14 D02  Tarn Plating: lamp (001, sheet S01)",
        "        due Wed 2026-12-09, 2 days late; “two weeks”, said on 2026-11-25",
        "        moved: promised before for 2026-12-02",
        "        before: once, 19 for 14 days promised, 5 later than promised",
        "",
    ]


def test_an_empty_list_says_so(job: Callable[..., Register]) -> None:
    lines = list(due_lines(due([job()], date(2026, 12, 11), ENGLAND), date.isoformat))
    assert lines == [
        "Overdue",
        "    nothing",
        "",
        "Due this week",
        "    nothing",
        "",
        "Later",
        "    nothing",
        "",
    ]
    assert list(record_lines([])) == []


def test_a_day_off_is_told_with_the_day_it_comes_to(job: Callable[..., Register]) -> None:
    lines = list(
        due_lines(due([job(promise("D01", "2026-12-25"))], date(2026, 12, 21), ENGLAND), date.isoformat)
    )
    assert any("due Fri 2026-12-25, Christmas Day, so Tue 2026-12-29" in line for line in lines)


def test_noting_and_keeping_are_told_in_one_line() -> None:
    kept = promise("D01", "2026-12-09", settled_on="2026-12-16", how="kept")
    assert promise_line(kept, date.isoformat) == "D01 Tarn Plating: lamp (001), due Wed 2026-12-09"
    assert settled_line(kept, date.isoformat).endswith("lamp (001), kept on Wed 2026-12-16, 7 days late")
    given_up = promise("D01", "2026-12-09", settled_on="2026-12-16", how="given up")
    assert settled_line(given_up, date.isoformat).endswith("given up on Wed 2026-12-16")
