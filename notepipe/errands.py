"""Entries of what goes out and comes back: sheets, whereabouts, conditions, promises and prices."""

from __future__ import annotations

from typing import Literal

from notepipe.draft import Caution
from notepipe.transcript import Frozen

Whereabouts = Literal["kept", "returned", "scrapped", "lost"]
Moment = Literal["on arrival", "back", "handed over"]


class SheetLine(Frozen):
    """One counted line of a sheet that goes out with the parts."""

    line: int
    """1, 2, 3 … on the sheet."""
    tag: str
    name: str
    count: int | None
    metal: str | None = None
    finish: str | None = None
    """As it goes out."""
    wanted: str = ""
    """What it is to be, in words: "replated in nickel"."""
    to_finish: str | None = None
    """The finish it is to come back with, where one was decided."""
    work: tuple[str, ...] = ()
    """The decisions it goes out for: "replate to nickel"."""
    flaws: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    """What must not be done."""
    cautions: tuple[Caution, ...] = ()


class SheetSent(Frozen):
    """Parts left the house with this sheet."""

    kind: Literal["sheet-sent"] = "sheet-sent"
    sheet: str
    """``S01``, ``S02`` …"""
    vendor: str
    trade: str
    lines: tuple[SheetLine, ...]
    pieces: int
    """The packing count: what was counted into the box."""
    on: str
    """The day it went, ISO 8601."""
    reference: str | None = None
    """The vendor's quotation."""
    sha256: str | None = None
    """Of the sheet as it was printed."""


class LineBack(Frozen):
    """What came back of one line."""

    line: int
    tag: str | None = None
    count: int
    """0 where only a remark on what is back already is booked."""
    finish: str | None = None
    """As it came back, where somebody said so."""
    damage: str | None = None


class SheetBack(Frozen):
    """Parts came back and were booked against the sheet they went out with; there may be several."""

    kind: Literal["sheet-back"] = "sheet-back"
    sheet: str
    lines: tuple[LineBack, ...]
    on: str
    """ISO 8601."""
    remark: str | None = None


class SheetSettled(Frozen):
    """What was short, wrong or damaged on a line of a sheet is settled, and how."""

    kind: Literal["sheet-settled"] = "sheet-settled"
    sheet: str
    line: int
    tag: str | None = None
    how: str
    missing: int = 0
    """How many pieces that are still out will not come any more."""


class WhereaboutsNoted(Frozen):
    """What became of the original of a part that is replaced."""

    kind: Literal["whereabouts-noted"] = "whereabouts-noted"
    tag: str
    where: Whereabouts
    count: int | None = None
    """How many of the set; None: all of them."""
    remark: str | None = None


class ConditionNoted(Frozen):
    """How a part was found at a moment of its stay; nothing said before is overwritten."""

    kind: Literal["condition-noted"] = "condition-noted"
    tag: str
    moment: Moment
    by_whom: str | None = None
    """Where it is back from."""
    condition: tuple[str, ...]
    on: str
    """ISO 8601."""


class PromiseNoted(Frozen):
    """Somebody promised something by a day. A later one with the same name puts the earlier right."""

    kind: Literal["promise-noted"] = "promise-noted"
    promise: str
    """``D01``, ``D02`` …"""
    who: str
    """Vendor, trade, the client, or one of the shop."""
    what: str
    tags: tuple[str, ...] = ()
    sheet: str | None = None
    words: str
    """As it was said: "nine weeks, they say"."""
    said_on: str
    """The day it counts from, ISO 8601."""
    due: str
    """ISO 8601."""
    recording: str | None = None
    start_s: float | None = None
    end_s: float | None = None


class PromiseSettled(Frozen):
    """A promise was kept on a day, or is no longer waited for."""

    kind: Literal["promise-settled"] = "promise-settled"
    promise: str
    on: str
    """ISO 8601."""
    how: Literal["kept", "given up"] = "kept"
    remark: str | None = None


class PriceNoted(Frozen):
    """A price that was spoken: internal, and on no client's paper, until it is released."""

    kind: Literal["price-noted"] = "price-noted"
    price: str
    """``M01``, ``M02`` …"""
    tag: str
    amount: str
    """A decimal number, as text."""
    currency: str | None = None
    """ISO 4217, where it was said or the shop has one."""
    what_for: str
    words: str
    recording: str | None = None


class PriceReleased(Frozen):
    """A price may stand on the client's papers."""

    kind: Literal["price-released"] = "price-released"
    price: str
