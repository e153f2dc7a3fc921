"""A transcript finds the words and seconds of any span of its text."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from notepipe.transcript import Transcript, Word

SPOKEN = Transcript(
    text="Six hinges, bent.",
    words=(
        Word(text="Six", at=0, start_s=1.0, end_s=1.2),
        Word(text="hinges,", at=4, start_s=1.2, end_s=1.8),
        Word(text="bent.", at=12, start_s=2.0, end_s=2.5),
    ),
)


def test_a_span_has_the_seconds_of_the_words_it_touches() -> None:
    assert SPOKEN.seconds(4, 10) == (1.2, 1.8)
    assert SPOKEN.seconds(5, 13) == (1.2, 2.5)


def test_a_span_of_blanks_touches_no_word_and_has_no_seconds() -> None:
    assert SPOKEN.words_between(3, 4) == ()
    assert SPOKEN.seconds(3, 4) == (None, None)


def test_text_without_times_has_no_seconds() -> None:
    typed = Transcript(text="Six", words=(Word(text="Six", at=0),))
    assert typed.seconds(0, 3) == (None, None)


def test_it_comes_back_from_its_json_as_it_was_and_refuses_unknown_fields() -> None:
    assert Transcript.model_validate_json(SPOKEN.model_dump_json()) == SPOKEN
    with pytest.raises(ValidationError):
        Transcript.model_validate({"text": "", "speaker": "x"})
