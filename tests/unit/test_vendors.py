"""A vendor's name is written as it was before; one that is nearly known is asked about."""

import pytest

from notepipe.errands import PromiseNoted, SheetSent
from notepipe.errors import NotepipeError
from notepipe.months.vendors import known_vendors, vendor_named

KNOWN = {"Tarn Plating": "plater", "Ellerby Foundry": None}


def test_sheets_and_promises_name_vendors_a_trade_is_none() -> None:
    promise = {"promise": "D01", "what": "w", "words": "w", "said_on": "2026-11-25", "due": "2026-12-09"}
    sheet = {"sheet": "S01", "lines": (), "pieces": 0, "on": "2026-11-25"}
    bodies = (
        PromiseNoted(who="Tarn Plating", **promise),
        PromiseNoted(who="plater", **promise),
        SheetSent(vendor="TARN PLATING", trade="plater", **sheet),
    )
    assert known_vendors(bodies) == {"Tarn Plating": "plater"}


@pytest.mark.parametrize("name", ["Tarn Plating", "tarn  plating", "TARN PLATING."])
def test_a_known_name_is_written_as_before(name: str) -> None:
    assert vendor_named(name, KNOWN) == "Tarn Plating"


@pytest.mark.parametrize("name", ["Tarn Platting", "Tam Plating", "Tarn", "Plating Tarn", "Tarn Plating Ltd"])
def test_a_name_that_is_nearly_known_is_asked_about(name: str) -> None:
    with pytest.raises(NotepipeError, match="Did you mean 'Tarn Plating'"):
        vendor_named(name, KNOWN)
    assert vendor_named(name, KNOWN, new=True) == name


@pytest.mark.parametrize("name", ["Moor Chrome", "Ellis", "Tyne Plating"])
def test_another_name_is_a_new_vendor(name: str) -> None:
    assert vendor_named(name, KNOWN) == name
    assert vendor_named(name, {}) == name


def test_nobody_is_no_vendor() -> None:
    with pytest.raises(NotepipeError, match="without a name"):
        vendor_named("  ", KNOWN)
