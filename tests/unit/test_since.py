"""The next letter: what changed since the last one issued, what was answered, what is asked again."""

import pytest

from notepipe.draft import Decision, Part, Question
from notepipe.errands import PriceNoted
from notepipe.papers import Letter, update
from notepipe.papers.questions import ISSUED, asked_of_client
from notepipe.register import AnswerNow, IssuedNow, PriceNow, Register

SENT, AT = "2026-12-03T09:00:00+00:00", "2026-11-25T10:00:00+00:00"


def decision(action: str, standing: str = "decided", **more: str) -> Decision:
    return Decision.model_validate({"action": action, "standing": standing, "quote": "", **more})


LAMPS = Part(name="carriage lamp", quantity=3, metal="brass", decisions=(decision("replate", by="plater"),))
GONG = Part(name="gong", quantity=1, metal="bronze", decisions=(decision("leave"),))
RAIL = Part(name="dash rail", quantity=1, decisions=(decision("straighten", "asking"),))
STRAIGHT = RAIL.model_copy(update={"decisions": (decision("straighten"),)})
DENT = Question(to="client", about="dash rail", text="May the dash rail be straightened?", quote="may we")
COLOUR = Question(to="client", about="panel", text="Which colour were the panels?", quote="which colour")


@pytest.fixture
def december(letter: Letter) -> Letter:
    """The shop's paper, three weeks after the letter of 3 December."""
    return letter.model_copy(update={"date": "24 December 2026", "today": "2026-12-24"})


def sent(register: Register, *earlier: str) -> Register:
    """*register* after its letter went out on 3 December, and the same on *earlier* days."""
    asked = tuple(one.question or one.tags[0] for one in asked_of_client(register))
    for number, at in enumerate((*earlier, SENT), start=1):
        issued = IssuedNow(
            paper=ISSUED, number=number, sha256="", to="F", way=None, by="Ada", at=at, up_to=1, asked=asked
        )
        register = register.model_copy(update={"issued": (*register.issued, issued)})
    return register


def later(register: Register, *parts: Part, **fields: object) -> Register:
    """*register* with *parts* in the place of its own, each under the tag it has there."""
    standing = tuple(
        now.model_copy(update={"part": part, "at": SENT}) if part != now.part else now
        for now, part in zip(register.parts, parts, strict=False)
    )
    return register.model_copy(update={"parts": standing, **fields})


def answered(register: Register, text: str, by: str, on: str = "2026-12-10") -> Register:
    answer = AnswerNow(
        text=text, by=by, on=on, way=None, written_by="Ada Fenn", written_at=f"{on}T10:00:00+00:00"
    )
    first, *others = register.questions
    return register.model_copy(update={"questions": (first.model_copy(update={"answer": answer}), *others)})


def written(then: Register, now: Register, letter: Letter) -> str:
    """The letter, its lines run together."""
    return " ".join(update(now, letter.model_copy(update={"since": then})).split())


WHOLE = """\
Larkhill Tramway Workshop
24 December 2026

To Fennimore Museum of Transport
About: Tramcar 14, brass and plated fittings

This is what has changed on your parts since our letter of
3 December 2026. The number in front of each is its tag here; please
name it when you write.

There is one question for you below.


SINCE OUR LETTER OF 3 DECEMBER 2026

Your answers, with our thanks:

  -  May the dash rail be straightened? You told us on 10 December 2026:
     “yes, please”.

New:

004  One bell will be polished.

Changed:

003  One dash rail will be straightened.
     Before: may be straightened, as you decide.


AS IN THAT LETTER

  -  Going to the plater: 001 three carriage lamps.

  -  Left as it is: 002 one gong.


WHAT WE NEED FROM YOU

  1. Which colour were the panels? (We asked on 3 December 2026,
     21 days ago; please let us know when you can.)


With kind regards

Larkhill Tramway Workshop

Job car-14, record 3f9a2c81d0b4
"""


def test_this_is_what_the_client_reads_three_weeks_later(registered, december):
    then = sent(registered(LAMPS, GONG, RAIL, questions=(DENT, COLOUR)))
    bell = Part(name="bell", quantity=1, decisions=(decision("polish"),))
    more = registered(LAMPS, GONG, STRAIGHT, bell).parts
    now = answered(then.model_copy(update={"parts": more}), "yes, please", "the client, Mrs Keeble")
    assert update(now, december.model_copy(update={"since": then})) == WHOLE


def test_the_whole_can_be_told_also_later_and_its_questions_have_their_age(registered, december):
    text = update(sent(registered(RAIL, LAMPS, questions=(DENT,))), december)
    assert "This is how your parts stand." in text
    assert "SINCE" not in text
    assert "21 days ago" in text


@pytest.mark.parametrize("width", [40, 72, 200])
def test_no_line_of_it_is_longer_than_the_paper(registered, december, width):
    then = sent(registered(LAMPS, GONG, RAIL, questions=(DENT, COLOUR)))
    now = answered(later(then, GONG, LAMPS, STRAIGHT), "yes, please, straighten it", "client")
    text = update(now, december.model_copy(update={"since": then, "width": width}))
    assert max(map(len, text.splitlines())) <= width


def test_where_nothing_changed_it_says_so_and_still_names_every_part(registered, december):
    then = sent(registered(LAMPS, GONG))
    text = written(then, then, december)
    assert "Nothing has changed on your parts since our letter of 3 December 2026." in text
    assert "001 three carriage lamps" in text
    assert "002 one gong" in text
    assert "SINCE OUR" not in text


def test_what_changed_inside_the_shop_only_is_no_change_to_a_client(registered, december):
    then = sent(registered(LAMPS))
    inside = LAMPS.model_copy(update={"heard_as": ("lamps",), "condition": ("Joe says a mess",)})
    assert "Nothing has changed" in written(then, later(then, inside), december)


def test_a_name_put_right_is_told_with_the_whole_line_it_had(registered, december):
    then = sent(registered(LAMPS))
    text = written(then, later(then, LAMPS.model_copy(update={"quantity": 4})), december)
    assert "001 Four carriage lamps (brass) will be plated" in text
    assert "Before: Three carriage lamps (brass) will be" in text


def test_what_is_gone_is_named_and_where_it_went_if_it_was_the_same_part(registered, december):
    then = sent(registered(LAMPS, GONG, STRAIGHT))
    first = then.parts[0].model_copy(update={"joined": ("002",)})
    text = written(then, then.model_copy(update={"parts": (first,)}), december)
    assert "002 One gong is the same as 001 and now counted there." in text
    assert "003 One dash rail is no longer listed." in text


def test_a_group_split_from_a_set_is_new_and_says_from_where(registered, december):
    then = sent(registered(LAMPS))
    other = then.parts[0].model_copy(update={"tag": "002", "split_from": "001"})
    text = written(then, then.model_copy(update={"parts": (*then.parts, other)}), december)
    assert "New: 002 Three carriage lamps (brass) will be plated by the plater. Until now it was" in text


def test_what_was_answered_is_not_asked_again_even_while_nobody_has_settled_it(registered, december):
    then = sent(registered(RAIL, questions=(DENT,)))
    text = written(then, answered(then, "yes", "Fennimore Museum of Transport"), december)
    assert "WHAT WE NEED" not in text
    assert "Still being considered: 001 one dash rail" in text
    whole = " ".join(update(answered(then, "yes", "client"), december).split())
    assert "may be straightened, on which we have your answer." in whole


def test_words_that_are_not_the_clients_stay_in_the_shop(registered, december):
    then = sent(registered(STRAIGHT, questions=(DENT,)))
    text = written(then, answered(then, "they can't afford it", "Joe Marsh"), december)
    assert "afford" not in text
    assert "May the dash rail be straightened? This is settled and needs no answer any more." in text


def test_a_question_taken_back_needs_no_answer_any_more(registered, december):
    then = sent(registered(STRAIGHT, questions=(DENT,)))
    text = written(then, then.model_copy(update={"questions": ()}), december)
    assert "May the dash rail be straightened? This is settled" in text


def test_an_answer_to_the_shop_is_no_business_of_the_clients(registered, december):
    then = sent(registered(GONG, questions=(DENT.model_copy(update={"to": "shop"}),)))
    assert "Nothing has changed" in written(then, answered(then, "no", "client"), december)


def test_the_age_of_a_question_is_that_of_the_first_letter_that_asked_it(registered, december):
    then = sent(registered(STRAIGHT, questions=(COLOUR,)), "2026-11-03T09:00:00+00:00")
    assert "We asked on 3 November 2026, 51 days ago;" in written(then, then, december)
    same_day = december.model_copy(update={"today": "2026-11-03"})
    assert "We asked on 3 November 2026; please" in written(then, then, same_day)


def test_what_only_a_parts_standing_asks_has_its_age_while_it_asks_the_same(registered, december):
    then = sent(registered(RAIL))
    assert "Should the dash rail be straightened? (We asked on 3 December" in written(then, then, december)
    other = RAIL.model_copy(update={"decisions": (decision("polish", "asking"),)})
    text = written(then, later(then, other), december)
    assert "Should the dash rail be polished?" in text
    assert "We asked" not in text


def priced(register: Register, *, released: bool, currency: str | None = "GBP") -> Register:
    noted = PriceNoted(
        price="M01", tag="001", amount="1180.5", currency=currency, what_for="replating", words="about"
    )
    price = PriceNow(noted=noted, by="Ada", at=AT, released=released)
    first, *others = register.parts
    return register.model_copy(update={"parts": (first.model_copy(update={"prices": (price,)}), *others)})


def test_a_price_is_told_once_it_is_released_and_never_before(registered, december):
    then = sent(registered(LAMPS))
    assert "1180" not in update(priced(then, released=False), december).replace(",", "")
    assert "Nothing has changed" in written(then, priced(then, released=False), december)
    text = written(then, priced(then, released=True), december)
    assert "The price for replating is £1,180.50." in text
    assert "Changed:" in text
    assert "is 1,180.50." in update(priced(then, released=True, currency=None), december)
    assert "CHF 1,180.50" in update(priced(then, released=True, currency="CHF"), december).replace(
        "\n     ", " "
    )
