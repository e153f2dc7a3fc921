"""Promised times heard in a note: who promised what by when, in which words; nothing is decided here.

What can't be settled from the words carries a doubt, and a person gives the day. Years, days long ago and
what has happened already are no promises.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from notepipe.draft import Decision, Doubt, Draft, Part, Question, Quote
from notepipe.reading.dates import Reckoned, Said, reckoned
from notepipe.reading.deadlines import Deadline, Spoken
from notepipe.reading.numbers import numbers_in
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import Trade
from notepipe.trade.deadlines import NO_PROMISE, DeadlineRow
from notepipe.transcript import Frozen, Transcript
from notepipe.working_days import WorkingDays

IN_HOUSE = "in-house"
CLIENT = "client"
_FIRST_PERSON = {"i", "we", "us", "ourselves", "myself"}
_FEW = 4
"""Tokens of a sentence that can only go on from the one before: "six to eight weeks"."""
_COUNTED = ("days", "weeks", "months", "working days")


class Promised(Frozen):
    """A promise as it was heard: a candidate until a person notes it."""

    who: str | None
    """A vendor, a trade, ``in-house``, ``client``; None where nobody was named."""
    what: str
    """The parts it is about, or the sentence where there are none."""
    records: tuple[str, ...] = ()
    """The records of the draft it is about: ``p1`` …"""
    words: str
    """The clause the time was said in."""
    quote: Quote
    """The whole sentence, with its seconds where they are known."""
    due: date | None
    doubts: tuple[Doubt, ...] = ()
    rule: str


class Setting(NamedTuple):
    """What a note is held against: the day it was said, the calendar, and the vendors known by name."""

    on: date
    working: WorkingDays
    vendors: tuple[str, ...] = ()
    who: str | None = None
    """Who promised it, where that is known beforehand."""


def promised(transcript: Transcript, draft: Draft, trade: Trade, setting: Setting) -> tuple[Promised, ...]:
    """The promised times in *transcript*, in the order they were said."""
    listener = _Listener(transcript, draft, trade, setting)
    return tuple(listener.heard())


class _Told(NamedTuple):
    """Words of the draft that lie at characters *at* to *end* of the text."""

    at: int
    end: int
    record: str
    spoken: Decision | Quote | Question


class _Listener:
    """One note, looked through for times to come."""

    def __init__(self, transcript: Transcript, draft: Draft, trade: Trade, setting: Setting) -> None:
        self.transcript, self.draft, self.setting = transcript, draft, setting
        self.tokens = tokens_of(transcript.text)
        self.spoken = Spoken(self.tokens, trade.deadlines)
        terms = Lexicon(trade).terms(self.tokens)
        self.trades = [term for term in terms if term.kind == "trade"]
        self.told = list(_told(transcript.text, draft))

    def heard(self) -> Iterator[Promised]:
        for at in self.spoken.deadlines:
            if at.row.gives in NO_PROMISE or self.spoken.names_no_day(at) or self.spoken.is_past(at):
                continue
            found = self._reckoned(at, at.row)
            who, doubts = self._who(at)
            if found is None or (who is None and at.row.needs_who):
                continue
            doubts = (*self._unsure(at, found), *doubts, *self._hedges(at), *self._padding(at))
            yield self._promised(at, who, found.due, doubts)

    def _reckoned(self, at: Deadline, row: DeadlineRow) -> Reckoned | None:
        said = Said(self.tokens, at.first, at.end, self.setting.on)
        return reckoned(row, said, self.setting.working)

    def _unsure(self, at: Deadline, found: Reckoned) -> Iterator[Doubt]:
        why = at.row.doubt or (found.why if found.other else None)
        if why:
            other = found.other.isoformat() if found.other else None
            yield Doubt(field="due", why=why, other=other, rule=at.row.id)

    def _promised(
        self, at: Deadline, who: str | None, due: date | None, doubts: tuple[Doubt, ...]
    ) -> Promised:
        about = self._about(at)
        parts = {told.record: part for told in about if (part := self._part(told.record)) is not None}
        if not parts:
            doubts = (*doubts, Doubt(field="what", why="no part was named beside it"))
        start, end = self._characters(self.spoken.sentence(at))
        start_s, end_s = self.transcript.seconds(start, end)
        if start_s is None and about:
            start_s, end_s = about[0].spoken.start_s, about[0].spoken.end_s
        sentence = self.transcript.text[start:end]
        first, last = self._characters(self.spoken.quoted(at))
        return Promised(
            who=who,
            what=", ".join(dict.fromkeys(part.name for part in parts.values())) or sentence,
            records=tuple(parts),
            words=self.transcript.text[first:last].strip(" ,.;:–—!?\n"),
            quote=Quote(text=sentence, start_s=start_s, end_s=end_s),
            due=due,
            doubts=doubts,
            rule=at.row.id,
        )

    def _part(self, record: str) -> Part | None:
        return self.draft.parts[int(record[1:]) - 1] if record.startswith("p") else None

    def _characters(self, tokens: tuple[int, int]) -> tuple[int, int]:
        return self.tokens[tokens[0]].at, self.tokens[tokens[1]].end

    def _who(self, at: Deadline) -> tuple[str | None, tuple[Doubt, ...]]:
        if self.setting.who is not None:
            return self.setting.who, ()
        first, last = self.spoken.sentence(at)
        start, end = self._characters((first, last))
        sentence = self.transcript.text[start:end].casefold()
        vendor = next((name for name in self.setting.vendors if name.casefold() in sentence), None)
        if vendor is None and self._asks_client(start, end):
            return CLIENT, ()
        named = [term for term in self.trades if first <= term.first <= last]
        nearest = min(named, key=lambda term: abs(term.first - at.first), default=None)
        by = next((t.spoken.by for t in self._about(at) if isinstance(t.spoken, Decision)), None)
        who = vendor or (nearest.value if nearest else by)
        if who is None and any(token.norm in _FIRST_PERSON for token in self.tokens[first : last + 1]):
            who = IN_HOUSE
        if who is None:
            return None, (Doubt(field="who", why="nobody was named"),)
        if who == by and not (vendor or nearest) and last - first > _FEW and not self._spoken_in(first, last):
            return who, (Doubt(field="who", why="named in the sentence before"),)
        if vendor is None and by not in (None, who, IN_HOUSE):
            why = "the words beside it name one, the decision on the part another"
            return who, (Doubt(field="who", why=why, other=by),)
        return who, ()

    def _spoken_in(self, first: int, last: int) -> list[_Told]:
        """What the draft has from these tokens."""
        start, end = self._characters((first, last))
        return [told for told in self.told if told.at < end and start < told.end]

    def _asks_client(self, start: int, end: int) -> bool:
        """Whether the sentence asks the client for something, and so sets the client the day."""
        asked = (t for t in self.told if isinstance(t.spoken, Question) and t.spoken.to == "client")
        return any(told.at < end and start < told.end for told in asked)

    def _about(self, at: Deadline) -> list[_Told]:
        """What the draft has from the same sentence, nearest first; else from the sentence before.

        Records that rest on the very same words share the promise.
        """
        first, last = self.spoken.sentence(at)
        near = self._spoken_in(first, last)
        if not near and first:
            number = self.tokens[first].sentence - 1
            before = [token.i for token in self.tokens if token.sentence == number]
            near = self._spoken_in(before[0], before[-1])
        if not near:
            return []
        here, there = self._characters((at.first, at.end - 1))
        near.sort(key=lambda told: (_distance(told, here, there), not isinstance(told.spoken, Decision)))
        best = near[0]
        return [told for told in near if (told.at, told.end) == (best.at, best.end)]

    def _hedges(self, at: Deadline) -> Iterator[Doubt]:
        first, last = self.spoken.stretch(at)
        for near in self.spoken.deadlines:
            if near.row.gives == "hedge" and (first <= near.first <= last or 0 <= near.first - at.end <= 1):
                start, end = self._characters((near.first, near.end - 1))
                said = self.transcript.text[start:end]
                yield Doubt(field="due", why=f"only roughly: “{said}”", rule=near.row.id)

    def _padding(self, at: Deadline) -> Iterator[Doubt]:
        """ "five weeks he said, which means eight": the other day, eight weeks on."""
        _, last = self.spoken.sentence(at)
        for near in self.spoken.deadlines:
            if (
                near.row.gives != "padding"
                or not at.end <= near.first <= last
                or at.row.gives not in _COUNTED
            ):
                continue
            many = numbers_in(self.tokens[near.first : near.end])[-1]
            found = self._reckoned(at, at.row.model_copy(update={"number": int(many.value)}))
            if found and found.due:
                start, end = self._characters((near.first, near.end - 1))
                why = f"“{self.transcript.text[start:end]}” was said as well"
                yield Doubt(field="due", why=why, other=found.due.isoformat(), rule=near.row.id)


def _told(text: str, draft: Draft) -> Iterator[_Told]:
    """Where the draft's decisions, quotes and questions lie in *text*."""
    for number, part in enumerate(draft.parts, start=1):
        for decision in part.decisions:
            yield from (_Told(at, end, f"p{number}", decision) for at, end in _places(text, decision.quote))
        for quote in part.quotes:
            yield from (_Told(at, end, f"p{number}", quote) for at, end in _places(text, quote.text))
    for number, question in enumerate(draft.questions, start=1):
        yield from (_Told(at, end, f"q{number}", question) for at, end in _places(text, question.quote))


def _places(text: str, words: str) -> Iterator[tuple[int, int]]:
    at = text.find(words) if words.strip() else -1
    while at >= 0:
        yield at, at + len(words)
        at = text.find(words, at + 1)


def _distance(told: _Told, at: int, end: int) -> int:
    if told.at < end and at < told.end:
        return 0
    return min(abs(told.at - end), abs(at - told.end))
