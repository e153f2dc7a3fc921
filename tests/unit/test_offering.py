"""What a note says is offered as the answer to what is open; a question asked again is the same one."""

from typing import Any

import pytest

from notepipe.draft import Decision, Draft, Note, Part, Question
from notepipe.later.matching import OnFile, held_against
from notepipe.later.offering import Offer, OpenQuestion, asked_again, offered


def decision(action: str, standing: str = "decided", **more: Any) -> Decision:
    return Decision.model_validate({"action": action, "standing": standing, "quote": "", **more})


def question(to: str, about: str, text: str) -> Question:
    return Question.model_validate({"to": to, "about": about, "text": text, "quote": ""})


def offers(
    asked: Question, on_file: Part | None, *said: Part, text: str = "", again: bool = False
) -> list[Offer]:
    note = Note(file="2.txt", sha256="22" * 32)
    draft = Draft(note=note, parts=said, questions=(asked,) if again else ())
    filed = [OnFile(tag="001", part=on_file, recording="11" * 32)] if on_file else []
    matches = held_against(draft, filed)
    return list(offered(draft, matches, [OpenQuestion(tag="Q01", question=asked)], text))


DENT = question("client", "cheese", "Should the dent be beaten out?")
CHEESE = Part(name="cheese", decisions=(decision("straighten", "asking"),))


def test_a_plan_that_hung_on_the_question_and_is_decided_answers_it() -> None:
    said = Part(name="cheese", decisions=(decision("straighten", quote="he'd like it beaten out"),))
    (offer,) = offers(DENT, CHEESE, Part(name="bell"), said)
    assert (offer.tag, offer.record, offer.answer) == ("Q01", "p2", "he'd like it beaten out")


CASES = [
    (question("client", "rod", "Cream or burgundy?"), Part(name="rod", decisions=(
        decision("coat", to_finish="burgundy", quote="burgundy rods"),)), "burgundy rods"),
    (question("client", "hook", "How many hooks were there?"), Part(name="hook", quantity=8,
        heard_as=("eight hooks",)), "eight hooks"),
    (question("shop", "rail", "Find out what it is made of."), Part(name="rail", metal="ash",
        heard_as=("the rail is ash",)), "the rail is ash"),
    (question("client", "lamp", "Shall we keep the dent?"), Part(name="lamp",
        heard_as=("The lamp, she says yes",)), "The lamp, she says yes"),
]  # fmt: skip


@pytest.mark.parametrize(("asked", "said", "words"), CASES)
def test_a_choice_a_value_asked_for_and_a_reply_answer_it(asked: Question, said: Part, words: str) -> None:
    for on_file in (Part(name=said.name), None):
        (offer,) = offers(asked, on_file, said)
        assert offer.answer == words


def test_what_was_looked_for_and_turned_up_answers_the_shop() -> None:
    asked = question("shop", "tail socket", "Find a tail socket.")
    sought = Part(name="tail socket", decisions=(decision("source"),))
    found = Part(name="tail socket", heard_as=("the tail socket turned up",))
    assert [offer.tag for offer in offers(asked, sought, found)] == ["Q01"]


def test_talk_of_the_part_alone_is_no_answer_and_neither_is_another_s() -> None:
    assert offers(DENT, CHEESE, Part(name="cheese", metal="steel")) == []
    told = Part(name="bell", decisions=(decision("polish", quote="he wants the bell polished"),))
    assert offers(DENT, CHEESE, told) == []
    to_shop = question("shop", "lamp", "Check the wiring.")
    assert offers(to_shop, Part(name="lamp"), Part(name="lamp", heard_as=("The lamp, she says yes",))) == []


def test_a_question_that_is_asked_once_more_is_not_answered_by_the_same_note() -> None:
    said = Part(name="cheese", decisions=(decision("straighten", quote="he'd like it beaten out"),))
    assert offers(DENT, CHEESE, said, again=True) == []


def test_the_same_asked_of_the_same_about_the_same_is_one_question() -> None:
    on_file = [OpenQuestion(tag="Q04", question=DENT)]
    assert asked_again(question("client", "the cheese", "Do you want the dent beaten out?"), on_file) == "Q04"
    assert asked_again(question("shop", "cheese", "Should the dent be beaten out?"), on_file) is None
    assert asked_again(question("client", "bell", "Should the dent be beaten out?"), on_file) is None
    assert asked_again(question("client", "cheese", "Which way round does it go?"), on_file) is None


def test_the_sentence_is_offered_where_the_transcript_has_it() -> None:
    text = "Mr. Fenn rang back about the lamp. It is raining."
    asked = question("client", "lamp", "Shall we keep the dent?")
    (offer,) = offers(asked, Part(name="lamp"), Part(name="lamp", heard_as=("the lamp",)), text=text)
    assert offer.answer.endswith("rang back about the lamp.")
