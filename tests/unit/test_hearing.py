"""What two hearings of a recording become: one text, exact places, doubts where they differ, no invention."""

from __future__ import annotations

from pathlib import Path

import pytest

from notepipe import hearing
from notepipe.agreement import Heard
from notepipe.hearing import Both, HearingSettings, TextEar, assemble, ear_for, unheard_from
from notepipe.recording import Recording, open_recording


def heard(text: str, start_s: float = 0.0) -> list[Heard]:
    return [Heard(w, start_s + i / 2, start_s + i / 2 + 0.5, 0.9) for i, w in enumerate(text.split())]


def test_the_windows_become_one_text_and_every_word_stands_where_it_says() -> None:
    read = assemble([Both(heard("Six hinges."), []), Both(heard("Buff them.", 30), [])], {})
    assert read.text == "Six hinges. Buff them."
    assert [read.text[w.at : w.at + len(w.text)] for w in read.words] == read.text.split()
    assert read.seconds(12, 22) == (30.0, 31.0)


def test_differences_of_a_later_window_stand_at_their_place_in_the_whole_text() -> None:
    first, second = heard("Six hinges."), heard("Replate them.", 30)
    read = assemble([Both(first, first), Both(second, heard("Replace them.", 30))], {})
    (found,) = read.differences
    assert (read.text[found.start : found.end], found.other) == ("Replate", "Replace")


def test_what_only_the_check_heard_is_marked_as_heard_once() -> None:
    words = heard("Buff it. Ten go for nickel today. Good.")
    read = assemble([Both(words, words, added=tuple(words[2:7]))], {})
    (found,) = read.differences
    assert (read.text[found.start : found.end], found.other) == ("Ten go for nickel today.", "")


def test_what_was_read_off_the_prompt_is_told() -> None:
    read = assemble([Both(heard("Six."), heard("Six."), read_back=tuple(heard("Strip and replate", 63)))], {})
    assert read.warnings == ("at 63 s the recogniser gave its own word list back; left out",)


def test_no_words_make_an_empty_transcript() -> None:
    assert assemble([Both([], [])], {}).text == ""


@pytest.mark.parametrize(
    ("words", "length_s", "rest_s"), [("a b", 1.5, None), ("a b", 10.0, 1.0), ("", 10.0, None)]
)
def test_speech_behind_the_last_word_of_a_window_is_noticed(
    words: str, length_s: float, rest_s: float | None
) -> None:
    assert unheard_from(heard(words), length_s) == rest_s


def test_a_transcript_is_read_and_needs_no_model(tmp_path: Path) -> None:
    path = tmp_path / "walk.txt"
    path.write_text("Six hinges.", encoding="utf-8")
    ear = ear_for(open_recording(path), HearingSettings(model="no such model"))
    assert isinstance(ear, TextEar)
    assert ear.hear(open_recording(path)).text == "Six hinges."


def test_sound_goes_to_the_recogniser_with_the_shops_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[HearingSettings] = []
    monkeypatch.setattr(hearing, "WhisperEar", lambda settings, progress: asked.append(settings))
    settings = HearingSettings(shop_words=("fleet number",))
    ear_for(Recording(Path("walk.m4a"), "walk.m4a", "", "sound"), settings)
    assert asked == [settings]
