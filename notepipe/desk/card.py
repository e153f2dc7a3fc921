"""One record as a card: its values under the names corrections know them by, doubts beside them. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from notepipe.changing import (
    DECISION_FIELDS,
    QUESTION_FIELDS,
    changed_part,
    changed_question,
    size_in_words,
)
from notepipe.desk.offered import ACTIONS, LISTS, STANDINGS
from notepipe.desk.passages import Passage, passages, to_play
from notepipe.draft import Caution, Decision, Doubt, Part, Question
from notepipe.errors import BadAnswer
from notepipe.later.comparing import Difference
from notepipe.later.matching import Match, OnFile, in_short
from notepipe.later.offering import Offer, OpenQuestion
from notepipe.matched import head
from notepipe.review import NEW, Confirm, preview
from notepipe.showing import price_lines
from notepipe.sitting import Sitting

VALUES: Final = ("name", "quantity", "metal", "finish", "location", "condition")
_ROWS: Final = {"decision": "action", "decisions": "action", "sizes": "size"}
"""Doubts about a whole decision are settled by its action."""


class Reading(NamedTuple):
    """What else a value might be, and the field it goes into."""

    field: str
    text: str


class Asked(NamedTuple):
    """A doubt, and its other reading where there is one that the field can hold."""

    field: str
    why: str
    other: str | None
    takes: tuple[Reading, ...]


class Value(NamedTuple):
    """A line of the card."""

    field: str
    label: str
    value: str
    words: str
    """The list of words it is offered; empty: none."""
    asked: tuple[Asked, ...]
    difference: Difference | None
    mm: float | None = None
    """Of a size."""


class Fate(NamedTuple):
    """A decision, under its number."""

    number: int
    decision: Decision
    asked: tuple[Asked, ...]
    said: Passage | None


class Choice(NamedTuple):
    """A part on file that a record may be laid on, or NEW."""

    tag: str
    told: str
    chosen: bool


class OnFileNow(NamedTuple):
    """What the record is against what is on file."""

    told: str
    """``changes 004 stirrup``."""
    tag: str
    """As it was matched; NEW, or empty where it goes as a further group."""
    doubt: str | None
    choices: tuple[Choice, ...]
    """Where it is in doubt: what it may be."""
    differences: tuple[Difference, ...]


class Card(NamedTuple):
    """A record that waits."""

    name: str
    record: Part | Question
    values: tuple[Value, ...]
    sizes: tuple[Value, ...]
    fates: tuple[Fate, ...]
    asked: tuple[Asked, ...]
    """Doubts about what has no line of its own."""
    said: tuple[Passage, ...]
    play: tuple[tuple[float, float], ...]
    on_file: OnFileNow | None
    offers: tuple[Offer, ...]
    again: OpenQuestion | None
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]
    put_off: bool

    @property
    def doubts(self) -> int:
        """How many doubts stand on it."""
        return len(self.record.doubts) + bool(self.on_file and self.on_file.doubt)


def card(sitting: Sitting, name: str, onto: str | None = None) -> Card:
    """The waiting record called *name*, as it would be laid on *onto*. Raises BadAnswer."""
    record = sitting.record(name)
    on_file = _on_file(sitting, name, record, onto)
    differences = on_file.differences if on_file else ()
    if isinstance(record, Part):
        values, sizes, fates = _part_lines(record, differences)
    else:
        values, sizes, fates = _question_lines(record), (), ()
    placed = [a for line in (*values, *sizes) for a in line.asked] + [a for fate in fates for a in fate.asked]
    said = passages(record, sitting.recording)
    return Card(
        name=name,
        record=record,
        values=values,
        sizes=sizes,
        fates=fates,
        asked=tuple(a for a in _asked(record) if a not in placed),
        said=said,
        play=to_play(said),
        on_file=on_file,
        offers=sitting.offers_of(name),
        again=sitting.asked_before(name),
        cautions=cautions(sitting, Confirm(record=name, onto=onto or (on_file and on_file.tag) or None)),
        warnings=tuple(price_lines(record)) if isinstance(record, Question) else (),
        put_off=name in sitting.put_off,
    )


def cautions(sitting: Sitting, answer: Confirm) -> tuple[Caution, ...]:
    """The cautions of the part as *answer* would confirm it; as drafted while it is open which it is."""
    record = sitting.record(answer.record)
    if isinstance(record, Question):
        return ()
    try:
        whole = preview(sitting, answer)
    except BadAnswer:
        return record.cautions
    return whole.cautions if isinstance(whole, Part) else ()


def called(rows: Sequence[OnFile], words: str) -> tuple[tuple[str, str, str | None], ...]:
    """Tag, short form and place of the parts that have all of *words*; where none has, any of them."""
    wanted = words.casefold().split()
    texts = [f"{row.tag} {row.part.name} {row.part.location or ''}".casefold() for row in rows]
    found = [row for row, text in zip(rows, texts, strict=True) if all(word in text for word in wanted)]
    if not found:
        found = [row for row, text in zip(rows, texts, strict=True) if any(word in text for word in wanted)]
    return tuple((row.tag, in_short(row.part), row.part.location) for row in found)


def _on_file(sitting: Sitting, name: str, record: Part | Question, onto: str | None) -> OnFileNow | None:
    match = sitting.match(name)
    if match is None or not sitting.on_file or not isinstance(record, Part):
        return None
    if onto is not None and onto != (match.tag or NEW):
        return _chosen(sitting, record, match, onto)
    doubt = match.doubt.why if match.doubt else None
    # Where it is in doubt nothing is meant before the person says so.
    tag = "" if match.doubt or match.split_from else match.tag or NEW
    choices = _choices(sitting, match, onto) if match.doubt else ()
    return OnFileNow(head(match), onto or tag, doubt, choices, _told(match.differences))


def _chosen(sitting: Sitting, record: Part, match: Match, onto: str) -> OnFileNow:
    """As the person said it is."""
    choices = _choices(sitting, match, onto) if match.doubt else ()
    if onto == NEW:
        return OnFileNow("new", NEW, None, choices, ())
    row = sitting.row(onto)
    differences = sitting.laid_on(row, record).differences
    return OnFileNow(f"is {in_short(row.part)}, {row.tag}", onto, None, choices, _told(differences))


def _choices(sitting: Sitting, match: Match, onto: str | None) -> tuple[Choice, ...]:
    tags = dict.fromkeys(tag for tag in (match.tag or match.split_from, *match.rivals) if tag)
    rows = [Choice(tag, in_short(sitting.row(tag).part), tag == onto) for tag in tags]
    return (*rows, Choice(NEW, "none of these: it is new", onto == NEW))


def _told(differences: Sequence[Difference]) -> tuple[Difference, ...]:
    return tuple(d for d in differences if d.kind != "says the same")


def _part_lines(
    part: Part, differences: Sequence[Difference]
) -> tuple[tuple[Value, ...], tuple[Value, ...], tuple[Fate, ...]]:
    asked = tuple(_asked(part))
    by_field: dict[str, Difference] = {
        d.field: d for d in differences if d.field not in ("sizes", "decision")
    }
    values = tuple(
        Value(
            field=field,
            label=field,
            value=_text(part, field),
            words=LISTS.get(field, ""),
            asked=tuple(a for a in asked if a.field == field),
            difference=by_field.get(field),
        )
        for field in VALUES
    )
    sizes = tuple(
        Value(
            field=f"size {number}",
            label=f"size {number}",
            value=size_in_words(size),
            words="",
            asked=tuple(a for a in asked if a.field in ("size", "sizes")) if number == 1 else (),
            difference=None,
            mm=size.mm if size.unit != "mm" else None,
        )
        for number, size in enumerate(part.sizes, start=1)
    )
    return values, sizes, tuple(_fates(part, asked))


def _fates(part: Part, asked: Sequence[Asked]) -> Iterator[Fate]:
    """Each decision with the doubts that speak of it: by its action, else with the first one."""
    names = ("decision", "decisions", *DECISION_FIELDS)
    left = [a for a in asked if a.field.replace("_", " ") in names]
    for number, decision in enumerate(part.decisions, start=1):
        last = number == len(part.decisions)
        mine = [a for a in left if last or decision.action in a.why]
        left = [a for a in left if a not in mine]
        said = Passage(decision.quote, decision.start_s, decision.end_s) if decision.quote else None
        yield Fate(number, decision, tuple(mine), said)


def _question_lines(question: Question) -> tuple[Value, ...]:
    asked = tuple(_asked(question))
    return tuple(
        Value(name, name, getattr(question, name), "", tuple(a for a in asked if a.field == name), None)
        for name in QUESTION_FIELDS
    )


def _text(part: Part, field: str) -> str:
    value = getattr(part, field)
    if field == "condition":
        return "; ".join(value)
    return "" if value is None else str(value)


def _asked(record: Part | Question) -> Iterator[Asked]:
    for doubt in record.doubts:
        yield Asked(doubt.field, doubt.why, doubt.other, tuple(_takes(doubt, record)))


def _takes(doubt: Doubt, record: Part | Question) -> Iterator[Reading]:
    """Where the other reading of *doubt* can go: into each line that can hold it."""
    if doubt.other is None:
        return
    for field in _fields(doubt, record):
        try:
            if isinstance(record, Part):
                changed_part("", record, {field: doubt.other})
            else:
                changed_question("", record, {field: doubt.other})
        except BadAnswer:
            continue
        yield Reading(field, doubt.other)


def _fields(doubt: Doubt, record: Part | Question) -> Iterator[str]:
    field = doubt.field.replace("_", " ")
    if isinstance(record, Question):
        yield field
        return
    field = _ROWS.get(field, field)
    if field == "size":
        yield from (f"size {n}" for n in range(1, len(record.sizes) + 1))
        return
    if field not in DECISION_FIELDS:
        yield field
        return
    if field == "action" and doubt.other in STANDINGS and doubt.other not in ACTIONS:
        field = "standing"
    named = [n for n, d in enumerate(record.decisions, start=1) if d.action in doubt.why]
    for number in named or range(1, len(record.decisions) + 1):
        yield f"decision {number} {field}"
