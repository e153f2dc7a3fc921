"""A job is opened once, found by its name or its note, and of two answers to one record the first counts."""

import pytest

from notepipe.draft import Draft, Note, Part
from notepipe.entries import JobOpened, NoteTaken, RecordDropped
from notepipe.errors import BadAnswer, CannotWrite, NotFound
from notepipe.jobs import (
    as_written,
    entries_of,
    job_and_note,
    keep_answer,
    open_job,
    paper_written,
    put_right,
    register_of,
    sittings,
)
from notepipe.ledger import Hand, Ledger
from notepipe.review import Confirm, ConfirmAll, Drop, correction

ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
JOE = Hand(who="Joe Marsh", at="2026-11-25T10:00:01+00:00")
SHA = "ab" * 32


def opened(name: str) -> JobOpened:
    return JobOpened(name=name, client="Fennimore Museum", what="Tram 7")


@pytest.fixture
def ledger() -> Ledger:
    """The jobs tram-7 and bell, both with a note both.txt; tram-7 with a note walk.txt besides."""
    ledger = Ledger(None)
    for job, names in (("tram-7", ("walk.txt", "both.txt")), ("bell", ("both.txt",))):
        open_job(ledger, ADA, opened(job))
        for number, name in enumerate(names):
            sha = SHA if number == 0 else "cd" * 32
            draft = Draft(note=Note(file=name, sha256=sha), parts=(Part(name="lamp"), Part(name="gong")))
            ledger.append(job, ADA, NoteTaken(recording=sha, file=name, transcript="", draft=draft))
    return ledger


def test_a_job_is_opened_once(ledger: Ledger) -> None:
    with pytest.raises(CannotWrite, match="open already, for Fennimore Museum: Tram 7"):
        open_job(ledger, JOE, opened("tram-7"))
    assert len(entries_of(ledger, "tram-7")) == 3


def test_a_job_that_is_not_there_is_named_with_the_nearest_or_the_way_to_one(ledger: Ledger) -> None:
    with pytest.raises(NotFound, match="Did you mean 'tram-7'"):
        register_of(ledger, "tram7")
    with pytest.raises(NotFound, match="notepipe job tram7 --client"):
        register_of(Ledger(None), "tram7")


def test_a_job_is_found_by_the_name_of_a_note_only_it_has(ledger: Ledger) -> None:
    assert job_and_note(ledger, "tram-7", None) == ("tram-7", None)
    assert job_and_note(ledger, "walk.txt", None) == ("tram-7", "walk.txt")
    assert job_and_note(ledger, "nowhere", None) == ("nowhere", None)
    with pytest.raises(BadAnswer, match="several jobs: bell, tram-7"):
        job_and_note(ledger, "both.txt", None)
    assert job_and_note(ledger, "bell", "both.txt") == ("bell", "both.txt")


def test_one_note_or_all_notes_of_a_job_come_to_the_table(ledger: Ledger) -> None:
    now = register_of(ledger, "tram-7")
    assert [s.file for s in sittings(now, None)] == ["walk.txt", "both.txt"]
    assert [s.file for s in sittings(now, "both.txt")] == ["both.txt"]


def test_of_two_answers_to_the_same_record_the_first_counts_and_the_second_is_told(ledger: Ledger) -> None:
    keep_answer(ledger, "tram-7", ADA, SHA, Confirm(record="p1"))
    with pytest.raises(BadAnswer, match="settled already"):
        keep_answer(ledger, "tram-7", JOE, SHA, Drop(record="p1", reason="no lamp"))
    assert [part.by for part in register_of(ledger, "tram-7").parts] == ["Ada Fenn"]


def test_tags_go_on_counting_from_note_to_note_and_what_is_said_again_keeps_its_own(ledger: Ledger) -> None:
    draft = Draft(note=Note(file="3.txt", sha256="ef" * 32), parts=(Part(name="gong"), Part(name="stair")))
    third = NoteTaken(recording="ef" * 32, file="3.txt", transcript="", draft=draft)
    ledger.append("tram-7", ADA, third)
    for recording in (SHA, "cd" * 32, "ef" * 32):
        keep_answer(ledger, "tram-7", ADA, recording, ConfirmAll())
    parts = register_of(ledger, "tram-7").parts
    assert [(p.tag, p.part.name) for p in parts] == [("001", "lamp"), ("002", "gong"), ("003", "stair")]
    assert [p.against for p in parts] == ["says the same", "says the same", "new"]


def test_what_stands_is_put_right_under_its_tag_and_signed_by_who_did(ledger: Ledger) -> None:
    keep_answer(ledger, "tram-7", ADA, SHA, Confirm(record="p1"))
    put_right(ledger, "tram-7", JOE, "001", lambda standing: correction(standing, {"metal": "brass"}))
    (part,) = register_of(ledger, "tram-7").parts
    assert (part.by, part.part.metal) == ("Joe Marsh", "brass")
    with pytest.raises(NotFound, match="tag '009'"):
        put_right(ledger, "tram-7", JOE, "009", lambda _: RecordDropped(recording="", record="", reason=""))


def test_the_same_paper_is_one_entry_and_another_text_another(ledger: Ledger) -> None:
    for text in ("Dear client", "Dear client", "Dear friend"):
        paper_written(ledger, "bell", ADA, as_written("client update", text, left_out=2))
    papers = [e.body for e in entries_of(ledger, "bell") if e.body.kind == "paper-written"]
    assert [paper.sha256[:8] for paper in papers] == ["9dd0cd53", "4b53ebb6"]
