"""Every kind of entry survives being written as JSON and read back, and knows no field but its own."""

import json

import pytest
from pydantic import ValidationError

from notepipe.draft import Draft, Note, Part, Question
from notepipe.entries import (
    BODIES,
    Body,
    JobOpened,
    NoteTaken,
    PaperWritten,
    PartConfirmed,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)

PART = Part(name="bell", quantity=1)
QUESTION = Question(to="shop", about="bell", text="Where is it?", quote="where's the bell")
DRAFT = Draft(note=Note(file="walk.m4a", sha256="ab", duration_s=97.0), parts=(PART,), questions=(QUESTION,))
ALL: list[Body] = [
    JobOpened(name="tram-7", client="c", what="w"),
    NoteTaken(recording="ab", file="walk.m4a", transcript="the bell", draft=DRAFT),
    PartConfirmed(recording="ab", record="p1", tag="001", part=PART),
    QuestionConfirmed(recording="ab", record="q1", tag="Q01", question=QUESTION),
    RecordDropped(recording="ab", record="p1", reason="no"),
    RecordPutOff(recording="ab", record="p1"),
    PaperWritten(paper="parts list", sha256="ab"),
]


@pytest.mark.parametrize("body", ALL, ids=lambda body: body.kind)
def test_an_entry_read_back_is_the_same(body: Body) -> None:
    assert BODIES.validate_python(json.loads(body.model_dump_json())) == body


def test_every_kind_is_tried_here() -> None:
    kinds = set(BODIES.json_schema()["discriminator"]["mapping"])
    assert {body.kind for body in ALL} == kinds


def test_an_unknown_kind_or_field_is_no_entry() -> None:
    for table in ({"kind": "gossip"}, {**ALL[5].model_dump(), "mood": "good"}):
        with pytest.raises(ValidationError):
            BODIES.validate_python(table)


def test_an_entry_once_made_can_t_be_changed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        ALL[5].reason = "another"  # type: ignore[union-attr]
