"""The history tells who decided what, when, from which words, and what it was before."""

import pytest

from notepipe.choosing import Wanted
from notepipe.draft import Decision, Doubt, Draft, Note, Part, Question, Quote, Size
from notepipe.entries import (
    Body,
    Change,
    JobOpened,
    NoteTaken,
    PaperWritten,
    PartConfirmed,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)
from notepipe.errors import NotFound
from notepipe.ledger import Hand, Ledger
from notepipe.story import history_lines

SHA = "ab" * 32
BUFF = Decision(
    action="buff", standing="decided", by="in-house", quote="we'll buff those", start_s=21.4, end_s=23.0,
    rule="decided.will",
)  # fmt: skip
HOOKS = Part(
    name="coat hook",
    quantity=8,
    metal="bronze",
    sizes=(
        Size(feature="length", value="4 1/2", unit="in", mm=114.3),
        Size(value="9 6", unit="ft in", mm=2895.6),
    ),
    decisions=(BUFF,),
    quotes=(Quote(text="eight coat hooks", start_s=18.0, end_s=19.6),),
    doubts=(
        Doubt(field="quantity", why="8 or a", rule="differ"),
        Doubt(field="decision", why="buff or bluff"),
    ),
    rules={"metal": "metal.bronze"},
)
COLOUR = Question(
    to="client", about="hook", text="Which colour?", quote="which colour", start_s=83.25, end_s=84.0,
    rule="to-client.ask",
)  # fmt: skip
DRAFT = Draft(
    note=Note(
        file="walk.m4a", sha256=SHA, duration_s=97.2, heard_with="whisper base int8", warnings=("cut",)
    ),
    parts=(HOOKS,),
    questions=(COLOUR,),
)
ADA = Hand(who="Ada Fenn", at="2026-11-25T10:05:00+01:00")
TAKEN = NoteTaken(recording=SHA, file="walk.m4a", transcript="…", draft=DRAFT)
CONFIRMED = PartConfirmed(
    recording=SHA, record="p1", tag="001", part=HOOKS.model_copy(update={"doubts": ()}),
    changes=(Change(field="quantity", was="9", now="8"), Change(field="finish", was="chrome", now=None)),
    settled=("quantity: 8 or a (put right: quantity is 8)",), acknowledged=("lifting",),
)  # fmt: skip


def story(*bodies: Body, **wanted: str) -> str:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, JobOpened(name="tram-7", client="Fennimore", what="Tram 7"), TAKEN, *bodies)
    return "\n".join(history_lines(ledger.entries("tram-7"), Wanted(**wanted)))


def test_the_history_tells_who_when_what_from_which_words_and_what_it_was() -> None:
    text = story(CONFIRMED)
    for told in ("1  2026-11-25 10:05  Ada Fenn opened the job tram-7 for Fennimore: Tram 7",
                 "took walk.m4a, heard with whisper base int8: 1 part and 1 question drafted", SHA,
                 "confirmed 001 coat hook", "8, bronze, length 4 1/2 in", "buff, in-house: decided",
                 "from walk.m4a 0:18.0–0:19.6 “eight coat hooks”", "quantity: was 9, now 8",
                 "finish: was chrome, now taken away", "settled: quantity: 8 or a (put right",
                 "acknowledged the caution: lifting"):  # fmt: skip
        assert told in text, told


def test_the_one_stroke_confirmation_is_told_as_such() -> None:
    stroke = CONFIRMED.model_copy(update={"how": "all without a doubt"})
    assert "with all records without a doubt" in story(stroke)
    assert "with all records without a doubt" not in story(CONFIRMED)


def test_what_was_dropped_or_put_off_is_told_with_what_it_was() -> None:
    text = story(
        RecordPutOff(recording=SHA, record="q1", reason="ask Joe"),
        RecordDropped(recording=SHA, record="p1", reason="no hook"),
        RecordDropped(recording=SHA, record="p1", reason="a shadow", tag="001"),
        PaperWritten(paper="client update", sha256=SHA, left_out=2),
    )
    for told in ("put q1 off: ask Joe", "it was: Which colour?", "from walk.m4a 1:23.2–1:24.0 “which colour”",
                 "dropped p1: no hook", "it was: coat hook", "dropped 001: a shadow",
                 "wrote the paper 'client update'", "2 unreviewed records left out"):  # fmt: skip
        assert told in text, told


def test_a_passage_within_another_is_told_once_but_the_same_words_said_twice_are_told_twice() -> None:
    inside = Quote(text="buff those", start_s=22.0, end_s=23.0)
    again = Quote(text="buff those", start_s=60.0, end_s=61.0)
    part = HOOKS.model_copy(update={"quotes": (inside, again)})
    text = story(CONFIRMED.model_copy(update={"part": part}))
    assert "“buff those”" in text
    assert "0:22.0" not in text
    assert "1:00.0–1:01.0 “buff those”" in text


def test_the_history_of_one_tag_leaves_the_others_out_but_not_what_led_to_it() -> None:
    other = QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=COLOUR)
    later = RecordPutOff(recording=SHA, record="p1")
    text = story(later, CONFIRMED, other, part="001")
    assert "put p1 off" in text
    assert "took walk.m4a" in text
    assert "Q01" not in text
    with pytest.raises(NotFound, match="Did you mean 'Q01'"):
        story(other, question="Q1")
