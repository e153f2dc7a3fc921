"""What a note says in passing: that a thing that was looked for turned up, and who answered what. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from notepipe.draft import Decision, Part, Quote
from notepipe.later.likeness import number_words, spoken_words, telling_words
from notepipe.trade.alike import ReplyRow, alike

_NEAR = 5
"""So many sentences on, a value may still be said of the part that was named."""


def passages(part: Part, transcript: str = "") -> Iterator[Quote]:
    """The words a part rests on; with a *transcript* the sentences they stand in."""
    quotes = [q for q in part.quotes if q.recording is None]
    quotes += [
        Quote(text=d.quote, start_s=d.start_s, end_s=d.end_s)
        for d in part.decisions if d.quote and d.recording is None
    ]  # fmt: skip
    quotes += [Quote(text=words) for words in part.heard_as]
    seen: set[str] = set()
    for quote in quotes:
        text = sentence_of(quote.text, transcript)
        if text not in seen:
            seen.add(text)
            yield quote.model_copy(update={"text": text})


def sentence_of(words: str, transcript: str) -> str:
    """The sentence of *transcript* that *words* stand in; *words* themselves where they stand in none, or
    in several, so that no sentence is taken for another's.
    """
    # A few words ("the bell") may stand in many sentences.
    found = [s for s in _sentences(transcript) if words.casefold() in s.casefold()]
    return found[0].strip() if len(found) == 1 else words


def where_said(value: str, quotes: Sequence[Quote], transcript: str) -> Quote | None:
    """The sentence of *transcript* that says *value*, at or soon after the first of *quotes*.

    None where the quotes say it themselves, or where no sentence near them does.
    """
    if any(says(value, quote.text) for quote in quotes) or not quotes:
        return None
    at = transcript.casefold().find(quotes[0].text.casefold())
    # The sentence begins before the words that were picked out of it.
    start = max((transcript.rfind(stop, 0, at) for stop in ".!?"), default=-1) + 1
    for sentence in _sentences(transcript[start:])[:_NEAR] if at >= 0 else ():
        if says(value, sentence):
            return Quote(text=sentence.strip())
    return None


def says(value: str, text: str) -> bool:
    """Whether *text* says *value*, a number in figures or in words."""
    words, wanted = set(spoken_words(text)), spoken_words(value)
    if value.isdigit() and set(number_words(int(value))) <= words and int(value) < 100:
        return True
    return set(wanted) <= words


def _sentences(text: str) -> list[str]:
    return [sentence for sentence in re.split(r"(?<=[.!?])\s+", text) if sentence.strip()]


def with_found(part: Part, on_file: Part, transcript: str = "") -> Part:
    """*part*, with the looking for it given up where its words say that it turned up."""
    looked_for = any(d.action == "source" and d.standing != "ruled-out" for d in on_file.decisions)
    if not looked_for or any(d.action == "source" for d in part.decisions):
        return part
    for quote in passages(part, transcript):
        row = next((row for row in alike().reply if row.found and row.speaks(quote.text)), None)
        if row is not None:
            found = Decision(
                action="source",
                standing="done",
                quote=quote.text,
                start_s=quote.start_s,
                end_s=quote.end_s,
                rule=row.id,
            )
            return part.model_copy(update={"decisions": (*part.decisions, found)})
    return part


def as_it_was(part: Part, on_file: Part) -> Part:
    """*part* without the decisions whose words say nothing but that it stays as it is on file."""
    if not on_file.decisions:
        return part
    known = {d.action for d in on_file.decisions}
    kept = tuple(d for d in part.decisions if d.action in known or _says_more(d, on_file))
    return part.model_copy(update={"decisions": kept}) if kept != part.decisions else part


def _says_more(decision: Decision, on_file: Part) -> bool:
    rests = [rest for row in alike().unchanged if (rest := row.without(decision.quote)) is not None]
    if not rests:
        return True
    who = [d.by for d in on_file.decisions if d.by]
    return any(
        telling_words([rest]) - telling_words([on_file.name, *on_file.heard_as, *who]) for rest in rests
    )


def replies_in(text: str) -> tuple[ReplyRow, ...]:
    """The rows of replies that *text* says."""
    return tuple(row for row in alike().reply if row.speaks(text))
