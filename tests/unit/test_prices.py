"""A price is an amount in a currency of ISO 4217, the shop's own until it is released."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from notepipe.draft import Part
from notepipe.errors import NotepipeError
from notepipe.months.prices import Priced, price_line, price_noted, price_released
from notepipe.register import PriceNow, Register

Registered = Callable[..., Register]
PRICED = Priced(amount="1,180.50", currency="gbp", what_for="beating out")


@pytest.fixture
def register(registered: Registered) -> Register:
    return registered(Part(name="lamp"))


def with_price(register: Register, *, released: bool) -> Register:
    price = PriceNow(
        noted=price_noted(register, "001", PRICED), by="Ada Fenn", at="2026-11-25", released=released
    )
    part = register.parts[0].model_copy(update={"prices": (price,)})
    return register.model_copy(update={"parts": (part,), "price_tags": 1})


def test_a_price_is_kept_as_a_plain_number_with_its_words(register: Register) -> None:
    body = price_noted(register, "001", PRICED)
    assert (body.price, body.amount, body.currency, body.words) == ("M01", "1180.50", "GBP", "1180.50 GBP")
    said = PRICED.model_copy(update={"words": "call it twelve hundred", "currency": None})
    body = price_noted(with_price(register, released=False), "001", said)
    assert (body.price, body.currency, body.words) == ("M02", None, "call it twelve hundred")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"amount": "a lot"}, "'a lot' is no amount"),
        ({"amount": "-5"}, "is no amount"),
        ({"amount": "0"}, "is no amount"),
        ({"amount": "1,80"}, "is no amount"),
        ({"amount": "1e5"}, "is no amount"),
        ({"amount": "180.505"}, "GBP has 2 decimals"),
        ({"currency": "GPB"}, "Did you mean 'GBP'?"),
        ({"currency": "XAU"}, "no currency 'XAU'"),
        ({"what_for": " "}, "no word what for"),
    ],
)
def test_a_slip_is_told(register: Register, change: dict[str, str], told: str) -> None:
    with pytest.raises(NotepipeError) as found:
        price_noted(register, "001", PRICED.model_copy(update=change))
    assert told in str(found.value)


def test_a_price_is_released_once(register: Register) -> None:
    held = with_price(register, released=False)
    assert price_released(held, "M01").price == "M01"
    assert price_line(held.parts[0].prices[0]) == (
        "M01  001  1180.50 GBP for beating out, inside the shop (Ada Fenn, 2026-11-25)"
    )
    with pytest.raises(NotepipeError, match="is released already"):
        price_released(with_price(register, released=True), "M01")
    with pytest.raises(NotepipeError, match="no price 'M09'"):
        price_released(held, "M09")
    with pytest.raises(NotepipeError, match="There is none yet"):
        price_released(register, "M01")
