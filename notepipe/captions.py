"""A transcript somebody else made (.txt, .vtt, .srt) is read as a Transcript.

WebVTT as in the W3C's recommendation (sections 4 and 6), SubRip as it is written everywhere. A cue's seconds
are spread over its words by their length: good enough to play them, not to time them.
"""

from __future__ import annotations

import html
import re
from pathlib import Path
from typing import Final, NamedTuple

from notepipe.errors import BadRecording
from notepipe.transcript import Transcript, Word

_TIME: Final = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)[.,](\d{3})"
_TIMES: Final = re.compile(rf"^\s*{_TIME}[ \t]+-->[ \t]+{_TIME}")
_TAG: Final = re.compile(r"<[^<>]*>")


class Cue(NamedTuple):
    """Some words and when they were said, in seconds."""

    start_s: float
    end_s: float
    text: str


def read_captions(path: Path) -> Transcript:
    """The text at *path*, by its ending. Raises BadRecording where it is no UTF-8 text or says nothing."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadRecording(str(path), "not UTF-8 text", "Save it as UTF-8 text.") from error
    if "\0" in text:
        raise BadRecording(str(path), "not text", "Give the transcript as plain UTF-8 text.")
    transcript = plain(text) if path.suffix.lower() == ".txt" else from_cues(_cues(path, text))
    if not transcript.words:
        raise BadRecording(str(path), "there are no words in it", "Check that it is the right file.")
    return transcript


def plain(text: str) -> Transcript:
    """*text* as it is, its words with no times."""
    words = tuple(Word(text=match[0], at=match.start()) for match in re.finditer(r"\S+", text))
    return Transcript(text=text, words=words)


def from_cues(cues: list[Cue]) -> Transcript:
    """The words of *cues* as one text, each with its share of its cue's time."""
    text = ""
    words: list[Word] = []
    for cue in cues:
        parts = cue.text.split()
        # A blank's length for each word, so that "a" is not said in no time.
        letters = sum(len(part) + 1 for part in parts)
        done = 0
        for part in parts:
            text += " " if text else ""
            start_s = cue.start_s + (cue.end_s - cue.start_s) * done / letters
            done += len(part) + 1
            end_s = cue.start_s + (cue.end_s - cue.start_s) * done / letters
            words.append(Word(text=part, at=len(text), start_s=round(start_s, 3), end_s=round(end_s, 3)))
            text += part
    return Transcript(text=text, words=tuple(words), duration_s=cues[-1].end_s if cues else None)


def _cues(path: Path, text: str) -> list[Cue]:
    if path.suffix.lower() == ".vtt" and not re.match(r"WEBVTT(?:[ \t\n\r]|$)", text):
        raise BadRecording(str(path), "no WebVTT: it does not begin with WEBVTT", "Save it as .srt or .txt.")
    return read_cues(text)


def read_cues(text: str) -> list[Cue]:
    """The cues of a WebVTT or SubRip text, in order; headers, notes, styles and cue numbers are left out."""
    cues = []
    for block in re.split(r"\n[ \t]*\n", re.sub(r"\r\n?", "\n", text)):
        lines = block.strip("\n").split("\n")
        for number, line in enumerate(lines[:2]):
            times = _TIMES.match(line)
            if times:
                words = html.unescape(_TAG.sub("", " ".join(lines[number + 1 :])))
                start_s, end_s = _seconds(times.groups()[:4]), _seconds(times.groups()[4:])
                cues.append(Cue(start_s, max(start_s, end_s), " ".join(words.split())))
                break
    return [cue for cue in cues if cue.text]


def _seconds(parts: tuple[str | None, ...]) -> float:
    hours, minutes, seconds, thousandths = (int(part or 0) for part in parts)
    return hours * 3600 + minutes * 60 + seconds + thousandths / 1000
