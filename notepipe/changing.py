"""Putting a record right: named fields and their new text become a new record and the list of changes.

name quantity metal finish location     the new text; empty: not known
condition                               pieces divided by ";"
decision 2 standing                     action, standing, by, to finish, to metal of the second decision
decision 2                              empty: takes the decision away
new decision                            "replate" or "replate considering"
size 1, new size                        "length 4 1/2 in", "2 ft 6 in", "16 gauge"; empty: takes it away
to about text                           of a question
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, get_args

from notepipe.draft import Action, Addressee, Decision, Part, Question, Size, Standing
from notepipe.entries import Change
from notepipe.errors import BadAnswer, nearest

BY_REVIEWER = "said in review"
"""The rule of what no recorded word set but the reviewer."""
PART_FIELDS = ("name", "quantity", "metal", "finish", "location", "condition")
LINE_FIELDS = ("decision 1", "decision 1 standing", "new decision", "size 1", "new size")
DECISION_FIELDS = ("action", "standing", "by", "to finish", "to metal")
QUESTION_FIELDS = ("to", "about", "text")
_CHOICES = {"action": get_args(Action), "standing": get_args(Standing), "to": get_args(Addressee)}
_NEEDED = ("name", "action", "standing", "to", "about", "text")
_MEASURE = re.compile(r"(\d+ \d+/\d+|\d+/\d+|\d+\.\d+|\.\d+|\d+)\s*([^\d\s]\S*)?")


def changed_part(where: str, part: Part, fields: Mapping[str, str]) -> tuple[Part, tuple[Change, ...]]:
    """*part* with *fields* put right, and each change as plain text; what is as it was is no change.

    Raises BadAnswer, at *where*, for a field there is not or a value it can't have.
    """
    changes: list[Change] = []
    for field, text in fields.items():
        before = part
        part = _change_part(where, part, _plain(field), text.strip())
        changes += _difference(_plain(field), before, part)
    return _without_gaps(part), tuple(changes)


def changed_question(
    where: str, question: Question, fields: Mapping[str, str]
) -> tuple[Question, tuple[Change, ...]]:
    """*question* with *fields* put right, and each change. Raises BadAnswer as changed_part does."""
    changes: list[Change] = []
    for field, text in fields.items():
        name = _known(where, _plain(field), QUESTION_FIELDS)
        value = _value(where, name, text.strip())
        if value != getattr(question, name):
            changes.append(Change(field=name, was=getattr(question, name), now=value))
        question = question.model_copy(update={name: value})
    return question, tuple(changes)


def decision_in_words(decision: Decision) -> str:
    """``replate to nickel, plater: decided``."""
    to = " in ".join(word for word in (decision.to_finish, decision.to_metal) if word)
    what = f"{decision.action}{f' to {to}' if to else ''}{f', {decision.by}' if decision.by else ''}"
    return f"{what}: {decision.standing}"


def size_in_words(size: Size) -> str:
    """``length 4 1/2 in`` or ``2 ft 6 in``."""
    values, units = size.value.split(), (size.unit or "").split()
    paired = len(units) > 1 and len(values) == len(units)
    measure = " ".join(f"{v} {u}" for v, u in zip(values, units, strict=True)) if paired else size.value
    return " ".join(filter(None, (size.feature, measure, None if paired else size.unit)))


def size_from_words(where: str, text: str) -> Size:
    """The size *text* says; mm exact to the inch of 25.4 mm, None where the unit is no length.

    Raises BadAnswer where there is no number in it.
    """
    first = _MEASURE.search(text)
    if first is None:
        raise BadAnswer(where, f"no size in '{text}'", "Write for example: length 4 1/2 in")
    pairs = [(m[1], m[2] or "") for m in _MEASURE.finditer(text, first.start())]
    value, unit = " ".join(p[0] for p in pairs), " ".join(p[1] for p in pairs if p[1])
    feature = text[: first.start()].strip() or None
    return Size(feature=feature, value=value, unit=unit or None, mm=_mm(pairs))


def _mm(pairs: list[tuple[str, str]]) -> float | None:
    import pint  # Slow to load, and only a size needs it.

    units: Any = pint.UnitRegistry(non_int_type=Fraction)
    total = Fraction(0)
    try:
        for value, unit in pairs:
            number = sum((Fraction(piece) for piece in value.split()), Fraction(0))
            total += number * Fraction(units(unit).to("mm").magnitude)
    except (pint.PintError, AttributeError, ZeroDivisionError, ValueError):
        return None  # "16 gauge", "2 BA", a bare number: no length is made up for it.
    return float(total)


def _change_part(where: str, part: Part, field: str, text: str) -> Part:
    line = re.fullmatch(r"(?:new|(decision|size) (\d+))\s*(.*)", field)
    if line is None:
        name = _known(where, field, PART_FIELDS, (*PART_FIELDS, *LINE_FIELDS))
        return part.model_copy(update={name: _value(where, name, text)})
    if line[1] is None:
        return _added(where, part, line[3], text)
    rows: tuple[Any, ...] = part.decisions if line[1] == "decision" else part.sizes
    number = int(line[2])
    if not 1 <= number <= len(rows) or rows[number - 1] is None:
        do = f"There are {len(rows)}; '{field.split()[0]}' is numbered from 1; 'new {line[1]}' adds one."
        raise BadAnswer(where, f"no {line[1]} {number}", do)
    change = _decision if line[1] == "decision" else _size
    row = change(where, rows[number - 1], line[3], text)
    # A gap keeps the numbers of the others as the person saw them; _without_gaps closes it at the end.
    return part.model_copy(update={f"{line[1]}s": (*rows[: number - 1], row, *rows[number:])})


def _added(where: str, part: Part, kind: str, text: str) -> Part:
    _known(where, f"new {kind}", ("new decision", "new size"), (*PART_FIELDS, *LINE_FIELDS))
    pieces = [piece.strip() for piece in text.split(";") if piece.strip()]
    if kind == "size":
        sizes = tuple(size_from_words(where, piece) for piece in pieces)
        return part.model_copy(update={"sizes": part.sizes + sizes})
    decisions = tuple(_new_decision(where, piece) for piece in pieces)
    return part.model_copy(update={"decisions": part.decisions + decisions})


def _new_decision(where: str, text: str) -> Decision:
    action, _, standing = text.partition(" ")
    words = {"action": action, "standing": standing.strip() or "decided"}
    checked = {name: _value(where, name, word) for name, word in words.items()}
    return Decision.model_validate({**checked, "quote": "", "rule": BY_REVIEWER})


def _decision(where: str, decision: Decision, field: str, text: str) -> Decision | None:
    if not field and not text:
        return None
    if not field:
        fields = ", ".join(DECISION_FIELDS)
        raise BadAnswer(where, f"decision: which field should be '{text}'?", f"One of: {fields}.")
    name = _known(where, field, DECISION_FIELDS).replace(" ", "_")
    return decision.model_copy(update={name: _value(where, name, text)})


def _size(where: str, size: Size, field: str, text: str) -> Size | None:
    if field:
        raise BadAnswer(where, f"no field 'size {field}'", "Write the whole size: length 4 1/2 in")
    return size_from_words(where, text) if text else None


def _value(where: str, field: str, text: str) -> Any:
    """*text* as the value of *field*: a count, a list, one of a few words, or itself."""
    if not text and field in _NEEDED:
        raise BadAnswer(where, f"{field} can't be empty", "Give it, or drop the record.")
    if field in _CHOICES and text not in _CHOICES[field]:
        raise BadAnswer(where, f"{field} can't be '{text}'", nearest(text, _CHOICES[field]))
    if field == "condition":
        return tuple(piece.strip() for piece in text.split(";") if piece.strip())
    if field == "quantity" and text:
        if not text.isdecimal() or not 0 < int(text) < 1_000_000:
            raise BadAnswer(where, f"quantity can't be '{text}'", "Give a whole number, or nothing.")
        return int(text)
    return text or None


def _difference(field: str, before: Part, after: Part) -> list[Change]:
    if field.startswith("new "):
        kind = field.removeprefix("new ")
        numbers = range(len(getattr(before, f"{kind}s")) + 1, len(getattr(after, f"{kind}s")) + 1)
        added = [f"{kind} {number}" for number in numbers]
        return [Change(field=name, was=None, now=_in_words(name, after)) for name in added]
    was, now = _in_words(field, before), _in_words(field, after)
    return [Change(field=field, was=was, now=now)] if was != now else []


def _in_words(field: str, part: Part) -> str | None:
    kind, _, rest = field.partition(" ")
    if kind in ("decision", "size"):
        rows: tuple[Any, ...] = getattr(part, f"{kind}s")
        number, _, name = rest.partition(" ")
        row = rows[int(number) - 1]
        words: Callable[[Any], str] = decision_in_words if kind == "decision" else size_in_words
        if row is None:
            return None
        return getattr(row, name.replace(" ", "_")) if name else words(row)
    value = getattr(part, kind, None)
    return "; ".join(value) or None if isinstance(value, tuple) else None if value is None else str(value)


def _without_gaps(part: Part) -> Part:
    decisions = tuple(d for d in part.decisions if d is not None)
    return part.model_copy(
        update={"decisions": decisions, "sizes": tuple(s for s in part.sizes if s is not None)}
    )


def _plain(field: str) -> str:
    """``Decision 1 to_finish`` → ``decision 1 to finish``; ``count`` is the quantity in the trade's word."""
    plain = " ".join(field.replace("_", " ").lower().split())
    return {"count": "quantity", "conditions": "condition"}.get(plain, plain)


def _known(where: str, field: str, known: tuple[str, ...], told: tuple[str, ...] = ()) -> str:
    if field not in known:
        raise BadAnswer(where, f"no field '{field}'", nearest(field, told or known))
    return field
