"""A sheet takes what is decided for its vendor, no more than is here, and tells nothing that was private."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from notepipe.draft import Caution, Decision, Part, Quote, Size
from notepipe.errands import PriceNoted
from notepipe.errors import BadAnswer, NotFound
from notepipe.papers import Letter
from notepipe.papers.out_sheet import out_sheet
from notepipe.register import PriceNow, Register, SheetNow
from notepipe.sheets import Packed, Parcel, packed
from notepipe.trade.cautions import CautionRow, cautions

Registered = Callable[..., Register]
TODAY = date(2026, 11, 25)
PARCEL = Parcel(vendor="Tarn Plating", trade="plater", on="2026-11-25")
REPLATE = Decision(
    action="replate", standing="decided", by="plater", to_finish="nickel", quote="he quoted ninety quid a go"
)
HANDLES = Part(
    name="seat handle",
    quantity=6,
    metal="brass",
    finish="chrome",
    location="in Joe's drawer",
    condition=("worn", "Joe dropped one and the client must not hear"),
    sizes=(Size(feature="length", value="5 1/2", unit="in", mm=139.7), Size(value="4", unit=None, mm=None)),
    decisions=(REPLATE, Decision(action="polish", standing="ruled-out", quote="don't polish those")),
    quotes=(Quote(text="the museum is broke"),),
)
LAMP = Part(
    name="dash lamp", quantity=1, decisions=(Decision(action="repair", standing="asking", quote="x"),)
)


def packed_of(register: Register, rows: tuple[CautionRow, ...] = (), **change: object) -> Packed:
    return packed(register, PARCEL.model_copy(update=change), TODAY, rows)


def sent(register: Register, **change: object) -> Register:
    """*register* once what *change* makes of a parcel has gone."""
    body = packed_of(register, **change).sent
    gone = SheetNow(sent=body, by="Ada", at="2026-11-25T10:00:00+00:00")
    return register.model_copy(update={"sheets": (*register.sheets, gone)})


def refused(register: Register, **change: object) -> str:
    with pytest.raises((BadAnswer, NotFound)) as found:
        packed_of(register, **change)
    return str(found.value)


def test_a_line_has_all_that_the_vendor_must_know(registered: Registered) -> None:
    line = packed_of(registered(HANDLES)).sent.lines[0]
    assert (line.line, line.tag, line.name, line.count) == (1, "001", "seat handle", 6)
    assert (line.metal, line.finish, line.to_finish) == ("brass", "chrome", "nickel")
    assert line.wanted == "replated in nickel"
    assert line.never == ("not to be polished",)
    assert line.sizes == ("length 5 1/2 in", "4 (unit not said)")
    assert line.flaws == ("worn",)


def test_nothing_private_is_on_the_sheet(registered: Registered, letter: Letter) -> None:
    register = registered(HANDLES)
    noted = PriceNoted(price="M01", tag="001", amount="98765", what_for="plating", words="98765")
    part = register.parts[0].model_copy(update={"prices": (PriceNow(noted=noted, by="Ada", at="x"),)})
    register = register.model_copy(update={"parts": (part,)})
    made = packed_of(register)
    text = out_sheet(made.sent, register, letter)
    for private in ("quid", "98765", "Joe", "client", "broke", "Fennimore", "Tramcar"):
        assert private not in text
    assert "Joe dropped one" in made.told[0]
    assert '--flaw "001=…"' in made.told[0]


def test_the_sheet_counts_what_is_packed_and_has_a_slip(registered: Registered, letter: Letter) -> None:
    register = registered(HANDLES, HANDLES.model_copy(update={"name": "grab rail", "quantity": 1}))
    text = out_sheet(packed_of(register, reference="Q-118").sent, register, letter)
    assert "7 pieces on 2 lines" in text
    assert "Your quotation: Q-118" in text
    assert "Packed: 7 pieces" in text
    assert "RETURN SLIP" in text
    assert "  1. 001  6 × seat handles (brass, chromed)" in text
    assert "Size:        length 5 1/2 in; 4 (unit not said)" in text
    assert all(len(line) <= letter.width for line in text.splitlines())
    assert "2    002 grab rail   1    ______ ________________" in text


@pytest.mark.parametrize("width", [40, 52, 100])
def test_no_line_is_longer_than_the_paper(registered: Registered, letter: Letter, width: int) -> None:
    register = registered(HANDLES)
    text = out_sheet(packed_of(register).sent, register, letter.model_copy(update={"width": width}))
    assert max(len(line) for line in text.splitlines()) <= width


def test_only_what_is_decided_for_the_trade_goes(registered: Registered) -> None:
    own = HANDLES.model_copy(update={"decisions": (REPLATE.model_copy(update={"by": "in-house"}),)})
    unnamed = HANDLES.model_copy(update={"decisions": (REPLATE.model_copy(update={"by": None}),)})
    chromer = HANDLES.model_copy(update={"decisions": (REPLATE.model_copy(update={"by": "chromer"}),)})
    register = registered(HANDLES, own, LAMP, unnamed, chromer)
    assert [line.tag for line in packed_of(register).sent.lines] == ["001", "004", "005"]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            {"standing": "considering"},
            'is only being considered\nDecide it first: notepipe correct car-14 001 "dec',
        ),
        ({"standing": "asking"}, "waits for an answer"),
        ({"standing": "ruled-out"}, "001 seat handle: to replate to nickel was ruled out"),
        ({"standing": "done"}, "is done already"),
        ({"by": "in-house"}, "nothing is decided for the plater (replate to nickel, in-house)"),
        ({"action": "leave", "by": None}, "nothing is decided for the plater"),
    ],
)
def test_what_is_not_decided_for_the_vendor_cannot_go(
    registered: Registered, change: dict[str, object], told: str
) -> None:
    part = HANDLES.model_copy(update={"decisions": (REPLATE.model_copy(update=change),)})
    assert told in refused(registered(part), tags=("001",))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"counts": {"001": 7}}, "7 can't go: there are 6 of 6 here"),
        ({"counts": {"001": 0}}, "0 can't go out"),
        ({"counts": {"002": 1}}, "is not on this sheet"),
        ({"never": (("099", "drop it"),)}, "no part '099'"),
        ({"tags": ("099",)}, "no part '099'"),
        ({"on": "2026-11-26"}, "is still to come"),
        ({"on": "soon"}, "is no date"),
        ({"trade": "foundry"}, "nothing is decided for the foundry\nKnown: plater."),
        ({"trade": "platter"}, "Did you mean 'plater'?"),
    ],
)
def test_a_slip_is_told(registered: Registered, change: dict[str, object], told: str) -> None:
    assert told in refused(registered(HANDLES, LAMP), **change)


def test_a_set_never_goes_beyond_its_count(registered: Registered) -> None:
    register = sent(registered(HANDLES), counts={"001": 4})
    assert "there are 2 of 6 here, 4 with Tarn Plating since 2026-11-25 (S01)" in refused(
        register, counts={"001": 3}
    )
    register = sent(register)
    assert register.sheets[-1].sent.sheet == "S02"
    assert register.sheets[-1].sent.pieces == 2
    assert "is out already" in refused(register, tags=("001",))
    assert "nothing is left to go to the plater" in refused(register)


def test_a_part_nobody_counted_is_counted_before_it_goes(registered: Registered) -> None:
    register = registered(HANDLES.model_copy(update={"quantity": None}))
    assert "has no count" in refused(register)
    assert sent(register, counts={"001": 3}).sheets[0].sent.pieces == 3


def test_a_sheet_of_the_rest_says_what_has_been_there(registered: Registered) -> None:
    other = HANDLES.model_copy(update={"name": "handrail"})
    register = sent(registered(HANDLES, other), tags=("001",))
    made = packed_of(register)
    assert [line.tag for line in made.sent.lines] == ["002"]
    assert "001 seat handle: went with S01 already" in made.told[0]


def test_the_trade_is_the_only_one_decided_or_the_usual_one_or_asked_for(registered: Registered) -> None:
    cast = HANDLES.model_copy(
        update={"decisions": (Decision(action="make", standing="decided", by="foundry", quote="x"),)}
    )
    assert packed_of(registered(HANDLES), trade=None).sent.trade == "plater"
    both = registered(HANDLES, cast)
    assert 'Say which: --trade "foundry" or --trade "plater"' in refused(both, trade=None)
    assert packed_of(both, trade=None, usual="foundry").sent.lines[0].tag == "002"
    assert packed_of(both, trade=None, tags=("002",)).sent.trade == "foundry"


def test_a_vendor_named_in_the_decision_is_meant(registered: Registered) -> None:
    named = REPLATE.model_copy(update={"by": "Tarn Plating"})
    register = registered(HANDLES.model_copy(update={"decisions": (named,)}))
    assert packed_of(register, trade=None).sent.pieces == 6


def test_a_caution_goes_with_the_work_it_speaks_of(registered: Registered) -> None:
    rows = cautions()
    known = {row.id: Caution(id=row.id, text=row.text, defer_to=row.defer_to) for row in rows}
    own = Caution(id="shop.own", text="Mind the glass?", defer_to="Ada")
    buffed = Decision(action="buff", standing="decided", by="in-house", quote="buff them")
    part = HANDLES.model_copy(
        update={"decisions": (REPLATE, buffed), "cautions": (known["wheel"], own)},
    )
    line = packed_of(registered(part), rows).sent.lines[0]
    assert [caution.id for caution in line.cautions] == ["shop.own"]


@pytest.mark.parametrize(
    ("defer_to", "asked"),
    [
        ("the welder or the plater", False),
        ("the product's safety sheet and the plater", True),
        ("a qualified electrician", True),
    ],
)
def test_a_vendor_is_not_told_to_ask_himself(
    registered: Registered, letter: Letter, defer_to: str, asked: bool
) -> None:
    caution = Caution(id="shop.own", text="Can it burst?", defer_to=defer_to)
    register = registered(HANDLES.model_copy(update={"cautions": (caution,)}))
    text = " ".join(out_sheet(packed_of(register).sent, register, letter).split())
    assert "Line 1: Can it burst?" in text
    assert (f"Please ask: {defer_to}." in text) == asked
