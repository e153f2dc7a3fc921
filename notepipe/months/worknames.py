"""For whom a decision is, and how it is named on a sheet's line so that it is known again. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from notepipe.draft import Decision
from notepipe.trade import Term
from notepipe.trade.wording import wording

IN_HOUSE: Final = "in-house"
PLATER: Final = "plater"


def is_for(decision: Decision, trade: str, vendor: str) -> bool:
    """Whether *decision* names that trade, or the vendor by its name."""
    named = trade_of(decision)
    if named is None:
        return False
    return same_trade(named, trade) or (bool(vendor) and named.casefold() == vendor.casefold())


def trade_of(decision: Decision) -> str | None:
    """Who is to do it outside the house; a plating nobody was named for is the plater's."""
    if decision.by is None:
        return PLATER if decision.action == "replate" else None
    if decision.by == IN_HOUSE:
        return None
    return PLATER if decision.by in wording().platers else decision.by


def same_trade(one: str, other: str) -> bool:
    """Whether both are the same trade: a chrome shop is a plater."""
    names = {name.casefold() for name in (one, other)}
    return len(names) == 1 or names <= set(wording().platers)


def work_name(decision: Decision) -> str:
    """``replate to nickel``, ``make in bronze``: what is decided, without how it stands or by whom."""
    finish = f" to {decision.to_finish}" if decision.to_finish else ""
    metal = f" in {decision.to_metal}" if decision.to_metal else ""
    return decision.action + finish + metal


def finish_meant(words: str, terms: Sequence[Term]) -> str:
    """The finish that *words* name, as a draft would have it: chrome for "chromed"; else the words."""
    plain = " ".join(words.casefold().split())
    spoken = {said: finish for finish, said in wording().has_finish.items()}
    if plain in spoken:
        return spoken[plain]
    named = (term for term in terms if term.kind == "finish" and plain in (term.value, *term.phrases))
    return next((term.value or plain for term in named), words.strip())
