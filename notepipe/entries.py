"""The kinds of entry a ledger holds, as frozen records; ``body()`` of each is what is hashed and kept.

Every entry belongs to one job. An entry is never changed: what was wrong is put right by a later one.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from notepipe.draft import Caution, Draft, Part, Question
from notepipe.errands import (
    ConditionNoted,
    PriceNoted,
    PriceReleased,
    PromiseNoted,
    PromiseSettled,
    SheetBack,
    SheetSent,
    SheetSettled,
    WhereaboutsNoted,
)
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


Against = Literal["new", "says the same", "adds", "changes", "withdraws"]
"""How what a later note says of a part stands against what is on file."""


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
    how: Literal["one by one", "all without a doubt", "added by hand", "as it stood before"] = "one by one"
    split_from: str | None = None
    """The tag of the first group, where one record was split into several."""
    against: Against | None = None
    """How the record stood against the part on file under this tag; None before notes were compared."""
    corrected: tuple[Change, ...] = ()
    """What was put right of the draft before it was laid on the part on file; *changes* are then what
    changed of that part."""
    because: str | None = None
    """The tag of the question whose answer settled it."""


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


class PartsJoined(Frozen):
    """Two tags turned out to be the same part (or one set): *tag* stands no longer, *into* goes on."""

    kind: Literal["parts-joined"] = "parts-joined"
    tag: str
    into: str
    reason: str


class RecordReopened(Frozen):
    """An answer of a reviewer was taken back: the record waits again, and *tags* no longer stand.

    What stood under a tag before is confirmed anew by an entry beside this one.
    """

    kind: Literal["record-reopened"] = "record-reopened"
    recording: str
    record: str
    tags: tuple[str, ...] = ()
    undoes: int
    """The number of the entry taken back."""
    answers: tuple[str, ...] = ()
    """Questions that are open again: their answer was taken back with it."""


class QuestionAnswered(Frozen):
    """A question got its answer. A later one with the same tag puts the earlier right."""

    kind: Literal["question-answered"] = "question-answered"
    tag: str
    answer: str
    """In the words it was given."""
    by: str
    """Who gave it: the client, or somebody of the shop."""
    on: str
    """The day it was given, ISO 8601."""
    way: str | None = None
    """How it came: by letter, on the telephone."""
    recording: str | None = None
    """The note it was heard in."""
    quote: str = ""
    start_s: float | None = None
    end_s: float | None = None


class PaperIssued(Frozen):
    """A paper left the house: what it was, to whom it went, and which questions it asked."""

    kind: Literal["paper-issued"] = "paper-issued"
    paper: str
    number: int
    """1, 2, 3 … among the issued papers of this kind in the job."""
    sha256: str
    to: str
    way: str | None = None
    up_to: int
    """The number of the last entry it was written from."""
    asked: tuple[str, ...] = ()
    """Tags of the questions in it; of a part, where only its standing asks."""


class CautionOff(Frozen):
    """A reviewer says that a caution does not concern this part, and why."""

    kind: Literal["caution-off"] = "caution-off"
    tag: str
    caution: str
    reason: str


class CautionOn(Frozen):
    """A caution that was switched off concerns this part after all."""

    kind: Literal["caution-on"] = "caution-on"
    tag: str
    caution: Caution
    reason: str


class PictureAttached(Frozen):
    """A picture of a part was kept under its hash."""

    kind: Literal["picture-attached"] = "picture-attached"
    tag: str
    sha256: str
    file: str
    """The name it came under, or that of the recording."""
    recording: str | None = None
    at_s: float | None = None
    """The moment of the recording it shows."""


class PictureRemoved(Frozen):
    """A picture no longer belongs to a part; the file is kept."""

    kind: Literal["picture-removed"] = "picture-removed"
    tag: str
    sha256: str
    reason: str


class WordAccepted(Frozen):
    """A word was taken into the shop's own pack, from what people put right."""

    kind: Literal["word-accepted"] = "word-accepted"
    row: str
    """The row as it stands in the pack (TOML)."""
    file: str
    """Below the shop's ``words`` folder."""
    rests_on: tuple[str, ...] = ()
    """Tags of the records that were put right."""


class WordRefused(Frozen):
    """A word that was offered for the shop's own pack is not wanted there, and is not offered again."""

    kind: Literal["word-refused"] = "word-refused"
    row: str
    """The row as it was offered (TOML)."""
    reason: str
    rests_on: tuple[str, ...] = ()
    """As with WordAccepted."""


class JobClosed(Frozen):
    """The job is done: everything was handed over, or it ended otherwise."""

    kind: Literal["job-closed"] = "job-closed"
    reason: str


class JobReopened(Frozen):
    """A closed job goes on."""

    kind: Literal["job-reopened"] = "job-reopened"
    reason: str


Body = Annotated[
    JobOpened
    | NoteTaken
    | PartConfirmed
    | QuestionConfirmed
    | RecordDropped
    | RecordPutOff
    | RecordReopened
    | PartsJoined
    | QuestionAnswered
    | PaperWritten
    | PaperIssued
    | SheetSent
    | SheetBack
    | SheetSettled
    | WhereaboutsNoted
    | ConditionNoted
    | PromiseNoted
    | PromiseSettled
    | PriceNoted
    | PriceReleased
    | CautionOff
    | CautionOn
    | PictureAttached
    | PictureRemoved
    | WordAccepted
    | WordRefused
    | JobClosed
    | JobReopened,
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
