"""The note as the trained reader sees it, and the words of it that are names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from notepipe.reading.clauses import Clause
from notepipe.reading.marks import Span
from notepipe.reading.measures import Measure
from notepipe.reading.network import Floats, Seen
from notepipe.reading.numbers import Number
from notepipe.reading.pointing import DETERMINERS
from notepipe.reading.terms import Found, Lexicon, singular
from notepipe.reading.tokens import Token

RULE = "trained reader"
LINK_AT = 0.5
"""A link is taken from here on."""
LINK_LEAST = 0.15
"""Where there must be one, the likeliest is taken from here on."""
NAME_TAGS = {"NN", "NNS", "NNP", "NNPS", "JJ", "VBG", "VBN"}
NO_NAMES = {
    "'s",
    "are",
    "is",
    "one",
    "ones",
    "other",
    "others",
    "number",
    "rest",
    "last",
    "two",
    "three",
    "pair",
    "lot",
    "and",
    "of",
    "third",
    "fourth",
    "second",
    "first",
}


@dataclass(frozen=True)
class Ground:
    """The note as the trained reader sees it."""

    tokens: Sequence[Token]
    seen: Seen
    terms: Sequence[Found]
    numbers: Sequence[Number]
    measures: Sequence[Measure]
    clauses: Sequence[Clause]
    lexicon: Lexicon


def spans(logits: Floats, begin: int, inside: int) -> list[Span]:
    """The stretches tagged *begin* then *inside*."""
    best = logits.argmax(axis=-1)
    spans: list[Span] = []
    for i in np.flatnonzero(best == begin).tolist():
        last = i
        while last + 1 < len(best) and best[last + 1] == inside:
            last += 1
        spans.append(Span(i, last))
    return spans


def name_of(ground: Ground, span: Span, *, guess: bool = False) -> tuple[str, bool]:
    """The words of a name, the last one singular, and whether it stood in the plural; ("", False) where
    it is no name. A *guess* needs a noun: "four good" names nothing.
    """
    words: list[str] = []
    nouns = 0
    for i in range(span.first, span.last + 1):
        token = ground.tokens[i]
        names = (
            token.is_word
            and token.norm not in DETERMINERS
            and token.norm not in NO_NAMES
            and not _surface(ground, i)
        )
        if names and (not guess or (token.tag in NAME_TAGS and not _number_at(ground, i))):
            words.append(token.norm)
            nouns += token.tag.startswith("NN")
        elif guess and words:
            break
    if not words or (guess and nouns == 0):
        return "", False
    last = singular(words[-1])
    return " ".join([*words[:-1], last]), last != words[-1]


def _surface(ground: Ground, i: int) -> bool:
    """Token *i* says a metal or a finish and is no part of a part's name ("brass band", but "kick plate")."""
    part = any(t.first <= i <= t.last for t in ground.terms if t.kind == "part")
    return not part and any(t.first <= i <= t.last for t in ground.terms if t.kind in ("metal", "finish"))


def _number_at(ground: Ground, i: int) -> bool:
    return any(n.first <= i <= n.last for n in ground.numbers)


def canonical(ground: Ground, kind: str, span: Span) -> str:
    """The draft's word for what *span* says: the packs' value where a term of that kind stands there,
    else the words.
    """
    term = next(
        (t for t in ground.terms if t.kind == kind and t.first <= span.last and span.first <= t.last), None
    )
    if term:
        return term.value
    verbs = [ground.lexicon.verbs.get(ground.tokens[i].norm) for i in range(span.first, span.last + 1)]
    become = next((v[0].to_finish for v in verbs if v and v[0].to_finish), None)
    if kind == "finish" and become:
        return become
    return " ".join(
        ground.tokens[i].norm for i in range(span.first, span.last + 1) if ground.tokens[i].is_word
    )
