"""The vendors a shop has dealt with, by the names it writes them: a misspelt one is told. Pure."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping

from notepipe.entries import Body
from notepipe.errands import PromiseNoted, SheetSent
from notepipe.errors import BadAnswer, NotFound

_ALIKE = 0.85
"""A slip of a letter or two; "North Plating" and "South Plating" are less alike."""
KINDS = ("sheet-sent", "promise-noted")
"""The kinds of entry that name one."""


def known_vendors(bodies: Iterable[Body]) -> dict[str, str | None]:
    """Every vendor named in *bodies*, as written first, with the trade it was last sent parts for."""
    known: dict[str, str | None] = {}
    written: dict[str, str] = {}
    for body in bodies:
        if isinstance(body, SheetSent):
            known[written.setdefault(_folded(body.vendor), body.vendor)] = body.trade
        elif isinstance(body, PromiseNoted) and not body.who.islower():  # "plater" is a trade.
            known.setdefault(written.setdefault(_folded(body.who), body.who), None)
    return known


def vendor_named(name: str, known: Mapping[str, str | None], *, new: bool = False) -> str:
    """The vendor meant by *name*: a known one as it was written before, or a new one as it is given.

    Raises BadAnswer for no name, NotFound where it is nearly that of a known one and not said to be *new*.
    """
    plain = " ".join(name.split())
    if not plain:
        raise BadAnswer("--to", "a vendor without a name", 'Say who: --to "Tarn Plating"')
    same = next((vendor for vendor in known if _folded(vendor) == _folded(plain)), None)
    if same is not None or new:
        return same or plain
    near = max(known, key=lambda vendor: _likeness(plain, vendor), default=None)
    if near is not None and _likeness(plain, near) >= _ALIKE:
        do = f"Did you mean '{near}'? If it is another one, add: --new-vendor"
        raise NotFound(plain, "no vendor of that name yet", do)
    return plain


def _likeness(one: str, other: str) -> float:
    """0 to 1; 1 where every word of the shorter name is in the longer, as of "Tarn" and "Tarn Plating"."""
    words, others = set(_folded(one).split()), set(_folded(other).split())
    if words <= others or others <= words:
        return 1.0
    return difflib.SequenceMatcher(None, " ".join(sorted(words)), " ".join(sorted(others))).ratio()


def _folded(name: str) -> str:
    return " ".join(name.casefold().replace(".", " ").replace(",", " ").split())
