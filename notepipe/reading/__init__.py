"""A Transcript becomes a Draft: tokens → the rules' marks → the trained reader's marks → agreement →
gather → doubts.

Without the trained reader's files (models/reader) the rules read alone, and the draft says so.
"""

from __future__ import annotations

from notepipe.draft import Draft, Note
from notepipe.reading import network
from notepipe.reading.agreement import doubted
from notepipe.reading.gather import Gatherer
from notepipe.reading.marking import mark_by_rules
from notepipe.reading.marks import Marks
from notepipe.reading.measures import measures_in
from notepipe.reading.missed import missed
from notepipe.reading.numbers import numbers_in
from notepipe.reading.plausibility import cautions_of, doubts_of
from notepipe.reading.splitting import split_sets
from notepipe.reading.state import add_state
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import Token, tokens_of
from notepipe.reading.trained import mark_by_training
from notepipe.trade import Trade
from notepipe.transcript import Transcript

RULES_ALONE = "read by the rules alone, which miss more: the trained reader's files are not there"


def read(transcript: Transcript, note: Note, trade: Trade, *, rules_alone: bool = False) -> Draft:
    """The draft of one note: what the words of *transcript* say, each mark with its rule, nothing guessed."""
    tokens, lexicon = tokens_of(transcript.text), Lexicon(trade)
    if not tokens:
        return Draft(note=note)
    trained = network.is_there() and not rules_alone
    gatherer = Gatherer(transcript, tokens, lexicon)
    by_rules = mark_by_rules(tokens, trade, lexicon)
    marks = _marks(tokens, lexicon, by_rules, trained=trained)
    parts = tuple(
        part.model_copy(
            update={
                "doubts": (*part.doubts, *doubts_of(part, trade.rules)),
                "cautions": cautions_of(part, trade.cautions),
            }
        )
        for part in gatherer.parts(marks)
    )
    if not trained and not rules_alone:
        note = note.model_copy(update={"warnings": (*note.warnings, RULES_ALONE)})
    left = tuple(missed(tokens, marks, by_rules, measures_in(tokens, numbers_in(tokens))))
    return Draft(note=note, parts=parts, questions=gatherer.questions(marks), doubts=left)


def _marks(tokens: tuple[Token, ...], lexicon: Lexicon, by_rules: Marks, *, trained: bool) -> Marks:
    marks = by_rules
    if trained:
        marks = split_sets(doubted(mark_by_training(tokens, lexicon), by_rules), by_rules, len(tokens))
    return add_state(marks, tokens, lexicon.terms(tokens))
