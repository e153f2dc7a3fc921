"""What may be written into a field, offered while one types: the words of the trade packs."""

from __future__ import annotations

from typing import get_args

from notepipe.draft import Action, Standing
from notepipe.trade import Trade

ACTIONS = get_args(Action)
STANDINGS = get_args(Standing)
_KINDS = {
    "part": "parts",
    "metal": "metals",
    "finish": "finishes",
    "trade": "trades",
    "condition": "conditions",
}
LISTS = {"name": "parts", "metal": "metals", "finish": "finishes", "condition": "conditions"}
"""Which list a field of a part is offered."""


def vocabulary(trade: Trade) -> dict[str, tuple[str, ...]]:
    """The words by list, each once, in the order of the alphabet."""
    words: dict[str, set[str]] = {name: set() for name in _KINDS.values()}
    for term in trade.terms:
        if term.kind in _KINDS:
            words[_KINDS[term.kind]] |= {term.value} if term.value else set(term.phrases)
    return {name: tuple(sorted(found, key=str.casefold)) for name, found in words.items()}
