"""WebVTT: what is a time stamp, a cue, a note, a tag.

Source: W3C, "WebVTT: The Web Video Text Tracks Format", Candidate Recommendation of 4 April 2019; the numbers
of its sections stand beside the checks. The cue texts are our own.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from notepipe.captions import read_captions, read_cues
from notepipe.errors import BadRecording


@pytest.mark.parametrize(
    ("stamps", "start_s", "end_s"),
    [
        # 4.1, "WebVTT timestamp": hours are optional, two or more digits; three digits of milliseconds.
        ("00:01.000 --> 00:04.000", 1.0, 4.0),
        ("00:05.000 --> 00:09.500", 5.0, 9.5),
        ("01:02:03.004 --> 01:02:03.005", 3723.004, 3723.005),
        ("100:00:00.000 --> 100:00:01.000", 360000.0, 360001.0),
        ("59:59.999 --> 01:00:00.000", 3599.999, 3600.0),
        # 4.1, "cue settings": whatever stands behind the second time stamp is no part of it.
        ("00:01.000 --> 00:04.000 position:10%,line-left align:left size:35%", 1.0, 4.0),
        # 6.3: any number of blanks and tabs around the arrow.
        ("00:01.000\t-->  00:04.000", 1.0, 4.0),
    ],
)
def test_time_stamps_of_section_4_1(stamps: str, start_s: float, end_s: float) -> None:
    (cue,) = read_cues(f"WEBVTT\n\n{stamps}\nSix hinges.\n")
    assert (cue.start_s, cue.end_s) == pytest.approx((start_s, end_s), abs=1e-9)


@pytest.mark.parametrize(
    "stamps",
    [
        "00:60.000 --> 01:01.000",  # 4.1: seconds are 00 to 59
        "60:00.000 --> 61:00.000",  # 4.1: minutes are 00 to 59
        "00:01.00 --> 00:02.000",  # 4.1: exactly three digits of milliseconds
        "1:00:00.000 --> 1:00:01.000",  # 4.1: hours have two digits or more
        "00:01.000 -> 00:02.000",  # 4.1: the arrow is "-->"
    ],
)
def test_what_section_4_1_does_not_allow_is_no_cue(stamps: str) -> None:
    assert read_cues(f"WEBVTT\n\n{stamps}\nSix hinges.\n") == []


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_the_three_line_ends_of_section_4_1(line_end: str) -> None:
    text = line_end.join(["WEBVTT", "", "00:01.000 --> 00:02.000", "Six hinges,", "bent.", ""])
    assert [cue.text for cue in read_cues(text)] == ["Six hinges, bent."]


def test_comments_styles_regions_and_identifiers_are_no_words() -> None:
    # 4.1: NOTE, STYLE and REGION blocks; an identifier is the line before the time stamps.
    text = (
        "WEBVTT\n\nREGION\nid:bench\nwidth:40%\n\nSTYLE\n::cue(b) { color: peachpuff; }\n\n"
        "NOTE This one\nhas two lines.\n\nthe hinges\n00:01.000 --> 00:02.000\nSix hinges.\n"
    )
    assert [cue.text for cue in read_cues(text)] == ["Six hinges."]


def test_cue_spans_and_escapes_of_section_4_2_2() -> None:
    text = (
        "WEBVTT\n\n00:01.000 --> 00:02.000\n"
        "<v.loud Ann>Nuts &amp; <b>bolts</b>, <00:01.500><c.x>&lt;bent&gt;</c>&nbsp;<lang en>too</lang></v>\n"
    )
    assert [cue.text for cue in read_cues(text)] == ["Nuts & bolts, <bent> too"]


def test_the_signature_of_section_4_1_is_needed_and_a_byte_order_mark_allowed(tmp_path: Path) -> None:
    cue = "\n\n00:01.000 --> 00:02.000\nSix hinges.\n"
    path = tmp_path / "walk.vtt"
    for allowed in ("WEBVTT", "\ufeffWEBVTT", "WEBVTT with a title", "WEBVTT\twith a title"):
        path.write_text(allowed + cue, encoding="utf-8")
        assert read_captions(path).text == "Six hinges."
    for refused in ("", "webvtt", "WEBVTTX"):
        path.write_text(refused + cue, encoding="utf-8")
        with pytest.raises(BadRecording, match="WEBVTT"):
            read_captions(path)
