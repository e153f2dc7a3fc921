"""Whatever prices were spoken: none that nobody released is on a paper that leaves the shop, or on a list."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.draft import Decision, Draft, Note, Part
from notepipe.entries import JobOpened, NoteTaken, PartConfirmed
from notepipe.errors import BadAnswer
from notepipe.exporting import extract_of
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.prices import Priced, price_noted, price_released
from notepipe.papers import Letter, parts_csv, parts_list, update
from notepipe.papers.bench_list import bench_csv, bench_list
from notepipe.papers.buying_list import buying_csv, buying_list
from notepipe.papers.looking_for import looking_csv, looking_for
from notepipe.papers.out_sheet import out_sheet
from notepipe.papers.parts_out import parts_out, parts_out_csv
from notepipe.register import Register
from notepipe.sheets import Parcel, packed

ADA = Hand(who="Ada Fenn", at="2026-12-16T10:00:00+00:00")
LETTER = Letter(shop="Larkhill Tramway Workshop", date="16 December 2026", today="2026-12-16")
SHA = "ab" * 32
amounts = st.lists(
    st.tuples(st.integers(1_000_000, 9_999_999), st.sampled_from([None, "GBP", "EUR", "JPY"]), st.booleans()),
    min_size=1,
    max_size=5,
    unique_by=lambda one: one[0],
)
decisions = st.lists(
    st.builds(
        Decision,
        action=st.sampled_from(["polish", "replate", "replace", "source", "make"]),
        standing=st.sampled_from(["decided", "considering", "done"]),
        by=st.sampled_from([None, "plater", "in-house"]),
        quote=st.just(""),
    ),
    max_size=3,
).map(tuple)


def with_prices(prices: list[tuple[int, str | None, bool]], decided: tuple[Decision, ...]) -> Ledger:
    ledger = Ledger(None)
    draft = Draft(note=Note(file="walk.txt", sha256=SHA))
    part = Part(name="handle", quantity=2, decisions=decided)
    ledger.append(
        "tram-7",
        ADA,
        JobOpened(name="tram-7", client="Fennimore Museum", what="Tram 7"),
        NoteTaken(recording=SHA, file="walk.txt", transcript="", draft=draft),
        PartConfirmed(recording=SHA, record="p1", tag="001", part=part),
    )
    for amount, currency, released in prices:
        told = Priced(amount=str(amount), currency=currency, what_for="plating", words=f"{amount} he said")
        body = price_noted(fold(ledger.entries("tram-7")), "001", told)
        ledger.append("tram-7", ADA, body)
        if released:
            ledger.append("tram-7", ADA, price_released(fold(ledger.entries("tram-7")), body.price))
    return ledger


def sheet_of(register: Register) -> str:
    parcel = Parcel(vendor="Tarn Plating", trade="plater", on="2026-12-16", tags=("001",))
    try:
        return out_sheet(packed(register, parcel, date(2026, 12, 16), ()).sent, register, LETTER)
    except BadAnswer:
        return ""


@settings(deadline=None)
@given(amounts, decisions)
def test_a_price_is_on_the_client_s_letter_once_released_and_on_nothing_before(
    prices: list[tuple[int, str | None, bool]], decided: tuple[Decision, ...]
) -> None:
    ledger = with_prices(prices, decided)
    register = fold(ledger.entries("tram-7"))
    page = extract_of(ledger.written("tram-7"), LETTER).replace(",", "")
    letter = update(register, LETTER).replace(",", "")
    writers = (
        parts_list,
        parts_csv,
        bench_list,
        bench_csv,
        buying_list,
        buying_csv,
        looking_for,
        looking_csv,
    )
    papers = [write(register, LETTER) for write in writers]
    papers += [parts_out((register,), LETTER), parts_out_csv((register,), LETTER), sheet_of(register)]
    for amount, _, released in prices:
        assert (str(amount) in letter) == released
        assert (str(amount) in page) == released
        assert not any(str(amount) in paper.replace(",", "") for paper in papers)
