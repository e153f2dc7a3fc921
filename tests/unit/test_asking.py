"""A question is answered once, by a day that can be; what hangs on it a reviewer settles, because of it."""

from datetime import date

import pytest

from notepipe.draft import Caution, Decision, Draft, Note, Part, Question
from notepipe.entries import (
    Body,
    JobOpened,
    NoteTaken,
    PartConfirmed,
    QuestionAnswered,
    QuestionConfirmed,
)
from notepipe.errors import BadAnswer, NotFound
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.asking import (
    Decides,
    Given,
    Said,
    answering,
    entries_for_answer,
    hanging,
    read_decides,
    rests_on,
    still_waiting,
)
from notepipe.register import Register

SHA, LATER = "ab" * 32, "cd" * 32
TODAY = date(2026, 12, 24)
LEAVE = Decision(action="leave", standing="asking", quote="or leave it")
TRUE = Decision(action="straighten", standing="asking", quote="do they want it straight")
RAIL = Part(name="dash rail", quantity=1, decisions=(TRUE, LEAVE))
BELL = Part(name="bell", quantity=1, decisions=(TRUE.model_copy(update={"standing": "decided"}),))
DENT = Question(to="client", about="dash rail", text="Straight or left?", quote="do they want it straight")
OPENED = JobOpened(name="tram-7", client="Fennimore Museum", what="Tram 7")
SETTLE = (
    Decides(tag="001", field="decision 1 standing", text="decided"),
    Decides(tag="001", field="decision 2 standing", text="ruled-out"),
)
YES = QuestionAnswered(tag="Q01", answer="straight", by="client", on="2026-12-20")


def note(recording: str, transcript: str) -> NoteTaken:
    draft = Draft(note=Note(file=f"{recording[:2]}.txt", sha256=recording))
    return NoteTaken(recording=recording, file=f"{recording[:2]}.txt", transcript=transcript, draft=draft)


def confirmed(part: Part, tag: str = "001", recording: str = SHA) -> PartConfirmed:
    return PartConfirmed(recording=recording, record=f"p{int(tag)}", tag=tag, part=part)


ASKED = QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=DENT)
START = (OPENED, note(SHA, "do they want it straight or leave it"), confirmed(RAIL), confirmed(BELL, "002"))


def after(*bodies: Body) -> Register:
    """What stands after *bodies*, the first on 3 December, the next ones a day later each."""
    ledger = Ledger(None)
    for day, body in enumerate((*START, ASKED), start=1):
        ledger.append("tram-7", Hand(who="Ada Fenn", at=f"2026-12-03T10:{day:02d}:00+00:00"), body)
    for day, body in enumerate(bodies, start=4):
        ledger.append("tram-7", Hand(who="Ada Fenn", at=f"2026-12-{day:02d}T10:00:00+00:00"), body)
    return fold(ledger.entries("tram-7"))


def given(**fields: object) -> Given:
    return Given.model_validate({"answer": "straight", "by": "client", "on": "2026-12-20", **fields})


def test_what_hangs_on_a_question_is_every_decision_asking_on_the_part_it_is_about() -> None:
    register = after()
    assert [(h.tag, h.number) for h in hanging(register, register.question("Q01"))] == [
        ("001", 1),
        ("001", 2),
    ]


def test_an_answer_is_kept_in_the_words_it_was_given_and_answers_no_second_time() -> None:
    body = answering(after(), "Q01", given(answer=" straight ", way="on the telephone"), TODAY)
    assert body == YES.model_copy(update={"way": "on the telephone"})
    told = "Q01: was answered already, by client on 2026-12-20: straight\nTo put that right, say so: --again"
    with pytest.raises(BadAnswer) as refused:
        answering(after(YES), "Q01", given(), TODAY)
    assert str(refused.value) == told
    assert answering(after(YES), "Q01", given(answer="left", again=True), TODAY).answer == "left"


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"on": "2026-12-32"}, "is no date"),
        ({"on": "2026-12-25"}, "still to come"),
        ({"on": "2026-12-02"}, "answered on 2026-12-02, and it only came up on 2026-12-03"),
        ({"answer": "  "}, "no answer given"),
        ({"by": ""}, "nobody who gave it"),
    ],
)
def test_an_answer_that_cannot_be_is_refused(fields: dict[str, str], told: str) -> None:
    with pytest.raises(BadAnswer, match=told):
        answering(after(), "Q01", given(**fields), TODAY)


def test_a_day_before_the_question_came_up_may_be_right_all_the_same() -> None:
    assert answering(after(), "Q01", given(on="2026-12-02", all_the_same=True), TODAY).on == "2026-12-02"


def test_a_question_that_is_not_there_is_named_with_the_nearest() -> None:
    with pytest.raises(NotFound, match=r"no question 'Q1'\nDid you mean 'Q01'"):
        answering(after(), "Q1", given(), TODAY)


def test_what_an_answer_settles_is_one_entry_a_part_that_names_the_question() -> None:
    answer, settled = entries_for_answer(after(), "Q01", Said(given=given(), decides=SETTLE), TODAY)
    assert isinstance(answer, QuestionAnswered)
    assert isinstance(settled, PartConfirmed)
    assert (settled.tag, settled.because) == ("001", "Q01")
    assert [d.standing for d in settled.part.decisions] == ["decided", "ruled-out"]
    register = after(answer, settled)
    assert hanging(register, register.question("Q01")) == ()
    assert rests_on([answer, settled], "Q01") == ("001",)
    assert rests_on([settled, confirmed(RAIL)], "Q01") == ()


def test_it_can_be_settled_after_the_answer_but_not_before() -> None:
    assert len(entries_for_answer(after(YES), "Q01", Said(decides=SETTLE), TODAY)) == 1
    with pytest.raises(BadAnswer, match="Q01: has no answer yet"):
        entries_for_answer(after(), "Q01", Said(decides=SETTLE), TODAY)


def test_a_caution_that_has_to_be_is_acknowledged_first_and_stands_in_the_entry() -> None:
    lifting = Caution(id="lifting", text="Does it lift?", defer_to="a rigger", acknowledge=True)
    held = confirmed(RAIL.model_copy(update={"cautions": (lifting,)}))
    with pytest.raises(BadAnswer, match="CAUTION: Does it lift") as refused:
        entries_for_answer(after(held, YES), "Q01", Said(decides=SETTLE), TODAY)
    assert refused.value.do.endswith("--acknowledge lifting")
    said = Said(decides=SETTLE, acknowledged=("lifting", "another part's"))
    (settled,) = entries_for_answer(after(held, YES), "Q01", said, TODAY)
    assert isinstance(settled, PartConfirmed)
    assert settled.acknowledged == ("lifting",)


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("003/1=decided", "decision 1 standing", "decided"),
        ("003 decision 1 = ruled-out", "decision 1 standing", "ruled-out"),
        ("003 decision 2 to finish=burgundy", "decision 2 to finish", "burgundy"),
        ("003 metal=brass", "metal", "brass"),
        ("003 decision 2=", "decision 2", ""),
    ],
)
def test_what_is_settled_is_written_short_or_as_in_a_correction(text: str, field: str, value: str) -> None:
    assert read_decides(text) == Decides(tag="003", field=field, text=value)


@pytest.mark.parametrize("text", ["003", "003=decided", "=decided", ""])
def test_what_says_neither_tag_nor_field_is_told_with_an_example(text: str) -> None:
    with pytest.raises(BadAnswer, match="for example: 003/1=decided"):
        read_decides(text)


def test_a_part_that_waits_though_its_question_was_answered_is_known_until_it_is_settled() -> None:
    assert still_waiting(after()) == ()
    ((part, question),) = still_waiting(after(YES))
    assert (part.tag, question.tag) == ("001", "Q01")
    (settled,) = entries_for_answer(after(YES), "Q01", Said(decides=SETTLE), TODAY)
    assert still_waiting(after(YES, settled)) == ()


def test_a_part_with_another_question_still_open_waits_rightly() -> None:
    more = ASKED.model_copy(update={"record": "q2", "tag": "Q02"})
    assert still_waiting(after(more, YES)) == ()


def test_what_a_later_note_asks_anew_was_not_answered_before() -> None:
    anew = TRUE.model_copy(update={"quote": "shall we lacquer it"})
    again = confirmed(RAIL.model_copy(update={"decisions": (anew,)}), recording=LATER)
    assert still_waiting(after(YES, note(LATER, "shall we lacquer it"), again)) == ()
    assert len(still_waiting(after(YES, note(LATER, "the dash rail"), again))) == 1
