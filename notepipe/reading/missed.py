"""What was said and no record has: an action that only the rules heard, a size that no part took.

They belong to no part, so they stand as doubts on the whole note; a reviewer sees at once what to listen to.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from notepipe.draft import Doubt
from notepipe.reading.marking import FAULTS
from notepipe.reading.marks import Fate, Marks, Span
from notepipe.reading.measures import Measure
from notepipe.reading.tokens import Token

NEAR = 6
"""Words round a size in which a fault is named: "a crack two inches long" is no size of the part."""


def missed(
    tokens: Sequence[Token], marks: Marks, rules: Marks, measures: Sequence[Measure]
) -> Iterator[Doubt]:
    """A doubt for each such action and size, in the order they were said."""
    found = [*_actions(tokens, marks, rules), *_sizes(tokens, marks, measures)]
    for _, doubt in sorted(found, key=lambda pair: pair[0]):
        yield doubt


def _actions(tokens: Sequence[Token], marks: Marks, rules: Marks) -> Iterator[tuple[int, Doubt]]:
    taken = [f for g in marks.groups for f in g.fates]
    heard = {f.span.first: f for g in rules.groups for f in g.fates}
    for fate in heard.values():
        asked = any(_within(fate.span, a.clause) for a in marks.asked)
        if not asked and not any(_same_breath(fate, other) for other in taken):
            why = (
                f"perhaps {fate.action}, {fate.standing}, and no part has it: “{_words(tokens, fate.clause)}”"
            )
            yield fate.span.first, Doubt(field="decision", why=why, rule=fate.rule)


def _sizes(tokens: Sequence[Token], marks: Marks, measures: Sequence[Measure]) -> Iterator[tuple[int, Doubt]]:
    taken = [v.span for g in marks.groups for v in g.values if v.field in ("size", "condition")]
    for measure in measures:
        span = Span(measure.first, measure.last)
        if measure.unit is None or any(s.first <= span.last and span.first <= s.last for s in taken):
            continue
        near = Span(max(0, span.first - NEAR), min(len(tokens) - 1, span.last + NEAR))
        if not {t.norm for t in tokens[near.first : near.last + 1]} & FAULTS:
            why = f"a size that no part has: “{_words(tokens, near)}”"
            yield span.first, Doubt(field="size", why=why, rule="size nobody took")


def _same_breath(fate: Fate, other: Fate) -> bool:
    return _within(other.span, fate.clause) or _within(fate.span, other.clause)


def _within(inner: Span, outer: Span) -> bool:
    return outer.first <= inner.first <= outer.last


def _words(tokens: Sequence[Token], span: Span) -> str:
    words = tokens[span.first : span.last + 1]
    text = "".join((" " if k and t.at > words[k - 1].end else "") + t.text for k, t in enumerate(words))
    return text.strip(" ,.;")
