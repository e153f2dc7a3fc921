"""Where a note speaks of a time to come: the rows of the packs in its tokens, and whether it is past."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from notepipe.reading.clauses import clauses_of
from notepipe.reading.dates import kinds_of_dates
from notepipe.reading.patterns import compiled, match_at
from notepipe.reading.tokens import Token
from notepipe.trade.deadlines import DeadlineRow

_PAST, _NOW = {"VBD"}, {"VB", "VBP", "VBZ", "MD"}
_HAD = {"have", "has", "had", "been", "was", "were", "'s"}
_TO_COME = {"will", "shall", "going", "to", "can", "could", "would", "should", "must", "might", "may", "be"}
_IS = {"is", "are", "'s", "get", "gets", "being"}
_UP_TO = {"by", "for", "before", "until", "till"}
_SHORT = 14
"""Tokens in two clauses that are quoted together."""


class Deadline(NamedTuple):
    """A row that speaks at tokens *first* to *end* (not included)."""

    first: int
    end: int
    row: DeadlineRow


class Spoken:
    """The tokens of a note with its deadlines, look-alikes and the words beside them, in order."""

    def __init__(self, tokens: Sequence[Token], rows: Sequence[DeadlineRow]) -> None:
        self.tokens = tokens
        self.deadlines = _found(tokens, rows)
        self._clauses = clauses_of(tokens)

    def sentence(self, at: Deadline) -> tuple[int, int]:
        """The first and the last token of its sentence."""
        number = self.tokens[at.first].sentence
        mine = [token.i for token in self.tokens if token.sentence == number]
        return mine[0], mine[-1]

    def clause(self, at: Deadline) -> tuple[int, int]:
        """The first and the last token of its clause, of several where its words lie in several."""
        first = max(c.first for c in self._clauses if c.first <= at.first)
        return first, min(c.last for c in self._clauses if c.last >= at.end - 1)

    def quoted(self, at: Deadline) -> tuple[int, int]:
        """Its clause, with the next one where both are short ("nine weeks, they say")."""
        first, last = self.clause(at)
        after = next((c for c in self._clauses if c.first == last + 1), None)
        if after and after.sentence == self.tokens[first].sentence and after.last - first < _SHORT:
            last = after.last
        return first, last

    def stretch(self, at: Deadline) -> tuple[int, int]:
        """The tokens around it up to the next comma or the end of its clause, both included."""
        first, last = self.clause(at)
        commas = [i for i in range(first, last + 1) if self.tokens[i].text == ","]
        before = [i + 1 for i in commas if i < at.first]
        after = [i - 1 for i in commas if i >= at.end]
        return (before[-1] if before else first), (after[0] if after else last)

    def is_past(self, at: Deadline) -> bool:
        """Whether the words around it tell of what has happened; what somebody *said* is still to come."""
        first, last = self.stretch(at)
        reports = {i for d in self.deadlines if d.row.gives == "report" for i in range(d.first, d.end)}
        around = [token for token in self.tokens[first : last + 1] if token.i not in reports]
        norms, tags = {token.norm for token in around}, {token.tag for token in around}
        if tags & _PAST and "would" not in norms:
            return True
        done = [token for token in around if token.tag == "VBN"]
        if any(self._is_perfect(token.i) for token in done) and not norms & {"will", "shall"}:
            return True
        alone = not norms & (_TO_COME | _IS) and not tags & _NOW
        # "Finished by Wednesday" is to come, "dictated on the ninth" is not.
        return bool(done) and alone and self.tokens[at.first].norm not in _UP_TO

    def names_no_day(self, at: Deadline) -> bool:
        """ "on the third hook": the ordinal belongs to the noun after it."""
        if at.row.gives != "day of the month" or at.end >= len(self.tokens):
            return False
        return self.tokens[at.end].pos in ("NOUN", "PROPN", "ADJ", "NUM")

    def _is_perfect(self, i: int) -> bool:
        """ "has been stripped", "'ve already stripped", and not "has them stripped"."""
        before = [t for t in self.tokens[max(0, i - 3) : i] if t.pos != "ADV" and t.norm != "not"]
        return bool(before) and before[-1].norm in _HAD


def _found(tokens: Sequence[Token], rows: Sequence[DeadlineRow]) -> list[Deadline]:
    """The longest at each place, in order; of two as long the look-alike."""
    kinds = kinds_of_dates(tokens)
    found: list[Deadline] = []
    for row in rows:
        for steps in map(compiled, row.patterns):
            ends = ((i, match_at(steps, tokens, i, kinds)) for i in range(len(tokens)))
            found += [Deadline(i, end, row) for i, end in ends if end is not None and end > i]
    found.sort(key=lambda d: (d.first - d.end, d.row.gives != "look-alike", d.first))
    kept: list[Deadline] = []
    for one in found:
        if not any(k.first < one.end and one.first < k.end for k in kept):
            kept.append(one)
    return sorted(kept, key=lambda d: d.first)
