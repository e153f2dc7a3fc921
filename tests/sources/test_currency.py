"""ISO 4217, list one (SIX Group, the maintenance agency): alphabetic codes and their minor units."""

import pytest

from notepipe.draft import Part
from notepipe.entries import JobOpened, PartConfirmed
from notepipe.errors import NotepipeError
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.prices import Priced, price_noted
from notepipe.register import Register

# Of list one: code, and the digits of its minor unit.
MINOR_UNITS = [
    ("GBP", 2), ("EUR", 2), ("USD", 2), ("AUD", 2), ("CHF", 2), ("NZD", 2), ("ZAR", 2), ("JPY", 0),
    ("KRW", 0), ("ISK", 0), ("BHD", 3), ("KWD", 3), ("TND", 3),
]  # fmt: skip


@pytest.fixture
def register() -> Register:
    ledger = Ledger(None)
    hand = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
    part = PartConfirmed(recording="ab", record="p1", tag="001", part=Part(name="lamp"))
    ledger.append("tram-7", hand, JobOpened(name="tram-7", client="c", what="w"), part)
    return fold(ledger.entries("tram-7"))


def noted(register: Register, amount: str, currency: str) -> str | None:
    return price_noted(register, "001", Priced(amount=amount, currency=currency, what_for="plating")).currency


@pytest.mark.parametrize(("code", "digits"), MINOR_UNITS)
def test_an_amount_may_have_the_digits_of_the_minor_unit_and_no_more(
    register: Register, code: str, digits: int
) -> None:
    assert noted(register, f"1.{'5' * digits}" if digits else "1", code) == code
    with pytest.raises(NotepipeError, match=f"{code} has {digits} decimals"):
        noted(register, f"1.{'5' * (digits + 1)}", code)


@pytest.mark.parametrize("code", ["GPB", "UKP", "XAU", "XTS", "XXX", "£", "EURO"])
def test_what_is_no_currency_one_pays_in_is_refused(register: Register, code: str) -> None:
    """Not in the list; or in it with "N.A." for a minor unit, as gold and the code for tests."""
    with pytest.raises(NotepipeError, match="no currency"):
        noted(register, "1", code)
