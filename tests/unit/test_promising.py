"""A promise is noted, moved and settled by a person; a slip is told in one line and nothing is noted."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from notepipe.draft import Part
from notepipe.entries import JobOpened
from notepipe.errands import PromiseSettled, SheetLine, SheetSent
from notepipe.errors import BadAnswer, NotFound
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.promising import Told, kept, noted
from notepipe.register import Register, SheetNow

TODAY = date(2026, 11, 25)
WEEKS = Told(who="Tarn Plating", due="2026-12-09", words="two weeks", said_on="2026-11-25", tags=("001",))
Registered = Callable[..., Register]


@pytest.fixture
def register(registered: Registered) -> Register:
    line = SheetLine(line=1, tag="001", name="lamp", count=2)
    sent = SheetSent(
        sheet="S01", vendor="Tarn Plating", trade="plater", lines=(line,), pieces=2, on="2026-11-20"
    )
    sheet = SheetNow(sent=sent, by="Ada", at="2026-11-20T10:00:00+00:00")
    return registered(Part(name="lamp"), Part(name="bell")).model_copy(update={"sheets": (sheet,)})


class Office:
    """A job whose promises are noted through the ledger, as the command does it."""

    def __init__(self) -> None:
        self.ledger = Ledger(None)
        self._lay(JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram 7"))

    def note(self, **change: object) -> str:
        told = WEEKS.model_copy(update={"tags": (), "what": "the sample", **change})
        body = noted(self.register, told, TODAY)
        self._lay(body)
        return body.promise

    def keep(self, name: str, on: str) -> None:
        self._lay(kept(self.register, name, PromiseSettled(promise=name, on=on), TODAY))

    @property
    def register(self) -> Register:
        return fold(self.ledger.entries("tram-7"))

    def _lay(self, body: object) -> None:
        hand = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
        self.ledger.append("tram-7", hand, body)  # type: ignore[arg-type]


def test_a_promise_says_who_what_when_and_in_which_words(register: Register) -> None:
    body = noted(register, WEEKS, TODAY)
    assert (body.promise, body.who, body.what, body.tags) == ("D01", "Tarn Plating", "lamp", ("001",))
    assert (body.words, body.said_on, body.due) == ("two weeks", "2026-11-25", "2026-12-09")


def test_any_form_of_iso_8601_is_kept_as_year_month_day(register: Register) -> None:
    """ISO 8601: 20261209 and 2026-W50-3 are the same day as 2026-12-09."""
    for due in ("20261209", "2026-W50-3", " 2026-12-09 "):
        assert noted(register, WEEKS.model_copy(update={"due": due}), TODAY).due == "2026-12-09"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"due": "9/12/2026"}, "'9/12/2026' is no date"),
        ({"due": "2026-02-30"}, "is no date"),
        ({"due": "2026-11-24"}, "before the day it was promised"),
        ({"due": "2026-11-20", "said_on": "2026-11-10"}, "2026-11-20 is past"),
        ({"said_on": "2026-11-26"}, "still to come"),
        ({"said_on": "1826-11-25", "due": "1926-11-25", "past": True}, "long ago"),
        ({"who": "  "}, "by nobody"),
    ],
)
def test_a_day_or_a_name_that_can_not_be_is_refused(register: Register, change: dict, told: str) -> None:
    with pytest.raises(BadAnswer, match=told):
        noted(register, WEEKS.model_copy(update=change), TODAY)


def test_a_past_day_goes_where_a_person_says_so(register: Register) -> None:
    told = WEEKS.model_copy(update={"due": "2026-11-20", "said_on": "2026-11-10", "past": True})
    assert noted(register, told, TODAY).due == "2026-11-20"


@pytest.mark.parametrize("change", [{"tags": ("099",)}, {"sheet": "S09"}, {"moves": "D09"}])
def test_what_is_not_there_is_named(register: Register, change: dict) -> None:
    with pytest.raises(NotFound):
        noted(register, WEEKS.model_copy(update=change), TODAY)


def test_the_same_promise_with_another_day_moves_and_remembers_the_first() -> None:
    office = Office()
    assert [office.note(), office.note(due="2026-12-16", who="tarn plating")] == ["D01", "D01"]
    (promise,) = office.register.promises
    assert (promise.noted.due, promise.moved, promise.first_said) == (
        "2026-12-16",
        ("2026-12-09",),
        "2026-11-25",
    )


def test_the_same_promise_with_the_same_day_is_told_and_not_noted_twice() -> None:
    office = Office()
    office.note()
    with pytest.raises(BadAnswer, match="is due on 2026-12-09 already"):
        office.note()
    assert len(office.ledger.entries("tram-7")) == 2


@pytest.mark.parametrize("change", [{"who": "Ward"}, {"what": "the bell"}])
def test_another_vendor_or_another_thing_is_another_promise(change: dict) -> None:
    office = Office()
    assert [office.note(), office.note(due="2026-12-16", **change)] == ["D01", "D02"]


def test_a_person_can_say_which_promise_moves() -> None:
    office = Office()
    office.note()
    assert office.note(who="Ward", what="all of it", due="2026-12-16", moves="D01") == "D01"


def test_a_kept_promise_is_not_moved_but_made_anew() -> None:
    office = Office()
    office.note()
    office.keep("D01", "2026-11-25")
    assert office.note(due="2026-12-16") == "D02"
    with pytest.raises(BadAnswer, match="was kept"):
        office.note(due="2026-12-20", moves="D01")


@pytest.mark.parametrize(
    ("on", "told"),
    [("2026-11-26", "still to come"), ("2026-11-24", "before the day it was promised"), ("soon", "no date")],
)
def test_a_promise_is_not_kept_on_a_day_that_can_not_be(on: str, told: str) -> None:
    office = Office()
    office.note()
    with pytest.raises(BadAnswer, match=told):
        office.keep("D01", on)


def test_a_promise_is_kept_once() -> None:
    office = Office()
    office.note()
    office.keep("D01", "2026-11-25")
    with pytest.raises(BadAnswer, match="was kept on 2026-11-25 already"):
        office.keep("D01", "2026-11-25")
    with pytest.raises(NotFound, match="no promise 'D02'"):
        office.keep("D02", "2026-11-25")


def test_a_promise_for_a_sheet_belongs_to_the_sheet(register: Register) -> None:
    body = noted(register, WEEKS.model_copy(update={"tags": (), "sheet": "S01"}), TODAY)
    assert (body.sheet, body.what) == ("S01", "what went with sheet S01")
