"""Which thing is meant: names, picks out of a set ("the other two"), and words that point ("it", "those").

Walks the clauses in order with one memory: the groups so far, the set in hand and the group last spoken of.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from notepipe.reading.clauses import Clause
from notepipe.reading.marks import Group, Span, Value
from notepipe.reading.measures import Measure
from notepipe.reading.numbers import Number
from notepipe.reading.picks import Pick, pick
from notepipe.reading.terms import Action, Found, singular
from notepipe.reading.tokens import Token

ONE_OF = {"it", "its", "he", "she", "this", "that", "him", "her"}
MANY_OF = {"they", "them", "those", "these", "their"}
WHERE = {
    "on",
    "in",
    "under",
    "behind",
    "at",
    "round",
    "around",
    "across",
    "over",
    "above",
    "below",
    "beside",
    "through",
    "into",
    "onto",
    "near",
    "against",
    "along",
    "by",
    "inside",
    "outside",
    "to",
    "past",
}
DETERMINERS = {
    "the",
    "a",
    "an",
    "this",
    "that",
    "these",
    "those",
    "its",
    "his",
    "her",
    "their",
    "our",
    "your",
    "my",
    "both",
    "all",
    "each",
    "every",
    "any",
    "some",
    "another",
    "no",
    "them",
}


@dataclass
class Memory:
    """What has been spoken of so far."""

    groups: list[Group] = field(default_factory=list)
    whole: Group | None = None
    """The set in hand: what "two of them" and "the rest" are picked out of."""
    here: Group | None = None
    """What "it" and "those" point at."""
    at: dict[int, Group] = field(default_factory=dict)
    """Token → the group named or pointed at there."""
    doubtful: dict[int, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Scene:
    """The tokens and what was found in them, as every step needs them."""

    tokens: Sequence[Token]
    clauses: Sequence[Clause]
    terms: Sequence[Found]
    actions: Sequence[Action]
    numbers: Sequence[Number]
    measures: Sequence[Measure]

    def taken(self, i: int) -> bool:
        """Token *i* belongs to an action, a size, a trade or a metal, and names nothing."""
        return (
            any(a.first <= i <= a.last for a in self.actions)
            or any(m.first <= i <= m.last for m in self.measures)
            or any(
                t.first <= i <= t.last
                for t in self.terms
                if t.kind in ("trade", "metal", "finish", "not-a-part")
            )
        )


def point(scene: Scene) -> Memory:
    """Walk all clauses: after it, ``Memory.at`` says which group each naming or pointing word means."""
    memory = Memory()
    for clause in scene.clauses:
        i = clause.first
        while i <= clause.last:
            i = _step(scene, memory, clause, i)
    return memory


def _step(scene: Scene, memory: Memory, clause: Clause, i: int) -> int:
    """Read what begins at token *i*; returns the next token to read."""
    phrase = _noun_phrase(scene, clause, i)
    picked = pick(scene.tokens, scene.numbers, scene.measures, memory.whole, i)
    if picked is not None:
        group = picked.whole if picked.everything else _picked(memory, picked)
        _spoken(memory, group, Span(i, picked.last))
        return picked.last + 1
    if phrase is not None:
        if _is_named(scene, clause, phrase):
            _named(scene, memory, phrase)
        return phrase.last + 1
    norm = scene.tokens[i].norm
    if norm in ONE_OF | MANY_OF and memory.here is not None and not _expletive(scene.tokens, i):
        pointed = _pointed(memory, many=norm in MANY_OF)
        if pointed is not None:
            memory.at[i] = pointed
    return i + 1


def _pointed(memory: Memory, *, many: bool) -> Group | None:
    """The group in hand if its number fits, else the set it was picked out of, else the group in hand."""
    here = memory.here
    if here is None or here.plural == many:
        return here
    if many and here.set_of is not None:
        return here
    return here


def _expletive(tokens: Sequence[Token], i: int) -> bool:
    """ "it's raining", "that's that", "that will do": points at nothing."""
    after = [t.norm for t in tokens[i + 1 : i + 4]]
    return tokens[i].norm == "that" and after[:2] in (
        ["'s", "that"],
        ["'s", "all"],
        ["'s", "it"],
        ["'s", "me"],
        ["will", "do"],
    )


def _spoken(memory: Memory, group: Group, span: Span) -> None:
    group.anchors.append(span)
    memory.here = group
    memory.whole = group.whole
    for i in range(span.first, span.last + 1):
        memory.at[i] = group


def _noun_phrase(scene: Scene, clause: Clause, i: int) -> Span | None:
    """The noun phrase that begins at token *i*: determiner, count, describing words, noun; None where
    there is none.
    """
    tokens, j = scene.tokens, i
    while j <= clause.last and (
        tokens[j].norm in DETERMINERS
        or tokens[j].tag in ("CD", "JJ", "PRP$", "NN", "NNS", "NNP", "NNPS", "JJS", "JJR", "VBN", "VBG")
        or scene_term(scene, j)
    ):
        if any(
            a.first == j and a.form in ("base", "ing", "ed", "phrase", "third") for a in scene.actions
        ) and not scene_term(scene, j):
            break
        if tokens[j].norm in ONE_OF | MANY_OF and j > i:
            break
        j += 1
    while j > i and tokens[j - 1].tag not in ("NN", "NNS", "NNP", "NNPS") and not _part_word(scene, j - 1):
        j -= 1
    return Span(i, j - 1) if j > i else None


def scene_term(scene: Scene, i: int) -> bool:
    """Token *i* is inside a part, metal or finish word."""
    return any(t.first <= i <= t.last for t in scene.terms if t.kind in ("part", "metal", "finish"))


def _part_word(scene: Scene, i: int) -> bool:
    return any(t.first <= i <= t.last for t in scene.terms if t.kind == "part")


def _name_words(scene: Scene, phrase: Span) -> list[str]:
    """The words of the name: no determiner, count, metal, finish, measure; the last one singular."""
    words = []
    for i in range(phrase.first, phrase.last + 1):
        token = scene.tokens[i]
        if (
            token.norm in DETERMINERS
            or token.tag in ("CD", "PRP$")
            or not token.is_word
            or token.norm
            in (
                "old",
                "other",
                "first",
                "second",
                "same",
                "own",
                "whole",
                "proper",
                "fresh",
                "new",
                "odd",
                "spare",
            )
        ):
            continue
        if any(n.first <= i <= n.last for n in scene.numbers) or any(
            m.first <= i <= m.last for m in scene.measures
        ):
            continue
        if any(
            t.first <= i <= t.last for t in scene.terms if t.kind in ("metal", "finish")
        ) and not _part_word(scene, i):
            continue
        words.append(token.norm)
    if words:
        words[-1] = singular(words[-1])
    return words


def _is_named(scene: Scene, clause: Clause, phrase: Span) -> bool:
    """Whether the phrase names a thing for the parts list rather than a place, a time, a person or a
    fault.
    """
    tokens, words = scene.tokens, _name_words(scene, phrase)
    head = tokens[phrase.last]
    if not words or (scene.taken(phrase.last) and not _part_word(scene, phrase.last)):
        return False
    if any(t.kind == "not-a-part" and t.last == phrase.last for t in scene.terms) and len(words) < 2:
        return False
    before = tokens[phrase.first - 1].norm if phrase.first > clause.first else ""
    if before in WHERE or before in ("of", "from", "with", "for", "like", "as", "than", "about"):
        return (
            before in ("with", "for", "about")
            and _part_word(scene, phrase.last)
            and phrase.first - clause.first <= 2
        )
    after = tokens[phrase.last + 1].norm if phrase.last + 1 < len(tokens) else "."
    fragment = phrase.first - clause.first <= 1 and after in (
        ".",
        ",",
        ":",
        "–",
        "'s",
        "is",
        "are",
        "next",
        "need",
        "needs",
        "want",
        "wants",
        "have",
        "has",
        "go",
        "goes",
        "get",
        "gets",
        "was",
        "were",
        "will",
        "off",
        "on",
    )
    if head.tag in ("NNP", "NNPS") and not _part_word(scene, phrase.last) and not fragment:
        return False
    return _part_word(scene, phrase.last) or fragment


def _named(scene: Scene, memory: Memory, phrase: Span) -> None:
    """A group of that name: the one already spoken of, or a new one."""
    words = _name_words(scene, phrase)
    name = " ".join(words)
    plural = (
        scene.tokens[phrase.last].tag in ("NNS", "NNPS")
        or singular(scene.tokens[phrase.last].norm) != scene.tokens[phrase.last].norm
    )
    known = next((g for g in reversed(memory.groups) if g.set_of is None and _same_name(g.name, name)), None)
    group = known or Group(name, [], plural, rule="named")
    if known is None:
        memory.groups.append(group)
    _spoken(memory, group, phrase)
    number = next(
        (n for n in scene.numbers if phrase.first <= n.first and n.last <= phrase.last and n.kind == "count"),
        None,
    )
    if number is not None:
        group.values.append(
            Value("quantity", int(number.value), Span(number.first, number.last), "count.before")
        )
    elif known is None and not plural:
        group.values.append(Value("quantity", 1, phrase, "count.singular"))


def _same_name(known: str, name: str) -> bool:
    a, b = known.split(), name.split()
    return a == b or (a[-1] == b[-1] and ((set(b) <= set(a) and len(b) > 1) or set(a) <= set(b)))


def _picked(memory: Memory, picked: Pick) -> Group:
    """A new group out of the set in hand; "the rest" is counted where the others are known."""
    whole, count = picked.whole, picked.number
    total, named = whole.value("quantity"), [g.value("quantity") for g in whole.picked]
    known = isinstance(total, int) and all(isinstance(n, int) for n in named)
    if picked.rest and count is None and known and isinstance(total, int):
        left = total - sum(n for n in named if isinstance(n, int))
        count = left if left > 0 else None
    group = Group(whole.name, [], plural=count != 1, set_of=whole, rule=f"picked.{picked.how}")
    if count is not None:
        group.values.append(Value("quantity", count, Span(picked.first, picked.last), f"picked.{picked.how}"))
    whole.picked.append(group)
    memory.groups.append(group)
    return group
