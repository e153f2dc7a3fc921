"""What stands is worked out from the entries alone: the last word on a tag counts, records settle once."""

import pytest

from notepipe.draft import Draft, Note, Part, Question
from notepipe.entries import (
    Body,
    JobOpened,
    NoteTaken,
    PaperWritten,
    PartConfirmed,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)
from notepipe.errors import BadLedger, NotFound
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.register import Register

SHA = "ab" * 32
ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
OPENED = JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram 7")
LAMP, BELL = Part(name="lamp", quantity=2), Part(name="bell")
COLOUR = Question(to="client", about="lamp", text="Which colour?", quote="which colour")
DRAFT = Draft(note=Note(file="walk.m4a", sha256=SHA), parts=(LAMP, BELL), questions=(COLOUR,))
TAKEN = NoteTaken(recording=SHA, file="walk.m4a", transcript="two lamps and a bell", draft=DRAFT)


def lamp(tag: str = "001", part: Part = LAMP, record: str = "p1") -> PartConfirmed:
    return PartConfirmed(recording=SHA, record=record, tag=tag, part=part)


def after(*bodies: Body) -> Register:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, OPENED, *bodies)
    return fold(ledger.entries("tram-7"))


def test_an_opened_job_stands_empty() -> None:
    now = after()
    assert (now.job, now.client, now.what, now.opened_at) == ("tram-7", OPENED.client, OPENED.what, ADA.at)
    assert (now.notes, now.parts, now.questions, now.waiting) == ((), (), (), 0)


def test_every_record_of_a_note_waits_until_it_is_settled() -> None:
    assert after(TAKEN).notes[0].waiting == ("p1", "p2", "q1")
    dropped = RecordDropped(recording=SHA, record="p2", reason="a clock")
    asked = QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=COLOUR)
    now = after(TAKEN, lamp(), dropped, asked)
    assert (now.waiting, [p.tag for p in now.parts], [q.tag for q in now.questions]) == (0, ["001"], ["Q01"])
    assert (now.parts[0].by, now.parts[0].at, now.parts[0].record) == ("Ada Fenn", ADA.at, "p1")


def test_what_was_put_off_still_waits_and_is_known_until_it_is_settled() -> None:
    later = RecordPutOff(recording=SHA, record="p1")
    assert after(TAKEN, later).notes[0].put_off == {"p1"}
    assert after(TAKEN, later).waiting == 3
    assert after(TAKEN, later, lamp()).notes[0].put_off == frozenset()


def test_a_later_entry_with_the_same_tag_takes_the_place_of_the_earlier() -> None:
    now = after(TAKEN, lamp(), lamp("002", BELL, "p2"), lamp(part=LAMP.model_copy(update={"quantity": 3})))
    assert [(p.tag, p.part.quantity) for p in now.parts] == [("001", 3), ("002", None)]


def test_one_note_s_records_are_not_another_s() -> None:
    other = TAKEN.model_copy(update={"recording": "cd" * 32, "file": "walk-2.m4a"})
    now = after(TAKEN, other, lamp())
    assert [len(note.waiting) for note in now.notes] == [2, 3]


def test_a_sitting_has_the_next_free_tags() -> None:
    asked = QuestionConfirmed(recording=SHA, record="q1", tag="Q03", question=COLOUR)
    now = after(TAKEN, lamp("011"), asked)
    sitting = now.sitting(now.notes[0])
    assert (sitting.next_part, sitting.next_question, sitting.reviewed) == (12, 4, {"p1", "q1"})


def test_writing_a_paper_changes_nothing_that_stands_so_the_next_copy_is_the_same() -> None:
    assert after(TAKEN, PaperWritten(paper="client update", sha256="x")) == after(TAKEN)
    assert after(TAKEN, lamp()).last_hash != after(TAKEN).last_hash


def test_a_note_is_found_by_its_file_or_its_hash_and_else_the_nearest_is_named() -> None:
    now = after(TAKEN)
    assert now.note("walk.m4a") is now.notes[0]
    assert now.note(SHA[:12]) is now.notes[0]
    with pytest.raises(NotFound, match=r"Did you mean 'walk\.m4a'"):
        now.note("wlak.m4a")
    with pytest.raises(NotFound, match="notepipe take"):
        after().note("walk.m4a")


def test_a_job_that_was_never_opened_is_a_bad_ledger() -> None:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, TAKEN)
    with pytest.raises(BadLedger, match="never opened"):
        fold(ledger.entries("tram-7"))
    with pytest.raises(BadLedger):
        fold(())


def test_what_was_confirmed_and_is_dropped_no_longer_stands_and_its_tag_is_not_given_again() -> None:
    gone = RecordDropped(recording=SHA, record="p2", reason="a shadow", tag="002")
    now = after(TAKEN, lamp(), lamp("002", BELL, "p2"), gone)
    assert [p.tag for p in now.parts] == ["001"]
    assert now.sitting(now.notes[0]).next_part == 3
    with pytest.raises(NotFound, match="tag '002'"):
        now.standing("002")


def test_what_stands_under_a_tag_can_be_put_right() -> None:
    asked = QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=COLOUR)
    now = after(TAKEN, lamp(), asked)
    assert (now.standing("001").value, now.standing("Q01").value) == (LAMP, COLOUR)
