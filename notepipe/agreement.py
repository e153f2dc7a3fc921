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
_LOST_WORDS: Final = 4
"""So many words in one hearing against none in the other were left out by it, not heard otherwise."""
_HOLE_SHARE: Final = 0.6
"""As much of those words' time must be without words in the hearing that left them out."""
_CLEAR: Final = 0.5
"""Mean probability from which words are believed that only one hearing has."""
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
    offset to name where *words* is empty and only the other hearing has any. Nor is a whole clause that the
    other hearing left out, unless it was heard so badly that it may be made up.
    """
    mine, theirs = [key(w.text, same) for w in words], [key(w.text, same) for w in others]
    found = []
    for tag, i, j, k, m in SequenceMatcher(None, mine, theirs, autojunk=False).get_opcodes():
        if tag == "equal" or "".join(mine[i:j]) == "".join(theirs[k:m]):
            continue
        if k == m and _left_out(words[i:j]):
            continue
        start, end = _span(words[i:j], words[:i], words[0].at if words else behind)
        found.append(Difference(start=start, end=end, other=" ".join(w.text for w in others[k:m])))
    return tuple(found)


def _left_out(words: Sequence[Word]) -> bool:
    probable = [w.probability for w in words if w.probability is not None]
    return len(words) >= _LOST_WORDS and sum(probable) >= _CLEAR * len(words)


def filled(text: Sequence[Heard], check: Sequence[Heard]) -> tuple[list[Heard], list[Heard]]:
    """*text* with the clauses that only *check* heard, put in where *text* leaves time for them; and those.

    No sentence may be lost by a hearing that was told words, and each loses its own.
    """
    own, other = [key(w.text, {}) for w in text], [key(w.text, {}) for w in check]
    words = list(text)
    added: list[Heard] = []
    for tag, i, _, k, m in reversed(SequenceMatcher(None, own, other, autojunk=False).get_opcodes()):
        if (
            tag == "insert"
            and m - k >= _LOST_WORDS
            and _is_hole(text, i, check[k].start_s, check[m - 1].end_s)
        ):
            words[i:i] = check[k:m]
            added[:0] = check[k:m]
    return words, added


def _is_hole(text: Sequence[Heard], before: int, start_s: float, end_s: float) -> bool:
    """Whether *text* has no words for most of the time from *start_s* to *end_s*."""
    hole_from_s = text[before - 1].end_s if before else 0.0
    hole_to_s = text[before].start_s if before < len(text) else end_s
    return min(hole_to_s, end_s) - max(hole_from_s, start_s) >= _HOLE_SHARE * (end_s - start_s)


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
