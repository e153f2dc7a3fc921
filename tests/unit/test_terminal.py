"""At the terminal every answer is one letter, is kept at once, and a slip costs nothing."""

from collections.abc import Iterator

import pytest

from notepipe.draft import Caution, Decision, Doubt, Draft, Note, Part, Question, Quote
from notepipe.entries import JobOpened, NoteTaken
from notepipe.errors import NotFound
from notepipe.jobs import keep_answer, register_of
from notepipe.ledger import Hand, Ledger
from notepipe.register import Register
from notepipe.review import Sitting
from notepipe.terminal import PROMPT, Talk, review_note

SHA = "ab" * 32
ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
HOOKS = Part(
    name="coat hook",
    quantity=6,
    metal="bronze",
    decisions=(
        Decision(action="buff", standing="decided", quote="we'll buff those", start_s=21.4, end_s=23.0),
    ),
    quotes=(Quote(text="six coat hooks", start_s=18.0, end_s=19.6),),
    doubts=(Doubt(field="quantity", why="heard two ways: six / fix", other="16"),),
)
CAUTION = Caution(id="lifting", text="It carries people.", defer_to="the examiner", acknowledge=True)
SHACKLE = Part(name="shackle", cautions=(CAUTION,))
BELL = Part(name="bell")
COLOUR = Question(to="client", about="bell", text="Which colour?", quote="which colour")
DRAFT = Draft(
    note=Note(file="walk.m4a", sha256=SHA, duration_s=97.0, warnings=("12 s promised, 11 s heard",)),
    parts=(HOOKS, SHACKLE, BELL),
    questions=(COLOUR,),
    doubts=(Doubt(field="decision", why="a decision is heard, but on what?"),),
)


class Table:
    """A note under review by somebody who types *lines*; what was said and played is written down."""

    def __init__(self, *lines: str, draft: Draft = DRAFT) -> None:
        self.ledger = Ledger(None)
        opened = JobOpened(name="tram-7", client="c", what="w")
        note = NoteTaken(recording=SHA, file="walk.m4a", transcript="…", draft=draft)
        self.ledger.append("tram-7", ADA, opened, note)
        self.said: list[str] = []
        self.played: list[tuple[float, float]] = []
        self._lines: Iterator[str] = iter(lines)
        self.went_through = review_note(
            Talk(
                say=self.said.append,
                ask=self._ask,
                play=lambda *times: self.played.append(times),
                answer=lambda answer: keep_answer(self.ledger, "tram-7", ADA, SHA, answer),
                sitting=self._sitting,
            )
        )

    def _ask(self, prompt: str) -> str:
        self.said.append(prompt)
        for line in self._lines:
            return line
        raise EOFError

    def _sitting(self) -> Sitting:
        return self.register.sitting(self.register.notes[0])

    @property
    def register(self) -> Register:
        return register_of(self.ledger, "tram-7")

    @property
    def text(self) -> str:
        return "\n".join(self.said)


def test_each_answer_stands_in_the_ledger_at_once_so_stopping_loses_none() -> None:
    table = Table("y", "q")
    assert not table.went_through
    assert [p.tag for p in table.register.parts] == ["001"]
    assert "3 records of walk.m4a still to review" in table.text


def test_a_terminal_that_closes_in_the_middle_stops_the_review_and_keeps_the_answers() -> None:
    table = Table("y")
    assert (table.went_through, len(table.register.parts)) == (False, 1)


def test_going_on_later_begins_with_what_is_left() -> None:
    table = Table("n", "yes", "n", "n", "n")
    assert table.text.count("1 of 4") == 1
    assert "p4" not in table.text


def test_values_words_seconds_doubts_and_cautions_are_shown_together() -> None:
    text = Table("q").text
    for shown in ("coat hook", "quantity   6", "? quantity: heard two ways", "0:18.0–0:19.6 “six coat hooks”",
                  "buff: decided", "! 12 s promised, 11 s heard", "but on what?"):  # fmt: skip
        assert shown in text, shown


def test_help_and_letters_that_mean_nothing_show_the_letters() -> None:
    table = Table("?", "x", "", "q")
    assert table.text.count("y   it is right as it stands") == 3
    assert table.text.count(PROMPT) == 4


def test_a_correction_with_a_slip_tells_it_and_keeps_the_other_lines() -> None:
    table = Table("c", "quantity = 8", "metl = brass", "metal: brass", "metal = brass", "", "q")
    (part,) = table.register.parts
    assert (part.part.quantity, part.part.metal) == (8, "brass")
    assert "Did you mean 'metal'" in table.text
    assert "Write for example" in table.text


def test_a_correction_of_nothing_changes_nothing() -> None:
    table = Table("c", "", "q")
    assert "Nothing was changed" in table.text
    assert table.register.parts == ()


def test_the_other_reading_of_a_doubt_is_taken_over_with_one_letter() -> None:
    table = Table("o", "q")
    assert table.register.parts[0].part.quantity == 16


TWO = (*HOOKS.decisions, Decision(action="replace", standing="decided", quote="replaced"))
OTHERS: list[tuple[tuple[Decision, ...], tuple[str, ...], str, list[str]]] = [
    (HOOKS.decisions, ("o",), "decision", ["polish"]),
    (TWO, ("o", "2"), "decisions", ["buff", "polish"]),
    ((), ("o",), "action", ["polish"]),
    (TWO, ("o", "7", "o", "1"), "decision", ["polish", "replace"]),
]


@pytest.mark.parametrize(("decisions", "lines", "field", "actions"), OTHERS)
def test_another_reading_of_a_decision_is_put_where_the_person_says(
    decisions: tuple[Decision, ...], lines: tuple[str, ...], field: str, actions: list[str]
) -> None:
    doubt = Doubt(field=field, why="two hearings", other="polish")
    part = HOOKS.model_copy(update={"decisions": decisions, "doubts": (doubt,)})
    table = Table(*lines, "q", draft=DRAFT.model_copy(update={"parts": (part,)}))
    assert [d.action for d in table.register.parts[0].part.decisions] == actions


def test_a_record_without_another_reading_says_so() -> None:
    assert "no doubt with another reading" in Table("n", "o", "q").text


def test_a_set_is_split_in_the_terminal() -> None:
    table = Table("s", "4 2", "", "decision 1 =", "", "q")
    parts = [(p.tag, p.part.quantity, len(p.part.decisions)) for p in table.register.parts]
    assert parts == [("001", 4, 1), ("002", 2, 0)]


@pytest.mark.parametrize(("lines", "parts"), [(("s", "4 3", "no"), 0), (("s", "4 3", "yes", "", ""), 2),
                                              (("s", "four"), 0), (("s", ""), 0)])  # fmt: skip
def test_counts_that_do_not_add_up_are_asked_about(lines: tuple[str, ...], parts: int) -> None:
    assert len(Table(*lines, "q").register.parts) == parts


def test_dropping_asks_for_a_reason_and_does_nothing_without() -> None:
    table = Table("d", "", "d", "a hat peg", "q")
    assert table.register.notes[0].reviewed == {"p1"}
    assert table.text.count("Why is it dropped?") == 2


def test_what_is_put_off_stays_open() -> None:
    table = Table("l", "count them", "q")
    assert table.register.notes[0].put_off == {"p1"}
    assert table.register.waiting == 4


def test_a_caution_is_acknowledged_with_a_whole_word_or_nothing_is_confirmed() -> None:
    assert Table("n", "y", "y", "q").register.parts == ()
    table = Table("n", "y", "yes", "q")
    assert [p.part.name for p in table.register.parts] == ["shackle"]
    assert "It carries people." in table.text


def test_the_seconds_are_played_passage_by_passage() -> None:
    assert Table("p", "q").played == [(18.0, 19.6), (21.4, 23.0)]


def test_a_note_that_came_as_text_has_nothing_to_play_and_the_review_goes_on() -> None:
    table = Table("n", "p", "q")
    assert "nothing to play" in table.text
    assert table.played == []


def test_all_without_a_doubt_is_one_stroke_and_passes_over_what_was_taken() -> None:
    table = Table("a", "n", "n")
    assert table.went_through
    assert [p.part.name for p in table.register.parts] == ["bell"]
    assert [q.tag for q in table.register.questions] == ["Q01"]


def test_questions_are_reviewed_with_the_same_letters() -> None:
    table = Table("n", "n", "n", "c", "text = Cream or red?", "")
    assert table.went_through
    assert table.register.questions[0].question.text == "Cream or red?"


def test_a_player_that_is_not_there_is_told_and_the_review_goes_on() -> None:
    def none(*_: float) -> None:
        raise NotFound("this machine", "has no player of sound", "Install one.")

    said: list[str] = []
    lines = iter(["p", "q"])
    sitting = Sitting(recording=SHA, file="walk.m4a", draft=DRAFT)
    review_note(Talk(said.append, lambda _: next(lines), none, lambda _: (), lambda: sitting))
    assert "has no player of sound" in "\n".join(said)
