"""What is promised as iCalendar (RFC 5545), for whatever calendar the office uses.

As all-day events, which every calendar shows; or as tasks, for those that keep tasks. The same state gives
the same bytes: every time in it comes from an entry.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal

from icalendar import Alarm, Calendar, Event, Todo

from notepipe.months.due import falls_on
from notepipe.papers.layout import plain
from notepipe.register import PromiseNow, Register
from notepipe.working_days import WorkingDays

PRODID = "-//notepipe//promises//EN"
Form = Literal["events", "tasks"]
_SPACE = uuid.UUID("5d0c2f43-8f5a-5b3e-9d53-0c7f9a3ce8a1")
"""Of the identifiers below, so that no other program makes the same ones."""
_DAY_BEFORE = timedelta(days=-1)


def calendar(registers: Sequence[Register], working: WorkingDays, form: Form = "events") -> bytes:
    """Every promise of the jobs in *registers*: those waited for with an alarm the day before, settled ones
    as completed or cancelled, so that a calendar that has them already learns of it.
    """
    made = Calendar()
    made.add("prodid", PRODID)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    for register in registers:
        for promise in register.promises:
            made.add_component(_component(register, promise, working, form))
    return bytes(made.to_ical())


def uid(register: Register, promise: PromiseNow) -> str:
    """The identifier of a promise, the same for good: a UUID, as RFC 7986 section 5.3 asks for."""
    return str(uuid.uuid5(_SPACE, "\n".join((register.job, register.opened_at, promise.noted.promise))))


def _component(register: Register, promise: PromiseNow, working: WorkingDays, form: Form) -> Event | Todo:
    day, falls, off = falls_on(promise, working)
    told = _told(register, promise, day, off)
    # RFC 5545, 3.8.7.4: raised at each change that matters; a settled promise is never noted again.
    sequence = len(promise.moved) + (promise.settled_on is not None)
    made = Todo() if form == "tasks" else Event()
    made.add("uid", uid(register, promise))
    made.add("dtstamp", _utc(promise.settled_at or promise.at))
    made.add("sequence", sequence)
    made.add("summary", _summary(promise))
    made.add("description", told)
    made.add("categories", [plain(register.job)])
    if isinstance(made, Todo):
        made.add("due", falls)
        _task_status(made, promise)
    else:
        made.add("dtstart", falls)
        made.add("dtend", falls + timedelta(days=1))
        made.add("status", "CANCELLED" if promise.how == "given up" else "CONFIRMED")
        made.add("transp", "TRANSPARENT")
    if promise.settled_on is None:
        made.add_component(_alarm(promise, form))
    return made


def _task_status(made: Todo, promise: PromiseNow) -> None:
    if promise.settled_on is None:
        made.add("status", "NEEDS-ACTION")
    elif promise.how == "given up":
        made.add("status", "CANCELLED")
    else:
        made.add("status", "COMPLETED")
        made.add("percent-complete", 100)
        # A time is asked for (RFC 5545, 3.8.2.1) and only the day is known: noon keeps to it nearly anywhere.
        made.add("completed", datetime.combine(date.fromisoformat(promise.settled_on), time(12), UTC))


def _alarm(promise: PromiseNow, form: Form) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", _summary(promise))
    # A task has no start to count from: RFC 5545, 3.8.6.3.
    alarm.add("trigger", _DAY_BEFORE, parameters={"RELATED": "END"} if form == "tasks" else {})
    return alarm


def _summary(promise: PromiseNow) -> str:
    before = {"kept": "Kept: ", "given up": "Given up: "}.get(promise.how or "", "")
    return plain(f"{before}{promise.noted.who}: {promise.noted.what}")


def _told(register: Register, promise: PromiseNow, day: date, off: str | None) -> str:
    noted = promise.noted
    about = ", ".join(filter(None, (*noted.tags, noted.sheet and f"sheet {noted.sheet}")))
    lines = [
        f"Job {register.job} {noted.promise}{f' ({about})' if about else ''}",
        f"“{noted.words}”, said on {noted.said_on}",
    ]
    if promise.moved:
        lines.append(f"Moved: promised before for {', '.join(promise.moved)}")
    if off:
        lines.append(f"Promised for {day.isoformat()}, a day off: {off}")
    if promise.settled_on:
        remark = f": {promise.remark}" if promise.remark else ""
        lines.append(f"{(promise.how or '').capitalize()} on {promise.settled_on}{remark}")
    return "\n".join(plain(line) for line in lines)


def _utc(at: str) -> datetime:
    return datetime.fromisoformat(at).astimezone(UTC)
