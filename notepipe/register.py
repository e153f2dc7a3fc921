"""What stands now, worked out from the entries of one job and from nothing else."""

from __future__ import annotations

from notepipe.draft import Draft, Part, Question
from notepipe.transcript import Frozen


class PartNow(Frozen):
    """A part as it stands: confirmed by whom, when, from which record of which note."""

    tag: str
    part: Part
    by: str
    at: str
    recording: str
    record: str
    split_from: str | None = None


class QuestionNow(Frozen):
    """An open question as it stands."""

    tag: str
    question: Question
    by: str
    at: str
    recording: str
    record: str


class NoteNow(Frozen):
    """A note of the job, its draft, and what became of each record: ``p1`` … ``q1`` …"""

    recording: str
    file: str
    transcript: str
    taken_at: str
    draft: Draft
    reviewed: frozenset[str] = frozenset()
    """Records confirmed or dropped."""
    put_off: frozenset[str] = frozenset()

    @property
    def records(self) -> tuple[str, ...]:
        """All record names, parts first."""
        return tuple(f"p{i + 1}" for i in range(len(self.draft.parts))) + tuple(
            f"q{i + 1}" for i in range(len(self.draft.questions))
        )

    @property
    def waiting(self) -> tuple[str, ...]:
        """Records nobody has confirmed or dropped yet."""
        return tuple(r for r in self.records if r not in self.reviewed)


class Register(Frozen):
    """Everything that stands in one job."""

    job: str
    client: str
    what: str
    opened_at: str
    notes: tuple[NoteNow, ...] = ()
    parts: tuple[PartNow, ...] = ()
    questions: tuple[QuestionNow, ...] = ()
    last_hash: str
    last_number: int

    @property
    def waiting(self) -> int:
        """How many records wait for review in all notes."""
        return sum(len(n.waiting) for n in self.notes)
