"""What a reviewer must look at: two hearings that differ, words often misheard, a weak word, sets that
do not add up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from notepipe.draft import Decision, Doubt, Part
from notepipe.reading.marks import Group, Marks, Span
from notepipe.reading.numbers import numbers_in
from notepipe.reading.patterns import compiled, match_at
from notepipe.reading.standing import places_of
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import Token, cut, normal, tokens_of
from notepipe.trade import Mishearing
from notepipe.transcript import Transcript

WEAK = 0.35
"""A word heard with less probability than this, where it carries a value or an action."""
NEAR = 3


@dataclass(frozen=True)
class Heard:
    """The note as it was heard, and how its words are written in the packs."""

    transcript: Transcript
    tokens: Sequence[Token]
    lexicon: Lexicon
    misheard: Sequence[tuple[Mishearing, int, int]] = ()
    """Words of the mishearings list that stand in it: row, first and last token."""
    turns: Sequence[tuple[int, str]] = ()
    """Where a plan is gone back on ("not lacquering those after all"): the action's token and the action."""

    @classmethod
    def of(cls, transcript: Transcript, tokens: Sequence[Token], lexicon: Lexicon) -> Heard:
        """With the mishearings looked up once for the whole note."""
        found = [(row, a, b) for row in lexicon.trade.mishearings for a, b in misheard(row, tokens)]
        back = {tokens[i].sentence for i in places_of("plan-back", tokens, lexicon.trade)}
        turns = [(a.first, a.row.action) for a in lexicon.actions(tokens) if tokens[a.first].sentence in back]
        return cls(transcript, tokens, lexicon, found, turns)


def doubts_on(group: Group, heard: Heard) -> tuple[Doubt, ...]:
    """The doubts that the hearing of *group*'s own words raises, each on the field it concerns."""
    found = [
        *_two_hearings(group, heard),
        *_mishearings(group, heard),
        *_weak_words(group, heard),
        *_turns(group, heard),
    ]
    return tuple({(d.field, d.why): d for d in found}.values())


def _fields(group: Group) -> Iterator[tuple[str, Span]]:
    """Every stretch of words a value or a decision of *group* rests on."""
    for value in (*group.values, *(group.set_of.values if group.set_of else ())):
        yield value.field, value.span
    for fate in group.fates:
        yield "decision", fate.clause


def _two_hearings(group: Group, heard: Heard) -> Iterator[Doubt]:
    for difference in heard.transcript.differences:
        text = heard.transcript.text[difference.start : difference.end]
        for field, span in _fields(group):
            first, last = heard.tokens[span.first].at, heard.tokens[span.last].end
            touches = difference.start < last and max(difference.end, difference.start + 1) > first
            if touches and _carries(field, f"{text} {difference.other}", heard.lexicon):
                yield Doubt(
                    field=field,
                    why=f"heard two ways: '{text}' / '{difference.other}'",
                    other=difference.other or None,
                    rule="two hearings",
                )


def _carries(field: str, words: str, lexicon: Lexicon) -> bool:
    """Whether *words* hold what could change *field*: an action or a refusal, a number, a metal, a finish."""
    tokens = tokens_of(words)
    if field in ("quantity", "size"):
        return bool(numbers_in(tokens))
    if field == "decision":
        return any(
            t.norm in lexicon.verbs
            or t.norm in ("not", "no", "never", "nobody", "none", "will", "might", "could")
            for t in tokens
        ) or bool(lexicon.actions(tokens))
    return any(t.kind == field for t in lexicon.terms(tokens))


def _mishearings(group: Group, heard: Heard) -> Iterator[Doubt]:
    for row, first, last in heard.misheard:
        for field, span in _fields(group):
            if span.first <= last and first <= span.last:
                why = f"'{row.heard}' may have been '{row.said}': {row.wrong}"
                yield Doubt(field=field, why=why, other=row.said, rule=f"mishearing {row.said}>{row.heard}")


def _turns(group: Group, heard: Heard) -> Iterator[Doubt]:
    """A decided action that a later sentence goes back on, here or elsewhere: the worst thing to miss."""
    for fate in group.fates:
        sentence = heard.tokens[fate.span.first].sentence
        later = [
            i for i, action in heard.turns if action == fate.action and heard.tokens[i].sentence > sentence
        ]
        if later and fate.standing in ("decided", "considering"):
            number = heard.tokens[later[0]].sentence
            words = [t for t in heard.tokens if t.sentence == number]
            said = heard.transcript.text[words[0].at : words[-1].end]
            yield Doubt(
                field="decision", why=f"{fate.action}: gone back on later? “{said}”", rule="back.plan"
            )


def misheard(row: Mishearing, tokens: Sequence[Token]) -> list[tuple[int, int]]:
    """Where *row*'s words stand (first, last token) and the other reading would fit: a word it needs
    near, none that rules it out.
    """
    steps = compiled(" ".join(normal(piece.text) for piece in cut(row.heard)))
    found = []
    for i in range(len(tokens)):
        end = match_at(steps, tokens, i, {})
        if end is None:
            continue
        near = {t.norm for t in (*tokens[max(0, i - NEAR) : i], *tokens[end : end + NEAR])}
        if (not row.needs or near & set(row.needs)) and not near & set(row.unless):
            found.append((i, end - 1))
    return found


def _weak_words(group: Group, heard: Heard) -> Iterator[Doubt]:
    spans = [(v.field, v.span) for v in group.values if v.field != "condition"] + [
        ("decision", f.span) for f in group.fates
    ]
    for field, span in spans:
        for word in heard.transcript.words_between(heard.tokens[span.first].at, heard.tokens[span.last].end):
            if word.probability is not None and word.probability < WEAK:
                yield Doubt(
                    field="quantity" if field == "quantity" else str(field),
                    why=f"'{word.text}' was heard badly",
                    rule="weak word",
                )


def set_doubts(marks: Marks) -> dict[int, Doubt]:
    """id of a group → the doubt that its set's groups do not add up to the number said of the set."""
    out: dict[int, Doubt] = {}
    for whole in marks.groups:
        total, parts = whole.value("quantity"), [g.value("quantity") for g in whole.picked]
        if not isinstance(total, int) or len(parts) < 2 or not all(isinstance(n, int) for n in parts):
            continue
        counted = sum(n for n in parts if isinstance(n, int))
        if counted != total:
            out |= {
                id(g): Doubt(
                    field="quantity", why=f"{counted} accounted for out of {total}", rule="set adds up"
                )
                for g in whole.picked
            }
    return out


def record_doubts(part: Part) -> Iterator[Doubt]:
    """What the record itself raises: nothing decided, decisions that exclude each other."""
    if not part.decisions:
        yield Doubt(
            field="decision", why="it is named, but nothing is decided about it", rule="nothing decided"
        )
    firm = {d.action for d in part.decisions if d.standing == "decided"}
    if "leave" in firm and firm & {
        "replate",
        "polish",
        "buff",
        "straighten",
        "repair",
        "coat",
        "replace",
        "scrap",
    }:
        yield Doubt(
            field="decision",
            why="left alone, and yet something is done to it: which stands?",
            rule="exclude each other",
        )
    yield from (
        Doubt(field="decision", why=f"{a} is both going ahead and ruled out", rule="exclude each other")
        for a in _both_ways(part.decisions)
    )


def _both_ways(decisions: Sequence[Decision]) -> list[str]:
    going = {(d.action, d.to_finish) for d in decisions if d.standing in ("decided", "done")}
    stopped = {(d.action, d.to_finish) for d in decisions if d.standing == "ruled-out"}
    return sorted(
        {a for a, finish in going for b, other in stopped if a == b and (finish == other or other is None)}
    )
