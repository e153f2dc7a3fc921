"""A draft against what is on file as plain rows: what a spreadsheet, a marker or another program reads. Pure.

    {"part", "same_as", "kind": new | repeated | changed | withdrawn, "field", "was", "now", "group", "quote"}

``group`` is there for groups of a set: the count of the group. ``maybe`` names other tags it could be.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from notepipe.draft import Decision, Draft, Part
from notepipe.later.comparing import Difference
from notepipe.later.matching import Match
from notepipe.later.offering import Offer

_KINDS = {"says the same": "repeated", "adds": "changed", "changes": "changed", "withdraws": "withdrawn"}
Row = dict[str, Any]


class Comparison(NamedTuple):
    """A draft held against what is on file."""

    draft: Draft
    matches: Sequence[Match]
    offers: Sequence[Offer]


def as_rows(compared: Comparison) -> dict[str, list[Row]]:
    """The ``changes`` and the ``answers``."""
    draft = compared.draft
    sets = Counter(_set(part, match) for part, match in zip(draft.parts, compared.matches, strict=True))
    changes = [
        row
        for part, match in zip(draft.parts, compared.matches, strict=True)
        for row in _of_part(part, match, grouped=sets[_set(part, match)] > 1)
    ]
    return {"changes": changes, "answers": [_answer(offer) for offer in compared.offers]}


def _set(part: Part, match: Match) -> str:
    return match.name or part.name


def _of_part(part: Part, match: Match, *, grouped: bool) -> Iterator[Row]:
    row: Row = {"part": part.name, "same_as": match.name, "tag": match.tag}
    if grouped:
        row["group"] = part.quantity
    if match.doubt is not None:
        row["doubt"], row["maybe"] = match.doubt.why, list(match.rivals)
    words = part.quotes[0].text if part.quotes else next(iter(part.heard_as), "")
    if match.split_from:
        row["split_from"] = match.split_from
    elif match.tag is None:
        yield {**row, "kind": "new", "field": None, "was": None, "now": None, "quote": words}
        return
    news = [d for d in match.differences if _kind(d, part) != "repeated"]
    if all(d.field in ("location", "condition") for d in news):
        yield {**row, "kind": "repeated", "field": None, "was": None, "now": None, "quote": words}
    for difference in match.differences:
        if difference.kind != "says the same" or difference.field == "decision":
            yield {**row, **_difference(difference), "kind": _kind(difference, part)}


def _kind(difference: Difference, part: Part) -> str:
    """Who of the shop does it, or that a new one is of the metal of the old, makes no other plan."""
    was, now = difference.was_decision, difference.now_decision
    if difference.kind == "adds" and was is not None and now is not None:
        same_finish = was.to_finish == now.to_finish
        same_metal = now.to_metal in (was.to_metal, part.metal)
        if same_finish and same_metal and now.by in (was.by, "in-house"):
            return "repeated"
    return _KINDS[difference.kind]


def _difference(difference: Difference) -> Row:
    return {
        "field": difference.field,
        "was": _was(difference),
        "now": _now(difference),
        "quote": " … ".join(quote.text for quote in difference.now_said),
        "was_quote": " … ".join(quote.text for quote in difference.was_said),
    }


def _was(difference: Difference) -> Any:
    if difference.field == "decision":
        return _decision(difference.was_decision)
    if difference.field == "sizes" and difference.was:
        many = difference.was.split("; ")
        return many if len(many) > 1 else many[0]
    return _number(difference.field, difference.was)


def _now(difference: Difference) -> Any:
    now = difference.now_decision
    if now is not None and now.action == "source" and difference.kind == "withdraws":
        return None  # Nobody looks for it any more: nothing is left to do.
    if difference.field == "decision":
        return _decision(now)
    return _number(difference.field, difference.now)


def _number(field: str, value: str | None) -> Any:
    return int(value) if field == "quantity" and value is not None else value


def _decision(decision: Decision | None) -> Row | None:
    if decision is None:
        return None
    names = ("action", "standing", "by", "to_finish", "to_metal")
    return {name: value for name in names if (value := getattr(decision, name)) is not None}


def _answer(offer: Offer) -> Row:
    return {
        "question": offer.tag,
        "question_about": offer.about,
        "to": offer.to,
        "answer": offer.answer,
        "quote": offer.answer,
    }
