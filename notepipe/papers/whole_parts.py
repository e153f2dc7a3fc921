"""Parts, questions and recordings, as the page of a whole job shows them."""

from __future__ import annotations

from collections.abc import Mapping

from notepipe.changing import decision_in_words, size_in_words
from notepipe.draft import Decision, Question, Quote
from notepipe.errands import WhereaboutsNoted
from notepipe.papers.actions import by_whom, is_trade
from notepipe.papers.cells import state
from notepipe.papers.fit import conditions, location
from notepipe.papers.layout import plain
from notepipe.papers.sources import source
from notepipe.papers.whole_view import (
    DecisionShown,
    Moment,
    PartShown,
    PriceShown,
    QuestionShown,
    RecordingShown,
    Step,
    Words,
)
from notepipe.register import NoteNow, PartNow, PriceNow, QuestionNow
from notepipe.trade.cautions import cautions, inside_only

Files = Mapping[str, str]
"""The names of the recordings by their hash."""


def part(
    now: PartNow, files: Files, steps: tuple[Step, ...], inside: frozenset[str] | None, *, extract: bool
) -> PartShown:
    """All that stands of a part; in an *extract* without words from the bench and prices held back."""
    inside = inside_only(cautions()) if inside is None else inside
    place = location(now.part) if extract else now.part.location
    spoken = conditions(now.part) if extract else now.part.condition
    return PartShown(
        tag=now.tag,
        name=plain(now.part.name),
        facts=tuple((name, plain(value)) for name, value in _facts(now, place) if value),
        state=state(now.part),
        by=plain(now.by),
        at=now.at,
        conditions=tuple(map(plain, spoken)),
        moments=tuple(
            Moment(
                moment=_moment(c.moment, None if extract else c.by_whom),
                on=c.on,
                condition=plain("; ".join(c.condition)),
            )
            for c in now.conditions
        ),
        decisions=tuple(_decision(d, now, files, extract=extract) for d in now.part.decisions),
        words=() if extract else tuple(_quote(quote, now.recording, files) for quote in now.part.quotes),
        cautions=tuple(
            plain(f"{c.text} Defer to: {c.defer_to}.")
            for c in now.part.cautions
            if not (extract and c.id in inside)
        ),
        whereabouts=tuple(_where(w, extract=extract) for w in now.whereabouts),
        prices=tuple(_price(price) for price in now.prices if price.released or not extract),
        pictures=tuple((plain(picture.file), picture.sha256) for picture in now.pictures),
        steps=steps,
    )


def question(now: QuestionNow, files: Files, *, extract: bool) -> QuestionShown:
    """A question with its answer, who wrote it down, and the words it was asked in."""
    asked, answer = now.question, now.answer
    words = None if extract else _words(asked.quote, asked, files.get(now.recording, now.recording))
    told = ""
    if answer:
        way = f", {answer.way}" if answer.way else ""
        told = f"{answer.by}, {answer.on}{way}; written down by {answer.written_by}, {answer.written_at}"
    return QuestionShown(
        tag=now.tag,
        to=asked.to,
        about=plain(asked.about),
        text=plain(asked.text),
        by=plain(now.by),
        at=now.first_at or now.at,
        asked_in=", ".join(f"no. {number}" for number in now.asked_in),
        words=words,
        answer=plain(answer.text) if answer else None,
        answered=plain(told),
    )


def recording(note: NoteNow, *, extract: bool) -> RecordingShown:
    """A recording by its hash, and what was heard of it."""
    told = note.draft.note
    return RecordingShown(
        file=plain(note.file),
        sha256=note.recording,
        length="" if told.duration_s is None else f"{told.duration_s:.1f} s",
        taken_at=note.taken_at,
        heard_with=plain(told.heard_with or "read as text"),
        warnings=tuple(map(plain, told.warnings)),
        waiting=len(note.waiting),
        transcript=() if extract else tuple(map(plain, note.transcript.splitlines())),
    )


def _facts(now: PartNow, place: str | None) -> list[tuple[str, str | None]]:
    seen = now.part
    count = None if seen.quantity is None else str(seen.quantity)
    sizes = "; ".join(size_in_words(size) + _mm(size.mm, size.unit) for size in seen.sizes)
    return [
        ("count", count),
        ("metal", seen.metal),
        ("finish", seen.finish),
        ("size", sizes),
        ("place", place),
        ("split from", now.split_from),
        ("joined with", ", ".join(now.joined)),
    ]


def _mm(mm: float | None, unit: str | None) -> str:
    return "" if mm is None or unit == "mm" else f" ({mm:g} mm)"


def _where(noted: WhereaboutsNoted, *, extract: bool) -> str:
    some = "" if noted.count is None else f"{noted.count} "
    remark = f" ({noted.remark})" if noted.remark and not extract else ""
    return plain(f"{some}{noted.where}{remark}")


def _moment(moment: str, whom: str | None) -> str:
    return plain(f"back from {whom}") if moment == "back" and whom else moment


def _decision(decision: Decision, now: PartNow, files: Files, *, extract: bool) -> DecisionShown:
    if extract:
        who = by_whom(decision) if decision.by and is_trade(decision.by) else ""
        shown = decision.model_copy(update={"by": None})
        what, _, standing = decision_in_words(shown).rpartition(": ")
        return DecisionShown(what=plain(f"{what} {who}".strip()), standing=standing, words=None)
    what, _, standing = decision_in_words(decision).rpartition(": ")
    words = (
        _words(decision.quote, decision, _file(decision, now.recording, files)) if decision.quote else None
    )
    return DecisionShown(what=plain(what), standing=standing, words=words)


def _quote(quote: Quote, recording: str, files: Files) -> Words:
    return _words(quote.text, quote, _file(quote, recording, files))


def _file(spoken: Decision | Quote, recording: str, files: Files) -> str:
    """The note it was said in: that of the part, or an earlier one that spoke of the same part."""
    heard = spoken.recording or recording
    return files.get(heard, heard)


def _words(text: str, spoken: Decision | Quote | Question, file: str) -> Words:
    start_s, end_s = spoken.start_s, spoken.end_s
    clock = "" if start_s is None else f"{_clock(start_s)}{'' if end_s is None else f'–{_clock(end_s)}'}"
    return Words(text=plain(text), source=source(file, start_s, end_s), clock=clock)


def _clock(s: float) -> str:
    tenths = int(s * 10)
    return f"{tenths // 600}:{tenths // 10 % 60:02d}.{tenths % 10}"


def _price(price: PriceNow) -> PriceShown:
    noted = price.noted
    amount = " ".join(filter(None, (noted.amount, noted.currency)))
    return PriceShown(tag=noted.price, amount=amount, what_for=plain(noted.what_for), released=price.released)
