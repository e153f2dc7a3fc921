"""Promises as iCalendar, held to RFC 5545 (September 2009) section by section, and read back by its reader.

The reader is the library that writes; the lines themselves are also read here by hand, from the RFC's text.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from icalendar import Calendar

from notepipe.errands import PromiseNoted
from notepipe.papers.calendar import Form, calendar
from notepipe.register import PromiseNow, Register
from notepipe.working_days import WorkingDays

ENGLAND = WorkingDays("GB", "ENG")
JOB = Register(
    job="tram-7",
    client="Fennimore Museum of Transport",
    what="Tram 7",
    opened_at="2026-11-25T09:00:00+00:00",
    last_hash="3f" * 32,
    last_number=2,
)
WAITED = PromiseNow(
    noted=PromiseNoted(
        promise="D01", who="Tarn Plating", what="lamp, brass; two", tags=("001",),
        words="two weeks\\fortnight", said_on="2026-11-25", due="2026-12-09",
    ),
    by="Ada Fenn",
    at="2026-11-25T10:00:00+01:00",
)  # fmt: skip
MOVED = WAITED.model_copy(update={"moved": ("2026-12-02",)})
KEPT = MOVED.model_copy(
    update={"settled_on": "2026-12-16", "settled_at": "2026-12-17T09:30:00+00:00", "how": "kept"}
)
GIVEN_UP = KEPT.model_copy(update={"how": "given up"})


@pytest.fixture
def written() -> Callable[..., bytes]:
    def write(*promises: PromiseNow, form: Form = "events") -> bytes:
        return calendar([JOB.model_copy(update={"promises": promises})], ENGLAND, form)

    return write


def unfolded(text: bytes) -> list[str]:
    """Section 3.1: a CRLF followed by one blank or tab is taken away."""
    return re.sub(rb"\r\n[ \t]", b"", text).decode("utf-8").split("\r\n")[:-1]


def told(what: str) -> PromiseNow:
    return WAITED.model_copy(update={"noted": WAITED.noted.model_copy(update={"what": what})})


FORMS: tuple[Form, ...] = ("events", "tasks")


@pytest.mark.parametrize("form", FORMS)
def test_lines_end_in_crlf_and_are_folded_at_75_octets_between_letters(written, form: Form) -> None:
    """Section 3.1: 75 octets without the break; forty é are eighty octets, and none may be cut in two."""
    text = written(told("é" * 40 + " brass fittings, " * 8), form=form)
    assert text.endswith(b"\r\n")
    lines = text.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert b"\n" not in text.replace(b"\r\n", b"")
    assert [line.decode("utf-8") for line in lines]  # A letter cut in two is no UTF-8.
    assert any("é" * 40 in line for line in unfolded(text))


def test_backslash_semicolon_comma_and_line_break_are_escaped_in_text(written) -> None:
    """Section 3.3.11; the colon and the quotation mark stay as they are."""
    lines = unfolded(written(WAITED))
    assert "SUMMARY:Tarn Plating: lamp\\, brass\\; two" in lines
    (description,) = [line for line in lines if line.startswith("DESCRIPTION:Job")]
    assert "two weeks\\\\fortnight" in description
    assert "\\n" in description


def test_a_name_can_not_add_a_line_of_its_own(written) -> None:
    """A line break typed or spoken into a name ends no content line (section 3.1)."""
    text = written(told("lamp\r\nEND:VEVENT\nATTENDEE:mailto:x@example.org"))
    assert not any(line.startswith(("ATTENDEE", "END:VEVENT\n")) for line in unfolded(text))
    assert len(Calendar.from_ical(text).walk("VEVENT")) == 1


@pytest.mark.parametrize("form", FORMS)
def test_a_calendar_says_its_version_and_maker_once(written, form: Form) -> None:
    """Section 3.6: PRODID and VERSION are required and must not occur more than once."""
    lines = unfolded(written(WAITED, KEPT, form=form))
    assert (lines[0], lines[-1]) == ("BEGIN:VCALENDAR", "END:VCALENDAR")
    assert lines.count("VERSION:2.0") == 1
    assert len([line for line in lines if line.startswith("PRODID")]) == 1


@pytest.mark.parametrize(("form", "kind"), [("events", "VEVENT"), ("tasks", "VTODO")])
def test_every_component_has_one_identifier_and_one_stamp_in_utc(written, form: Form, kind: str) -> None:
    """Sections 3.6.1 and 3.6.2 (UID and DTSTAMP required, once), 3.8.7.2 (DTSTAMP in UTC)."""
    second = WAITED.model_copy(update={"noted": WAITED.noted.model_copy(update={"promise": "D02"})})
    text = written(WAITED, second, form=form)
    assert len({str(c["uid"]) for c in Calendar.from_ical(text).walk(kind)}) == 2
    for lines in unfolded(text).__str__().split(f"BEGIN:{kind}")[1:]:
        assert lines.count("'UID:") == lines.count("'DTSTAMP:20261125T090000Z'") == 1


def test_an_all_day_event_ends_on_the_day_after(written) -> None:
    """Sections 3.3.4 and 3.6.1: a DATE value, the end not included."""
    (event,) = Calendar.from_ical(written(WAITED)).walk("VEVENT")
    assert event.decoded("dtstart") == date(2026, 12, 9)
    assert event.decoded("dtend") == date(2026, 12, 10)
    assert "DTSTART;VALUE=DATE:20261209" in unfolded(written(WAITED))


def test_a_deadline_on_a_day_off_stands_on_the_next_working_day(written) -> None:
    christmas = WAITED.model_copy(update={"noted": WAITED.noted.model_copy(update={"due": "2026-12-25"})})
    (event,) = Calendar.from_ical(written(christmas)).walk("VEVENT")
    assert event.decoded("dtstart") == date(2026, 12, 29)
    assert "Promised for 2026-12-25, a day off: Christmas Day" in str(event["description"])


def test_the_identifier_stays_and_the_sequence_rises_with_every_change(written) -> None:
    """Sections 3.8.4.7 (UID persistent) and 3.8.7.4 (SEQUENCE); RFC 7986, 5.3: the identifier is a UUID."""
    events = [Calendar.from_ical(written(p)).walk("VEVENT")[0] for p in (WAITED, MOVED, KEPT)]
    assert len({str(event["uid"]) for event in events}) == 1
    assert uuid.UUID(str(events[0]["uid"])).version == 5
    assert [event["sequence"] for event in events] == [0, 1, 2]


@pytest.mark.parametrize(
    ("promise", "form", "status"),
    [
        (WAITED, "events", "CONFIRMED"),
        (KEPT, "events", "CONFIRMED"),
        (GIVEN_UP, "events", "CANCELLED"),
        (WAITED, "tasks", "NEEDS-ACTION"),
        (KEPT, "tasks", "COMPLETED"),
        (GIVEN_UP, "tasks", "CANCELLED"),
    ],
)
def test_the_status_is_one_its_component_may_have(
    written, promise: PromiseNow, form: Form, status: str
) -> None:
    """Section 3.8.1.11: an event is TENTATIVE, CONFIRMED or CANCELLED; only a task can be COMPLETED."""
    kind = "VEVENT" if form == "events" else "VTODO"
    (component,) = Calendar.from_ical(written(promise, form=form)).walk(kind)
    assert str(component["status"]) == status


def test_a_kept_task_was_completed_on_its_day_in_utc(written) -> None:
    """Section 3.8.2.1: a date with UTC time; 3.8.1.8: 100 percent."""
    (task,) = Calendar.from_ical(written(KEPT, form="tasks")).walk("VTODO")
    assert task.decoded("completed") == datetime(2026, 12, 16, 12, tzinfo=UTC)
    assert task["percent-complete"] == 100
    assert task.decoded("dtstamp") == datetime(2026, 12, 17, 9, 30, tzinfo=UTC)


@pytest.mark.parametrize(("form", "related"), [("events", None), ("tasks", "END")])
def test_an_alarm_rings_the_day_before_and_has_a_description(
    written, form: Form, related: str | None
) -> None:
    """Section 3.6.6: DISPLAY needs ACTION, DESCRIPTION, TRIGGER; 3.8.6.3: a task counts from its end."""
    (alarm,) = Calendar.from_ical(written(WAITED, form=form)).walk("VALARM")
    assert (str(alarm["action"]), bool(alarm["description"])) == ("DISPLAY", True)
    assert alarm.decoded("trigger") == timedelta(days=-1)
    assert alarm["trigger"].params.get("RELATED") == related


@pytest.mark.parametrize("promise", [KEPT, GIVEN_UP])
@pytest.mark.parametrize("form", FORMS)
def test_nothing_rings_for_what_is_settled(written, promise: PromiseNow, form: Form) -> None:
    assert not Calendar.from_ical(written(promise, form=form)).walk("VALARM")


@pytest.mark.parametrize("form", FORMS)
def test_the_same_promises_give_the_same_bytes(written, form: Form) -> None:
    assert written(WAITED, KEPT, form=form) == written(WAITED, KEPT, form=form)


def test_no_promises_are_a_calendar_all_the_same(written) -> None:
    assert unfolded(written()) == [
        "BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//notepipe//promises//EN", "CALSCALE:GREGORIAN",
        "END:VCALENDAR",
    ]  # fmt: skip
