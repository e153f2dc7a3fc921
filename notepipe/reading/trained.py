"""The trained reader's marks: which words pick out a record, what is said of it, and what is to become of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from notepipe.reading.clauses import Clause, clauses_of
from notepipe.reading.marking import FAULTS, size_value
from notepipe.reading.marks import Asked, Fate, Group, Marks, Span, Value
from notepipe.reading.network import ACTIONS, ASKED, COUNTS, STANDINGS, VALUES, Floats, Seen, look, sigmoid, softmax
from notepipe.reading.numbers import Measure, Number, measures_in, numbers_in
from notepipe.reading.pointing import DETERMINERS
from notepipe.reading.terms import Found, Lexicon, singular
from notepipe.reading.tokens import Token

FATE_AT = 0.5
LINK_AT = 0.5
LINK_LEAST = 0.15
RULE = "trained reader"
NAME_TAGS = {"NN", "NNS", "NNP", "NNPS", "JJ", "VBG", "VBN"}
NO_NAMES = {"'s", "are", "is", "one", "ones", "other", "others", "number", "rest", "last", "two", "three", "pair", "lot", "and", "of", "third", "fourth", "second", "first"}
HOUSE = {"here", "myself", "ourselves", "ourself", "house", "in-house", "own", "meself", "bench"}


@dataclass(frozen=True)
class Ground:
    """The note as the trained reader sees it."""

    tokens: Sequence[Token]
    seen: Seen
    terms: Sequence[Found]
    numbers: Sequence[Number]
    measures: Sequence[Measure]
    clauses: Sequence[Clause]


def mark_by_training(tokens: Sequence[Token], lexicon: Lexicon) -> Marks:
    """The marks the trained reader makes of *tokens* (at least one)."""
    numbers = numbers_in(tokens)
    ground = Ground(tokens, look([t.text for t in tokens]), lexicon.terms(tokens), numbers, measures_in(tokens, numbers), clauses_of(tokens))
    anchors = _spans(ground.seen.group, 1, 2)
    groups = [Group("", [a], plural=False, own=a, rule=RULE) for a in anchors]
    heads = [a.first for a in anchors]
    _sets(ground, groups, heads)
    _names(ground, groups, heads)
    for kind in ("metal", "finish", "size", "quantity"):
        _values(ground, groups, heads, kind)
    _hand_down(groups)
    _loose_sizes(ground, groups, heads)
    _counts(ground, groups)
    _fates(ground, groups, heads, lexicon)
    named = [g for g in groups if g.name and (g.fates or g.values)]
    return Marks(named, list(_asked(ground, groups, heads)))


def _spans(logits: Floats, begin: int, inside: int) -> list[Span]:
    """The stretches tagged *begin* then *inside*."""
    best = logits.argmax(axis=-1)
    spans: list[Span] = []
    for i in np.flatnonzero(best == begin).tolist():
        last = i
        while last + 1 < len(best) and best[last + 1] == inside:
            last += 1
        spans.append(Span(i, last))
    return spans


def _sets(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> None:
    """Where the set is named that a group was picked out of, and where a group is named again."""
    for kind, begin, inside in (("set", 3, 4), ("men", 5, 6)):
        spans = _spans(ground.seen.group, begin, inside)
        likely = ground.seen.link(kind, [s.first for s in spans], heads)
        for span, row in zip(spans, likely, strict=True):
            for group, p in zip(groups, row, strict=True):
                if p > LINK_AT and kind == "set":
                    group.sets.append(span)
                    group.anchors.insert(0, span)
                elif p > LINK_AT:
                    group.anchors.append(span)


def _names(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> None:
    """The name linked to each group; one that is no name ("the other", "a steel one") is that of the group before it."""
    spans = _spans(ground.seen.values[:, 0], 1, 2)
    likely = ground.seen.link("name", [s.first for s in spans], heads)
    before = ("", False)
    for k, group in enumerate(groups):
        ranked = sorted(range(len(spans)), key=lambda i: -likely[i, k])
        linked = [spans[i] for i in ranked if likely[i, k] > LINK_LEAST]
        tried = [_name_of(ground, s) for s in linked] + [_name_of(ground, a, guess=True) for a in (group.own, *group.anchors)]
        named = next((n for n in tried if n[0]), None)
        group.name, group.plural = named or before
        before = (group.name, group.plural)


def _name_of(ground: Ground, span: Span, *, guess: bool = False) -> tuple[str, bool]:
    """The words of a name, the last one singular, and whether it stood in the plural; ("", False) where it is no name."""
    words: list[str] = []
    for i in range(span.first, span.last + 1):
        token = ground.tokens[i]
        names = token.is_word and token.norm not in DETERMINERS and token.norm not in NO_NAMES and not _surface(ground, i)
        if names and (not guess or (token.tag in NAME_TAGS and not _number_at(ground, i))):
            words.append(token.norm)
        elif guess and words:
            break
    if not words:
        return "", False
    last = singular(words[-1])
    return " ".join([*words[:-1], last]), last != words[-1]


def _surface(ground: Ground, i: int) -> bool:
    """Token *i* says a metal or a finish and is no part of a part's name ("brass band", but "kick plate")."""
    part = any(t.first <= i <= t.last for t in ground.terms if t.kind == "part")
    return not part and any(t.first <= i <= t.last for t in ground.terms if t.kind in ("metal", "finish"))


def _number_at(ground: Ground, i: int) -> bool:
    return any(n.first <= i <= n.last for n in ground.numbers)


def _values(ground: Ground, groups: Sequence[Group], heads: Sequence[int], kind: str) -> None:
    spans = _spans(ground.seen.values[:, VALUES.index(kind)], 1, 2)
    likely = ground.seen.link(kind, [s.first for s in spans], heads)
    found: dict[int, list[tuple[float, Value]]] = {}
    for span, row in zip(spans, likely, strict=True):
        for said in _said(ground, kind, span):
            for k, p in enumerate(row):
                if p > LINK_AT:
                    found.setdefault(k, []).append((float(p), said))
    for k, choices in found.items():
        # One metal, finish and count to a group: the surest; every size.
        kept = choices if kind == "size" else [max(choices, key=lambda c: c[0])]
        groups[k].values += [replace(v, likely=p) for p, v in kept]


def _loose_sizes(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> None:
    """A size with a unit that the network passed over goes to the group named last before it, with a doubt; never that of a fault."""
    seen = [s for g in groups for s in (v.span for v in g.values if v.field == "size")]
    for measure in ground.measures:
        if measure.unit is None or any(s.first <= measure.last and measure.first <= s.last for s in seen):
            continue
        near = {t.norm for t in ground.tokens[max(0, measure.first - 6) : measure.last + 6]}
        before = [k for k, h in enumerate(heads) if h < measure.first and measure.first - h < 25]
        if before and not near & FAULTS:
            groups[before[-1]].values.append(_unsure(size_value(ground.tokens, measure, f"{RULE}: nearest")))


def _unsure(value: Value) -> Value:
    return replace(value, sure=False, why=value.why or "it may belong to another part")


def _said(ground: Ground, kind: str, span: Span) -> Iterator[Value]:
    """What the words of *span* say, as a value of the draft."""
    if kind == "size":
        for measure in ground.measures:
            if measure.first <= span.last and span.first <= measure.last:
                yield size_value(ground.tokens, measure, RULE)
    elif kind == "quantity":
        number = next((n for n in ground.numbers if n.first <= span.last and span.first <= n.last and n.value.denominator == 1), None)
        if number is not None:
            yield Value("quantity", int(number.value), span, RULE)
    else:
        value = canonical(ground, kind, span)
        if value:
            yield Value("metal" if kind == "metal" else "finish", value, span, RULE)


def canonical(ground: Ground, kind: str, span: Span) -> str:
    """The draft's word for what *span* says: the packs' value where a term of that kind stands there, else the words."""
    term = next((t for t in ground.terms if t.kind == kind and t.first <= span.last and span.first <= t.last), None)
    if term:
        return term.value
    return " ".join(ground.tokens[i].norm for i in range(span.first, span.last + 1) if ground.tokens[i].is_word)


def _counts(ground: Ground, groups: Sequence[Group]) -> None:
    """Where no number word was linked: the number in the group's own words, one, two, or what is left of the set."""
    for group in groups:
        opinion = softmax(ground.seen.count[group.own.first])
        kind, sure = COUNTS[int(opinion.argmax())], float(opinion.max())
        if group.value("quantity") is not None and kind != "null":
            continue
        group.values = [v for v in group.values if v.field != "quantity"]
        said = _number_in(ground, group.own)
        if said is not None:
            group.values.append(Value("quantity", said, group.own, f"{RULE}: its own words", likely=sure))
        elif kind in ("one", "two"):
            group.values.append(Value("quantity", 1 if kind == "one" else 2, group.own, f"{RULE}: {kind}", likely=sure))
        elif kind == "rest":
            left = _left_over(ground, group, groups)
            if left:
                group.values.append(Value("quantity", left, group.own, f"{RULE}: the rest", sure=False, why="worked out from the rest of the set"))
        elif not group.plural and not group.sets:
            group.values.append(Value("quantity", 1, group.own, f"{RULE}: singular", likely=1 - sure))


def _number_in(ground: Ground, span: Span) -> int | None:
    """The whole number said inside *span*, where it is no size."""
    for number in ground.numbers:
        inside = span.first <= number.first and number.last <= span.last
        if inside and number.kind == "count" and number.value.denominator == 1 and not any(m.first <= number.first <= m.last for m in ground.measures):
            return int(number.value)
    return None


def _left_over(ground: Ground, group: Group, groups: Sequence[Group]) -> int | None:
    """The set's count less its other groups, where all are known."""
    shared = {a.first for a in group.sets}
    others = [g for g in groups if g is not group and any(a.first in shared for a in g.sets)]
    counts = [g.value("quantity") for g in others]
    near = [n for n in ground.numbers if n.kind == "count" and any(abs(n.first - s) < 10 for s in shared)]
    if not near or not all(isinstance(c, int) for c in counts):
        return None
    left = int(max(n.value for n in near)) - sum(c for c in counts if isinstance(c, int))
    return left if left > 0 else None


def _hand_down(groups: Sequence[Group]) -> None:
    """What was said of a whole set before this group was picked out holds for it too (metal, finish, size)."""
    for group in groups:
        shared = {a.first for a in group.sets}
        for field in ("metal", "finish", "size"):
            if not shared or any(v.field == field for v in group.values):
                continue
            for other in groups:
                if other is group or not any(a.first in shared for a in other.sets):
                    continue
                said = [v for v in other.values if v.field == field and v.span.last < min(group.own.first, other.own.first)]
                group.values += [_unsure(v) for v in said]
                if said:
                    break


def _fates(ground: Ground, groups: Sequence[Group], heads: Sequence[int], lexicon: Lexicon) -> None:
    likely = sigmoid(ground.seen.fates)
    found = [(i, a) for i, a in np.argwhere(likely > FATE_AT).tolist() if not _beaten(likely, i, a)]
    words = sorted({i for i, _ in found})
    links = ground.seen.link("fate", words, heads)
    stands = softmax(ground.seen.standing)
    for i, a in found:
        row = links[words.index(i)]
        mine = [k for k, p in enumerate(row) if p > LINK_AT] or ([int(row.argmax())] if len(row) and row.max() > LINK_LEAST else [])
        standing, other = (STANDINGS[k] for k in np.argsort(stands[i])[::-1][:2])
        said = _fate(ground, lexicon, i, (ACTIONS[a], standing), words)
        sure = min(float(stands[i].max()), float(likely[i, a]))
        for k in mine:
            groups[k].fates.append(replace(said, likely=min(sure, float(row[k])), other=other))


def _beaten(likely: Floats, i: int, a: int) -> bool:
    """The same action is likelier on a word beside it."""
    near = likely[max(0, i - 2) : i + 3, a]
    return bool(near.max() > likely[i, a])


def _fate(ground: Ground, lexicon: Lexicon, i: int, said: tuple[str, str], words: Sequence[int]) -> Fate:
    action, standing = said
    clause = next(c for c in ground.clauses if c.first <= i <= c.last)
    details = {kind: _detail(ground, kind, i, words) for kind in ("by", "to_finish", "to_metal")}
    if action not in ("replate", "coat"):
        details["to_finish"] = None
    elif details["to_finish"] is None:
        verb = lexicon.verbs.get(ground.tokens[i].norm)
        details["to_finish"] = verb[0].to_finish if verb and verb[0].action == action else None
    if action not in ("make", "replace", "buy", "repair", "source"):
        details["to_metal"] = None
    return Fate(action, standing, Span(i, i), Span(clause.first, clause.last), RULE, **details)


def _detail(ground: Ground, kind: str, word: int, words: Sequence[int]) -> Any:
    """By whom, or into what: the likeliest words linked to this action word, or None."""
    spans = _spans(ground.seen.values[:, VALUES.index(kind)], 1, 2)
    likely = ground.seen.link(kind, [s.first for s in spans], [word])
    best = max(range(len(spans)), key=lambda s: likely[s, 0], default=None)
    if best is None or likely[best, 0] < LINK_AT:
        return None
    span = spans[best]
    if kind != "by":
        return canonical(ground, "finish" if kind == "to_finish" else "metal", span)
    if any(ground.tokens[k].norm in HOUSE for k in range(span.first, span.last + 1)):
        return "in-house"
    return _name_of(ground, Span(span.first, span.last))[0] if canonical(ground, "trade", span) == "" else _trade(ground, span)


def _trade(ground: Ground, span: Span) -> str:
    term = next((t for t in ground.terms if t.kind == "trade" and t.first <= span.last and span.first <= t.last), None)
    return term.value if term else _name_of(ground, span)[0]


def _asked(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> Iterator[Asked]:
    """The questions the network marked; then what hangs on the client's answer, and what is hunted for, where none is marked."""
    asked: list[Asked] = []
    for k, to in enumerate(ASKED):
        spans = _spans(ground.seen.asked[:, k], 1, 2)
        likely = ground.seen.link("asked", [s.first for s in spans], heads)
        for span, row in zip(spans, likely, strict=True):
            best = int(row.argmax()) if len(row) else None
            group = groups[best] if best is not None and row[best] > LINK_LEAST else _before(groups, span)
            span = _whole(ground, span)
            if group is not None and group.name:
                asked.append(Asked("client" if to == "client" else "shop", group, group.name, span, RULE, sure=row[best] > LINK_AT if best is not None else False))
    for group in groups:
        for to, hangs in (("client", "asking"), ("shop", "source")):
            fate = next((f for f in group.fates if f.standing == hangs or (f.action == hangs and f.standing == "decided")), None)
            if fate is not None and group.name and not any(a.to == to and a.about == group.name for a in asked):
                asked.append(Asked("client" if to == "client" else "shop", group, group.name, fate.clause, f"{RULE}: {hangs}", sure=fate.sure))
    yield from sorted(asked, key=lambda a: a.clause.first)


def _whole(ground: Ground, span: Span) -> Span:
    """*span*, or the sentence it begins where only a word or two of it were tagged."""
    if span.last - span.first >= 3:
        return span
    number = ground.tokens[span.first].sentence
    sentence = [t.i for t in ground.tokens if t.sentence == number]
    return Span(span.first, max(sentence[-1], span.last))


def _before(groups: Sequence[Group], span: Span) -> Group | None:
    """The group picked out last before the question ends."""
    return next((g for g in reversed(groups) if g.own.first <= span.last), None)
