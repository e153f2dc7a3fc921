"""A set that the rules split and the trained reader took for one: it is split, with a doubt.

In short plain notes ("Six hooks. Four get polished, the other two are snapped.") the trained reader,
which learnt from long ones, tends to see one record; the rules are good at just these.
"""

from __future__ import annotations

from dataclasses import replace

from notepipe.reading.marks import Fate, Group, Marks, Value

WHY = "taken as a group of its own by the rules alone"
SHORT = 120
"""Tokens: in longer notes the trained reader splits better (decisions 0.729 against 0.723 held out)."""


def split_sets(trained: Marks, rules: Marks, length: int) -> Marks:
    """*trained* with each group replaced by its picks that only the rules saw; *length* in tokens."""
    if length > SHORT:
        return trained
    groups: list[Group] = []
    renamed: dict[int, Group] = {}
    for group in trained.groups:
        picks = _picks(group, trained, rules)
        new = [_part_of(group, pick, picks) for pick in picks] or [group]
        renamed[id(group)] = new[0]
        groups += new
    asked = [replace(a, group=renamed.get(id(a.group), a.group)) for a in trained.asked]
    return Marks(groups, asked)


def _picks(group: Group, trained: Marks, rules: Marks) -> list[Group]:
    """The rules' picks out of the set *group* names, if no other group has their words."""
    whole = next((g for g in rules.groups if g.set_of is None and g.picked and _touch(g, group)), None)
    picks = [p for p in whole.picked if p.fates] if whole else []
    if len(picks) < 2 or len({f.action for f in group.fates}) < 2:
        return []
    others = [g for g in trained.groups if g is not group]
    return [] if any(_touch(p, o) for p in picks for o in others) else picks


def _touch(a: Group, b: Group) -> bool:
    return any(x.first <= y.last and y.first <= x.last for x in a.anchors for y in b.anchors)


def _part_of(group: Group, pick: Group, picks: list[Group]) -> Group:
    """*pick* with the name, values and fates that *group* has for it."""
    count = [replace(v, sure=False, why=WHY) for v in pick.values if v.field == "quantity"]
    values: list[Value] = [v for v in group.values if v.field not in ("quantity", "condition")] + count
    own = pick.anchors[-1]
    return replace(
        pick,
        name=group.name,
        set_of=None,
        picked=[],
        sets=[group.own],
        own=own,
        anchors=[group.own, own],
        values=values,
        fates=[replace(f, sure=False, why=WHY) for f in _fates_of(group, pick, picks)],
        rule=f"{group.rule}, and {pick.rule}",
    )


def _fates_of(group: Group, pick: Group, picks: list[Group]) -> list[Fate]:
    """*group*'s fates said after this pick and before the next; the rules' own where there is none."""
    begins = pick.anchors[-1].first
    later = [p.anchors[-1].first for p in picks if p.anchors[-1].first > begins]
    ends = min(later, default=None)
    said = [f for f in group.fates if f.span.first >= begins and (ends is None or f.span.first < ends)]
    return said or pick.fates
