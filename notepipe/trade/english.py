"""Forms of English words that no spelling rule gives, from english.toml."""

from __future__ import annotations

from functools import cache

from notepipe.toml import read_toml
from notepipe.trade.row import HERE, Row


class English(Row):
    """Irregular verbs and nouns, and verbs whose last consonant is not doubled."""

    not_doubled: frozenset[str]
    verbs: dict[str, tuple[str, str]]
    """Verb → past tense, past participle."""
    nouns: dict[str, str]
    """Plural → singular; a word that only looks like a plural stands for itself."""


@cache
def english() -> English:
    """The pack, read once."""
    return read_toml(HERE / "english.toml", English)
