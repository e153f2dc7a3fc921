"""The values the trained reader gives its groups: metal, finish, sizes, count."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from notepipe.reading.ground import LINK_AT, RULE, Ground, canonical, spans
from notepipe.reading.marking import size_value
from notepipe.reading.marks import Group, Signs, Span, Value
from notepipe.reading.measures import unmeasured
from notepipe.reading.network import COUNTS, VALUES, Floats, softmax
from notepipe.reading.standing import places_of

NEAR_SET = 10
"""Tokens between a set's name and the number said of it."""


def add_values(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> None:
    """Put on each of *groups* (picked out at the words *heads*) what is said of it."""
    for kind in ("metal", "finish", "size", "quantity"):
        _values(ground, groups, heads, kind)
    _hand_down(groups)
    _take_back(ground, groups)
    _counts(ground, groups)


def _values(ground: Ground, groups: Sequence[Group], heads: Sequence[int], kind: str) -> None:
    found = spans(ground.seen.values[:, VALUES.index(kind)], 1, 2)
    likely = ground.seen.link(kind, [s.first for s in found], heads)
    tagged = softmax(ground.seen.values[:, VALUES.index(kind)])[:, 1]
    said_of: dict[int, list[tuple[float, Value]]] = {}
    for span, row in zip(found, likely, strict=True):
        for said in _said(ground, kind, span):
            for k, p in enumerate(row):
                if p > LINK_AT:
                    signs = signs_of(float(tagged[span.first]), 1.0, row, k, span.first - heads[k])
                    said_of.setdefault(k, []).append((float(p), replace(said, signs=signs)))
    for k, choices in said_of.items():
        # One metal, finish and count to a group: the surest; every size.
        kept = choices if kind == "size" else [max(choices, key=lambda c: c[0])]
        groups[k].values += [v for _, v in kept]


def _said(ground: Ground, kind: str, span: Span) -> Iterator[Value]:
    """What the words of *span* say, as a value of the draft."""
    if kind == "size":
        said = [m for m in ground.measures if m.first <= span.last and span.first <= m.last]
        bare = said or unmeasured(ground.tokens, (span.first, span.last), ground.numbers, ground.measures)
        for measure in bare:
            yield size_value(ground.tokens, measure, RULE, ground.measures)
    elif kind == "quantity":
        number = next(
            (
                n
                for n in ground.numbers
                if n.first <= span.last and span.first <= n.last and n.value.denominator == 1
            ),
            None,
        )
        if number is not None:
            yield Value("quantity", int(number.value), span, RULE)
    else:
        value = canonical(ground, kind, span)
        if value:
            yield Value("metal" if kind == "metal" else "finish", value, span, RULE)


def _hand_down(groups: Sequence[Group]) -> None:
    """What was said of a whole set before this group was picked out holds for it too (metal, finish,
    size).
    """
    for group in groups:
        shared = {a.first for a in group.sets}
        for field in ("metal", "finish", "size"):
            if not shared or any(v.field == field for v in group.values):
                continue
            for other in groups:
                if other is group or not any(a.first in shared for a in other.sets):
                    continue
                said = [
                    v
                    for v in other.values
                    if v.field == field and v.span.last < min(group.own.first, other.own.first)
                ]
                group.values += [_guessed(v, "handed") for v in said]
                if said:
                    break


def _take_back(ground: Ground, groups: Sequence[Group]) -> None:
    """ "Two foot. No, call it 22 inches": of two sizes with a taking back between them the last word
    counts.
    """
    cues = places_of("taken-back", ground.tokens, ground.lexicon.trade)
    for group in groups:
        sizes = sorted((v for v in group.values if v.field == "size"), key=lambda v: v.span.first)
        for early, late in pairwise(sizes):
            if (
                any(early.span.last < cue <= late.span.first for cue in cues)
                and late.span.first - early.span.last < 25
            ):
                group.values.remove(early)


def _guessed(value: Value, how: str) -> Value:
    return replace(value, signs=(value.signs or Signs())._replace(how=how))


def signs_of(said: float, stands: float, row: Floats, k: int, apart: int) -> Signs:
    """What speaks for a link to group *k*, whose likelihoods to all groups are *row*."""
    others = np.delete(row, k)
    rival = float(others.max()) if len(others) else 0.0
    return Signs(said=said, stands=stands, linked=float(row[k]), rival=rival, apart=abs(apart))


def _counts(ground: Ground, groups: Sequence[Group]) -> None:
    """Where no number word was linked: the number in the group's own words, one, two, or what is left
    of the set.
    """
    for group in groups:
        opinion = softmax(ground.seen.counts[group.own.first])
        kind, sure = COUNTS[int(opinion.argmax())], float(opinion.max())
        if group.value("quantity") is not None and kind != "null":
            continue
        group.values = [v for v in group.values if v.field != "quantity"]
        said = _number_in(ground, group.own)
        if said is not None:
            group.values.append(_counted(group, said, "own words", sure))
        elif kind in ("one", "two"):
            group.values.append(_counted(group, 1 if kind == "one" else 2, kind, sure))
        elif kind == "rest":
            left = _left_over(ground, group, groups)
            if left:
                group.values.append(_counted(group, left, "rest", sure))
        elif not group.plural and not group.sets:
            group.values.append(_counted(group, 1, "singular", 1 - sure))


def _counted(group: Group, number: int, how: str, sure: float) -> Value:
    why = "worked out from the rest of the set" if how == "rest" else ""
    return Value("quantity", number, group.own, f"{RULE}: {how}", why=why, signs=Signs(said=sure, how=how))


def _number_in(ground: Ground, span: Span) -> int | None:
    """The whole number said in *span* or just before it ("a | dozen"), where it is no size."""
    for number in ground.numbers:
        touches = span.first - 1 <= number.last and number.first <= span.last
        if (
            touches
            and number.kind == "count"
            and number.value.denominator == 1
            and not any(m.first <= number.first <= m.last for m in ground.measures)
        ):
            return int(number.value)
    return None


def _left_over(ground: Ground, group: Group, groups: Sequence[Group]) -> int | None:
    """The set's count less its other groups, where all are known."""
    shared = {a.first for a in group.sets}
    others = [g for g in groups if g is not group and any(a.first in shared for a in g.sets)]
    counts = [g.value("quantity") for g in others]
    near = [
        n for n in ground.numbers if n.kind == "count" and any(abs(n.first - s) < NEAR_SET for s in shared)
    ]
    if not near or not all(isinstance(c, int) for c in counts):
        return None
    left = int(max(n.value for n in near)) - sum(c for c in counts if isinstance(c, int))
    return left if left > 0 else None
