"""A second note through the review: laid on what is on file, answers accepted, joined, taken back."""

from typing import Any

import pytest

from notepipe.answers import Recorded, answer_to
from notepipe.draft import Caution, Decision, Draft, Note, Part, Question
from notepipe.entries import (
    Body,
    Entry,
    JobOpened,
    NoteTaken,
    PartConfirmed,
    QuestionAnswered,
    QuestionConfirmed,
)
from notepipe.errands import PriceNoted
from notepipe.errors import BadAnswer, NotFound
from notepipe.folding import fold
from notepipe.jobs import keep_answer, keep_from_entries, keep_made
from notepipe.joining import joined, parted
from notepipe.later.comparison import Comparison, as_rows
from notepipe.ledger import Hand, Ledger
from notepipe.matched import match_lines
from notepipe.register import Register
from notepipe.review import (
    Confirm,
    ConfirmAll,
    Drop,
    Group,
    PutOff,
    Sitting,
    Split,
    correction,
    entries_for,
    undoubted,
    withdrawal,
)
from notepipe.story import history_lines
from notepipe.terminal import Talk, review_note, told
from notepipe.undoing import undone

ONE, TWO = "11" * 32, "22" * 32
CAUTION = Caution(id="lifting", text="It carries people.", defer_to="the examiner", acknowledge=True)


def decision(action: str, standing: str = "decided", **more: Any) -> Decision:
    return Decision.model_validate({"action": action, "standing": standing, "quote": f"{action} it", **more})


STIRRUP = Part(name="stirrup", metal="steel", decisions=(decision("coat", "considering"),))
LAMPS = Part(name="lamp", quantity=6, metal="copper")
HOOK = Part(name="coat hook", quantity=8, metal="bronze")
BELL = Part(name="bell", decisions=(decision("straighten", "asking"),))
DENT = Question(to="client", about="bell", text="Should the dent come out?", quote="should the dent come out")
FIRST = Draft(note=Note(file="1.txt", sha256=ONE), parts=(STIRRUP, LAMPS, HOOK, BELL), questions=(DENT,))
BRASS = Part(name="stirrup", metal="brass", decisions=(decision("coat", "ruled-out"),))
MORE = Part(name="lamp", finish="nickel")
SAME = Part(name="coat hook", quantity=8)
OUT = Part(name="bell", decisions=(decision("straighten", quote="she'd like the dent out"),))
NEW = Part(name="seat", quantity=2)
AGAIN = DENT.model_copy(update={"text": "Should that dent come out of it?"})
SECOND = Draft(note=Note(file="2.txt", sha256=TWO), parts=(BRASS, MORE, SAME, OUT, NEW))


class Job:
    """Two notes of a job; the first confirmed. The clock goes on a second with every answer."""

    def __init__(self, second: Draft = SECOND, first: Draft = FIRST) -> None:
        self.ledger, self.seconds = Ledger(None), 0
        self.ledger.append("tram-7", self.hand, JobOpened(name="tram-7", client="c", what="w"))
        for recording, draft in ((ONE, first), (TWO, second)):
            self.ledger.append(
                "tram-7",
                self.hand,
                NoteTaken(recording=recording, file=draft.note.file, transcript="", draft=draft),
            )
        for number in range(1, len(first.parts) + 1):
            self.keep(Confirm(record=f"p{number}"), ONE)
        if first.questions:
            self.keep(Confirm(record="q1"), ONE)

    @property
    def hand(self) -> Hand:
        self.seconds += 1
        return Hand(
            who="Ada Fenn", at=f"2026-11-25T10:{self.seconds // 60:02d}:{self.seconds % 60:02d}+00:00"
        )

    @property
    def entries(self) -> tuple[Entry, ...]:
        return self.ledger.entries("tram-7")

    @property
    def now(self) -> Register:
        return fold(self.entries)

    @property
    def sitting(self) -> Sitting:
        return self.now.sitting(self.now.note("2.txt"))

    def keep(self, answer: Any, recording: str = TWO) -> tuple[Body, ...]:
        return keep_answer(self.ledger, "tram-7", self.hand, recording, answer)

    def undo(self, number: int | None = None) -> tuple[Body, ...]:
        return keep_from_entries(self.ledger, "tram-7", self.hand, lambda e: undone(e, number))


def one(bodies: tuple[Body, ...]) -> PartConfirmed:
    (body,) = bodies
    assert isinstance(body, PartConfirmed)
    return body


def test_a_record_is_laid_on_the_part_on_file_with_what_it_was() -> None:
    body = one(Job().keep(Confirm(record="p1")))
    assert (body.tag, body.against, body.part.metal) == ("001", "changes", "brass")
    assert [(c.field, c.was, c.now) for c in body.changes] == [
        ("metal", "steel", "brass"),
        ("decision", "coat: considering", "coat: ruled-out"),
    ]


def test_what_was_put_right_in_the_record_stands_beside_what_changed_on_file() -> None:
    body = one(Job().keep(Confirm(record="p1", fields={"metal": "bronze", "name": "iron stirrup"})))
    assert (body.part.metal, body.part.name) == ("bronze", "iron stirrup")
    assert [(c.field, c.was, c.now) for c in body.corrected] == [
        ("metal", "brass", "bronze"),
        ("name", "stirrup", "iron stirrup"),
    ]
    assert [(c.field, c.was, c.now) for c in body.changes][:2] == [
        ("name", "stirrup", "iron stirrup"),
        ("metal", "steel", "bronze"),
    ]


def test_the_reviewer_can_say_another_tag_or_new() -> None:
    job = Job()
    assert one(job.keep(Confirm(record="p1", onto="003"))).tag == "003"
    assert one(job.keep(Confirm(record="p2", onto="new"))).tag == "005"
    with pytest.raises(BadAnswer, match="no part '044'"):
        job.keep(Confirm(record="p3", onto="044"))


def test_all_without_a_doubt_takes_new_same_and_more_and_leaves_changes_and_answers_to_be_read() -> None:
    job = Job()
    assert undoubted(job.sitting) == ("p2", "p3", "p5")
    bodies = job.keep(ConfirmAll())
    assert [(b.tag, b.against) for b in bodies if isinstance(b, PartConfirmed)] == [
        ("002", "adds"),
        ("003", "says the same"),
        ("005", "new"),
    ]


TWINS = Draft(note=Note(file="1.txt", sha256=ONE), parts=(Part(name="door handle"), Part(name="door handle")))
HANDLE = Draft(note=Note(file="2.txt", sha256=TWO), parts=(Part(name="door handle", finish="chrome"),))


def test_what_could_be_two_parts_is_settled_by_a_person_before_it_is_confirmed() -> None:
    job = Job(HANDLE, TWINS)
    assert undoubted(job.sitting) == ()
    with pytest.raises(BadAnswer, match="could be 001") as refused:
        job.keep(Confirm(record="p1"))
    assert refused.value.do == "Say which part it is: 001 or 002 or new"
    body = one(job.keep(Confirm(record="p1", onto="002")))
    assert body.tag == "002"
    assert body.settled[0].endswith("(002)")


def test_a_recorded_answer_settles_which_part_it_is_or_leaves_the_record_open() -> None:
    sitting = Job(HANDLE, TWINS).sitting

    def recorded(**more: Any) -> Recorded:
        return Recorded.model_validate({"do": "confirm", "part": "door handle", **more})

    with pytest.raises(BadAnswer, match="in doubt: match: could be"):
        answer_to(sitting, "p1", recorded())
    assert answer_to(sitting, "p1", recorded(onto="002")) == Confirm(record="p1", onto="002")
    assert answer_to(sitting, "p1", recorded(settles=["match"])) == Confirm(record="p1", onto="001")


def test_an_answer_is_written_only_when_a_person_accepts_it() -> None:
    job = Job()
    (offer,) = job.sitting.offers
    assert (offer.tag, offer.record) == ("Q01", "p4")
    answered, part = job.keep(Confirm(record="p4", answers={"Q01": ""}))
    assert isinstance(answered, QuestionAnswered)
    assert isinstance(part, PartConfirmed)
    assert (answered.answer, answered.by, answered.on) == (
        "she'd like the dent out",
        "the client",
        "2026-11-25",
    )
    assert (part.because, part.tag) == ("Q01", "004")
    assert job.now.open_questions == ()
    with pytest.raises(BadAnswer, match="gives no answer to Q01"):
        Job().keep(Confirm(record="p1", answers={"Q01": ""}))
    plain = Job()
    plain.keep(Confirm(record="p4"))
    assert [row.tag for row in plain.now.open_questions] == ["Q01"]


def test_a_question_asked_again_is_the_one_on_file() -> None:
    job = Job(SECOND.model_copy(update={"parts": (), "questions": (AGAIN,)}))
    assert "asks again what is open as Q01" in " ".join(match_lines(job.sitting, "q1"))
    (body,) = job.keep(Confirm(record="q1"))
    assert isinstance(body, QuestionConfirmed)
    assert (body.tag, body.question.text) == ("Q01", DENT.text)
    other = Job(SECOND.model_copy(update={"parts": (), "questions": (AGAIN,)}))
    (body,) = other.keep(Confirm(record="q1", onto="new"))
    assert isinstance(body, QuestionConfirmed)
    assert (body.tag, body.question.text) == ("Q02", AGAIN.text)


def test_a_set_on_file_is_split_the_first_group_keeps_its_tag() -> None:
    job = Job()
    groups = (Group(quantity=4), Group(quantity=2, fields={"new decision": "replace"}))
    bodies = [b for b in job.keep(Split(record="p2", groups=groups)) if isinstance(b, PartConfirmed)]
    assert [(b.tag, b.split_from, b.part.quantity, b.part.metal) for b in bodies] == [
        ("002", None, 4, "copper"),
        ("005", "002", 2, "copper"),
    ]
    assert [len(b.part.decisions) for b in bodies] == [0, 1]


def test_groups_the_note_tells_apart_go_by_what_was_said_of_the_whole_set() -> None:
    parts = (
        Part(name="lamp", quantity=4, decisions=(decision("polish"),)),
        Part(name="lamp", quantity=2, decisions=(decision("replace"),)),
    )
    job = Job(SECOND.model_copy(update={"parts": parts}))
    first, second = one(job.keep(Confirm(record="p1"))), one(job.keep(Confirm(record="p2")))
    assert (first.tag, second.tag, second.split_from) == ("002", "005", "002")
    assert (second.part.metal, [d.action for d in second.part.decisions]) == ("copper", ["replace"])


def test_the_cautions_of_the_whole_part_are_acknowledged() -> None:
    job = Job(SECOND.model_copy(update={"parts": (SAME,)}), FIRST.model_copy(update={"parts": (HOOK,)}))
    assert job.sitting.waiting() == ("p1",)
    sitting = job.sitting
    filed = sitting.on_file[0].model_copy(update={"part": HOOK.model_copy(update={"cautions": (CAUTION,)})})
    careful = sitting.model_copy(update={"on_file": (filed,)})
    with pytest.raises(BadAnswer, match="lifting"):
        entries_for(careful, Confirm(record="p1"))
    off = filed.model_copy(update={"cautions_off": ("lifting",)})
    assert one(entries_for(sitting.model_copy(update={"on_file": (off,)}), Confirm(record="p1"))).tag == "001"


def test_the_history_tells_how_it_stands_against_the_file_in_the_words_of_its_own_note() -> None:
    job = Job()
    job.keep(Confirm(record="p1"))
    text = "\n".join(history_lines(job.entries))
    assert "confirmed 001 stirrup, otherwise than on file" in text
    assert "metal: was steel, now brass" in text


def test_a_part_is_told_with_what_became_of_it() -> None:
    job = Job()
    assert list(told(job.keep(Confirm(record="p3")))) == ["✓ 003 coat hook, 8 (as it was on file)"]
    assert list(told(job.keep(Confirm(record="p2")))) == ["✓ 002 lamp, 6 (finish: nickel)"]


def test_what_it_is_against_the_file_is_shown_with_both_quotes() -> None:
    text = "\n".join(match_lines(Job().sitting, "p1"))
    assert "= changes 001 stirrup" in text
    assert "metal: steel → brass" in text
    assert "decision: coat: considering → coat: ruled-out" in text
    assert "was “coat it”" in text
    offer = "\n".join(match_lines(Job().sitting, "p4"))
    assert "@ seems to answer Q01, put to the client: Should the dent come out?" in offer


class Table:
    """The second note reviewed by somebody who types *lines*."""

    def __init__(self, job: Job, *lines: str) -> None:
        self.said: list[str] = []
        self._lines = iter(lines)
        review_note(
            Talk(
                say=self.said.append,
                ask=self._ask,
                play=lambda *_: None,
                answer=job.keep,
                sitting=lambda: job.sitting,
            )
        )

    def _ask(self, prompt: str) -> str:
        self.said.append(prompt)
        for line in self._lines:
            return line
        raise EOFError


def test_at_the_terminal_a_tag_is_said_a_doubt_is_asked_and_an_answer_accepted() -> None:
    job = Job()
    table = Table(job, "t", "new", "n", "n", "y", "take it out", "q")
    assert [p.tag for p in job.now.parts if p.part.name == "stirrup"] == ["001", "005"]
    answer = job.now.question("Q01").answer
    assert answer is not None
    assert answer.text == "take it out"
    assert "On file: 001 stirrup, 002 lamp" in "\n".join(table.said)
    twins = Job(HANDLE, TWINS)
    Table(twins, "y", "", "y", "002")
    assert [p.part.finish for p in twins.now.parts] == [None, "chrome"]


def test_rows_tell_new_repeated_changed_and_withdrawn() -> None:
    sitting = Job().sitting
    rows = as_rows(Comparison(sitting.draft, sitting.matches, sitting.offers))
    assert [(r["part"], r["kind"], r["field"]) for r in rows["changes"]] == [
        ("stirrup", "changed", "metal"),
        ("stirrup", "withdrawn", "decision"),
        ("lamp", "changed", "finish"),
        ("coat hook", "repeated", None),
        ("bell", "changed", "decision"),
        ("seat", "new", None),
    ]
    assert [r["question_about"] for r in rows["answers"]] == ["bell"]


def test_joining_leaves_one_part_with_the_decisions_of_both_and_the_history_of_both() -> None:
    job = Job()
    keep_made(job.ledger, "tram-7", job.hand, lambda now: joined(now, "004", "001", "one casting"))
    assert [p.tag for p in job.now.parts] == ["001", "002", "003"]
    part = job.now.part("001")
    assert part.joined == ("004",)
    assert {d.action for d in part.part.decisions} == {"coat", "straighten"}
    assert "joined 004 with 001: one casting" in "\n".join(history_lines(job.entries))


@pytest.mark.parametrize(
    ("into", "reason", "told_of"), [("001", "x", "one part already"), ("002", " ", "without a reason")]
)
def test_a_joining_of_nothing_or_without_a_reason_is_refused(into: str, reason: str, told_of: str) -> None:
    with pytest.raises(BadAnswer, match=told_of):
        joined(Job().now, "001", into, reason)
    with pytest.raises(NotFound):
        joined(Job().now, "099", "001", "x")


def test_what_was_laid_on_a_part_is_taken_back_and_what_stood_stands_again() -> None:
    job = Job()
    before = job.now
    job.keep(Confirm(record="p1"))
    job.undo()
    assert job.now.part("001").part == before.part("001").part
    assert "p1" in job.sitting.waiting()
    assert one(job.keep(Confirm(record="p1"))).part.metal == "brass"


def test_a_new_part_a_split_and_an_accepted_answer_go_back_as_a_whole() -> None:
    job = Job()
    before = job.now
    answers: list[Any] = [
        Confirm(record="p5"),
        Split(record="p5", groups=(Group(quantity=1), Group(quantity=1))),
        Confirm(record="p4", answers={"Q01": ""}),
        Drop(record="p5", reason="no part"),
        PutOff(record="p5"),
    ]
    for answer in answers:
        job.keep(answer)
        job.undo()
        assert [(p.tag, p.part) for p in job.now.parts] == [(p.tag, p.part) for p in before.parts], answer
        assert [q.answer for q in job.now.questions] == [None]
        assert job.sitting.waiting() == ("p1", "p2", "p3", "p4", "p5")
        assert job.sitting.put_off == frozenset()


def test_a_tag_taken_back_is_not_given_again() -> None:
    job = Job()
    job.keep(Confirm(record="p5"))
    job.undo()
    assert one(job.keep(Confirm(record="p5"))).tag == "006"


def test_undoing_goes_back_step_by_step_and_refuses_what_later_entries_rest_on() -> None:
    job = Job()
    number = len(job.entries)
    job.keep(Confirm(record="p1"))
    confirmed = next(
        e.number for e in job.entries if isinstance(e.body, PartConfirmed) and e.body.tag == "001"
    )
    with pytest.raises(BadAnswer, match=rf"entry {number + 1} rests on it \(001\)"):
        job.undo(confirmed)
    job.undo()
    job.undo(confirmed)
    assert "001" not in [p.tag for p in job.now.parts]
    with pytest.raises(BadAnswer, match="taken back already"):
        job.undo(confirmed)
    with pytest.raises(BadAnswer, match="no answer of a review"):
        job.undo(1)
    with pytest.raises(NotFound, match="no entry 99"):
        job.undo(99)


def test_a_dropped_part_with_more_to_it_than_comes_back_is_not_taken_back() -> None:
    job = Job()
    price = {"price": "M01", "tag": "001", "amount": "35", "what_for": "coating", "words": "35 each"}
    job.ledger.append("tram-7", job.hand, PriceNoted.model_validate(price))
    standing = job.now.standing("001")
    job.ledger.append("tram-7", job.hand, withdrawal(standing, "a shadow"))
    with pytest.raises(BadAnswer, match="would not come back"):
        job.undo()


def test_a_correction_is_taken_back_and_the_record_stays_settled() -> None:
    job = Job()
    job.ledger.append("tram-7", job.hand, correction(job.now.standing("003"), {"metal": "brass"}))
    job.undo()
    assert job.now.part("003").part == HOOK
    assert job.now.note("1.txt").waiting == ()


def test_a_set_on_file_is_split_without_a_note_and_undone_as_a_whole() -> None:
    job = Job()
    before = job.now
    keep_made(job.ledger, "tram-7", job.hand, lambda now: parted(now, "002", (4, 2)))
    assert [(p.tag, p.split_from, p.part.quantity) for p in job.now.parts if p.part.name == "lamp"] == [
        ("002", None, 4),
        ("005", "002", 2),
    ]
    job.undo()
    assert [(p.tag, p.part) for p in job.now.parts] == [(p.tag, p.part) for p in before.parts]
    assert job.now.note("1.txt").waiting == ()
    for counts in ((6,), (4, 0)):
        with pytest.raises(BadAnswer, match="two groups or more"):
            parted(job.now, "002", counts)


def test_a_question_that_was_thought_the_same_can_be_said_to_be_another() -> None:
    job = Job(SECOND.model_copy(update={"parts": (), "questions": (AGAIN,)}))
    Table(job, "t")
    assert [row.tag for row in job.now.questions] == ["Q01", "Q02"]
