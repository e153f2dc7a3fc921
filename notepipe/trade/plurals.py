"""One and many: the plural of a part's name, and words folded so that one form matches the other."""

from __future__ import annotations

import re
from functools import cache

from notepipe.trade.wording import wording


def plural(name: str) -> str:
    """*name* for more than one: "pipe feet", "hinge leaves", "boxes of screws", "letters N"."""
    words = name.split(" ")
    at = _head(words)
    words[at] = _plural_word(words[at])
    return " ".join(words)


def head_word(name: str) -> str:
    """The word of *name* that says what it is, in small letters: "hinge" of "door hinge (left)"."""
    words = name.casefold().split(" ")
    return words[_head(name.split(" "))]


@cache
def fold(word: str) -> str:
    """*word* in small letters and the singular, good enough to match another folded word by."""
    word = word.casefold()
    if word in wording().plurals:  # "lens" is no plural.
        return word
    if word in _singulars():
        return _singulars()[word]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if re.search(r"(?:ch|sh|x|ss|z)es$", word):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is", "'s")):
        return word[:-1]
    return word


def _head(words: list[str]) -> int:
    """Which word takes the plural: the last, or the one before "of …", "(port)" or a letter or number."""
    for at, word in enumerate(words[1:], start=1):
        if word in wording().name_ends_before or not re.search("[a-z]", word) or word.startswith("("):
            return at - 1
    return len(words) - 1


def _plural_word(word: str) -> str:
    irregular = wording().plurals.get(word.lower())
    if irregular is not None:
        return irregular
    if re.search(r"[^aeiou]y$", word):
        return word[:-1] + "ies"
    return word + ("es" if re.search(r"(?:s|x|z|ch|sh)$", word) else "s")


@cache
def _singulars() -> dict[str, str]:
    return {many: one for one, many in wording().plurals.items()}
