"""A part as a line of the client's letter, and the section it stands in."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal, InvalidOperation

from notepipe.errands import PriceNoted
from notepipe.papers.layout import hold, plain
from notepipe.papers.plan import Place, place, sentences
from notepipe.papers.questions import Asked, number_for
from notepipe.register import PartNow
from notepipe.trade.wording import wording
from notepipe.transcript import Frozen

# The order of the letter.
TITLES: dict[Place, str] = {
    "plater": "Going to the plater",
    "here": "Our own work",
    "trades": "Going to other trades",
    "new": "Replaced, made or bought",
    "left": "Left as it is",
    "scrapped": "Beyond use",
    "considering": "Still being considered",
    "asking": "Waiting for your word",
    "done": "Already done",
    "sought": "Still being looked for",
    "open": "Noted, nothing decided yet",
}


class Line(Frozen):
    """One part of a section."""

    tag: str
    text: str
    before: str = ""
    """What the last letter said of it, where that was something else."""
    split_from: str | None = None
    """The tag it stood under in the last letter."""


class Section(Frozen):
    """The parts that share what lies ahead of them."""

    title: str
    lines: tuple[Line, ...]


class Waits(Frozen):
    """What parts of a letter wait for."""

    asked: tuple[Asked, ...] = ()
    answered: frozenset[str] = frozenset()
    """The tags of those the client has answered for, and nobody has settled yet."""


def sectioned(parts: Iterable[tuple[PartNow, Line]], waits: Waits) -> tuple[Section, ...]:
    """*parts*, each with its line, in the sections of the letter."""
    lines: dict[Place, list[Line]] = {where: [] for where in TITLES}
    for now, line in parts:
        lines[place_of(now, waits)].append(line)
    return tuple(Section(title=TITLES[where], lines=tuple(found)) for where, found in lines.items() if found)


def place_of(now: PartNow, waits: Waits) -> Place:
    """The section of a part; what was answered no longer waits for the client's word."""
    where = place(now.part)
    return "considering" if where == "asking" and now.tag in waits.answered else where


def text_of(now: PartNow, waits: Waits) -> str:
    """All that the letter says of a part: what is to become of it, and the prices that were released."""
    answered = now.tag in waits.answered
    told = sentences(now.part, number_for(now.tag, waits.asked), answered=answered)
    prices = [_price(price.noted) for price in now.prices if price.released]
    return " ".join([told, *prices])


def _price(noted: PriceNoted) -> str:
    return f"The price for {plain(noted.what_for)} is {_amount(noted)}."


def _amount(noted: PriceNoted) -> str:
    """``£1,200``, ``£180.50``; the bare figure where no currency is known."""
    try:
        number = Decimal(noted.amount)
    except InvalidOperation:
        return plain(noted.amount)
    figure = f"{number:,.0f}" if number == number.to_integral_value() else f"{number:,.2f}"
    pattern = wording().currency.get(noted.currency or "", f"{noted.currency or ''} {{amount}}".strip())
    return hold(pattern.replace("{amount}", figure))
