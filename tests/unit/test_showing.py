"""A draft is told in plain lines that keep every value, its words, their seconds and its doubts."""

import pytest

from notepipe.draft import Decision, Doubt, Draft, Note, Part, Question, Quote, Size
from notepipe.showing import WIDTH, clock, draft_lines, record_lines, said

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


def test_a_draft_shows_every_value_with_its_words_its_seconds_and_its_doubts() -> None:
    text = "\n".join(draft_lines(DRAFT))
    for shown in ("walk.m4a, 1:37.2 long, heard with whisper base int8", "! cut", "p1  coat hook",
                  "metal      bronze",
                  "length 4 1/2 in = 114.3 mm", "9 ft 6 in = 2895.6 mm", "buff, in-house: decided",
                  "0:21.4–0:23.0 “we'll buff those”", "0:18.0–0:19.6 “eight coat hooks”",
                  "? decision: buff or bluff", "q1  question to the client, about the hook"):  # fmt: skip
        assert shown in text, shown


@pytest.mark.parametrize(
    ("to", "text", "warned"),
    [
        ("client", "Is forty quid each all right?", True),
        ("client", "Is £40 each all right?", True),
        ("shop", "Is forty quid each all right?", False),
        ("client", "Which of the 40 colours?", False),
    ],
)
def test_a_price_in_a_question_to_the_client_is_warned_of(to: str, text: str, *, warned: bool) -> None:
    question = COLOUR.model_copy(update={"to": to, "text": text})
    assert ("it names a price" in "\n".join(record_lines("q1", question))) == warned


def test_a_doubt_stands_right_below_its_value() -> None:
    lines = [line.strip() for line in draft_lines(DRAFT)]
    assert lines[lines.index("quantity   8") + 1] == "? quantity: 8 or a"


def test_why_names_the_rule_behind_each_mark_and_else_none_is_named() -> None:
    rules = ("[metal.bronze]", "[decided.will]", "[differ]", "[to-client.ask]")
    assert all(rule in "\n".join(draft_lines(DRAFT, why=True)) for rule in rules)
    assert not any(rule in "\n".join(draft_lines(DRAFT)) for rule in rules)


def test_no_line_runs_over_the_width() -> None:
    long = Question(to="shop", about="x", text="word " * 80, quote="word " * 80)
    lines = list(draft_lines(DRAFT.model_copy(update={"questions": (long,)})))
    assert max(map(len, lines)) <= WIDTH
    assert "\n".join(lines).count("word") == 160


@pytest.mark.parametrize(
    ("s", "text"), [(0.0, "0:00.0"), (83.25, "1:23.2"), (59.99, "0:59.9"), (3600, "60:00.0")]
)
def test_seconds_are_minutes_and_seconds_and_never_round_up_into_the_next(s: float, text: str) -> None:
    assert clock(s) == text


def test_words_of_a_text_note_have_no_seconds() -> None:
    assert said("the bell", None, None) == "“the bell”"
