"""A closed job stays as it is until somebody opens it again; the ledger asks here before each append."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.entries import Body, Entry, JobClosed, JobReopened, PaperWritten, WordAccepted, WordRefused
from notepipe.errors import BadAnswer, CannotWrite


def refuse_where_closed(entries: Sequence[Entry], bodies: Sequence[Body | None] = (None,)) -> None:
    """Raises CannotWrite where the job of *entries* is closed and *bodies* would go on with it.

    Opening it again, writing a paper from what stands, and learning a word from it is no going on.
    Without *bodies* any is meant.
    """
    shut = closing(entries)
    if shut is None:
        return
    for body in bodies:
        if isinstance(body, JobReopened):
            return
        if not isinstance(body, PaperWritten | WordAccepted | WordRefused):
            assert isinstance(shut.body, JobClosed)
            what = f"was closed on {shut.at[:10]} by {shut.who}: {shut.body.reason}"
            do = f"To go on with it, open it again: notepipe reopen {shut.job} --reason WHY"
            raise CannotWrite(f"job {shut.job}", what, do)


def closing(entries: Sequence[Entry]) -> Entry | None:
    """The entry that closed the job of *entries*; None while it is open."""
    for entry in reversed(entries):
        if isinstance(entry.body, JobClosed):
            return entry
        if isinstance(entry.body, JobReopened):
            return None
    return None


def shut(entries: Sequence[Entry], reason: str) -> JobClosed:
    """The entry that closes an open job. Raises BadAnswer where there is no reason, CannotWrite as above."""
    refuse_where_closed(entries)
    return JobClosed(reason=_said(entries, reason))


def opened_again(entries: Sequence[Entry], reason: str) -> JobReopened:
    """The entry that opens a closed job again. Raises BadAnswer where it is open, or for no reason."""
    if closing(entries) is None:
        what = "is not closed"
        raise BadAnswer(f"job {entries[0].job}", what, "Go on with it as it is.")
    return JobReopened(reason=_said(entries, reason))


def _said(entries: Sequence[Entry], reason: str) -> str:
    if not reason.strip():
        raise BadAnswer(f"job {entries[0].job}", "no reason given", "Say why in a few words.")
    return reason.strip()
