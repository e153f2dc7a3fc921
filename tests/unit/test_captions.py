"""Transcripts made elsewhere are read whole, with their times and nothing of their markup."""

from __future__ import annotations

from pathlib import Path

import pytest

from notepipe.captions import plain, read_captions, read_cues
from notepipe.errors import BadRecording
from notepipe.transcript import Transcript

SRT = (
    "1\r\n00:00:01,000 --> 00:00:03,000\r\nSix <i>hinges</i>,\r\nbent.\r\n\r\n"
    "2\r\n01:00:00,500 --> 01:00:01,500\r\nBuff them.\r\n"
)


def test_plain_text_keeps_every_character_and_has_no_times(tmp_path: Path) -> None:
    path = tmp_path / "walk.txt"
    path.write_bytes(b"\xef\xbb\xbfSix hinges.\n\n  Buff them.")
    read = read_captions(path)
    assert read.text == "Six hinges.\n\n  Buff them."
    assert [read.text[w.at : w.at + len(w.text)] for w in read.words] == ["Six", "hinges.", "Buff", "them."]
    assert read.words[0].start_s is None
    assert read.heard_with is None


def test_subrip_cues_become_one_text_with_their_times(tmp_path: Path) -> None:
    path = tmp_path / "walk.srt"
    path.write_text(SRT, encoding="utf-8", newline="")
    read = read_captions(path)
    assert read.text == "Six hinges, bent. Buff them."
    assert read.seconds(0, 3)[0] == 1.0
    assert read.seconds(12, 17)[1] == 3.0
    assert read.seconds(18, 28) == (3600.5, 3601.5)
    assert all(read.text[w.at : w.at + len(w.text)] == w.text for w in read.words)


def test_a_cues_time_is_spread_over_its_words_without_gaps(tmp_path: Path) -> None:
    words = [w for w in _srt(tmp_path).words if w.start_s is not None and w.start_s < 3]
    assert [w.start_s for w in words[1:]] == [w.end_s for w in words[:-1]]


def _srt(folder: Path) -> Transcript:
    path = folder / "x.srt"
    path.write_text(SRT, encoding="utf-8")
    return read_captions(path)


def test_notes_styles_settings_and_entities_are_no_words() -> None:
    cues = read_cues(
        "WEBVTT - a title\n\nNOTE 00:01 is no time\nhear hear\n\nSTYLE\n::cue { color: red }\n\n"
        "intro\n00:01.000 --> 00:02.000 align:start\n<v Ann>nuts &amp; bolts</v>\n"
    )
    assert [cue.text for cue in cues] == ["nuts & bolts"]
    assert (cues[0].start_s, cues[0].end_s) == (1.0, 2.0)


@pytest.mark.parametrize(
    ("name", "content", "what"),
    [
        ("a.txt", b"\xff\xfe\x00bad", "not UTF-8 text"),
        ("a.txt", b"RIFF\0\0\0\0WAVE", "not text"),
        ("a.txt", b" \n", "no words"),
        ("a.vtt", b"00:01.000 --> 00:02.000\nhi\n", "no WebVTT"),
        ("a.srt", b"just words, no times", "no words"),
    ],
)
def test_what_cannot_be_read_is_refused(tmp_path: Path, name: str, content: bytes, what: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(BadRecording, match=what):
        read_captions(path)


def test_an_empty_text_has_no_words() -> None:
    assert plain("").words == ()
