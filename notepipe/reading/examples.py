"""Whether a row of a pack does what its example says, and the example comes out otherwise without the row."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from notepipe.reading.clauses import clauses_of
from notepipe.reading.doubts import misheard
from notepipe.reading.standing import cues_in, kinds_of, standing_of
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import Token, tokens_of
from notepipe.trade import ActionRow, CueRow, Mishearing, Pack, Term, Trade

Tested = Term | ActionRow | CueRow | Mishearing
_STANDINGS = ("decided", "considering", "asking", "ruled-out", "done")
tokens = cache(tokens_of)


def rows_of(pack: Pack) -> tuple[Tested, ...]:
    """The rows of *pack* whose examples are tested here."""
    return (*pack.term, *pack.action, *pack.cue, *pack.mishearing)


def name_of(row: Tested) -> str:
    """Its id; of a mishearing what may have been said for what is heard."""
    return f"{row.said}>{row.heard}" if isinstance(row, Mishearing) else row.id


def comes_out(row: Tested, say: str, trade: Trade) -> set[str]:
    """What *trade* makes of *say*, of the kind that *row* speaks of."""
    if isinstance(row, Term):
        return {t.value for t in Lexicon(trade).terms(tokens(say)) if t.kind == row.kind}
    if isinstance(row, ActionRow):
        return {a.row.action for a in Lexicon(trade).actions(tokens(say))}
    if isinstance(row, CueRow):
        return _standings(tokens(say), trade)
    return {one.said for one in trade.mishearings if misheard(one, tokens(say))}


def failures(row: Tested, trade: Trade) -> Iterator[str]:
    """What is wrong with the examples of *row*, which stands in *trade*; nothing where they hold."""
    without = trade.without(name_of(row))
    for example in row.examples if isinstance(row, CueRow) else (row.example,):
        heard = comes_out(row, example.say, trade)
        if example.gives is None:
            assert isinstance(row, CueRow)
            if row.sets in heard:
                yield f"“{example.say}” should be left alone, and gives '{row.sets}'"
        elif example.gives not in heard:
            yield f"“{example.say}” should give '{example.gives}', and gives {_listed(heard)}"
        elif example.gives in comes_out(row, example.say, without):
            yield f"“{example.say}” gives '{example.gives}' without it as well"


def _standings(words: tuple[Token, ...], trade: Trade) -> set[str]:
    """How every action in *words* stands, and the cues that say something else of the sentence."""
    lexicon = Lexicon(trade)
    actions, terms = lexicon.actions(words), lexicon.terms(words)
    cues = cues_in(words, trade, kinds_of(actions, terms))
    out: set[str] = {c.row.sets for c in cues if c.row.sets not in _STANDINGS}
    for action in actions:
        clause = next(c for c in clauses_of(words) if c.first <= action.first <= c.last)
        out.add((standing_of(action, clause, cues, words) or ("nothing", ""))[0])
    return out


def _listed(heard: set[str]) -> str:
    return ", ".join(f"'{one}'" for one in sorted(heard)) or "nothing"
