"""The client is asked what was confirmed for the client, and what else hangs on the client's word."""

import pytest

from notepipe.draft import Decision, Part, Question
from notepipe.papers.questions import asked_of_client, number_for

ASKING = Decision(action="straighten", standing="asking", quote="Do you want the dent straightened?")
RAIL = Part(name="dash rail", quantity=1, decisions=(ASKING,))
DENT = Question(
    to="client", about="dash rail", text="Do you want the dent straightened?", quote="dent straightened"
)
FIND = Question(to="shop", about="shade", text="Find two shades.", quote="hunting")


def test_questions_to_the_shop_stay_in_the_shop(registered):
    assert asked_of_client(registered(questions=(FIND,))) == ()


def test_a_question_names_its_part_where_its_words_do_not(registered):
    asked = asked_of_client(
        registered(questions=(DENT, DENT.model_copy(update={"text": "is the dash rail yours"})))
    )
    assert [q.text for q in asked] == [
        "Dash rail: Do you want the dent straightened?",
        "Is the dash rail yours?",
    ]
    assert [q.number for q in asked] == [1, 2]


@pytest.mark.parametrize(
    ("spoken", "asked"),
    [
        ("does the dash rail come off", "Does the dash rail come off?"),
        ("please send the old dash rail", "Please send the old dash rail."),
        ("Whose is the dash rail?", "Whose is the dash rail?"),
    ],
)
def test_a_question_gets_its_capital_and_its_mark(registered, spoken, asked):
    (question,) = asked_of_client(registered(questions=(DENT.model_copy(update={"text": spoken}),)))
    assert question.text == asked


def test_a_part_that_waits_points_at_the_question_asked_of_it(registered):
    asked = asked_of_client(registered(RAIL, questions=(FIND, DENT)))
    assert len(asked) == 1
    assert number_for("001", asked) == 1


def test_the_same_words_are_enough_where_the_names_differ(registered):
    other = DENT.model_copy(update={"about": "front of the car", "quote": ASKING.quote})
    assert number_for("001", asked_of_client(registered(RAIL, questions=(other,)))) == 1


def test_another_part_with_the_same_last_word_is_another_part(registered):
    grab = DENT.model_copy(update={"about": "grab rail", "quote": "polish the grab rail"})
    asked = asked_of_client(registered(RAIL, questions=(grab,)))
    assert number_for("001", asked) == 2


def test_a_part_nobody_asked_about_is_asked_about(registered):
    vents = Part(
        name="vent",
        quantity=3,
        decisions=(
            Decision(action="clean", standing="asking", quote="strip them"),
            Decision(action="leave", standing="asking", quote="or leave them"),
        ),
    )
    texts = [
        q.text.replace("\N{NO-BREAK SPACE}", " ")
        for q in asked_of_client(registered(vents, vents.model_copy(update={"quantity": None})))
    ]
    assert texts == [
        "Should the three vents be stripped or left as they are?",
        "Should the vent be stripped or left as it is?",
    ]


def test_a_part_that_waits_for_nothing_points_nowhere(registered):
    decided = RAIL.model_copy(update={"decisions": (ASKING.model_copy(update={"standing": "decided"}),)})
    assert number_for("001", asked_of_client(registered(decided, questions=(DENT,)))) is None
