"""Days off and working days against the law and the standards they come from.

- England and Wales: Banking and Financial Dealings Act 1971, Schedule 1 (bank holidays); Good Friday and
  Christmas Day are holidays at common law. For 2026, where 26 December is a Saturday, Monday 28 December is
  kept in its place: the list the United Kingdom's government publishes, which the library repeats.
- United States: Title 5 of the U.S. Code, section 6103 (a) for the days, (b) for a Saturday, kept on Friday.
- Easter Sunday: the earliest (22 March 1818) and the latest (25 April 1943) of the Gregorian calendar, and
  5 April 2026, 28 March 2027 from the same reckoning (Inter gravissimas, 1582).
- ISO 8601: a week begins on Monday; the week of 28 December 2026 to 3 January 2027 is 2026-W53.
"""

from datetime import date, timedelta

import pytest
from dateutil.easter import easter

from notepipe.errors import BadSetting
from notepipe.working_days import WorkingDays

ENGLAND = WorkingDays("GB", "ENG")
AMERICA = WorkingDays("US")


@pytest.mark.parametrize(
    "day",
    [
        "2026-01-01",
        "2026-04-03",
        "2026-04-06",
        "2026-05-04",
        "2026-05-25",
        "2026-08-31",
        "2026-12-25",
        "2026-12-28",
    ],
)
def test_the_bank_holidays_of_england_in_2026_are_days_off(day: str) -> None:
    assert ENGLAND.day_off(date.fromisoformat(day))


def test_on_every_other_weekday_of_2026_england_works() -> None:
    year = [date(2026, 1, 1) + timedelta(days=n) for n in range(365)]
    working = [day for day in year if ENGLAND.day_off(day) is None]
    weekdays = [day for day in year if day.isoweekday() <= 5]
    assert len(weekdays) - len(working) == 8


@pytest.mark.parametrize(
    ("day", "name"),
    [
        ("2026-01-19", "Martin Luther King"),
        ("2026-05-25", "Memorial Day"),
        ("2026-06-19", "Juneteenth"),
        ("2026-07-03", "Independence Day"),
        ("2026-11-26", "Thanksgiving"),
    ],
)
def test_the_public_holidays_of_the_united_states_in_2026_are_days_off(day: str, name: str) -> None:
    assert name in str(AMERICA.day_off(date.fromisoformat(day)))


def test_a_place_keeps_its_own_weekend() -> None:
    """Israel's Hours of Work and Rest Law 1951, section 7: the weekly rest falls on the Sabbath."""
    israel = WorkingDays("IL")
    assert israel.day_off(date(2026, 11, 28)) == "Saturday"
    assert israel.day_off(date(2026, 11, 29)) is None


@pytest.mark.parametrize(
    ("year", "sunday"),
    [(1818, "1818-03-22"), (1943, "1943-04-25"), (2026, "2026-04-05"), (2027, "2027-03-28")],
)
def test_easter_falls_where_the_gregorian_reckoning_puts_it(year: int, sunday: str) -> None:
    assert easter(year).isoformat() == sunday


def test_a_deadline_on_a_day_off_is_met_on_the_next_working_day() -> None:
    assert ENGLAND.on_or_after(date(2026, 12, 25)) == date(2026, 12, 29)
    assert ENGLAND.on_or_after(date(2026, 12, 24)) == date(2026, 12, 24)


def test_ten_working_days_leave_out_weekends_and_holidays() -> None:
    # 21 December to 6 January: 4 in the week before Christmas, 3 in 2026-W53, then 4 to 6 January.
    assert ENGLAND.after(date(2026, 12, 20), 10) == date(2027, 1, 6)
    assert WorkingDays().after(date(2026, 12, 20), 10) == date(2027, 1, 1)


def test_where_no_country_is_set_only_the_weekend_is_off() -> None:
    days = [date(2026, 12, 21) + timedelta(days=n) for n in range(7)]
    assert [WorkingDays().day_off(day) for day in days] == [None] * 5 + ["Saturday", "Sunday"]


@pytest.mark.parametrize(
    ("country", "part", "told"),
    [("XX", "", "no days off are known"), ("GB", "XX", "no part 'XX'"), ("", "ENG", "without a country")],
)
def test_a_place_nobody_knows_is_named_with_what_is_known(country: str, part: str, told: str) -> None:
    with pytest.raises(BadSetting, match=told):
        WorkingDays(country, part)
