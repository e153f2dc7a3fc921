"""Drafts and their records as plain lines of text for a person at a terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence

from notepipe.changing import decision_in_words, size_in_words
from notepipe.draft import Caution, Decision, Doubt, Draft, Part, Question

WIDTH = 96
_PRICE = re.compile(r"[£$€] ?\d|\b(?:pounds?|quid|dollars?|bucks|euros?|pence|cents?)\b", re.IGNORECASE)


def draft_lines(draft: Draft, *, why: bool = False) -> Iterator[str]:
    """The whole draft; with *why* the rule behind each mark."""
    note = draft.note
    length = f", {clock(note.duration_s)} long" if note.duration_s is not None else ""
    yield f"{note.file}{length}, {f'heard with {note.heard_with}' if note.heard_with else 'read as text'}"
    yield f"{count(len(draft.parts), 'part')}, {count(len(draft.questions), 'question')}"
    yield from wrapped((f"! {warning}" for warning in note.warnings), "")
    yield from wrapped((_doubt(doubt, why=why) for doubt in draft.doubts), "")
    for name, record in records(draft):
        yield ""
        yield from record_lines(name, record, why=why)


def records(draft: Draft) -> Iterator[tuple[str, Part | Question]]:
    """Every record under its name, parts first: ``p1`` … ``q1`` …"""
    yield from ((f"p{i}", part) for i, part in enumerate(draft.parts, start=1))
    yield from ((f"q{i}", question) for i, question in enumerate(draft.questions, start=1))


InFile = Callable[[str | None], str]
"""The recording of some words → its file's name, as it stands before their seconds; or nothing."""


def _unnamed(_: str | None) -> str:
    return ""


def record_lines(
    name: str, record: Part | Question, *, why: bool = False, in_file: InFile = _unnamed
) -> Iterator[str]:
    """One record: what was understood, its words with their seconds, doubts beside the values, cautions."""
    if isinstance(record, Part):
        yield from _part_lines(name, record, in_file, why=why)
    else:
        yield from _question_lines(name, record, why=why)


def price_lines(question: Question) -> Iterator[str]:
    """A warning where the words of a question to the client name money: they are printed as they stand."""
    if question.to == "client" and _PRICE.search(question.text):
        yield "! it names a price, and the client will read it as it stands"


def count(number: int, thing: str) -> str:
    """``1 part``, ``2 parts``."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def clock(s: float) -> str:
    """Seconds as minutes and seconds: 83.25 → ``1:23.2``; to the tenth, never up into the next minute."""
    tenths = int(s * 10)
    return f"{tenths // 600}:{tenths // 10 % 60:02d}.{tenths % 10}"


def span(start_s: float | None, end_s: float | None) -> str:
    """``0:21.4–0:23.0``, or nothing for a text note."""
    return "" if start_s is None or end_s is None else f"{clock(start_s)}–{clock(end_s)}"


def said(text: str, start_s: float | None, end_s: float | None) -> str:
    """The words in quotation marks, with their seconds before them where there are any."""
    return f"{span(start_s, end_s)} “{text}”".lstrip()


def wrapped(lines: Iterable[str], indent: str) -> Iterator[str]:
    """*lines* no wider than WIDTH, what runs over standing in a little deeper."""
    for line in lines:
        yield from textwrap.wrap(
            line, WIDTH, initial_indent=indent, subsequent_indent=indent + "    ", break_on_hyphens=False
        ) or [""]


def _part_lines(name: str, part: Part, in_file: InFile, *, why: bool) -> Iterator[str]:
    yield f"{name:<4}{part.name}"
    values = {
        "quantity": None if part.quantity is None else str(part.quantity),
        "metal": part.metal,
        "finish": part.finish,
        "location": part.location,
        "condition": "; ".join(part.condition) or None,
    }
    shown: list[Doubt] = []
    for field, value in values.items():
        doubts = [d for d in part.doubts if d.field == field]
        if value is not None or doubts:
            rule = f"   [{part.rules[field]}]" if why and field in part.rules else ""
            yield from wrapped([f"{field:<11}{value or '–'}{rule}"], "    ")
            yield from wrapped((_doubt(doubt, why=why) for doubt in doubts), " " * 15)
            shown += doubts
    for number, size in enumerate(part.sizes, start=1):
        mm = f" = {size.mm:g} mm" if size.mm is not None and size.unit != "mm" else ""
        yield from wrapped([f"size {number:<6}{size_in_words(size)}{mm}"], "    ")
    yield from _decision_lines(part.decisions, in_file, why=why)
    yield from wrapped((_doubt(doubt, why=why) for doubt in part.doubts if doubt not in shown), "    ")
    quotes = (f"{in_file(q.recording)} {said(q.text, q.start_s, q.end_s)}".lstrip() for q in part.quotes)
    yield from wrapped(quotes, "    ")
    yield from caution_lines(part.cautions)


def _decision_lines(decisions: Sequence[Decision], in_file: InFile, *, why: bool) -> Iterator[str]:
    for number, decision in enumerate(decisions, start=1):
        rule = f"   [{decision.rule}]" if why and decision.rule else ""
        yield from wrapped([f"decision {number:<2}{decision_in_words(decision)}{rule}"], "    ")
        if decision.quote:
            words = said(decision.quote, decision.start_s, decision.end_s)
            yield from wrapped([f"{in_file(decision.recording)} {words}".lstrip()], " " * 15)


def caution_lines(cautions: Sequence[Caution]) -> Iterator[str]:
    """What to say of each caution, and whom to defer to."""
    for caution in cautions:
        must = " (to be acknowledged)" if caution.acknowledge else ""
        yield from wrapped([f"CAUTION{must}: {caution.text} Defer to: {caution.defer_to}."], "    ")


def _question_lines(name: str, question: Question, *, why: bool) -> Iterator[str]:
    rule = f"   [{question.rule}]" if why and question.rule else ""
    yield f"{name:<4}question to the {question.to}, about the {question.about}{rule}"
    yield from wrapped([question.text, *price_lines(question)], "    ")
    yield from wrapped([said(question.quote, question.start_s, question.end_s)], "    ")
    yield from wrapped((_doubt(doubt, why=why) for doubt in question.doubts), "    ")


def _doubt(doubt: Doubt, *, why: bool) -> str:
    other = f" (else: {doubt.other})" if doubt.other is not None else ""
    rule = f"   [{doubt.rule}]" if why and doubt.rule else ""
    return f"? {doubt.field}: {doubt.why}{other}{rule}"
