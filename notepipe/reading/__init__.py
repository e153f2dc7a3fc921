"""A Transcript becomes a Draft: terms → numbers → cues → pointing → gather → doubts."""

from __future__ import annotations

from notepipe.draft import Draft, Note
from notepipe.reading.gather import Gatherer
from notepipe.reading.marking import mark_by_rules
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import Trade
from notepipe.transcript import Transcript


def read(transcript: Transcript, note: Note, trade: Trade) -> Draft:
    """The draft of one note: what the words of *transcript* say, each mark with its rule, nothing guessed."""
    tokens = tokens_of(transcript.text)
    marks = mark_by_rules(tokens, trade, Lexicon(trade))
    gatherer = Gatherer(transcript, tokens)
    return Draft(note=note, parts=gatherer.parts(marks), questions=gatherer.questions(marks))
