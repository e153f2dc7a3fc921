"""Doubts and cautions that the trade's rules set beside a part; pure, and by the words of the packs alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from notepipe.draft import Caution, Decision, Doubt, Part
from notepipe.trade.cautions import CautionRow
from notepipe.trade.plurals import fold
from notepipe.trade.rules import RuleRow
from notepipe.trade.when import ALIVE, When


def doubts_of(part: Part, rules: Sequence[RuleRow]) -> tuple[Doubt, ...]:
    """What the reviewer is asked about *part*, in the order of the rules; the part itself stays as it is."""
    return tuple(
        Doubt(field=rule.field, why=rule.why, rule=rule.id) for rule in rules if speaks(rule.when, part)
    )


def cautions_of(part: Part, cautions: Sequence[CautionRow]) -> tuple[Caution, ...]:
    """The cautions that work on *part* calls for, in the order of the pack."""
    return tuple(
        Caution(id=row.id, text=row.text, defer_to=row.defer_to, acknowledge=row.acknowledge)
        for row in cautions
        if speaks(row.when, part)
    )


def speaks(whens: Iterable[When], part: Part) -> bool:
    """Whether any of *whens* holds of *part*."""
    return any(_part_holds(when, part) and _decision_holds(when, part) for when in whens)


def example_part(written: Mapping[str, Any]) -> Part:
    """A part as an example writes it; TOML knows no null, so a size may leave unit and mm out."""
    sizes = [{"unit": None, "mm": None, **size} for size in written.get("sizes", ())]
    return Part.model_validate({**written, "sizes": sizes})


def slips(rows: Iterable[RuleRow | CautionRow]) -> Iterator[str]:
    """Each example that does not come out as its row says, and each ``when`` that no example needs, in words.

    Nothing where the packs are right; a shop's own rows are held to the same.
    """
    for row in rows:
        parts = [example_part(part) for part in row.examples.speaks]
        for part in parts:
            if not speaks(row.when, part):
                yield f"{row.id}: says nothing on its example '{part.name}'"
        for part in map(example_part, row.examples.silent):
            if speaks(row.when, part):
                yield f"{row.id}: should be silent on '{part.name}'"
        for number, when in enumerate(row.when, start=1):
            others = [other for other in row.when if other is not when]
            if not any(speaks([when], part) and not speaks(others, part) for part in parts):
                yield f"{row.id}: no example needs its 'when' number {number}"


def _part_holds(when: When, part: Part) -> bool:
    spoken = _all_said(part)
    return all((
        _any(when.part, part.name),
        not _has(when.unless_part, part.name),
        _is(when.metal, part.metal),
        _any(when.finish, part.finish or ""),
        _any(when.condition, " . ".join(part.condition)),
        _any(when.spoken, spoken),
        _any(when.spoken_too, spoken),
        not _has(when.unless_spoken, spoken),
        _figures_hold(when, part),
        _actions_hold(when, part),
    ))  # fmt: skip


def _figures_hold(when: When, part: Part) -> bool:
    count, sizes_mm = part.quantity, [s.mm for s in part.sizes if s.mm is not None]
    units = {s.unit for s in part.sizes}
    lacking = {
        "metal": part.metal is None,
        "finish": part.finish is None,
        "quantity": count is None,
        "unit": None in units,
    }
    return all((
        not when.lacks or any(lacking[field] for field in when.lacks),
        not when.quantity_not or (count is not None and count not in when.quantity_not),
        not when.quantity_odd or (count is not None and count > 1 and count % 2 == 1),
        not when.mixed_units or {"in", "mm"} <= units,
        when.mm_over is None or any(mm > when.mm_over for mm in sizes_mm),
        when.mm_under is None or any(mm < when.mm_under for mm in sizes_mm),
    ))  # fmt: skip


def _actions_hold(when: When, part: Part) -> bool:
    alive = {d.action for d in part.decisions if d.standing in ALIVE}
    decided = {d.action for d in part.decisions if d.standing == "decided"}
    asked = any(d.standing == "asking" for d in part.decisions)
    return set(when.together) <= decided and not alive & set(when.without) and not (when.unasked and asked)


def _decision_holds(when: When, part: Part) -> bool:
    if not when.about_decision:
        return True
    return any(_holds_of(when, decision) for decision in part.decisions)


def _holds_of(when: When, decision: Decision) -> bool:
    return all((
        not when.action or decision.action in when.action,
        decision.standing in when.standing,
        _is(when.by, decision.by),
        _any(when.to_finish, decision.to_finish or ""),
        _any(when.said, decision.quote),
        _any(when.said_too, decision.quote),
        not _has(when.unless_said, decision.quote),
    ))  # fmt: skip


def _all_said(part: Part) -> str:
    """Everything said of the part; the stops keep a phrase from running over from one piece to the next."""
    values = (part.name, part.metal, part.finish, part.location)
    becomes = [word for d in part.decisions for word in (d.to_finish, d.to_metal) if word]
    quotes = [q.text for q in part.quotes] + [d.quote for d in part.decisions]
    return " . ".join([*filter(None, values), *part.heard_as, *part.condition, *becomes, *quotes])


def _is(values: tuple[str, ...], value: str | None) -> bool:
    return not values or (value is not None and value.casefold() in values)


def _any(phrases: tuple[str, ...], text: str) -> bool:
    return not phrases or _has(phrases, text)


def _has(phrases: tuple[str, ...], text: str) -> bool:
    return any(_pattern(phrase).search(_folded(text)) for phrase in phrases)


@lru_cache(maxsize=4096)
def _pattern(phrase: str) -> re.Pattern[str]:
    """*phrase* against folded text: whole words, a star for the rest of a word ("weld*")."""
    words = [
        rf"{re.escape(word[:-1])}[\w'-]*" if word.endswith("*") else re.escape(fold(word))
        for word in phrase.casefold().split()
    ]
    return re.compile(rf" {' '.join(words)} ")


@lru_cache(maxsize=4096)
def _folded(text: str) -> str:
    """Words in small letters and the singular, a blank around each; a stop stays a word of its own."""
    words = re.findall(r"[\w'-]+|[.,;:!?]", text.casefold().replace("’", "'"))
    return f" {' '.join(fold(word.strip(chr(39))) for word in words)} "
