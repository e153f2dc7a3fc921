"""Days as people type them: ISO 8601, not still to come, and how long ago they were."""

from datetime import date

import pytest

from notepipe.days import ago, day_of, day_past, days_ago
from notepipe.errors import BadAnswer

TODAY = date(2026, 12, 24)


@pytest.mark.parametrize("text", ["2026-13-01", "2026-02-30", "yesterday", "03/12/2026", ""])
def test_what_is_no_day_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(BadAnswer, match="is no date\nWrite year, month and day, for example: 2026-11-25"):
        day_of("Q01", text)


def test_today_and_before_may_be_the_day_of_an_answer_and_tomorrow_may_not() -> None:
    assert day_past("Q01", "2026-12-24", TODAY) == TODAY
    assert day_past("Q01", " 2024-02-29 ", TODAY) == date(2024, 2, 29)
    with pytest.raises(BadAnswer, match="2026-12-25 is still to come"):
        day_past("Q01", "2026-12-25", TODAY)


@pytest.mark.parametrize(
    ("at", "days", "told"),
    [
        ("2026-12-24T00:10:00+01:00", 0, "today"),
        ("2026-12-23T23:50:00+01:00", 1, "yesterday"),
        ("2026-12-03", 21, "21 days ago"),
        ("2026-12-25", 0, "today"),
    ],
)
def test_days_are_counted_as_the_clock_on_the_wall_had_them(at: str, days: int, told: str) -> None:
    assert days_ago(at, TODAY) == days
    assert ago(days) == told
