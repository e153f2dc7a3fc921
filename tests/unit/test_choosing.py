"""A history is told by part, question, person or day, or by several of them together."""

import pytest

from notepipe.choosing import Wanted, chosen
from notepipe.draft import Draft, Note, Part, Question
from notepipe.entries import (
    Entry,
    JobOpened,
    NoteTaken,
    PaperIssued,
    PartConfirmed,
    PartsJoined,
    QuestionAnswered,
    QuestionConfirmed,
)
from notepipe.errors import BadAnswer, NotFound
from notepipe.ledger import Hand, Ledger

SHA = "ab" * 32
BELL = Part(name="bell")
ASK = Question(to="client", about="bell", text="Which?", quote="which")


def part(tag: str, **more: str) -> PartConfirmed:
    return PartConfirmed.model_validate(
        {"recording": SHA, "record": f"p{int(tag)}", "tag": tag, "part": BELL, **more}
    )


@pytest.fixture
def entries() -> tuple[Entry, ...]:
    """Ten entries by Ada (25 November) and Joe (3 December)."""
    ledger = Ledger(None)
    draft = Draft(note=Note(file="walk.txt", sha256=SHA))
    ada, joe = (
        Hand(who=who, at=f"{day}T10:00:00+00:00")
        for who, day in (("Ada Fenn", "2026-11-25"), ("Joe Marsh", "2026-12-03"))
    )
    ledger.append(
        "tram-7",
        ada,
        JobOpened(name="tram-7", client="F", what="T"),
        NoteTaken(recording=SHA, file="walk.txt", transcript="", draft=draft),
        part("001"),
        part("002", split_from="001"),
        QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=ASK),
        part("003"),
    )
    ledger.append(
        "tram-7",
        joe,
        PaperIssued(paper="client update", number=1, sha256="x", to="F", up_to=6, asked=("Q01",)),
        QuestionAnswered(tag="Q01", answer="yes", by="client", on="2026-12-03"),
        part("001", because="Q01"),
        PartsJoined(tag="003", into="002", reason="the same"),
    )
    return ledger.entries("tram-7")


def numbers(entries: tuple[Entry, ...], **wanted: str) -> list[int]:
    return [entry.number for entry in chosen(entries, Wanted(**wanted))]


def test_the_story_of_a_question_is_its_asking_its_answer_and_what_that_settled(entries) -> None:
    assert numbers(entries, question="Q01") == [2, 5, 7, 8, 9]


def test_the_story_of_a_part_goes_back_to_what_it_was_split_from_and_what_it_took_in(entries) -> None:
    assert numbers(entries, part="001") == [2, 3, 9]
    assert numbers(entries, part="002") == [2, 3, 4, 6, 10]


def test_the_story_of_a_person_is_what_they_did_and_what_they_answered(entries) -> None:
    assert numbers(entries, person="joe marsh") == [7, 8, 9, 10]
    assert numbers(entries, person="client") == [8]


def test_a_day_and_any_of_the_others_narrow_it_down(entries) -> None:
    assert numbers(entries, day="2026-12-03") == [7, 8, 9, 10]
    assert numbers(entries, day="2026-12-03", part="001") == [9]
    assert numbers(entries, person="Ada Fenn", question="Q01") == [2, 5]
    assert numbers(entries, part="001", question="Q01") == [2, 9]


def test_what_fits_nothing_is_told_with_what_there_is(entries) -> None:
    for wanted, told in (
        ({"part": "0001"}, "nothing has the tag '0001'\nDid you mean '001'"),
        ({"person": "Joe Marhs"}, "'Joe Marhs' did nothing in it\nDid you mean 'Joe Marsh'"),
        (
            {"day": "2026-11-26"},
            "nothing happened on 2026-11-26\nIts history goes from 2026-11-25 to 2026-12-03",
        ),
        ({"person": "Ada Fenn", "day": "2026-12-03"}, "no entry fits all of that"),
    ):
        with pytest.raises(NotFound, match=told):
            numbers(entries, **wanted)
    with pytest.raises(BadAnswer, match="'3 December' is no date"):
        numbers(entries, day="3 December")
