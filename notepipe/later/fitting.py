"""How well a drafted part fits one on file: names, count, metal, place, actions, words. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from notepipe.draft import Part
from notepipe.later.comparing import same_size
from notepipe.later.likeness import NEARLY, SAME, Named, likeness, names_of, opposed, telling_words
from notepipe.trade.alike import alike

MARGIN = 0.12
"""Two parts that fit within this of each other fit as well as one another."""
_COUNT, _METAL, _PLACE, _ACTIONS, _WORDS, _SIZES = 0.3, 0.1, 0.15, 0.25, 0.2, 0.1
_OTHER_NAME = 0.95
"""What a nickname counts beside the name itself."""
_OPPOSED = 0.3
"""What it costs that one was called the front one and the other the rear one."""


class Traits:
    """What matching looks at of one part, worked out once."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self.names: tuple[Named, ...] = names_of(part)

    @cached_property
    def actions(self) -> frozenset[str]:
        """What is or was to be done; a new one is a new one, made or bought."""
        return frozenset(
            "new" if d.action in alike().new_one else f"{d.action}{' not' * (d.standing == 'ruled-out')}"
            for d in self.part.decisions
        )

    @cached_property
    def words(self) -> frozenset[str]:
        """The words by which this group may be told from the others of its set."""
        part = self.part
        quotes = [q.text for q in part.quotes] + [d.quote for d in part.decisions]
        who = [d.by for d in part.decisions if d.by]
        named = frozenset().union(*(name.words for name in self.names))
        return telling_words([*part.heard_as, *part.condition, *quotes, *who]) - named

    @cached_property
    def place(self) -> frozenset[str]:
        return telling_words([self.part.location or ""])

    def nearly(self, names: Sequence[Named]) -> bool:
        """Whether the best likeness of the names is only that of sound."""
        return _likeness(self.names, names) < SAME


def traits_of(part: Part) -> Traits:
    """The traits of *part*."""
    return Traits(part)


def fit(drafted: Traits, on_file: Traits) -> float:
    """How well they fit, about 0 to 2; 0 where their names or what is said of them keeps them apart."""
    like = _likeness(drafted.names, on_file.names)
    if like < NEARLY or opposed(drafted.place - on_file.place, on_file.place - drafted.place):
        return 0.0
    evidence = (
        _COUNT * _counts(drafted.part.quantity, on_file.part.quantity),
        _METAL * _said_alike(drafted.part.metal, on_file.part.metal),
        _PLACE * _overlap(drafted.place, on_file.place),
        _ACTIONS * _share(drafted.actions, on_file.actions),
        _WORDS * _overlap(drafted.words, on_file.words),
        _SIZES * _sizes(drafted.part, on_file.part),
    )
    return max(0.01, like + sum(evidence))


def _likeness(mine: Sequence[Named], yours: Sequence[Named]) -> float:
    apart = opposed(_all(mine) - _all(yours), _all(yours) - _all(mine))
    best = 0.0
    for m, one in enumerate(mine):
        for y, other in enumerate(yours):
            if best < _OTHER_NAME or not (m or y):
                best = max(best, likeness(one, other) * (_OTHER_NAME if m or y else 1.0))
    return best - _OPPOSED * apart


def _all(names: Sequence[Named]) -> frozenset[str]:
    return frozenset().union(*(name.words for name in names))


def _counts(mine: int | None, yours: int | None) -> float:
    if mine is None or yours is None:
        return 0.0
    return 1.0 if mine == yours else 0.4 * min(mine, yours) / max(mine, yours)


def _said_alike(mine: str | None, yours: str | None) -> float:
    if mine is None or yours is None:
        return 0.0
    return 1.0 if mine.casefold() == yours.casefold() else -1.0


def _share(mine: frozenset[str], yours: frozenset[str]) -> float:
    return len(mine & yours) / len(mine | yours) if mine or yours else 0.0


def _overlap(mine: Iterable[str], yours: Iterable[str]) -> float:
    mine, yours = frozenset(mine), frozenset(yours)
    return len(mine & yours) / min(len(mine), len(yours)) if mine and yours else 0.0


def _sizes(drafted: Part, on_file: Part) -> float:
    return float(any(same_size(one, other) for one in drafted.sizes for other in on_file.sizes))
