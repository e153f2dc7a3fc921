"""The review of one note at a terminal: record by record, one letter an answer, each kept at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from notepipe.changing import (
    DECISION_FIELDS,
    LINE_FIELDS,
    PART_FIELDS,
    QUESTION_FIELDS,
    changed_part,
    changed_question,
)
from notepipe.draft import Doubt, Part, Question
from notepipe.entries import (
    Body,
    PartConfirmed,
    QuestionAnswered,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)
from notepipe.errors import BadAnswer, NotepipeError, NotFound
from notepipe.matched import match_lines
from notepipe.review import (
    NEW,
    Answer,
    Confirm,
    ConfirmAll,
    Drop,
    Group,
    PutOff,
    Sitting,
    Split,
    preview,
    to_acknowledge,
    undoubted,
)
from notepipe.showing import count, price_lines, record_lines, wrapped

PROMPT = "y right · c correct · t tag · s split · d drop · l later · p play · n next · q stop · ? help"
HELP = """\
    y   it is right as it stands: confirm it
    c   correct something first, then confirm it
    o   take the other reading of a doubt, then confirm it
    t   it is another part on file, or a new one: say its tag
    s   split a set into groups with different fates
    d   drop it: it is no part (or no question) at all
    l   later: put it off, it stays open
    p   play the seconds it came from
    n   next, and say nothing about this one
    a   confirm all records of this note that have no doubt (stands so in the history)
    q   stop here; every answer so far is kept"""


class Stopped(Exception):
    """The person goes away in the middle of a note. Never leaves this module."""


@dataclass(frozen=True)
class Talk:
    """How the review speaks with the person and the ledger."""

    say: Callable[[str], None]
    ask: Callable[[str], str]
    """The person's line. Raises EOFError where there is none any more."""
    play: Callable[[float, float], None]
    """Plays these seconds. Raises NotFound where it can't."""
    answer: Callable[[Answer], tuple[Body, ...]]
    """Keeps an answer and says what it became. Raises BadAnswer."""
    sitting: Callable[[], Sitting]
    """The note as it stands now, after every answer, mine or another's."""


def review_note(talk: Talk) -> bool:
    """Go through the waiting records of a note; False where the person stopped before the end."""
    sitting = talk.sitting()
    names = sitting.waiting()
    talk.say(f"{sitting.file}: {count(len(names), 'record')} to review, "
             f"{len(undoubted(sitting))} of them without a doubt")  # fmt: skip
    for line in wrapped((f"! {warning}" for warning in sitting.draft.note.warnings), ""):
        talk.say(line)
    for line in wrapped((f"? {doubt.why}" for doubt in sitting.draft.doubts), ""):
        talk.say(line)
    if sitting.draft.doubts:
        talk.say("  What is missing of it among the records: notepipe add")
    try:
        for position, name in enumerate(names, start=1):
            if name in talk.sitting().waiting():  # Not where all without a doubt took it, or somebody else.
                _review_record(talk, name, f"{position} of {len(names)}")
    except (Stopped, EOFError):
        left = len(talk.sitting().waiting())
        talk.say(f"Stopped; {count(left, 'record')} of {sitting.file} still to review.")
        return False
    return True


def _review_record(talk: Talk, name: str, place: str) -> None:
    sitting = talk.sitting()
    record = sitting.record(name)
    later = ", put off before" if name in sitting.put_off else ""
    talk.say(f"\n── {place}{later} " + "─" * 40)
    _show(talk, name, record)
    while True:
        key = talk.ask(f"{PROMPT}\n> ").strip().lower()
        try:
            if _settled(talk, name, record, key):
                return
        except NotepipeError as error:
            talk.say(str(error))


def _settled(talk: Talk, name: str, record: Part | Question, key: str) -> bool:
    """Do what *key* says; whether the record is done with for now."""
    if key == "q":
        raise Stopped
    if key == "n":
        return True
    if key == "p":
        _play(talk, record)
        return False
    if key == "a":
        _tell(talk, talk.answer(ConfirmAll()))
        return name not in talk.sitting().waiting()
    answer = _ANSWERS[key](talk, name, record) if key in _ANSWERS else None
    if answer is None:
        talk.say(HELP if key == "?" or key not in _ANSWERS else "Nothing was changed.")
        return False
    _tell(talk, talk.answer(answer))
    return True


def _show(talk: Talk, name: str, record: Part | Question) -> None:
    first, *rest = record_lines(name, record)
    for line in (first, *match_lines(talk.sitting(), name), *rest):
        talk.say(line)


def told(bodies: tuple[Body, ...]) -> Iterator[str]:
    """What became of an answer, a line for each entry."""
    for body in bodies:
        if isinstance(body, PartConfirmed) and body.how == "as it stood before":
            yield f"✓ {body.tag} {body.part.name} stands again as it did before"
        elif isinstance(body, PartConfirmed):
            number = "" if body.part.quantity is None else f", {body.part.quantity}"
            yield f"✓ {body.tag} {body.part.name}{number}{_onto(body)}"
        elif isinstance(body, QuestionConfirmed):
            yield f"✓ {body.tag} {body.question.text}"
            yield from price_lines(body.question)
        elif isinstance(body, RecordDropped):
            yield f"✓ {body.tag or body.record} dropped: {body.reason}"
        elif isinstance(body, RecordPutOff):
            yield f"✓ {body.record} put off, it stays open"
        elif isinstance(body, QuestionAnswered):
            yield f"✓ {body.tag} answered: {body.answer}"
    if not bodies:
        yield "There is none without a doubt."


def _onto(body: PartConfirmed) -> str:
    """What became of the part on file, also where it was put right: `` (metal: brass, was steel)``."""
    if body.against == "says the same":
        return " (as it was on file)"
    if body.against == "new" or body.split_from or not body.changes:
        return f" (split from {body.split_from})" if body.split_from else ""
    changes = (f"{c.field}: {c.now or 'no longer'}{f', was {c.was}' if c.was else ''}" for c in body.changes)
    return f" ({'; '.join(changes)})"


def _tell(talk: Talk, bodies: tuple[Body, ...]) -> None:
    for line in told(bodies):
        talk.say(line)


def _play(talk: Talk, record: Part | Question) -> None:
    quotes = record.quotes if isinstance(record, Part) else (record,)
    lines = (*quotes, *(record.decisions if isinstance(record, Part) else ()))
    times = sorted({(q.start_s, q.end_s) for q in lines if q.start_s is not None and q.end_s is not None})
    if not times:
        raise NotFound("this record", "came as text, there is nothing to play", "Read the words above.")
    for start_s, end_s in _joined(times):
        talk.play(start_s, end_s)


def _joined(times: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Passages that overlap or nearly touch are played in one go."""
    start_s, end_s = times[0]
    for next_start_s, next_end_s in times[1:]:
        if next_start_s > end_s + 1.0:
            yield start_s, end_s
            start_s, end_s = next_start_s, next_end_s
        end_s = max(end_s, next_end_s)
    yield start_s, end_s


def _acknowledged(talk: Talk, record: Part | Question) -> tuple[str, ...] | None:
    """The ids of the cautions acknowledged one by one, or None where one was not."""
    must = to_acknowledge(record)
    for caution in record.cautions if isinstance(record, Part) else ():
        if caution.id in must:
            talk.say(f"CAUTION: {caution.text} Defer to: {caution.defer_to}.")
            if talk.ask("Have you read this, and will it be put to them? (yes/no) ").strip().lower() != "yes":
                return None
    return must


def _confirm(talk: Talk, name: str, record: Part | Question, fields: dict[str, str]) -> Confirm | None:
    sitting = talk.sitting()
    answer = Confirm(record=name, fields=fields, onto=_onto_which(talk, sitting, name))
    acknowledged = _acknowledged(talk, preview(sitting, answer))
    if acknowledged is None:
        return None
    answers = _answers(talk, sitting, name)
    return answer.model_copy(update={"acknowledged": acknowledged, "answers": answers})


def _onto_which(talk: Talk, sitting: Sitting, name: str) -> str | None:
    """The tag on file that was shown, so that nothing else is meant; asked for where it is in doubt.

    None where nothing is on file, or for a question and a further group, which go as they were matched.
    """
    match = sitting.match(name)
    if match is None or not sitting.on_file:
        return None
    if match.doubt is None:
        return (match.tag or NEW) if match.split_from is None else None
    return _asked_tag(talk, name, (*filter(None, (match.tag or match.split_from, *match.rivals)), NEW))


def _asked_tag(talk: Talk, name: str, choices: tuple[str, ...]) -> str:
    said = talk.ask(f"Which part on file is it? ({', '.join(dict.fromkeys(choices))}) ").strip()
    if not said:
        raise BadAnswer(name, "not settled which part it is", f"Give a tag on file, or: {NEW}")
    return said


def _answers(talk: Talk, sitting: Sitting, name: str) -> dict[str, str]:
    """The open questions that the person says are answered, each with the answer."""
    answers: dict[str, str] = {}
    for offer in sitting.offers_of(name):
        talk.say(f"{offer.tag} is open: {offer.asked}")
        talk.say(f"    “{offer.answer}”")
        said = talk.ask(
            f"Is that the answer to {offer.tag}? (yes, no, or the answer in other words) "
        ).strip()
        if said.lower() == "yes":
            answers[offer.tag] = ""
        elif said and said.lower() not in ("no", "n"):
            answers[offer.tag] = said
    return answers


def _lay(talk: Talk, name: str, record: Part | Question) -> Answer | None:
    """Lay the record on another part on file than was thought, or on none; a question is a new one."""
    sitting = talk.sitting()
    if isinstance(record, Question) and sitting.asked_before(name):
        return Confirm(record=name, onto=NEW)
    if not isinstance(record, Part) or not sitting.on_file:
        raise BadAnswer(name, "nothing of an earlier note is on file to lay it on", "Confirm it: y")
    rows = [f"{row.tag} {row.part.name}" for row in sitting.on_file]
    talk.say(f"On file: {', '.join(rows[:40])}{', …' if len(rows) > 40 else ''}")
    onto = _asked_tag(talk, name, ("a tag", NEW))
    answer = Confirm(record=name, onto=onto)
    acknowledged = _acknowledged(talk, preview(sitting, answer))
    if acknowledged is None:
        return None
    return answer.model_copy(update={"acknowledged": acknowledged, "answers": _answers(talk, sitting, name)})


def _right(talk: Talk, name: str, record: Part | Question) -> Answer | None:
    return _confirm(talk, name, record, {})


def _correct(talk: Talk, name: str, record: Part | Question) -> Answer | None:
    known = (*PART_FIELDS, *LINE_FIELDS) if isinstance(record, Part) else QUESTION_FIELDS
    talk.say(f"FIELD = NEW TEXT, one a line; an empty line when done. Fields: {', '.join(known)}")
    if isinstance(record, Part):
        talk.say(f"Of a decision: {', '.join(DECISION_FIELDS)}. Nothing behind the = takes it away.")
    fields = _fields(talk, name, record)
    return _confirm(talk, name, record, fields) if fields else None


def _fields(talk: Talk, name: str, record: Part | Question) -> dict[str, str]:
    """Lines until an empty one; a slip is told at once, and costs no other line."""
    fields: dict[str, str] = {}
    while line := talk.ask("  ").strip():
        field, equals, text = line.partition("=")
        if not equals:
            talk.say("  Write for example: metal = bronze")
            continue
        wanted = {**fields, field.strip(): text.strip()}
        try:
            if isinstance(record, Part):
                changed_part(name, record, wanted)
            else:
                changed_question(name, record, wanted)
            fields = wanted
        except BadAnswer as error:
            talk.say(f"  {error.what}. {error.do}")
    return fields


def _other(talk: Talk, name: str, record: Part | Question) -> Answer | None:
    choices = [doubt for doubt in record.doubts if doubt.other is not None]
    if not choices:
        raise BadAnswer(name, "no doubt with another reading", "Correct it by hand: c")
    doubt = choices[0] if len(choices) == 1 else _chosen(talk, choices)
    field = _field_of(talk, doubt, record)
    talk.say(f"{field} = {doubt.other}")
    return _confirm(talk, name, record, {field: doubt.other or ""})


def _field_of(talk: Talk, doubt: Doubt, record: Part | Question) -> str:
    """The name in corrections of the field in doubt: one of several decisions or sizes is asked for."""
    plain = doubt.field.replace("_", " ")
    field = {"decision": "action", "decisions": "action", "sizes": "size"}.get(plain, plain)
    if not isinstance(record, Part) or field not in (*DECISION_FIELDS, "size"):
        return field
    kind, rest = ("size", "") if field == "size" else ("decision", f" {field}")
    rows = len(record.sizes) if kind == "size" else len(record.decisions)
    if not rows:
        return f"new {kind}"
    number = "1" if rows == 1 else talk.ask(f"Of which {kind}? (1 to {rows}) ").strip()
    return f"{kind} {number}{rest}"


def _chosen(talk: Talk, choices: list[Doubt]) -> Doubt:
    for number, doubt in enumerate(choices, start=1):
        talk.say(f"  {number}  {doubt.field}: {doubt.other}")
    number_text = talk.ask("Which? ").strip()
    if not number_text.isdecimal() or not 1 <= int(number_text) <= len(choices):
        raise BadAnswer("which", f"no '{number_text}'", f"Give a number from 1 to {len(choices)}.")
    return choices[int(number_text) - 1]


def _split(talk: Talk, name: str, record: Part | Question) -> Answer | None:
    counts = talk.ask("How many in each group? (for example: 4 2) ").replace("+", " ").split()
    if not counts:
        return None
    if not all(word.isdecimal() and int(word) > 0 for word in counts):
        raise BadAnswer(name, f"'{' '.join(counts)}' are no counts", "Write for example: 4 2")
    heard = record.quantity if isinstance(record, Part) else None
    total = sum(map(int, counts))
    uneven = heard not in (None, total)
    if uneven and talk.ask(f"{total}, and {heard} were heard. Right all the same? (yes/no) ") != "yes":
        return None
    groups = []
    for word in counts:
        talk.say(f"What is different about the {word}? FIELD = NEW TEXT, one a line; empty when done.")
        groups.append(Group(quantity=int(word), fields=_fields(talk, name, record)))
    sitting = talk.sitting()
    onto = _onto_which(talk, sitting, name)
    acknowledged = _acknowledged(talk, preview(sitting, Confirm(record=name, onto=onto)))
    if acknowledged is None:
        return None
    return Split(record=name, groups=tuple(groups), acknowledged=acknowledged, uneven=uneven, onto=onto)


def _drop(talk: Talk, name: str, record: Part | Question) -> Answer | None:
    reason = talk.ask("Why is it dropped? ").strip()
    return Drop(record=name, reason=reason) if reason else None


def _later(talk: Talk, name: str, record: Part | Question) -> Answer | None:
    return PutOff(record=name, reason=talk.ask("What is it waiting for? (may be empty) ").strip() or None)


_ANSWERS: dict[str, Callable[[Talk, str, Part | Question], Answer | None]] = {
    "y": _right,
    "c": _correct,
    "o": _other,
    "t": _lay,
    "s": _split,
    "d": _drop,
    "l": _later,
}
