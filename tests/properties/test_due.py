"""What holds for any day, any promise and any small talk around it."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.draft import Draft, Note
from notepipe.errands import PromiseNoted
from notepipe.months.due import due
from notepipe.reading.promised import Promised, Setting, promised
from notepipe.register import PromiseNow, Register
from notepipe.trade import load_trade
from notepipe.transcript import Transcript
from notepipe.working_days import WorkingDays

TRADE = load_trade()
ENGLAND = WorkingDays("GB", "ENG")
SAID = [example.say for row in TRADE.deadlines for example in row.examples]
days = st.dates(date(1990, 1, 1), date(2090, 12, 31))
NOTHING = Draft(note=Note(file="walk.m4a", sha256="ab" * 32))


def heard(text: str, on: date) -> tuple[Promised, ...]:
    return promised(Transcript(text=text), NOTHING, TRADE, Setting(on=on, working=ENGLAND))


@given(st.sampled_from(SAID), days)
@settings(deadline=None, max_examples=150)
def test_nothing_is_promised_for_a_day_before_it_was_said(say: str, on: date) -> None:
    for one in heard(say, on):
        others = [doubt.other for doubt in one.doubts if doubt.field == "due" and doubt.other]
        assert one.due is None or one.due >= on
        assert all(date.fromisoformat(other) >= on for other in others)


@given(st.sampled_from(SAID), days)
@settings(deadline=None, max_examples=60)
def test_every_promise_quotes_words_of_the_note(say: str, on: date) -> None:
    text = f"Morning, Owen at the bench. {say} The kettle is on."
    for one in heard(text, on):
        assert one.quote.text in text
        assert one.words in one.quote.text


@given(st.sampled_from(SAID), days, st.sampled_from(["The kettle is on.", "My knee is bad again.", "Right."]))
@settings(deadline=None, max_examples=60)
def test_small_talk_after_a_promise_changes_no_day(say: str, on: date, talk: str) -> None:
    assert [one.due for one in heard(f"{say} {talk}", on)] == [one.due for one in heard(say, on)]


@given(st.integers(1, 60), days)
@settings(deadline=None, max_examples=60)
def test_weeks_are_sevens_of_days(weeks: int, on: date) -> None:
    if weeks > 1:
        (one,) = heard(f"The plater says {weeks} weeks.", on)
        assert one.due == on + timedelta(days=7 * weeks)


@given(days, st.integers(1, 40))
def test_the_working_days_between_are_as_many_as_were_asked_for(on: date, many: int) -> None:
    end = ENGLAND.after(on, many)
    between = [on + timedelta(days=n) for n in range(1, (end - on).days + 1)]
    assert ENGLAND.day_off(end) is None
    assert len([day for day in between if ENGLAND.day_off(day) is None]) == many


@given(st.lists(days, max_size=8), days)
def test_every_promise_waited_for_stands_in_one_group_and_they_follow_each_other(
    dues: list[date], on: date
) -> None:
    promises = tuple(
        PromiseNow(
            noted=PromiseNoted(
                promise=f"D{number:02d}",
                who="Ward",
                what="lamp",
                words="",
                said_on="1990-01-01",
                due=day.isoformat(),
            ),
            by="Ada",
            at="2026-11-25T10:00:00+00:00",
        )
        for number, day in enumerate(dues, start=1)
    )
    job = Register(
        job="t", client="c", what="w", opened_at="", promises=promises, last_hash="", last_number=1
    )
    found = due([job], on, ENGLAND)
    lines = [*found.overdue, *found.this_week, *found.later]
    assert sorted(line.promise.noted.promise for line in lines) == [p.noted.promise for p in promises]
    assert [line.falls_on for line in lines] == sorted(line.falls_on for line in lines)
    assert all(line.days_late > 0 for line in found.overdue)
    assert all(-7 < line.days_late <= 0 for line in found.this_week)
