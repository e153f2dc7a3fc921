"""The words that were heard, each with the records that rest on it, and the seconds to play."""

from notepipe.desk.heard import paragraphs
from notepipe.desk.passages import Passage, passages, places, to_play
from notepipe.draft import Decision, Draft, Note, Part, Question, Quote
from notepipe.transcript import Difference, Transcript, Word

SHA = "ab" * 32


def transcript(
    text: str, *, differences: tuple[Difference, ...] = (), weak: str = "", pause: str = ""
) -> Transcript:
    """A word a second; a pause of two seconds before the word *pause*."""
    words, at, start_s = [], 0, 0.0
    for word in text.split():
        start_s += 2.0 if word == pause else 0.0
        probability = 0.3 if word == weak else 0.9
        words.append(Word(text=word, at=at, start_s=start_s, end_s=start_s + 0.9, probability=probability))
        at, start_s = at + len(word) + 1, start_s + 1
    return Transcript(text=text, words=tuple(words), differences=differences)


def draft(*parts: Part, questions: tuple[Question, ...] = ()) -> Draft:
    return Draft(note=Note(file="walk.m4a", sha256=SHA), parts=parts, questions=questions)


def shown(heard: Transcript, made: Draft | None = None) -> list:
    return [word for paragraph in paragraphs(heard, made or draft(), SHA) for word in paragraph]


def test_the_words_are_those_of_the_text_letter_for_letter() -> None:
    text = "Six lamps, brass."
    assert "".join(word.before + word.text for word in shown(transcript(text))) == text


def test_a_word_knows_which_records_rest_on_it() -> None:
    lamp = Part(name="lamp", quotes=(Quote(text="two lamps", start_s=0.0, end_s=1.9),))
    asked = Question(to="client", about="lamp", text="Polish?", quote="lamps polish", start_s=1.0, end_s=2.9)
    words = shown(transcript("two lamps polish them"), draft(lamp, questions=(asked,)))
    assert [word.of for word in words] == [("p1",), ("p1", "q1"), ("q1",), ()]


def test_words_said_twice_are_marked_where_they_were_said() -> None:
    lamp = Part(name="lamp", quotes=(Quote(text="two lamps", start_s=3.0, end_s=4.9),))
    words = shown(transcript("two lamps and two lamps"), draft(lamp))
    assert [bool(word.of) for word in words] == [False, False, False, True, True]


def test_a_quote_put_together_from_two_places_is_found_by_its_seconds() -> None:
    told = [Passage("lamps … brass", 1.0, 3.9)]
    heard = transcript("two lamps of brass here")
    assert [heard.text[a:b] for a, b in places(told, heard)] == ["lamps of brass"]


def test_words_of_another_note_are_not_marked_in_this_one() -> None:
    lamp = Part(name="lamp", quotes=(Quote(text="two lamps", recording="cd" * 32),))
    assert passages(lamp, SHA) == ()
    assert not any(word.of for word in shown(transcript("two lamps"), draft(lamp)))


def test_a_badly_heard_word_is_told_apart_with_its_percent() -> None:
    words = shown(transcript("two lamps", weak="lamps"))
    assert [(word.weak, word.percent) for word in words] == [(False, 90), (True, 30)]


def test_where_the_hearings_differ_both_readings_stand() -> None:
    heard = transcript(
        "we replace them all", differences=(Difference(start=3, end=15, other="replate those"),)
    )
    words = shown(heard)
    assert [word.differs for word in words] == [False, True, True, False]
    assert [word.other for word in words] == [None, None, "replate those", None]


def test_what_only_the_other_hearing_has_stands_behind_the_word_before_it() -> None:
    words = shown(transcript("replate them", differences=(Difference(start=8, end=8, other="all of"),)))
    assert [(word.differs, word.other) for word in words] == [(False, "all of"), (False, None)]


def test_what_only_this_hearing_has_is_told_too() -> None:
    words = shown(transcript("replate them", differences=(Difference(start=8, end=12, other=""),)))
    assert [(word.differs, word.other) for word in words] == [(False, None), (True, "")]


def test_a_pause_begins_a_paragraph() -> None:
    assert [len(p) for p in paragraphs(transcript("two lamps then steps", pause="then"), draft(), SHA)] == [
        2,
        2,
    ]


def test_a_text_without_times_is_shown_word_by_word() -> None:
    lamp = Part(name="lamp", quotes=(Quote(text="two lamps"),))
    words = shown(Transcript(text="Here are\ntwo lamps."), draft(lamp))
    assert [word.text for word in words] == ["Here", "are", "two", "lamps."]
    assert [bool(word.of) for word in words] == [False, False, True, True]


def test_passages_that_nearly_touch_are_played_in_one_go() -> None:
    told = [Passage("a", 5.0, 6.0), Passage("b", 1.0, 2.0), Passage("c", 2.5, 3.0), Passage("d", None, None)]
    assert to_play(told) == ((1.0, 3.0), (5.0, 6.0))


def test_each_passage_counts_once_in_the_order_it_was_said() -> None:
    lamp = Part(
        name="lamp",
        quotes=(Quote(text="replate", start_s=4.0, end_s=5.0), Quote(text="lamp", start_s=1.0, end_s=2.0)),
        decisions=(Decision(action="replate", standing="decided", quote="replate", start_s=4.0, end_s=5.0),),
    )
    assert [p.text for p in passages(lamp, SHA)] == ["lamp", "replate"]
