"""Two hearings of the same sound against each other: where they differ, and what was read off the prompt."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from typing import Final, NamedTuple

from notepipe.transcript import Difference, Word

_SHORTEST_RUN: Final = 5
"""So many of the prompt's words in its own order are no chance."""
_CONFIRMED_SHARE: Final = 0.6
_EDGES: Final = re.compile(r"^[^\w]+|[^\w]+$")


class Heard(NamedTuple):
    """One word of one hearing, punctuation attached, in seconds of the recording."""

    text: str
    start_s: float
    end_s: float
    probability: float


def key(word: str, same: Mapping[str, str]) -> str:
    """*word* as it is compared: no capitals, no punctuation, and one spelling of those in *same*."""
    plain = _EDGES.sub("", word.casefold()).replace("-", "").replace("’", "'")
    return same.get(plain, plain)


def differences(
    words: Sequence[Word], others: Sequence[Heard], same: Mapping[str, str], behind: int = 0
) -> tuple[Difference, ...]:
    """Where the other hearing has other words than the text, as spans of the text.

    Spelling, capitals and punctuation are no difference, nor is "re plate" for "replate". *behind* is the
    offset to name where *words* is empty and only the other hearing has any.
    """
    mine, theirs = [key(w.text, same) for w in words], [key(w.text, same) for w in others]
    found = []
    for tag, i, j, k, m in SequenceMatcher(None, mine, theirs, autojunk=False).get_opcodes():
        if tag == "equal" or "".join(mine[i:j]) == "".join(theirs[k:m]):
            continue
        start, end = _span(words[i:j], words[:i], words[0].at if words else behind)
        found.append(Difference(start=start, end=end, other=" ".join(w.text for w in others[k:m])))
    return tuple(found)


def _span(own: Sequence[Word], before: Sequence[Word], first: int) -> tuple[int, int]:
    """Of *own*; where that is none, the place behind the word *before*."""
    if own:
        return own[0].at, own[-1].at + len(own[-1].text)
    place = before[-1].at + len(before[-1].text) if before else first
    return place, place


def without_read_back(
    heard: Sequence[Heard], prompt: str, check: Sequence[Heard]
) -> tuple[list[Heard], list[Heard]]:
    """*heard* without runs of the *prompt*'s own words that the other hearing does not confirm; and those.

    Over noise the recogniser can give its prompt back as if it had been said.
    """
    confirmed = {key(word.text, {}) for word in check}
    dropped: set[int] = set()
    for start, length in _runs([key(w.text, {}) for w in heard], [key(w, {}) for w in prompt.split()]):
        run = range(start, start + length)
        share = sum(key(heard[i].text, {}) in confirmed for i in run) / length
        if share < _CONFIRMED_SHARE:
            dropped.update(run)
    kept = [word for i, word in enumerate(heard) if i not in dropped]
    return kept, [word for i, word in enumerate(heard) if i in dropped]


def _runs(heard: list[str], prompt: list[str]) -> Iterator[tuple[int, int]]:
    """(first, how many) for each stretch of *heard* that stands word for word in *prompt*."""
    blocks = SequenceMatcher(None, heard, prompt, autojunk=False).get_matching_blocks()
    for start, _, length in blocks:
        if length >= _SHORTEST_RUN:
            yield start, length
