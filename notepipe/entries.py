"""The kinds of entry a ledger holds, as frozen records; ``body()`` of each is what is hashed and kept.

Every entry belongs to one job. An entry is never changed: what was wrong is put right by a later one.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from notepipe.draft import Draft, Part, Question
from notepipe.transcript import Frozen


class JobOpened(Frozen):
    """A client's job begins."""

    kind: Literal["job-opened"] = "job-opened"
    name: str
    client: str
    what: str


class NoteTaken(Frozen):
    """A recording was kept under its hash, heard and drafted; the draft as it was before review."""

    kind: Literal["note-taken"] = "note-taken"
    recording: str
    """SHA-256 of the recording."""
    file: str
    """The name it came under."""
    transcript: str
    """The text that was heard or read."""
    draft: Draft


class Change(Frozen):
    """A field a person put right: what the draft had, what it is now (both as plain text)."""

    field: str
    was: str | None
    now: str | None


class PartConfirmed(Frozen):
    """A named person says: this is right. Holds the part as confirmed and what it was before.

    A later one with the same tag puts the earlier right.
    """

    kind: Literal["part-confirmed"] = "part-confirmed"
    recording: str
    record: str
    """Which record of the draft: ``p1``, ``p2`` …; ``added-1`` … for what the draft did not have."""
    tag: str
    """The part's tag in this job: ``001``, ``002`` …"""
    part: Part
    changes: tuple[Change, ...] = ()
    settled: tuple[str, ...] = ()
    """The doubts that stood beside it, each as "field: why"."""
    acknowledged: tuple[str, ...] = ()
    """Ids of the cautions that were shown and acknowledged."""
    how: Literal["one by one", "all without a doubt", "added by hand"] = "one by one"
    split_from: str | None = None
    """The tag of the first group, where one record was split into several."""


class QuestionConfirmed(Frozen):
    """A question that stands and will be put to the client or kept for the shop."""

    kind: Literal["question-confirmed"] = "question-confirmed"
    recording: str
    record: str
    """Which question of the draft: ``q1``, ``q2`` …"""
    tag: str
    """``Q01``, ``Q02`` …"""
    question: Question
    changes: tuple[Change, ...] = ()
    settled: tuple[str, ...] = ()
    """The doubts that stood beside it, as with a part."""
    how: Literal["one by one", "all without a doubt"] = "one by one"


class RecordDropped(Frozen):
    """A record of the draft is wrong altogether and goes nowhere, with the reason."""

    kind: Literal["record-dropped"] = "record-dropped"
    recording: str
    record: str
    reason: str
    tag: str | None = None
    """Where it had been confirmed before: the tag that no longer stands, and is not given again."""


class RecordPutOff(Frozen):
    """Somebody looked at a record and could not settle it; it stays open."""

    kind: Literal["record-put-off"] = "record-put-off"
    recording: str
    record: str
    reason: str | None = None


class PaperWritten(Frozen):
    """A paper was written from what stood then."""

    kind: Literal["paper-written"] = "paper-written"
    paper: str
    sha256: str
    left_out: int = 0
    """How many unreviewed records it left out, on request."""


Body = Annotated[
    JobOpened | NoteTaken | PartConfirmed | QuestionConfirmed | RecordDropped | RecordPutOff | PaperWritten,
    Field(discriminator="kind"),
]
BODIES: TypeAdapter[Body] = TypeAdapter(Body)


class Entry(Frozen):
    """One line of the history of a job, as kept."""

    job: str
    number: int
    """1, 2, 3 … within the job."""
    at: str
    """RFC 3339 with offset."""
    who: str
    body: Body
    before: str
    """SHA-256 of the entry before it in the job; 64 zeros for the first."""
    hash: str
