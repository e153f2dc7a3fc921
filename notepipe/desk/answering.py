"""An answer from a page becomes entries, through the very code that the terminal's answers go through."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from pydantic import TypeAdapter, ValidationError
from starlette.requests import Request

from notepipe.adding import Added
from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.standing import settled
from notepipe.entries import Body
from notepipe.errors import BadAnswer
from notepipe.jobs import add_part, keep_answer, keep_from_entries
from notepipe.register import NoteNow
from notepipe.review import Answer, Confirm
from notepipe.telling import deed
from notepipe.terminal import told
from notepipe.undoing import undone

_ANSWERS: TypeAdapter[Answer] = TypeAdapter(Answer)
MOST_BYTES = 100_000
"""No answer of a person is longer."""


class Place(NamedTuple):
    """Where an answer goes: the job, and the note."""

    job: JobNow
    note: NoteNow


async def told_in(request: Request) -> Any:
    """The JSON a page sent. Raises BadAnswer where it is none, or too long."""
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BYTES:
            raise BadAnswer("the answer", "is too long", "Say it in fewer words.")
    try:
        return TypeAdapter(dict[str, Any]).validate_json(body)
    except ValidationError as error:
        raise _senseless(error) from error


def as_answer(told: Any) -> Answer:
    """*told* as an answer of the review. Raises BadAnswer where it makes none."""
    try:
        return _ANSWERS.validate_python(told)
    except ValidationError as error:
        raise _senseless(error) from error


def as_confirmation(told: Any) -> Confirm:
    """*told* as a confirmation. Raises BadAnswer where it makes none."""
    answer = as_answer(told)
    if not isinstance(answer, Confirm):
        raise BadAnswer("the answer", "confirms nothing", "Load the page again.")
    return answer


def keep(desk: Desk, person: str, place: Place, answer: Answer) -> tuple[Body, ...]:
    """Append what *answer* makes. Raises BadAnswer; of a record somebody else settled first it says who."""
    recording = place.note.recording
    try:
        return keep_answer(
            desk.ledger, place.job.name, desk.hand(person), recording, answer, desk.trade.cautions
        )
    except BadAnswer as error:
        now = desk.job_named(place.job.name)
        name = getattr(answer, "record", "")
        if name not in now.note(recording).reviewed:
            raise
        became = settled(now.entries, recording).get(name)
        what = f"is settled already: {became.line}" if became else "is settled already"
        do = "Nothing of yours was kept. Look at it; where it is wrong, take it back."
        raise BadAnswer(f"{place.note.file} {name}", what, do) from error


def take_back(desk: Desk, person: str, job: JobNow, number: int) -> tuple[Body, ...]:
    """Take the answer in entry *number* back. Raises NotFound, BadAnswer."""
    return keep_from_entries(
        desk.ledger, job.name, desk.hand(person), lambda entries: undone(entries, number)
    )


def add(desk: Desk, person: str, place: Place, told: Any) -> tuple[Body, ...]:
    """Append a part of the note that its draft does not have. Raises BadAnswer."""
    try:
        added = Added.model_validate(told)
    except ValidationError as error:
        raise _senseless(error) from error
    if not added.name.strip():
        raise BadAnswer(place.note.file, "a part without a name", "Say what it is.")
    where = (place.note.recording, added)
    return add_part(desk.ledger, place.job.name, desk.hand(person), where, desk.trade.cautions)


def lines(bodies: Sequence[Body]) -> tuple[str, ...]:
    """What became of it, a line for each entry."""
    said = [line for body in bodies for line in ([deed(body)] if deed(body) else told((body,)))]
    return tuple(line if line.startswith("✓") else f"✓ {line}" for line in said if line) or tuple(told(()))


def _senseless(error: ValidationError) -> BadAnswer:
    first = error.errors()[0]
    place = ".".join(str(step) for step in first["loc"]) or "the answer"
    return BadAnswer(place, first["msg"], "Load the page again; nothing was kept.")
