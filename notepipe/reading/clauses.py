"""The tokens of a note cut into clauses: the stretch a cue reaches, and the words a decision is quoted
with.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from notepipe.reading.tokens import Token

JOINERS = {
    "and",
    "but",
    "so",
    "then",
    "or",
    "because",
    "cos",
    "which",
    "who",
    "though",
    "although",
    "only",
    "if",
    "unless",
    "except",
    "while",
    "until",
    "till",
    "after",
    "before",
    "whether",
}
SUBJECTS = {
    "it",
    "they",
    "that",
    "those",
    "these",
    "this",
    "we",
    "i",
    "he",
    "she",
    "you",
    "there",
    "one",
    "both",
    "all",
    "nobody",
    "none",
    "nothing",
    "the",
    "its",
    "their",
    "not",
    "no",
    "do",
    "does",
    "would",
    "shall",
    "please",
    "let",
}
VERBS = {"VBD", "VBP", "VBZ", "MD"}


class Clause(NamedTuple):
    """Tokens ``first`` to ``last`` (inclusive) of one sentence."""

    first: int
    last: int
    sentence: int


def clauses_of(tokens: Sequence[Token]) -> list[Clause]:
    """The clauses of all sentences, in order; together they hold every token."""
    clauses: list[Clause] = []
    first = 0
    for i in range(1, len(tokens)):
        if tokens[i].sentence != tokens[first].sentence or _begins(tokens, first, i):
            clauses.append(Clause(first, i - 1, tokens[first].sentence))
            first = i
    if tokens:
        clauses.append(Clause(first, len(tokens) - 1, tokens[first].sentence))
    return clauses


def _begins(tokens: Sequence[Token], first: int, i: int) -> bool:
    """Whether a clause begins at token *i*: after ; or a dash, or after a comma where a new statement
    starts.
    """
    before = tokens[i - 1].text
    if before in (";", "–", "—", ":") and i - first > 1:
        return True
    has_verb = any(t.tag in VERBS or t.norm in ("'s",) for t in tokens[first:i])
    if before == "," and i - first > 1:
        return (
            tokens[i].norm in JOINERS
            or (tokens[i].norm in SUBJECTS and _verb_soon(tokens, i))
            or _count_and_verb(tokens, i)
        )
    return (
        has_verb
        and tokens[i].norm in ("and", "but", "so", "because", "if", "unless", "or")
        and _statement_after(tokens, i)
    )


def _statement_after(tokens: Sequence[Token], i: int) -> bool:
    return (
        i + 1 < len(tokens) and tokens[i + 1].norm in SUBJECTS | {"then", "if"} and _verb_soon(tokens, i + 1)
    )


def _verb_soon(tokens: Sequence[Token], i: int) -> bool:
    for token in tokens[i : i + 6]:
        if token.text in ",.;:?!":
            return False
        if token.tag in VERBS or token.norm in ("'s", "are", "will", "is"):
            return True
    return False


def _count_and_verb(tokens: Sequence[Token], i: int) -> bool:
    """ ", two are cracked": a count that is the subject of a new statement."""
    return tokens[i].tag == "CD" and _verb_soon(tokens, i)
