"""A closed job stays as it is until somebody opens it again, whatever is tried."""

import pytest

from notepipe.closing import closing, opened_again, refuse_where_closed, shut
from notepipe.draft import Draft, Note, Part
from notepipe.entries import (
    Body,
    JobClosed,
    JobOpened,
    NoteTaken,
    PaperIssued,
    PaperWritten,
    PartConfirmed,
    QuestionAnswered,
)
from notepipe.errors import BadAnswer, CannotWrite
from notepipe.ledger import Hand, Ledger

ADA = Hand(who="Ada Fenn", at="2027-03-12T10:00:00+00:00")
LATER: list[Body] = [
    NoteTaken(recording="ab", file="b.txt", transcript="", draft=Draft(note=Note(file="b.txt", sha256="ab"))),
    PartConfirmed(recording="ab", record="p1", tag="001", part=Part(name="bell")),
    QuestionAnswered(tag="Q01", answer="burgundy", by="client", on="2027-03-12"),
    PaperIssued(paper="client update", number=1, sha256="x", to="Fennimore Museum", up_to=1),
    JobClosed(reason="again"),
]


@pytest.fixture
def ledger() -> Ledger:
    """The job tram-7, closed, and the job bell, open."""
    ledger = Ledger(None)
    for job in ("tram-7", "bell"):
        ledger.append(job, ADA, JobOpened(name=job, client="Fennimore Museum", what="Tram 7"))
    ledger.append("tram-7", ADA, JobClosed(reason="handed over"))
    return ledger


@pytest.mark.parametrize("body", LATER, ids=lambda body: body.kind)
def test_nothing_more_goes_into_a_closed_job_and_the_way_on_is_told(ledger: Ledger, body: Body) -> None:
    with pytest.raises(CannotWrite) as refused:
        ledger.append("tram-7", ADA, body)
    assert str(refused.value) == (
        "job tram-7: was closed on 2027-03-12 by Ada Fenn: handed over\n"
        "To go on with it, open it again: notepipe reopen tram-7 --reason WHY"
    )
    assert len(ledger.entries("tram-7")) == 2
    ledger.append("bell", ADA, body)


def test_a_paper_can_still_be_written_from_a_closed_job(ledger: Ledger) -> None:
    ledger.append("tram-7", ADA, PaperWritten(paper="parts list", sha256="x"))
    assert len(ledger.entries("tram-7")) == 3


def test_once_opened_again_a_job_goes_on_and_can_be_closed_again(ledger: Ledger) -> None:
    ledger.append("tram-7", ADA, opened_again(ledger.entries("tram-7"), " the bell came back "))
    ledger.append("tram-7", ADA, LATER[0])
    again = ledger.append("tram-7", ADA, shut(ledger.entries("tram-7"), "now it is"))
    assert closing(ledger.entries("tram-7")) == again[0]


def test_a_job_that_is_open_is_not_opened_again_and_neither_goes_without_a_reason(ledger: Ledger) -> None:
    with pytest.raises(BadAnswer, match="job bell: is not closed"):
        opened_again(ledger.entries("bell"), "why not")
    with pytest.raises(BadAnswer, match="no reason given"):
        opened_again(ledger.entries("tram-7"), " ")
    with pytest.raises(BadAnswer, match="no reason given"):
        shut(ledger.entries("bell"), "")
    with pytest.raises(CannotWrite, match="was closed"):
        shut(ledger.entries("tram-7"), "twice")


def test_a_long_task_can_ask_beforehand(ledger: Ledger) -> None:
    refuse_where_closed(ledger.entries("bell"))
    refuse_where_closed(())
    with pytest.raises(CannotWrite):
        refuse_where_closed(ledger.entries("tram-7"))
