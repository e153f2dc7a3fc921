"""Words of the trade found in the tokens: parts, metals, finishes, trades, and the actions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from notepipe.reading.patterns import compiled, forms, match_at
from notepipe.reading.tokens import Token, cut
from notepipe.trade import ActionRow, Term, Trade
from notepipe.trade.english import english

KINDS = ("part", "metal", "finish", "trade", "condition", "not-a-part")
VERB_TAGS = {"VB", "VBP", "VBZ", "VBD", "VBN", "VBG"}
CALLS_FOR_VERB = {
    "to",
    "will",
    "we",
    "i",
    "not",
    "and",
    "or",
    "just",
    "then",
    "let",
    "us",
    "shall",
    "can",
    "could",
    "might",
    "may",
    "would",
    "should",
    "either",
    "please",
    "he",
    "they",
    "do",
}
TAKES_OBJECT = {
    "it",
    "them",
    "those",
    "that",
    "these",
    "this",
    "the",
    "her",
    "all",
    "both",
    "up",
    "out",
    "'em",
}


class Found(NamedTuple):
    """A term at tokens ``first`` to ``last`` (inclusive); ``value`` is the draft's word."""

    first: int
    last: int
    kind: str
    value: str
    rule: str


class Action(NamedTuple):
    """An action word at tokens ``first`` to ``last``; *form* is base, third, ing, ed, noun or phrase."""

    first: int
    last: int
    row: ActionRow
    form: str

    @property
    def rule(self) -> str:
        return self.row.id


def singular(word: str) -> str:
    """The singular of a noun as written: hinges → hinge, glasses → glass, lenses → lens."""
    if word in english().nouns:
        return english().nouns[word]
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("sses", "shes", "ches", "xes", "nses", "zzes")):
        return word[:-1] if word.endswith("aches") else word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is", "ous")) and len(word) > 3:
        return word[:-1]
    return word


class Lexicon:
    """The packs, ready to be found in tokens. Longest phrase wins; a shop's later pack wins over ours."""

    def __init__(self, trade: Trade) -> None:
        self.trade = trade
        self._phrases: dict[str, list[tuple[tuple[str, ...], Term]]] = {}
        for term in trade.terms:
            for phrase in term.phrases:
                words = tuple(piece.text.lower() for piece in cut(phrase))
                self._phrases.setdefault(words[0], []).append((words, term))
                self._phrases.setdefault(singular(words[0]), []).append((words, term))
        for rows in self._phrases.values():
            rows.sort(key=lambda row: -len(row[0]))

    @cached_property
    def verbs(self) -> Mapping[str, tuple[ActionRow, str]]:
        """Every written form of every action verb → its row and which form it is."""
        table: dict[str, tuple[ActionRow, str]] = {}
        for row in self.trade.actions:
            for verb in row.verbs:
                f = forms(verb)
                table |= dict.fromkeys(f.ing, (row, "ing")) | dict.fromkeys(f.ed, (row, "ed"))
                table |= {f.third: (row, "third"), f.base: (row, "base")}
        return table

    @cached_property
    def called(self) -> Mapping[str, str]:
        """The draft's name for each phrase that means a part of another name: a nickname, a word misheard."""
        return {
            phrase.casefold(): term.value
            for term in self.trade.terms
            if term.kind == "part" and term.value
            for phrase in term.phrases
        }

    @cached_property
    def part_names(self) -> frozenset[str]:
        """Every phrase that is a part."""
        return frozenset(p.casefold() for t in self.trade.terms if t.kind == "part" for p in t.phrases)

    @cached_property
    def vendors(self) -> frozenset[str]:
        """Trades that are somebody's name: written with a capital."""
        return frozenset(
            t.value for t in self.trade.terms if t.kind == "trade" and t.value and t.value[0].isupper()
        )

    @cached_property
    def value_words(self) -> frozenset[str]:
        """Single words that are a metal or a finish as well as a verb: nickel, oil, black."""
        return frozenset(
            p for t in self.trade.terms if t.kind in ("metal", "finish", "part") for p in t.phrases
        )

    def terms(self, tokens: Sequence[Token]) -> list[Found]:
        """The terms in *tokens*, longest first, none overlapping another of the same kind."""
        found: list[Found] = []
        for i in range(len(tokens)):
            for kind in KINDS:
                term = self._term_at(tokens, i, kind)
                if term and not any(f.kind == kind and f.first <= i <= f.last for f in found):
                    found.append(term)
        return found

    def _term_at(self, tokens: Sequence[Token], i: int, kind: str) -> Found | None:
        word = tokens[i].norm
        for words, term in [*self._phrases.get(word, ()), *self._phrases.get(singular(word), ())]:
            if term.kind == kind and _stands(words, tokens, i):
                value = term.value or " ".join(words)
                return Found(i, i + len(words) - 1, kind, value, term.id)
        return None

    def actions(self, tokens: Sequence[Token]) -> list[Action]:
        """The action words in *tokens*; phrases win over the verbs inside them."""
        found = list(self._phrase_actions(tokens))
        taken = {i for a in found for i in range(a.first, a.last + 1)}
        for i, token in enumerate(tokens):
            if i in taken:
                continue
            verb = self.verbs.get(token.norm)
            if verb and self._is_verb(tokens, i, verb[1]):
                found.append(Action(i, i, *verb))
            elif _noun_of_action(tokens, i):
                row = next((r for r in self.trade.actions if token.norm in r.nouns), None)
                if row:
                    found.append(Action(i, i, row, "noun"))
        return sorted(found, key=lambda a: a.first)

    def _phrase_actions(self, tokens: Sequence[Token]) -> Iterable[Action]:
        spans: list[Action] = []
        for row in self.trade.actions:
            for phrase in row.phrases:
                steps = compiled(phrase)
                for i in range(len(tokens)):
                    end = match_at(steps, tokens, i, {})
                    if end is not None and end > i:
                        spans.append(Action(i, end - 1, row, "phrase"))
        spans.sort(key=lambda a: (a.first - a.last, a.first))
        kept: list[Action] = []
        for span in spans:
            if not any(k.first <= span.last and span.first <= k.last for k in kept):
                kept.append(span)
        return kept

    def _is_verb(self, tokens: Sequence[Token], i: int, form: str) -> bool:
        """ "nickel them", not "worn nickel"; participles and -ing forms of such words are always theirs."""
        token = tokens[i]
        before = tokens[i - 1].norm if i else "."
        after = tokens[i + 1].norm if i + 1 < len(tokens) else "."
        if form in ("ing", "ed"):
            return before not in ("dust",) or token.tag in VERB_TAGS
        if token.norm not in self.value_words:
            return (
                token.tag in VERB_TAGS
                or before in CALLS_FOR_VERB
                or before in ".,:;–"
                or after in TAKES_OBJECT
            )
        return (before in CALLS_FOR_VERB or before in ".,;:–") and (
            token.tag in VERB_TAGS or after in TAKES_OBJECT
        )


def _stands(words: Sequence[str], tokens: Sequence[Token], i: int) -> bool:
    if i + len(words) > len(tokens):
        return False
    *front, last = words
    if any(tokens[i + k].norm != w for k, w in enumerate(front)):
        return False
    word = tokens[i + len(front)].norm
    return word == last or singular(word) == last


def _noun_of_action(tokens: Sequence[Token], i: int) -> bool:
    """ "a good soak", "light buffing": a noun after an article or an adjective, or a fragment of its own."""
    before = [tokens[k].norm for k in range(max(0, i - 3), i)]
    return any(
        w
        in (
            "a",
            "an",
            "another",
            "some",
            "light",
            "good",
            "just",
            "hand",
            "quick",
            "wants",
            "needs",
            "for",
            "full",
        )
        for w in before
    )
