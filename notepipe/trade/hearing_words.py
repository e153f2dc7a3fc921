"""The two prompts of a hearing, built from ``hearing.toml`` and a shop's own words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from difflib import SequenceMatcher
from pathlib import Path
from typing import Final, NamedTuple

from pydantic import BaseModel, ConfigDict

from notepipe.toml import read_toml
from notepipe.trade import Pack

_FILE: Final = Path(__file__).with_name("hearing.toml")
_LETTERS_A_TOKEN: Final = 2.9
"""Fewer than the tokenizer's 3.1, so that an estimate never overruns the budget."""
_ALIKE: Final = 0.72
"""A phrase at least as alike as this to the word it stands for was misheard; another is a nickname."""


class HearingPrompts(NamedTuple):
    """What the recogniser is told: in sentences for the text, as a list for the check."""

    sentence: str
    words: str


class HearingPack(BaseModel):
    """``hearing.toml``; the fields are explained there."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    budget_tokens: int
    sentence: str
    shop: str
    words: tuple[str, ...]
    never: tuple[str, ...]
    same: tuple[tuple[str, ...], ...]

    def spellings(self) -> dict[str, str]:
        """Each spelling to the first of its row."""
        return {spelling: row[0] for row in self.same for spelling in row}


def hearing_pack() -> HearingPack:
    """The pack as shipped. Raises BadSetting for a slip in it."""
    return read_toml(_FILE, HearingPack)


def rough_tokens(text: str) -> int:
    """At least as many tokens as the recogniser makes of *text*, for where its tokenizer isn't at hand."""
    return round(len(text) / _LETTERS_A_TOKEN) + 1


def hearing_words(
    shop_words: Sequence[str] = (), tokens_in: Callable[[str], int] = rough_tokens
) -> HearingPrompts:
    """Both prompts, with as many of *shop_words* as fit, the first first.

    Left out are words that sound like a trade word (``never``) and those the prompts have already.
    """
    pack = hearing_pack()
    told = f"{pack.sentence} {' '.join(pack.words)}".casefold()
    own = [w.strip() for w in shop_words if w.strip() and w.strip().casefold() not in told]
    own = [w for w in own if not set(w.casefold().split()) & set(pack.never)]
    while own and tokens_in(_sentence(pack, own)) > pack.budget_tokens:
        own.pop()
    words = [*pack.words, *own]
    while tokens_in(", ".join(words)) > pack.budget_tokens:
        words.remove(next(w for w in reversed(words) if w in pack.words))
    return HearingPrompts(_sentence(pack, own), ", ".join(words))


def words_to_tell(packs: Iterable[Pack]) -> tuple[str, ...]:
    """What a shop's own *packs* have for the recogniser: the right words, and nothing that was misheard."""
    told: list[str] = []
    for pack in packs:
        for term in pack.term:
            told += [term.value] if term.value else []
            told += [p for p in term.phrases if not term.value or sounds_alike(p, term.value) < _ALIKE]
        told += [row.said for row in pack.mishearing]
    return tuple(dict.fromkeys(told))


def sounds_alike(one: str, other: str) -> float:
    """How alike two words are letter for letter, 0 to 1."""
    letters = [re.sub(r"[^a-z]", "", text.casefold()) for text in (one, other)]
    return SequenceMatcher(a=letters[0], b=letters[1]).ratio()


def _sentence(pack: HearingPack, own: Sequence[str]) -> str:
    if not own:
        return pack.sentence
    listed = own[0] if len(own) == 1 else f"{', '.join(own[:-1])} and {own[-1]}"
    return f"{pack.sentence} {pack.shop.replace('{words}', listed)}"
