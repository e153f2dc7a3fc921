"""The trained reader's marks: which words pick out a record, what is said of it, and what is to become
of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.reading.clauses import clauses_of
from notepipe.reading.ground import LINK_AT, LINK_LEAST, RULE, Ground, name_of, spans
from notepipe.reading.marks import Group, Marks, Span
from notepipe.reading.measures import measures_in
from notepipe.reading.network import look, softmax
from notepipe.reading.numbers import numbers_in
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import Token
from notepipe.reading.trained_fates import add_fates, questions
from notepipe.reading.trained_values import add_values

SURE = 0.9
"""How likely a record is one that stands without a decision."""


def mark_by_training(tokens: Sequence[Token], lexicon: Lexicon) -> Marks:
    """The marks the trained reader makes of *tokens* (at least one)."""
    numbers = numbers_in(tokens)
    seen = look([t.text for t in tokens])
    ground = Ground(
        tokens,
        seen,
        lexicon.terms(tokens),
        numbers,
        measures_in(tokens, numbers),
        clauses_of(tokens),
        lexicon,
    )
    records = softmax(seen.group)[:, 1]
    groups = [
        Group("", [a], plural=False, own=a, rule=RULE, likely=float(records[a.first]))
        for a in spans(seen.group, 1, 2)
    ]
    heads = [g.own.first for g in groups]
    _sets(ground, groups, heads)
    _names(ground, groups, heads)
    add_values(ground, groups, heads)
    add_fates(ground, groups, heads)
    named = [g for g in groups if g.name and not _hardly_said(g) and not _twice(g, groups)]
    return Marks(named, list(questions(ground, groups, heads)))


def _hardly_said(group: Group) -> bool:
    """Nothing is decided of it and next to nothing said, and the network is not sure that it is a record."""
    said = [v for v in group.values if v.field != "quantity"]
    sure = group.likely >= SURE if group.values else False
    return not group.fates and len(said) < 2 and not sure


def _twice(group: Group, groups: Sequence[Group]) -> bool:
    """The name of a set, taken for a group of its own: a later group of that name has all that is said of it,
    its fates in the very same words.
    """
    return any(
        g.name == group.name
        and g.own.first > group.own.first
        and _said_of(group) <= _said_of(g)
        and _decided_of(group) <= _decided_of(g)
        for g in groups
    )


def _said_of(group: Group) -> set[tuple[str, str]]:
    return {(v.field, repr(v.value)) for v in group.values if v.field not in ("condition", "location")}


def _decided_of(group: Group) -> set[tuple[Span, str]]:
    return {(f.span, f.action) for f in group.fates}


def _sets(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> None:
    """Where the set is named that a group was picked out of, and where a group is named again."""
    for kind, begin, inside in (("set", 3, 4), ("men", 5, 6)):
        found = spans(ground.seen.group, begin, inside)
        likely = ground.seen.link(kind, [s.first for s in found], heads)
        for span, row in zip(found, likely, strict=True):
            for group, p in zip(groups, row, strict=True):
                if p > LINK_AT and kind == "set":
                    group.sets.append(span)
                    group.anchors.insert(0, span)
                elif p > LINK_AT:
                    group.anchors.append(span)


def _names(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> None:
    """The name linked to each group; one that is no name ("the other", "a steel one") is that of the
    group before it.
    """
    found = spans(ground.seen.values[:, 0], 1, 2)
    likely = ground.seen.link("name", [s.first for s in found], heads)
    before = ("", False)
    for k, group in enumerate(groups):
        ranked = sorted(range(len(found)), key=lambda i: -likely[i, k])
        linked = [found[i] for i in ranked if likely[i, k] > LINK_LEAST]
        group.names = linked[:1]
        tried = [name_of(ground, s) for s in linked] + [
            name_of(ground, a, guess=True) for a in (group.own, *group.anchors)
        ]
        named = next((n for n in tried if n[0]), None)
        group.name, group.plural = named or before
        before = (group.name, group.plural)
