"""How firmly an action stands: the cues that reach it, the strongest first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from notepipe.reading.clauses import Clause
from notepipe.reading.patterns import matches
from notepipe.reading.terms import Action, Found
from notepipe.reading.tokens import Token
from notepipe.trade import CueRow, Trade

REFUSALS = ("ruled-out", "heading-ruled-out")
STRENGTH = ("asking", "ruled-out", "considering", "done", "decided")


class Cue(NamedTuple):
    """A cue found at tokens ``first`` to ``last`` (inclusive)."""

    first: int
    last: int
    row: CueRow


def kinds_of(actions: Sequence[Action], terms: Sequence[Found]) -> Mapping[int, Mapping[str, int]]:
    """For patterns: which token begins an action (and in which form) or a term, and the token after it."""
    kinds: dict[int, dict[str, int]] = {}
    for action in actions:
        here = kinds.setdefault(action.first, {})
        here["act"] = here[action.form] = action.last + 1
        if action.form == "phrase":
            here["base"] = here["ing"] = action.last + 1
    for term in terms:
        kinds.setdefault(term.first, {})[term.kind] = term.last + 1
    return kinds


def cues_in(tokens: Sequence[Token], trade: Trade, kinds: Mapping[int, Mapping[str, int]]) -> list[Cue]:
    """Every cue in *tokens* that no trap swallows ("not only", "no problem")."""
    found = [
        Cue(a, b - 1, row) for row in trade.cues for p in row.patterns for a, b in matches(p, tokens, kinds)
    ]
    traps = [c for c in found if c.row.sets == "not-a-cue"]
    swallowed = {c for c in found for t in traps if c.row.sets in REFUSALS and t.first <= c.first <= t.last}
    return [c for c in found if c.row.sets != "not-a-cue" and c not in swallowed]


def places_of(sets: str, tokens: Sequence[Token], trade: Trade) -> list[int]:
    """The first tokens of the cues that set *sets*, of those whose patterns hold no action or term."""
    rows = [row for row in trade.cues if row.sets == sets]
    return [first for row in rows for pattern in row.patterns for first, _ in matches(pattern, tokens, {})]


def standing_of(
    action: Action, clause: Clause, cues: Sequence[Cue], tokens: Sequence[Token]
) -> tuple[str, str] | None:
    """(standing, the cue's id) for *action*, or None where nothing says it is to happen: then it is no
    decision.
    """
    if action.row.standing:
        return action.row.standing, action.row.id
    sentence = tokens[action.first].sentence
    reaching = [c for c in cues if _reaches(c, action, clause, sentence, tokens)]
    for standing in STRENGTH:
        cue = next((c for c in reaching if c.row.sets == standing), None)
        if cue:
            return standing, cue.row.id
    return _bare(action, clause, tokens)


def _reaches(cue: Cue, action: Action, clause: Clause, sentence: int, tokens: Sequence[Token]) -> bool:
    if cue.row.reach == "phrase":
        return cue.first <= action.first and action.last <= cue.last
    if cue.row.reach == "clause":
        return clause.first <= cue.first <= clause.last
    return tokens[cue.first].sentence == sentence


def _bare(action: Action, clause: Clause, tokens: Sequence[Token]) -> tuple[str, str] | None:
    """A bare imperative or fragment: "Strip and lacquer.", "Hand polish, here", "Cleaned and oiled on
    Monday."
    """
    leading = all(
        not t.is_word or t.norm in ("and", "then", "so", "just", "only", "oh", "hand", "first")
        for t in tokens[clause.first : action.first]
    )
    if action.form in ("base", "phrase", "noun") and (leading or action.form == "phrase"):
        return "decided", "bare.imperative"
    if action.form == "ed" and leading:
        return "done", "bare.participle"
    if action.form == "ing" and leading:
        return "decided", "bare.participle"
    return None
