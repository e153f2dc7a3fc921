"""The trained reader's marks held against the rules': where both say the same it is firm, where not it
is a doubt.

The trained reader is right more often, so its mark stands; what the rules say is one of the grounds on
which it is firm or gets a doubt (``odds.py``).
"""

from __future__ import annotations

from dataclasses import replace

from notepipe.reading.marks import Fate, Group, Marks, Value
from notepipe.reading.odds import doubtful, grounds_of_fate, grounds_of_value

NEAR = 4
"""Tokens between two marks of one action word."""


def doubted(trained: Marks, rules: Marks) -> Marks:
    """*trained* with a doubt on every value and fate that is neither agreed on nor very likely."""
    for group in trained.groups:
        group.values = [_value(v, group, rules) for v in group.values]
        group.fates = [_fate(f, group, rules) for f in group.fates]
    return trained


def _value(value: Value, group: Group, rules: Marks) -> Value:
    grounds = grounds_of_value(value, group, agreed=_same_value(value, group, rules))
    if not doubtful(value.field, grounds):
        return value
    return replace(value, sure=False, why=value.why or "it may belong to another part")


def _same_value(value: Value, group: Group, rules: Marks) -> bool:
    """The rules give the value to a group that is picked out or named by the same words."""
    for other in rules.groups:
        if _touch(group, other) and any(
            v.field == value.field and v.value == value.value for g in (other, other.whole) for v in g.values
        ):
            return True
    return False


def _touch(group: Group, other: Group) -> bool:
    """Whether both are picked out, or their sets named, by some of the same words."""
    others = [*other.anchors, *other.whole.anchors]
    return any(a.first <= b.last and b.first <= a.last for a in group.anchors for b in others)


def _near(its: Fate, fate: Fate) -> bool:
    """Both rest on the same action word, or on words beside it."""
    return its.span.first - NEAR <= fate.span.first <= its.span.last + NEAR


def _names_in(other: Group, its: Fate, fate: Fate) -> bool:
    """*other* is named in the very clause that *fate* rests on, and the rules mark it there."""
    return _near(its, fate) and any(fate.clause.first <= a.first <= fate.clause.last for a in other.anchors)


def _fate(fate: Fate, group: Group, rules: Marks) -> Fate:
    near = [
        (f, _touch(group, g))
        for g in rules.groups
        for f in g.fates
        if f.action == fate.action and _near(f, fate)
    ]
    agreed = next((f for f, touches in near if touches and f.standing == fate.standing), None)
    if agreed is not None:
        fate = replace(fate, rule=f"{fate.rule}, and {agreed.rule}")
    elsewhere = [
        g for g in rules.groups for f in g.fates if f.action == fate.action and _names_in(g, f, fate)
    ]
    against = agreed is None and bool(elsewhere)
    if not doubtful("decision", grounds_of_fate(fate, group, agreed=agreed is not None, against=against)):
        return fate
    if against:
        return replace(fate, sure=False, why=f"it may be meant of the {elsewhere[0].name}")
    heard = next((f.standing for f, _ in near if f.standing != fate.standing), fate.other)
    return replace(fate, sure=False, why=f"it may be {heard}, or belong to another part", other=heard)
