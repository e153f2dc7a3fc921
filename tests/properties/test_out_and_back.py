"""Whatever goes out and comes back: the counts add up, and what was settled is no longer open."""

from __future__ import annotations

import csv
import io
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.booking import Returned, booked, settled, with_back
from notepipe.draft import Decision, Part
from notepipe.entries import Body, JobOpened, PartConfirmed
from notepipe.errands import SheetBack
from notepipe.errors import NotepipeError
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.outside import Outside, all_lines
from notepipe.papers import Letter
from notepipe.papers.parts_out import parts_out, parts_out_csv
from notepipe.register import Register
from notepipe.sheets import Parcel, packed

TODAY = date(2026, 12, 16)
ADA = Hand(who="Ada Fenn", at="2026-12-16T10:00:00+00:00")
LETTER = Letter(shop="Larkhill Tramway Workshop", date="16 December 2026", today="2026-12-16")
REPLATE = Decision(action="replate", standing="decided", by="plater", to_finish="nickel", quote="x")
COUNTS = {"001": 6, "002": 1}

tags = st.sampled_from([*COUNTS])
small = st.integers(0, 8)
words = st.sampled_from(["a run", "=1+1", "a dent, deep", "zu klein\nund krumm", "“burnt”"])
sends = st.tuples(st.just("send"), st.lists(tags, max_size=2), st.dictionaries(tags, small, max_size=2))
backs = st.tuples(
    st.just("back"),
    st.sampled_from(["S01", "S02", "S03"]),
    st.builds(
        Returned,
        on=st.sampled_from(["2026-11-20", "2026-12-16"]),
        counts=st.dictionaries(st.integers(1, 2), small, max_size=2),
        damage=st.lists(st.tuples(st.integers(1, 2), words), max_size=2).map(tuple),
        finish=st.dictionaries(st.integers(1, 2), st.sampled_from(["nickel", "chrome"]), max_size=1),
        everything=st.booleans(),
    ),
)
settles = st.tuples(st.just("settle"), st.sampled_from(["S01", "S02"]), st.integers(1, 2), st.booleans())
deeds = st.lists(st.one_of(sends, backs, settles), max_size=12)


def opened() -> Ledger:
    ledger = Ledger(None)
    parts = [
        PartConfirmed(
            recording="ab",
            record=f"p{tag}",
            tag=tag,
            part=Part(name="handle", quantity=count, decisions=(REPLATE,)),
        )
        for tag, count in COUNTS.items()
    ]
    ledger.append("tram-7", ADA, JobOpened(name="tram-7", client="c", what="w"), *parts)
    return ledger


def made(register: Register, deed: tuple) -> Body:
    if deed[0] == "send":
        parcel = Parcel(
            vendor="Tarn Plating", trade="plater", on="2026-11-25", tags=tuple(deed[1]), counts=deed[2]
        )
        return packed(register, parcel, TODAY, ()).sent
    if deed[0] == "back":
        return booked(register, deed[1], deed[2], TODAY)
    return settled(register, deed[1], deed[2], "credited", missing=deed[3])


def after(ledger: Ledger, history: list[tuple]) -> Register:
    """What stands once every deed that is possible was done; the others are refused as mistakes."""
    for deed in history:
        try:
            ledger.append("tram-7", ADA, made(fold(ledger.entries("tram-7")), deed))
        except NotepipeError:
            continue
    return fold(ledger.entries("tram-7"))


@settings(deadline=None)
@given(deeds)
def test_never_more_comes_back_than_went_and_what_is_out_is_the_rest(history: list[tuple]) -> None:
    for line in all_lines(after(opened(), history)):
        assert 0 <= line.back <= line.went
        assert line.missing == max(0, line.went - line.back - line.not_coming)


@settings(deadline=None)
@given(deeds)
def test_never_more_of_a_set_is_out_than_there_is(history: list[tuple]) -> None:
    register = after(opened(), history)
    outside = Outside(register)
    for now in register.parts:
        assert 0 <= outside.pieces(now) <= COUNTS[now.tag]
        assert outside.pieces(now) == sum(line.missing for line in outside.lines(now))


@settings(deadline=None)
@given(deeds)
def test_a_sheet_s_packing_count_is_the_sum_of_its_lines(history: list[tuple]) -> None:
    for sheet in after(opened(), history).sheets:
        assert sheet.sent.pieces == sum(line.count or 0 for line in sheet.sent.lines) > 0


@settings(deadline=None)
@given(deeds)
def test_what_was_settled_is_no_longer_open(history: list[tuple]) -> None:
    ledger = opened()
    register = after(ledger, history)
    for line in all_lines(register):
        if line.open:
            body = settled(register, line.sheet.sent.sheet, line.line.line, "credited", missing=True)
            ledger.append("tram-7", ADA, body)
    now = fold(ledger.entries("tram-7"))
    assert not any(line.open for line in all_lines(now))
    assert "Nothing is out, and nothing is open." in parts_out((now,), LETTER)


@settings(deadline=None)
@given(deeds, st.integers(0, 20))
def test_folding_in_two_pieces_is_folding_at_once(history: list[tuple], cut: int) -> None:
    ledger = opened()
    whole = after(ledger, history)
    entries = ledger.entries("tram-7")
    at = max(1, min(cut, len(entries)))
    assert fold(entries[at:], fold(entries[:at])) == whole


@settings(deadline=None)
@given(deeds)
def test_a_booking_looked_at_before_is_the_one_that_is_folded(history: list[tuple]) -> None:
    """What could be marked done is worked out before the entry is kept."""
    ledger = opened()
    register = after(ledger, history)
    for sheet in register.sheets:
        try:
            body: SheetBack = booked(
                register, sheet.sent.sheet, Returned(on="2026-12-16", everything=True), TODAY
            )
        except NotepipeError:
            continue
        ledger.append("tram-7", ADA, body)
        foreseen = [line.missing for line in all_lines(with_back(register, body))]
        register = fold(ledger.entries("tram-7"))
        assert [line.missing for line in all_lines(register)] == foreseen


@settings(deadline=None)
@given(deeds)
def test_every_open_line_is_a_row_of_the_csv(history: list[tuple]) -> None:
    """RFC 4180: a reader of the format finds as many rows as lines are open, whatever was said of them."""
    register = after(opened(), history)
    rows = list(csv.reader(io.StringIO(parts_out_csv((register,), LETTER), newline=""), strict=True))
    assert len(rows) == 1 + sum(line.open for line in all_lines(register))
    assert {len(row) for row in rows} == {15}
