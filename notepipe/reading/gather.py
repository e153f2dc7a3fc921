"""Marks become the records of a draft: sets split into their groups, shared values handed down, words
quoted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, cast

from notepipe.draft import Decision, Doubt, Part, Question, Quote, Size
from notepipe.reading.doubts import Heard, doubts_on, record_doubts, set_doubts
from notepipe.reading.marks import Asked, Fate, Field, Group, Marks, Span
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import Token
from notepipe.transcript import Transcript

LEADING = ("and", "so", "oh", "but", "well", "right", "now", "um", "er", "because", "then")


class Gatherer:
    """Turns spans of tokens into quotes of the transcript, and groups into parts."""

    def __init__(self, transcript: Transcript, tokens: Sequence[Token], lexicon: Lexicon) -> None:
        self.transcript = transcript
        self.tokens = tokens
        self.heard = Heard.of(transcript, tokens, lexicon)

    def parts(self, marks: Marks) -> tuple[Part, ...]:
        """One part for each group that has its own fate; a set that was split all up is not a part of
        its own.
        """
        odd = set_doubts(marks)
        return tuple(self._doubted(self._part(group), group, odd) for group in _lines(marks.groups))

    def _doubted(self, part: Part, group: Group, odd: dict[int, Doubt]) -> Part:
        heard = doubts_on(group, self.heard)
        adds = (odd[id(group)],) if id(group) in odd else ()
        return part.model_copy(update={"doubts": (*part.doubts, *heard, *adds, *record_doubts(part))})

    def questions(self, marks: Marks) -> tuple[Question, ...]:
        """The questions, each with the words it rests on."""
        return tuple(self._question(asked) for asked in marks.asked)

    def words(self, span: Span) -> str:
        """The text from the first to the last token of *span*, without the marks at its ends."""
        first, last = span.first, span.last
        while last > first and not self.tokens[last].is_word and self.tokens[last].text != "?":
            last -= 1
        while first < last and not self.tokens[first].is_word:
            first += 1
        # "do" of "don't" is a token, and no word that was spoken.
        while first > 0 and _one_word(self.tokens[first - 1], self.tokens[first]):
            first -= 1
        while last + 1 < len(self.tokens) and _one_word(self.tokens[last], self.tokens[last + 1]):
            last += 1
        return self.transcript.text[self.tokens[first].at : self.tokens[last].end]

    def seconds(self, span: Span) -> tuple[float | None, float | None]:
        """When *span* was said."""
        return self.transcript.seconds(self.tokens[span.first].at, self.tokens[span.last].end)

    def _quote(self, span: Span) -> Quote:
        start_s, end_s = self.seconds(span)
        heard = self.transcript.words_between(self.tokens[span.first].at, self.tokens[span.last].end)
        likely = [w.probability for w in heard if w.probability is not None]
        return Quote(
            text=self.words(span), start_s=start_s, end_s=end_s, probability=min(likely) if likely else None
        )

    def _part(self, group: Group) -> Part:
        sources = [group] if group.set_of is None else [group.set_of, group]
        anchors = [a for g in sources for a in g.anchors[:1] + g.anchors[1:]][:6]
        values = {name: _last(sources, name) for name in ("quantity", "metal", "finish", "location")}
        if group.set_of is not None:
            values["quantity"] = group.value("quantity")
        fates = [f for g in sources for f in g.fates]
        return Part(
            name=self._called(group.name, anchors),
            heard_as=tuple(dict.fromkeys(self.words(a) for a in anchors)),
            quantity=cast("int | None", values["quantity"]),
            metal=cast("str | None", values["metal"]),
            finish=cast("str | None", values["finish"]),
            location=cast("str | None", values["location"]),
            condition=tuple(dict.fromkeys(str(v.value) for v in group.values if v.field == "condition")),
            sizes=tuple(_sizes(sources)),
            decisions=tuple(self._decision(f) for f in fates),
            quotes=tuple(self._quote(a) for a in anchors),
            doubts=tuple(_doubts(sources)),
            rules=_rules(sources, group),
        )

    def _called(self, name: str, anchors: Sequence[Span]) -> str:
        """The name the packs have for *name*, or for the nickname in the words it was said in."""
        lexicon = self.heard.lexicon
        if name in lexicon.called or not anchors or name in lexicon.part_names:
            return lexicon.called.get(name, name)
        said = f" {self.words(anchors[0]).casefold()} "
        return next((meant for phrase, meant in lexicon.called.items() if f" {phrase} " in said), name)

    def _vendor(self, clause: Span) -> str | None:
        """The one vendor the packs know by name who is named in *clause*."""
        lexicon = self.heard.lexicon
        if not lexicon.vendors:
            return None
        said = lexicon.terms(self.tokens[clause.first : clause.last + 1])
        named = {term.value for term in said if term.kind == "trade" and term.value in lexicon.vendors}
        return named.pop() if len(named) == 1 else None

    def _decision(self, fate: Fate) -> Decision:
        start_s, end_s = self.seconds(fate.clause)
        return Decision(
            action=cast("Any", fate.action),
            standing=cast("Any", fate.standing),
            by=fate.by or self._vendor(fate.clause),
            to_finish=fate.to_finish,
            to_metal=fate.to_metal,
            quote=self.words(fate.clause),
            start_s=start_s,
            end_s=end_s,
            rule=fate.rule,
        )

    def _question(self, asked: Asked) -> Question:
        start_s, end_s = self.seconds(asked.clause)
        words = self.words(asked.clause)
        unsure = Doubt(field="about", why="it may be about something else", rule=asked.rule)
        return Question(
            to=asked.to,
            about=self.heard.lexicon.called.get(asked.about, asked.about),
            text=_as_asked(words),
            quote=words,
            start_s=start_s,
            end_s=end_s,
            doubts=() if asked.sure else (unsure,),
            rule=asked.rule,
        )


def _one_word(token: Token, after: Token) -> bool:
    """Whether two tokens are written together as one word: "do" and "n't", "bell" and "'s"."""
    letters = token.text[-1:].isalnum() and (after.text[:1].isalnum() or after.text[:1] in "'’")
    return letters and token.end == after.at and len(after.text) > 1


def _as_asked(words: str) -> str:
    """The question as a sentence of its own: no "And" or "So" before it, a capital, a mark at its end."""
    text = words
    while (first := text.split(maxsplit=1)) and len(first) == 2 and first[0].lower().strip(",") in LEADING:
        text = first[1]
    while (last := text.rsplit(maxsplit=1)) and len(last) == 2 and last[1].lower() in LEADING:
        text = last[0].rstrip(" ,")
    return text[:1].upper() + text[1:] + ("" if text.endswith(("?", ".", "!")) else ".")


def _lines(groups: Sequence[Group]) -> Iterator[Group]:
    """The groups that are lines: picked ones that have something of their own, sets that were not
    split, things with a state or a fate.
    """
    for group in groups:
        own = [p for p in group.picked if p.fates or p.values]
        if group.picked and own:
            continue
        if group.set_of is not None and not (group.fates or group.values):
            continue
        if group.fates or group.values or group.set_of is not None:
            yield group


def _last(sources: Sequence[Group], name: Field) -> object | None:
    said = [v.value for g in sources for v in g.values if v.field == name]
    return said[-1] if said else None


def _sizes(sources: Sequence[Group]) -> Iterator[Size]:
    for group in sources:
        for value in group.values:
            if value.field == "size":
                yield Size(**cast("dict[str, Any]", value.value))


def _doubts(sources: Sequence[Group]) -> Iterator[Doubt]:
    for group in sources:
        for value in group.values:
            if not value.sure:
                yield Doubt(field=value.field, why=value.why, rule=value.rule)
        for fate in group.fates:
            if not fate.sure:
                yield Doubt(
                    field="decision", why=f"{fate.action}: {fate.why}", other=fate.other, rule=fate.rule
                )


def _rules(sources: Sequence[Group], group: Group) -> dict[str, str]:
    return {"name": group.rule} | {v.field: v.rule for g in sources for v in g.values}
