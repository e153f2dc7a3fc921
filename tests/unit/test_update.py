"""The client's update, letter by letter: nothing unreviewed, nothing internal, nothing twice."""

import re

import pytest

from notepipe.draft import Caution, Decision, Part, Question, Size
from notepipe.errors import NotReviewed
from notepipe.papers import update

HELD = "Gear that lifts or carries a load has to be examined."
LAMPS = Part(
    name="carriage lamp",
    quantity=2,
    metal="brass",
    finish="nickel",
    condition=("worn",),
    sizes=(Size(feature="across", value="14 1/2", unit="in", mm=368.3),),
    decisions=(
        Decision(action="clean", standing="decided", by="in-house", quote="we strip those here"),
        Decision(action="replate", standing="decided", by="plater", to_finish="nickel", quote="then nickel"),
    ),
)
GONG = Part(
    name="gong",
    quantity=1,
    metal="bronze",
    decisions=(Decision(action="leave", standing="decided", quote="leave it because it's original"),),
)
EYES = Part(
    name="lifting eye",
    quantity=2,
    metal="steel",
    decisions=(Decision(action="straighten", standing="asking", quote="straighten the lifting eyes"),),
    cautions=(
        Caution(id="lifting", text=HELD, defer_to="a competent person", acknowledge=True),
        Caution(id="wheel-dust", text="Dust has to be drawn off.", defer_to="the safety authority"),
    ),
)
SHADES = Part(
    name="lamp shade",
    quantity=2,
    metal="glass",
    decisions=(Decision(action="source", standing="decided", quote="still hunting, forty quid each"),),
)
BUDGET = Question(
    to="shop", about="lamp shade", text="Will they stand the price?", quote="can they afford it"
)
EYE = Question(to="client", about="lifting eye", text="May the lifting eyes be straightened?", quote="may we")

LETTER = """\
Larkhill Tramway Workshop
25 November 2026

To Fennimore Museum of Transport
About: Tramcar 14, brass and plated fittings

This is how your parts stand. The number in front of each is its tag
here; please name it when you write.

There is one question for you below.


GOING TO THE PLATER

001  Two carriage lamps (brass, nickel-plated, worn), 14 1/2 in across,
     will be stripped here, then replated in nickel by the plater.


LEFT AS IT IS

002  One gong (bronze) will be left as it is, because it is original.


WAITING FOR YOUR WORD

003  Two lifting eyes (steel) may be straightened, as you decide
     (question 1 below).


STILL BEING LOOKED FOR

004  Two lamp shades (glass) are still being looked for.


WHAT WE NEED FROM YOU

  1. May the lifting eyes be straightened?


PLEASE BEAR IN MIND

  -  003 lifting eye: Gear that lifts or carries a load has to be
     examined. Please ask: a competent person.


With kind regards

Larkhill Tramway Workshop

Job car-14, record 3f9a2c81d0b4
"""


def test_this_is_what_the_client_sees(registered, letter):
    register = registered(LAMPS, GONG, EYES, SHADES, questions=(BUDGET, EYE))
    assert update(register, letter) == LETTER


@pytest.mark.parametrize("width", [40, 55, 72, 100, 200])
def test_no_line_is_longer_than_the_paper_and_every_part_stands_there_once(registered, letter, width):
    register = registered(LAMPS, GONG, EYES, SHADES, questions=(EYE,))
    text = update(register, letter.model_copy(update={"width": width}))
    assert max(map(len, text.splitlines())) <= width
    assert re.findall(r"^(\d{3})  ", text, re.MULTILINE) == ["001", "002", "003", "004"]


def test_the_same_register_gives_the_same_bytes(registered, letter):
    assert update(registered(LAMPS, EYES), letter) == update(registered(LAMPS, EYES), letter)


def test_records_that_wait_stop_the_letter(registered, letter):
    with pytest.raises(NotReviewed) as stopped:
        update(registered(LAMPS, GONG, waiting=5), letter)
    assert str(stopped.value) == ("walk.m4a: 5 of 7 parts are not reviewed\nRun: notepipe review walk.m4a")


def test_told_to_go_on_it_says_how_many_are_left_out_and_nothing_of_them(registered, letter):
    text = update(registered(LAMPS, waiting=2), letter.model_copy(update={"leave_out": True}))
    assert "2 more notes from the bench are still being checked" in text
    assert "step" not in text


def test_without_any_part_nothing_is_claimed(registered, letter):
    text = update(registered(), letter)
    assert "Nothing has been settled on your parts yet." in text
    assert "GOING" not in text
    assert "question" not in text


def test_a_question_alone_is_still_asked(registered, letter):
    text = update(registered(questions=(EYE,)), letter)
    assert "  1. May the lifting eyes be straightened?" in text


def test_control_characters_in_what_was_typed_do_not_reach_the_paper(registered, letter):
    bold = LAMPS.model_copy(update={"name": "carriage\x1b[1m\nlamp", "condition": ()})
    text = update(registered(bold), letter.model_copy(update={"shop": "Lark\thill"}))
    assert "\x1b" not in text
    assert text.startswith("Lark hill\n")


def test_a_caution_is_shown_once_with_all_its_parts(registered, letter):
    text = " ".join(update(registered(EYES, EYES), letter).split())
    assert text.count(HELD) == 1
    assert "001 lifting eye, 002 lifting eye: " in text


def test_a_shop_says_which_of_its_cautions_stay_in_the_shop(registered, letter):
    own = Caution(id="own", text="Ask Larkhill first.", defer_to="the shop")
    inside = letter.model_copy(update={"inside": frozenset({"own"})})
    gong = GONG.model_copy(update={"cautions": (own,)})
    assert "Ask Larkhill first." not in update(registered(gong), inside)


def test_a_caution_of_a_shop_that_no_pack_knows_any_more_is_shown(registered, letter):
    own = Caution(id="own", text="Ask Larkhill first.", defer_to="the shop")
    assert "Ask Larkhill first." in update(registered(GONG.model_copy(update={"cautions": (own,)})), letter)


@pytest.mark.parametrize(
    ("condition", "said"),
    [
        (("broken",), "Three shades (glass, broken) will be replaced with bought ones."),
        (("missing",), "Three shades (glass, missing) will be bought."),
        ((), "Three shades (glass) will be bought."),
    ],
)
def test_nothing_broken_is_bought(registered, letter, condition, said):
    buy = Decision(action="buy", standing="decided", quote="we buy three more")
    part = Part(name="shade", quantity=3, metal="glass", condition=condition, decisions=(buy,))
    assert said in " ".join(update(registered(part), letter).split())


def test_what_was_found_is_no_longer_called_missing(registered, letter):
    found = Decision(action="source", standing="done", quote="it has turned up")
    part = Part(name="lens", quantity=1, condition=("missing", "chipped"), decisions=(found,))
    text = " ".join(update(registered(part), letter).split())
    assert "One lens (chipped) has already been found." in text
