"""People reading aloud: LibriVox, "Sense and Sensibility" (public domain), five clips with their words.

From Debian's package ``pocketsphinx-testdata`` (BSD; recordings by LibriVox), which the test set-up installs.
Seven of the 71 words may be wrong before the bound bites: it is there to catch a broken chain, and the
figure it prints is the one to look at. Read speech in a quiet room says nothing about talk at a bench.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from notepipe.hearing import HearingSettings, WhisperEar
from notepipe.recording import open_recording
from notepipe.trade.hearing_words import hearing_pack, hearing_words
from notepipe.transcript import Transcript

CLIPS = Path("/usr/share/pocketsphinx/test/data/librivox")
HIGHEST_RATE = 0.10
SPELLED = {"mr": "mister"}


@pytest.fixture(scope="module")
def read_aloud() -> dict[str, tuple[list[str], Transcript]]:
    """Clip to (the words of its transcription, what was heard)."""
    if not CLIPS.is_dir():
        assert not os.environ.get("CI"), "the set-up must install Debian's pocketsphinx-testdata"
        pytest.skip("Debian's pocketsphinx-testdata is not installed: apt-get install pocketsphinx-testdata")
    ear = WhisperEar(HearingSettings())
    spoken = {}
    for line in (CLIPS / "transcription").read_text(encoding="utf-8").splitlines():
        found = re.fullmatch(r"<s> (.*) </s> \((.+)\)\s*", line)
        assert found, line
        spoken[found[2]] = (words_in(found[1]), ear.hear(open_recording(CLIPS / f"{found[2]}.wav")))
    return spoken


def words_in(text: str) -> list[str]:
    plain = re.sub(r"[^a-z' ]", " ", text.lower())
    return [SPELLED.get(word, word) for word in plain.split()]


def errors(spoken: list[str], heard: list[str]) -> int:
    """Words put in, left out or changed: the edit distance over words."""
    row = list(range(len(heard) + 1))
    for i, word in enumerate(spoken, start=1):
        diagonal, row[0] = row[0], i
        for j, other in enumerate(heard, start=1):
            diagonal, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, diagonal + (word != other))
    return row[-1]


def test_the_distance_counts_each_kind_of_error_once() -> None:
    assert errors(["a", "b", "c"], ["a", "b", "c"]) == 0
    assert errors(["a", "b", "c"], ["a", "x", "c"]) == 1
    assert errors(["a", "b", "c"], ["a", "c"]) == 1
    assert errors(["a", "b", "c"], ["a", "b", "b", "c"]) == 1


def test_the_word_error_rate_on_read_speech_stays_low(
    read_aloud: dict[str, tuple[list[str], Transcript]],
) -> None:
    total = sum(len(spoken) for spoken, _ in read_aloud.values())
    wrong = sum(errors(spoken, words_in(heard.text)) for spoken, heard in read_aloud.values())
    report = f"word error rate on {total} read words: {wrong / total:.1%}"
    print(report)
    assert total == 71
    assert wrong / total <= HIGHEST_RATE, report


def test_no_trade_word_is_heard_where_none_was_said(
    read_aloud: dict[str, tuple[list[str], Transcript]],
) -> None:
    told = {word for word in words_in(" ".join(hearing_words())) if len(word) > 4}
    told &= set(words_in(" ".join(hearing_pack().words)))
    assert told
    for spoken, heard in read_aloud.values():
        assert not (set(words_in(heard.text)) - set(spoken)) & told


def test_the_words_lie_in_order_within_the_recording(
    read_aloud: dict[str, tuple[list[str], Transcript]],
) -> None:
    for _, heard in read_aloud.values():
        starts = [word.start_s for word in heard.words if word.start_s is not None]
        assert starts == sorted(starts)
        assert len(starts) == len(heard.words)
        assert heard.duration_s is not None
        assert heard.words[-1].end_s is not None
        assert heard.words[-1].end_s <= heard.duration_s
