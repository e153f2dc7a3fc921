"""Prices that were spoken: kept on the part, inside the shop, until a reviewer releases one. Pure."""

from __future__ import annotations

import re
from decimal import Decimal

from notepipe.errands import PriceNoted, PriceReleased
from notepipe.errors import BadAnswer, NotFound, nearest
from notepipe.register import PriceNow, Register
from notepipe.transcript import Frozen

_OFTEN = ("AUD", "CAD", "CHF", "EUR", "GBP", "JPY", "NZD", "USD", "ZAR")
"""Named where somebody writes none that there is."""
_AMOUNT = re.compile(r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?")


class Priced(Frozen):
    """What a person says of a price."""

    amount: str
    """A decimal number; thousands may be told apart by commas."""
    currency: str | None
    """ISO 4217; None where nobody says, and the shop has none."""
    what_for: str
    words: str = ""
    """As it was spoken."""


def price_noted(register: Register, tag: str, priced: Priced) -> PriceNoted:
    """The entry for a price of the part *tag*.

    Raises NotFound for no such part or currency, BadAnswer for an amount that is none, or for no word what
    it is for.
    """
    where = f"{tag} {register.part(tag).part.name}"
    amount = _amount(where, priced.amount)
    currency = _currency(where, priced.currency, amount) if priced.currency else None
    if not priced.what_for.strip():
        raise BadAnswer(where, "a price, and no word what for", 'Say it in a few words: --for "beating out"')
    return PriceNoted(
        price=f"M{register.price_tags + 1:02d}",
        tag=tag,
        amount=amount,
        currency=currency,
        what_for=priced.what_for.strip(),
        words=priced.words.strip() or " ".join(filter(None, (amount, currency))),
    )


def price_released(register: Register, name: str) -> PriceReleased:
    """The entry that releases the price *name*. Raises NotFound for none, BadAnswer where it is released."""
    prices = {price.noted.price: price for part in register.parts for price in part.prices}
    if name not in prices:
        do = nearest(name, prices) if prices else "There is none yet."
        raise NotFound(f"job {register.job}", f"no price '{name}'", do)
    if prices[name].released:
        raise BadAnswer(f"job {register.job} {name}", "is released already", "Leave it as it is.")
    return PriceReleased(price=name)


def price_line(price: PriceNow) -> str:
    """``M01  001  180 GBP for beating out, inside the shop (Ada Fenn, 2026-11-25)``."""
    noted = price.noted
    amount = " ".join(filter(None, (noted.amount, noted.currency)))
    stands = "released to the client" if price.released else "inside the shop"
    by = f"{price.by}, {price.at[:10]}"
    return f"{noted.price}  {noted.tag}  {amount} for {noted.what_for}, {stands} ({by})"


def _amount(where: str, text: str) -> str:
    plain = text.strip()
    if not _AMOUNT.fullmatch(plain) or not Decimal(plain.replace(",", "")):
        raise BadAnswer(where, f"'{text}' is no amount", "Write a number, for example: 180 or 1,200.50")
    return plain.replace(",", "")


def _currency(where: str, code: str, amount: str) -> str:
    """*code* in capitals. Raises NotFound where ISO 4217 has no such currency, or BadAnswer where it has no
    such small coin.
    """
    import iso4217  # Reads its whole table when it is loaded.

    # Gold and the codes for tests have no smallest coin, and nobody asks a price in them.
    decimals = {one.code: one.exponent for one in iso4217.Currency if one.exponent is not None}
    name = code.strip().upper()
    if name not in decimals:
        raise NotFound(where, f"no currency '{code}' (ISO 4217)", nearest(name, _OFTEN))
    if -int(Decimal(amount).as_tuple().exponent) > decimals[name]:
        what = f"{amount} {name}, and {name} has {decimals[name]} decimals"
        raise BadAnswer(where, what, "Write the amount as it would be paid.")
    return name
