"""The jobs in a ledger: opened, found, and a person's answers kept in them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence

from notepipe.adding import Added, addition, note_to_add_to
from notepipe.entries import Body, Entry, JobOpened, PaperWritten
from notepipe.errors import BadAnswer, CannotWrite, NotFound, nearest
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.register import Register
from notepipe.review import Answer, Sitting, Standing, entries_for
from notepipe.trade.cautions import CautionRow


def open_job(ledger: Ledger, hand: Hand, job: JobOpened) -> None:
    """Open a job. Raises CannotWrite where one of that name is open already."""

    def once(entries: tuple[Entry, ...]) -> Sequence[Body]:
        if entries:
            now = fold(entries)
            what = f"is open already, for {now.client}: {now.what}"
            raise CannotWrite(f"job {job.name}", what, "Choose another name, or use it as it is.")
        return (job,)

    ledger.decide(job.name, hand, once)


def entries_of(ledger: Ledger, job: str) -> tuple[Entry, ...]:
    """The entries of a job that is there. Raises NotFound for any other."""
    entries = ledger.entries(job)
    if not entries:
        jobs = ledger.jobs()
        do = nearest(job, jobs) if jobs else f"Run: notepipe job {job} --client CLIENT --what WHAT"
        raise NotFound(job, "no such job", do)
    return entries


def register_of(ledger: Ledger, job: str) -> Register:
    """What stands in *job*. Raises NotFound where there is no such job."""
    return fold(entries_of(ledger, job))


def job_and_note(ledger: Ledger, name: str, note: str | None) -> tuple[str, str | None]:
    """The job called *name*, or the one job that has a note of that name.

    Raises NotFound where there is neither, BadAnswer where several jobs have such a note.
    """
    jobs = ledger.jobs()
    if name in jobs or note is not None:
        return name, note
    having = [job for job in jobs if any(n.file == name for n in register_of(ledger, job).notes)]
    if len(having) > 1:
        raise BadAnswer(name, f"is in several jobs: {', '.join(having)}", f"Say which: {having[0]} {name}")
    return (having[0], name) if having else (name, None)


def sittings(register: Register, note: str | None) -> tuple[Sitting, ...]:
    """The notes to review: the one called *note*, or all of the job. Raises NotFound."""
    notes = register.notes if note is None else (register.note(note),)
    return tuple(register.sitting(one) for one in notes)


def keep_answer(
    ledger: Ledger,
    job: str,
    hand: Hand,
    recording: str,
    answer: Answer,
    cautions: Sequence[CautionRow] = (),
) -> tuple[Body, ...]:
    """Append what *answer* makes of the note as it stands in that moment. Raises BadAnswer.

    *cautions* are looked at again for a part that the record is laid on.

    Of two people who answer the same record at once the second is told that it is settled.
    """

    def bodies(entries: tuple[Entry, ...]) -> Sequence[Body]:
        register = fold(entries)
        note = next(n for n in register.notes if n.recording == recording)
        sitting = register.sitting(note).model_copy(update={"caution_rows": tuple(cautions)})
        return entries_for(sitting, answer)

    return tuple(entry.body for entry in ledger.decide(job, hand, bodies))


def put_right(
    ledger: Ledger, job: str, hand: Hand, tag: str, make: Callable[[Standing], Body]
) -> tuple[Body, ...]:
    """Append what *make* makes of what stands under *tag*. Raises NotFound, BadAnswer."""
    entries = ledger.decide(job, hand, lambda entries: (make(fold(entries).standing(tag)),))
    return tuple(entry.body for entry in entries)


def add_part(
    ledger: Ledger, job: str, hand: Hand, told: tuple[str | None, Added], cautions: Sequence[CautionRow]
) -> tuple[Body, ...]:
    """Append a part that no draft has: *told* is the note it was said in, and the part.

    Raises NotFound, BadAnswer.
    """

    def bodies(entries: tuple[Entry, ...]) -> Sequence[Body]:
        register = fold(entries)
        note = note_to_add_to(register, told[0])
        return (addition(register.sitting(note), note.transcript, told[1], cautions),)

    return tuple(entry.body for entry in ledger.decide(job, hand, bodies))


def keep_made(
    ledger: Ledger, job: str, hand: Hand, make: Callable[[Register], Sequence[Body]]
) -> tuple[Body, ...]:
    """Append what *make* makes of what stands in *job* in that moment. Raises NotFound for no such job."""
    return keep_from_entries(ledger, job, hand, lambda entries: make(fold(entries)))


def keep_from_entries(
    ledger: Ledger, job: str, hand: Hand, make: Callable[[tuple[Entry, ...]], Sequence[Body]]
) -> tuple[Body, ...]:
    """Append what *make* makes of the entries of *job* as they are then. Raises NotFound for no such job."""
    entries_of(ledger, job)
    return tuple(entry.body for entry in ledger.decide(job, hand, make))


def paper_written(ledger: Ledger, job: str, hand: Hand, paper: PaperWritten) -> None:
    """Put into the history that *paper* was written; the very same one written again is no new entry."""

    def once(entries: tuple[Entry, ...]) -> Sequence[Body]:
        return () if any(entry.body == paper for entry in entries) else (paper,)

    ledger.decide(job, hand, once)


def as_written(paper: str, text: str, left_out: int) -> PaperWritten:
    """The entry for a paper with this *text*, which went without *left_out* unreviewed records."""
    sha256 = hashlib.sha256(text.encode("utf-8")).hexdigest()
    return PaperWritten(paper=paper, sha256=sha256, left_out=left_out)
