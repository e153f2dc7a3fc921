"""Days off and working days of the place a shop works in, from a library of holidays."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache

import holidays

from notepipe.errors import BadSetting, nearest
from notepipe.shop import SETTINGS_FILE

_DAY = timedelta(days=1)
_NO_PLACE = frozenset({5, 6})
"""Saturday and Sunday by Python's count of weekdays, where no country is set."""


class WorkingDays:
    """The days off of a country, or of a part of it; of no country at all: Saturdays and Sundays.

    Codes are those of ISO 3166-1 and 3166-2 ("GB" and "ENG"). Raises BadSetting for one nobody knows.
    """

    def __init__(self, country: str = "", part: str = "") -> None:
        self._days = _days_off(country, part) if country else None
        if part and not country:
            do = 'Write the country as well: country = "GB"'
            raise BadSetting(SETTINGS_FILE, f"country_part '{part}' without a country", do)

    def day_off(self, day: date) -> str | None:
        """Why nobody works on *day*: the holiday's name, "Saturday", "Sunday"; None for a working day."""
        if self._days is None:
            return f"{day:%A}" if day.weekday() in _NO_PLACE else None
        name = self._days.get(day)
        if name:
            return name
        return None if self._days.is_working_day(day) else f"{day:%A}"

    def on_or_after(self, day: date) -> date:
        """*day* itself where it is worked on, else the next working day."""
        while self.day_off(day) is not None:
            day += _DAY
        return day

    def after(self, day: date, working: int) -> date:
        """The working day that is the *working*-th after *day*, which itself is not counted."""
        for _ in range(working):
            day = self.on_or_after(day + _DAY)
        return day


@cache
def _days_off(country: str, part: str) -> holidays.HolidayBase:
    known = holidays.list_supported_countries(include_aliases=True)
    if country not in known:
        do = nearest(country, known) if len(country) == 2 else 'Two letters, for example: country = "GB"'
        raise BadSetting(SETTINGS_FILE, f"no days off are known for country '{country}'", do)
    if part and part not in known[country]:
        do = nearest(part, known[country]) if known[country] else "Leave country_part empty."
        raise BadSetting(SETTINGS_FILE, f"{country} has no part '{part}'", do)
    return holidays.country_holidays(country, subdiv=part or None, language=_language(country))


def _language(country: str) -> str | None:
    """English names where the library has them: the rest of the program speaks English."""
    languages = holidays.list_localized_countries().get(country, [])
    return next((name for name in ("en_GB", "en_US", "en") if name in languages), None)
