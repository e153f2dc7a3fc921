"""What people put right becomes words for the shop's pack, but not what they know or somebody refused."""

import pytest

from notepipe.draft import Decision, Draft, Note, Part, Question, Quote
from notepipe.entries import Change, Entry, JobOpened, NoteTaken, PartConfirmed, QuestionConfirmed
from notepipe.learning import Correction, Offer, corrections, offers
from notepipe.ledger import Hand, Ledger
from notepipe.reading.terms import Lexicon
from notepipe.trade import load_trade
from notepipe.trade.hearing_words import words_to_tell

SHA = "ab" * 32
LEXICON = Lexicon(load_trade())
ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
LAMP = Part(
    name="glimmer lamp",
    quotes=(Quote(text="the glimmer lamp", start_s=12.4, end_s=14.0),),
    decisions=(
        Decision(action="replace", standing="decided", quote="straighten it and replays it", start_s=15.0),
    ),
)
ASKED = Question(to="client", about="dash pot", text="Which colour?", quote="ask what colour", start_s=20.0)


def entries(*bodies: PartConfirmed | QuestionConfirmed) -> tuple[Entry, ...]:
    draft = Draft(note=Note(file="walk.m4a", sha256=SHA), parts=(LAMP,), questions=(ASKED,))
    ledger = Ledger(None)
    taken = NoteTaken(recording=SHA, file="walk.m4a", transcript="", draft=draft)
    ledger.append("tram-7", ADA, JobOpened(name="tram-7", client="c", what="w"), taken, *bodies)
    return ledger.entries("tram-7")


def put_right(field: str, was: str | None, now: str | None, **more: object) -> PartConfirmed:
    change = Change(field=field, was=was, now=now)
    told = {"recording": SHA, "record": "p1", "tag": "001", "part": LAMP, "changes": (change,)}
    return PartConfirmed.model_validate({**told, **more})


def correction(field: str, was: str | None, now: str, quote: str = "") -> Correction:
    return Correction("tram-7", "001", "Ada Fenn", "2026-11-25", field, was, now, quote, None, "walk.m4a")


def offered(*told: Correction) -> list[tuple[str, str, tuple[str, ...]]]:
    return [(one.kind, one.value, one.phrases) for one in offers(told, LEXICON)]


def test_a_correction_tells_who_changed_what_and_the_words_and_second_it_was_heard_at() -> None:
    (one,) = corrections(entries(put_right("name", "glimmer lamp", "dash lamp")))
    assert one == Correction(
        job="tram-7", tag="001", who="Ada Fenn", on="2026-11-25", field="name", was="glimmer lamp",
        now="dash lamp", quote="the glimmer lamp", start_s=12.4, file="walk.m4a",
    )  # fmt: skip


def test_a_decision_put_right_is_told_with_the_words_of_that_decision() -> None:
    (one,) = corrections(entries(put_right("decision 1 by", None, "Tolliver's")))
    assert (one.quote, one.start_s) == ("straighten it and replays it", 15.0)


def test_what_a_later_note_changed_on_file_is_no_correction_of_what_was_heard() -> None:
    brought = put_right("metal", "brass", "bronze", against="changes")
    meant = put_right("x", "x", "x", against="changes", corrected=(Change(field="name", was="a", now="b"),))
    assert [one.field for one in corrections(entries(brought, meant))] == ["name"]


def test_what_is_emptied_teaches_nothing() -> None:
    assert list(corrections(entries(put_right("finish", "milky", None)))) == []


def test_a_part_added_by_hand_may_have_a_name_to_learn() -> None:
    added = put_right("x", None, None, record="added-1", how="added by hand")
    (one,) = corrections(entries(added.model_copy(update={"changes": ()})))
    assert (one.field, one.was, one.now) == ("name", None, "glimmer lamp")


def test_what_a_question_is_about_is_a_part_name_too() -> None:
    asked = QuestionConfirmed(
        recording=SHA, record="q1", tag="Q01", question=ASKED,
        changes=(Change(field="about", was="dash pot", now="dashpot"),),
    )  # fmt: skip
    (one,) = corrections(entries(asked))
    assert (one.quote, one.start_s, one.tag) == ("ask what colour", 20.0, "Q01")
    assert offered(one) == [("part", "dashpot", ("dashpot", "dash pot"))]


@pytest.mark.parametrize(
    ("told", "wanted"),
    [
        (correction("name", "glimmer lamp", "dash lamp"),
         ("part", "dash lamp", ("dash lamp", "glimmer lamp"))),
        (correction("name", "scutcheon", "escutcheon"), ("part", "escutcheon", ("scutcheon",))),
        (correction("name", "hinge", "destination box hinge"),
         ("part", "destination box hinge", ("destination box hinge",))),
        (correction("decision 2 by", None, "Tolliver's"), ("trade", "Tolliver's", ("Tolliver's",))),
        (correction("decision 1 by", "oliver", "Tolliver's"),
         ("trade", "Tolliver's", ("Tolliver's", "oliver"))),
        (correction("finish", "milky gold", "satin lacquer"),
         ("finish", "satin lacquer", ("satin lacquer", "milky gold"))),
        (correction("decision 1 to finish", "nickle", "nickel"), ("finish", "nickel", ("nickle",))),
        (correction("metal", "gunmettle", "gunmetal"), ("metal", "gunmetal", ("gunmettle",))),
    ],
)  # fmt: skip
def test_a_word_the_packs_do_not_know_is_offered_with_what_it_means(
    told: Correction, wanted: tuple[str, str, tuple[str, ...]]
) -> None:
    assert offered(told) == [wanted]


@pytest.mark.parametrize(
    "told",
    [
        correction("name", "hinge", "lamp"),
        correction("name", "the hinge", "hinges"),
        correction("metal", "brass", "bronze"),
        correction("decision 1 by", None, "plater"),
        correction("quantity", "4", "6"),
        correction("location", None, "nearside"),
        correction("decision 1 action", "polish", "replate", "polish those"),
        correction("decision 1 action", "replace", "replate", "and replace them"),
    ],
)
def test_what_the_packs_know_or_no_pack_can_hold_is_not_offered(told: Correction) -> None:
    assert offered(told) == []


def test_an_action_that_sounds_like_the_right_one_is_offered_as_a_mishearing_in_its_form() -> None:
    told = correction("decision 1 action", "repair", "replate", "have the rail repaired in chrome")
    (one,) = offers([told], Lexicon(load_trade()))
    assert (one.kind, one.value, one.phrases) == ("mishearing", "replated", ("repaired",))


def test_one_word_put_right_three_times_is_one_offer_that_rests_on_three_and_comes_first() -> None:
    lamp = [correction("name", was, "dash lamp") for was in ("glimmer lamp", "glimmer lamp", "gleamer")]
    once = correction("decision 1 by", None, "Tolliver's")
    first, second = offers([once, *(one._replace(tag=f"00{n}") for n, one in enumerate(lamp))], LEXICON)
    assert (first.value, first.phrases, len(first.rests_on)) == (
        "dash lamp", ("dash lamp", "glimmer lamp", "gleamer"), 3,
    )  # fmt: skip
    assert second.value == "Tolliver's"


def test_a_refused_word_is_not_offered_again_and_another_nickname_of_the_same_part_is() -> None:
    told = [correction("name", was, "dash lamp") for was in ("glimmer lamp", "gleamer")]
    refused = frozenset({("part", "dash lamp", "glimmer lamp"), ("part", "dash lamp", "dash lamp")})
    (left,) = offers(told, LEXICON, refused)
    assert isinstance(left, Offer)
    assert left.phrases == ("gleamer",)


def test_the_recogniser_is_told_the_right_word_and_a_nickname_but_not_what_was_misheard() -> None:
    from notepipe.trade import Example, Mishearing, Pack, Term

    say = Example(say="x", gives="x")
    pack = Pack(
        term=(
            Term(id="a", kind="part", value="escutcheon", phrases=("scutcheon",), example=say),
            Term(id="b", kind="part", value="dash lamp", phrases=("dash lamp", "glimmer"), example=say),
        ),
        mishearing=(Mishearing(said="replated", heard="related", wrong="x", example=say),),
    )
    assert words_to_tell([pack]) == ("escutcheon", "dash lamp", "glimmer", "replated")
