"""What is to become of each group, by the trained reader, and the questions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from notepipe.reading.ground import LINK_AT, LINK_LEAST, RULE, Ground, canonical, name_of, spans
from notepipe.reading.marking import said_in_house
from notepipe.reading.marks import Asked, Fate, Group, Span
from notepipe.reading.network import ACTIONS, ASKED, STANDINGS, VALUES, Floats, sigmoid, softmax
from notepipe.reading.pointing import DETERMINERS, MANY_OF, ONE_OF
from notepipe.reading.terms import singular
from notepipe.reading.trained_values import signs_of

FATE_AT = 0.5
"""A word is an action from here on."""
LINK_SHARE = 0.75
"""Of the likelihood of the likeliest group: below it the fate is not another's too."""
HEADING_LEAST = 0.05
"""A heading holds for a group between two of its own unless the link is less likely than this."""
CLOSE = 8
"""Words between an action and who does it, or into what, across the end of a sentence."""
POINTING = ONE_OF | MANY_OF | {"one", "ones", "both"}
HELPING = {"will", "wo", "not", "n't", "never", "be", "go", "to", "do", "can", "ca", "shall", "would", "get"}
TAIL = 20
"""Words at a question's end that go with it."""
REACH = 5
"""Words from a helping verb to the action itself."""
HOUSE = {"here", "myself", "ourselves", "ourself", "house", "in-house", "own", "bench"}


def add_fates(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> None:
    """Put on each of *groups* (picked out at the words *heads*) what is to become of it."""
    likely = sigmoid(ground.seen.fates)
    acts = [(i, a) for i, a in np.argwhere(likely > FATE_AT).tolist() if not _beaten(likely, i, a)]
    words = sorted({i for i, _ in acts})
    links = ground.seen.link("fate", words, heads)
    stands = softmax(ground.seen.standing)
    for i, a in acts:
        row = links[words.index(i)]
        least = max(LINK_AT, LINK_SHARE * float(row.max(initial=0)))
        mine = [k for k, p in enumerate(row) if p > least] or (
            [int(row.argmax())] if len(row) and row.max() > LINK_LEAST else []
        )
        standing, other = (STANDINGS[k] for k in np.argsort(stands[i])[::-1][:2])
        said = _fate(ground, i, (ACTIONS[a], standing), words)
        mine = _object_of(ground, i, groups) or _named_beside(ground, i, mine, groups)
        for k in _filled(mine, i, heads, row):
            signs = signs_of(float(likely[i, a]), float(stands[i].max()), row, k, i - heads[k])
            _put(groups[k], replace(said, signs=signs, other=other))


def _object_of(ground: Ground, word: int, groups: Sequence[Group]) -> list[int]:
    """ "polishing the floor hatch": the group named right behind the action word, whatever the links say.

    The word that carries the action may be its helping verb: "we won't be polishing the floor hatch".
    """
    verb = word
    while ground.tokens[verb].lemma in HELPING and verb + 1 < len(ground.tokens) and verb - word < REACH:
        verb += 1
    i = verb + 1
    while i < len(ground.tokens) and ground.tokens[i].norm in DETERMINERS:
        i += 1
    if i == verb + 1 or ground.tokens[verb].tag not in ("VB", "VBG", "VBP"):
        return []
    return [k for k, g in enumerate(groups) if any(a.first <= i <= a.last for a in (*g.anchors, *g.names))][
        :1
    ]


def _named_beside(ground: Ground, word: int, mine: list[int], groups: Sequence[Group]) -> list[int]:
    """ "seven are buffed here, three get replated": of several groups of one name, the one picked out in the
    very clause of the action, where just one is.
    """
    clause = next(c for c in ground.clauses if c.first <= word <= c.last)
    here = [k for k in mine if clause.first <= groups[k].own.first <= clause.last]
    alike = len({groups[k].name for k in mine}) == 1
    return here if len(mine) > 1 and len(here) == 1 and alike else mine


def _filled(mine: Sequence[int], word: int, heads: Sequence[int], row: Floats) -> list[int]:
    """What is said of several groups named after it is a heading: it holds for those between them too,
    unless that is very unlikely.
    """
    if len(mine) < 2 or heads[mine[0]] <= word:
        return list(mine)
    return [k for k in range(mine[0], mine[-1] + 1) if k in mine or row[k] > HEADING_LEAST]


def _put(group: Group, fate: Fate) -> None:
    """Each action stands once on a group for each standing and finish; the surer mark is kept."""
    twin = next(
        (
            f
            for f in group.fates
            if (f.action, f.standing) == (fate.action, fate.standing)
            and (f.to_finish == fate.to_finish or None in (f.to_finish, fate.to_finish))
        ),
        None,
    )
    if twin is None:
        group.fates.append(fate)
    elif twin.to_finish is None and fate.to_finish is not None:
        group.fates[group.fates.index(twin)] = fate


def _beaten(likely: Floats, i: int, a: int) -> bool:
    """The same action is likelier on a word beside it."""
    near = likely[max(0, i - 2) : i + 3, a]
    return bool(near.max() > likely[i, a])


def _fate(ground: Ground, i: int, said: tuple[str, str], words: Sequence[int]) -> Fate:
    action, standing = said
    clause = next(c for c in ground.clauses if c.first <= i <= c.last)
    details = {kind: _detail(ground, kind, i, words) for kind in ("by", "to_finish", "to_metal")}
    if action not in ("replate", "coat"):
        details["to_finish"] = None
    elif details["to_finish"] is None:
        verb = ground.lexicon.verbs.get(ground.tokens[i].norm)
        details["to_finish"] = verb[0].to_finish if verb and verb[0].action == action else None
    if action not in ("make", "replace", "buy", "repair", "source"):
        details["to_metal"] = None
    if details["by"] is None and said_in_house(ground.tokens[clause.first : clause.last + 1]):
        details["by"] = "in-house"
    return Fate(action, standing, Span(i, i), Span(clause.first, clause.last), RULE, **details)


def _detail(ground: Ground, kind: str, word: int, words: Sequence[int]) -> Any:
    """By whom, or into what: the likeliest words linked to this action word, or None."""
    found = spans(ground.seen.values[:, VALUES.index(kind)], 1, 2)
    likely = ground.seen.link(kind, [s.first for s in found], [word])
    best = max(range(len(found)), key=lambda s: likely[s, 0], default=None)
    if best is None or likely[best, 0] < LINK_AT or not _together(ground, found[best], word):
        return None
    span = found[best]
    if kind != "by":
        return canonical(ground, "finish" if kind == "to_finish" else "metal", span)
    if any(ground.tokens[k].norm in HOUSE for k in range(span.first, span.last + 1)):
        return "in-house"
    return (
        name_of(ground, Span(span.first, span.last))[0]
        if canonical(ground, "trade", span) == ""
        else _trade(ground, span)
    )


def _together(ground: Ground, span: Span, word: int) -> bool:
    """In one sentence, or close: the finish of the next part is not what this one is to become."""
    return (
        ground.tokens[span.first].sentence == ground.tokens[word].sentence or abs(span.first - word) <= CLOSE
    )


def _trade(ground: Ground, span: Span) -> str:
    term = next(
        (t for t in ground.terms if t.kind == "trade" and t.first <= span.last and span.first <= t.last), None
    )
    return term.value if term else name_of(ground, span)[0]


def questions(ground: Ground, groups: Sequence[Group], heads: Sequence[int]) -> Iterator[Asked]:
    """The questions the network marked; then what hangs on the client's answer, and what is hunted for,
    where none is marked.
    """
    asked: list[Asked] = []
    for k, to in enumerate(ASKED):
        found = spans(ground.seen.asked[:, k], 1, 2)
        likely = ground.seen.link("asked", [s.first for s in found], heads)
        for span, row in zip(found, likely, strict=True):
            best = int(row.argmax()) if len(row) else None
            group = groups[best] if best is not None and row[best] > LINK_LEAST else _before(groups, span)
            span = _whole(ground, span)
            about = group.name if group else ""
            said = {singular(t.norm) for t in ground.tokens[span.first : span.last + 1]}
            if not about or not said & (POINTING | {about.split()[-1]}):
                # It points at nothing and names another part: that is what it is about.
                about = _named_in(ground, span) or about
            if about and not any(a.to == to and _overlap(a.clause, span) for a in asked):
                sure = best is not None and row[best] > LINK_AT
                asked.append(
                    Asked("client" if to == "client" else "shop", group, about, span, RULE, sure=bool(sure))
                )
    for group in groups:
        for to, hangs in (("client", "asking"), ("shop", "source")):
            fate = next(
                (
                    f
                    for f in group.fates
                    if f.standing == hangs or (f.action == hangs and f.standing == "decided")
                ),
                None,
            )
            if (
                fate is not None
                and group.name
                and not any(a.to == to and a.about == group.name for a in asked)
            ):
                asked.append(
                    Asked(
                        "client" if to == "client" else "shop",
                        group,
                        group.name,
                        fate.clause,
                        f"{RULE}: {hangs}",
                        sure=fate.sure,
                    )
                )
    yield from sorted(asked, key=lambda a: a.clause.first)


def _whole(ground: Ground, span: Span) -> Span:
    """*span* to the end of its sentence, where only a word or two of it were tagged, or few are left."""
    begun = span.last - span.first < 3
    number = ground.tokens[span.first if begun else span.last].sentence
    ends = max(t.i for t in ground.tokens if t.sentence == number)
    return Span(span.first, max(ends, span.last)) if begun or ends - span.last <= TAIL else span


def _overlap(a: Span, b: Span) -> bool:
    return a.first <= b.last and b.first <= a.last


def _named_in(ground: Ground, span: Span) -> str:
    """The first part the packs know that is named in the question, with the noun before it ("seat bolt")."""
    term = next(
        (t for t in ground.terms if t.kind == "part" and span.first <= t.first and t.last <= span.last), None
    )
    if term is None:
        return ""
    first = term.first
    if first > span.first and ground.tokens[first - 1].tag in ("NN", "NNP"):
        first -= 1
    last = term.last
    while last < span.last and ground.tokens[last + 1].tag in ("NN", "NNS"):
        last += 1
    return name_of(ground, Span(first, last))[0]


def _before(groups: Sequence[Group], span: Span) -> Group | None:
    """The group picked out last before the question ends."""
    return next((g for g in reversed(groups) if g.own.first <= span.last), None)
