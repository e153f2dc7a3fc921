"""Every kind of entry survives being written as JSON and read back, and knows no field but its own."""

import json

import pytest
from pydantic import ValidationError

from notepipe.draft import Caution, Draft, Note, Part, Question
from notepipe.entries import (
    BODIES,
    Body,
    CautionOff,
    CautionOn,
    JobClosed,
    JobOpened,
    JobReopened,
    NoteTaken,
    PaperIssued,
    PaperWritten,
    PartConfirmed,
    PartsJoined,
    PictureAttached,
    PictureRemoved,
    QuestionAnswered,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
    RecordReopened,
    WordAccepted,
    WordRefused,
)
from notepipe.errands import (
    ConditionNoted,
    LineBack,
    PriceNoted,
    PriceReleased,
    PromiseNoted,
    PromiseSettled,
    SheetBack,
    SheetLine,
    SheetSent,
    SheetSettled,
    WhereaboutsNoted,
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
    RecordReopened(recording="ab", record="p1", tags=("001",), undoes=3),
    PartsJoined(tag="002", into="001", reason="one bell"),
    QuestionAnswered(tag="Q01", answer="in the loft", by="Bram", on="2026-11-25"),
    PaperIssued(paper="client update", number=1, sha256="ab", to="client", up_to=6, asked=("Q01",)),
    SheetSent(
        sheet="S01",
        vendor="Tarn Plating",
        trade="plater",
        lines=(SheetLine(line=1, tag="001", name="bell", count=1),),
        pieces=1,
        on="2026-11-25",
    ),
    SheetBack(sheet="S01", lines=(LineBack(line=1, count=1, damage="a scratch"),), on="2026-12-09"),
    SheetSettled(sheet="S01", line=1, how="polished out here"),
    WhereaboutsNoted(tag="001", where="kept"),
    ConditionNoted(tag="001", moment="on arrival", condition=("cracked",), on="2026-11-25"),
    PromiseNoted(
        promise="D01",
        who="plater",
        what="the bell",
        words="two weeks",
        said_on="2026-11-25",
        due="2026-12-09",
    ),
    PromiseSettled(promise="D01", on="2026-12-09"),
    PriceNoted(price="M01", tag="001", amount="180", what_for="plating", words="about 180"),
    PriceReleased(price="M01"),
    CautionOff(tag="001", caution="hoist", reason="never lifted"),
    CautionOn(
        tag="001", caution=Caution(id="hoist", text="Lifted?", defer_to="the examiner"), reason="it is lifted"
    ),
    PictureAttached(tag="001", sha256="ab", file="walk.mp4", recording="ab", at_s=12.4),
    PictureRemoved(tag="001", sha256="ab", reason="another bell"),
    WordAccepted(row="[[term]]", file="learnt.toml", rests_on=("001",)),
    WordRefused(row="[[term]]", reason="said once, in jest", rests_on=("001",)),
    JobClosed(reason="handed over"),
    JobReopened(reason="the bell came back"),
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
