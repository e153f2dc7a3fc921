"""What a record is against what is on file, as lines for a person: was and now, with both quotes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from notepipe.draft import Quote
from notepipe.entries import Against
from notepipe.later.comparing import Difference
from notepipe.later.matching import Match
from notepipe.later.offering import Offer, OpenQuestion
from notepipe.showing import said, wrapped
from notepipe.sitting import Sitting

_HEADS: dict[Against, str] = {
    "new": "new",
    "says the same": "says the same as",
    "adds": "adds to",
    "changes": "changes",
    "withdraws": "withdraws what stood of",
}


def match_lines(sitting: Sitting, name: str) -> Iterator[str]:
    """What the record called *name* is against what is on file, and what it seems to answer.

    Nothing where nothing of an earlier note is on file.
    """
    match, again = sitting.match(name), sitting.asked_before(name)
    if match is not None and sitting.on_file:
        yield from wrapped([f"= {head(match)}"], "    ")
        if match.doubt is not None:
            yield from wrapped([f"? {match.doubt.why}"], "    ")
        yield from difference_lines(match.differences)
    if again is not None:
        yield from wrapped([f"= asks again what is open as {again.tag}{_since(again)}"], "    ")
    for offer in sitting.offers_of(name):
        yield from offer_lines(offer)


def head(match: Match) -> str:
    """``changes 004 stirrup``, ``new``, ``a further group of 003 lamp``."""
    if match.split_from:
        return f"a further group of {match.split_from} {match.name}"
    if match.tag is None:
        return "new" if match.doubt is None else f"new, or {' or '.join(match.rivals)}"
    return f"{_HEADS[match.against]} {match.tag} {match.name}"


def offer_lines(offer: Offer) -> Iterator[str]:
    """The question that is open, and the words that seem to answer it."""
    yield from wrapped([f"@ seems to answer {offer.tag}, put to the {offer.to}: {offer.asked}"], "    ")
    yield from wrapped([said(offer.answer, offer.start_s, offer.end_s)], " " * 15)


def difference_lines(differences: Sequence[Difference]) -> Iterator[str]:
    """``metal: steel → brass`` with both quotes under it; nothing for what is said the same."""
    for difference in differences:
        if difference.kind != "says the same":
            yield from wrapped([_was_now(difference)], "      ")
            yield from _quotes("was", difference.was_said)
            yield from _quotes("now", difference.now_said)


def _since(question: OpenQuestion) -> str:
    since = f", open since {question.since[:10]}" if question.since else ""
    return f"{since}: {question.question.text}"


def _was_now(difference: Difference) -> str:
    now = difference.now_decision
    if difference.kind == "withdraws" and (now is None or now.action == "source"):
        return f"{difference.field}: {difference.was} → no longer"
    if difference.was is None:
        return f"{difference.field}: + {difference.now}"
    return f"{difference.field}: {difference.was} → {difference.now}"


def _quotes(moment: str, quotes: Sequence[Quote]) -> Iterator[str]:
    words = " … ".join(dict.fromkeys(quote.text for quote in quotes))
    if words:
        times = (quotes[0].start_s, quotes[0].end_s) if len(quotes) == 1 else (None, None)
        yield from wrapped([f"{moment} {said(words, *times)}"], " " * 10)
