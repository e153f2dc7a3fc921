"""A Recording becomes a Transcript: sound is heard twice, with the trade's words told in two ways.

The hearing that is told them in sentences is the text; the one that is told them as a list is the check.
Each window of speech is encoded once and decoded for both, each hearing in a thread of its own, so that the
words of both have their times on one clock and can be compared.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple, Protocol

from notepipe.agreement import Heard, differences, filled, without_read_back
from notepipe.captions import read_captions
from notepipe.errors import BadRecording, MissingModel
from notepipe.recording import Progress, Recording, Sound, samples
from notepipe.trade.hearing_words import HearingPrompts, hearing_pack, hearing_words
from notepipe.transcript import Difference, Transcript, Word
from notepipe.weights import folder_of

if TYPE_CHECKING:
    from notepipe.whisper import Encoded
    from notepipe.windows import Window

_UNHEARD_S: Final = 2.5
"""More speech than this behind the last word of a window, and the rest is heard again by itself."""


class Ear(Protocol):
    """Whatever can make a Transcript of a Recording."""

    def hear(self, recording: Recording) -> Transcript:
        """The words of *recording*. Raises BadRecording where there are none."""


@dataclass(frozen=True)
class HearingSettings:
    """How a shop wants its recordings heard."""

    model: str = "base"
    """A name of ``models/speech.toml``, or a folder with a model."""
    shop_words: tuple[str, ...] = ()
    """The shop's own hard words, the most important first."""
    gpu: bool = False


def ear_for(recording: Recording, settings: HearingSettings, progress: Progress | None = None) -> Ear:
    """The ear for this kind of recording. Raises MissingModel where the speech model can't be had."""
    return TextEar() if recording.kind == "text" else WhisperEar(settings, progress)


class TextEar:
    """For a transcript somebody else made: nothing is heard, only read."""

    def hear(self, recording: Recording) -> Transcript:
        """The text of a .txt, .vtt or .srt, the times of captions spread over their words."""
        return read_captions(recording.path)


class WhisperEar:
    """Whisper through faster-whisper: int8 on the processor, or on a GPU where the settings say so."""

    def __init__(self, settings: HearingSettings, progress: Progress | None = None) -> None:
        from notepipe.whisper import Engine

        self._progress = progress
        self._engine = Engine(folder_of(settings.model, progress), _device(gpu=settings.gpu))
        self._prompts = hearing_words(settings.shop_words, self._engine.tokens_in)
        self._same = hearing_pack().spellings()
        self.name = f"whisper {Path(settings.model).name} int8"

    def hear(self, recording: Recording) -> Transcript:
        """Both hearings of *recording*, as one transcript. Raises BadRecording where nobody speaks."""
        sound = samples(recording, self._progress)
        heard = [_settled(both, self._prompts) for both in self._both(sound)]
        transcript = assemble(heard, self._same)
        if not transcript.words:
            what = f"{sound.length_s:.0f} s of sound, and nobody speaks"
            raise BadRecording(str(recording.path), what, "Listen to it; if someone does, try --model small.")
        return transcript.model_copy(
            update={
                "warnings": (*sound.warnings, *transcript.warnings),
                "duration_s": round(sound.length_s, 2),
                "heard_with": self.name,
            }
        )

    def _both(self, sound: Sound) -> Iterator[Both]:
        """Each window heard both ways; while the two hearings are at it, the next window is encoded."""
        from notepipe.whisper import Hearing
        from notepipe.windows import windows

        todo = deque(windows(sound.samples))
        encoded: deque[Encoded] = deque()
        hearings = [Hearing(self._engine, prompt) for prompt in self._prompts]
        pool = ThreadPoolExecutor(max_workers=len(hearings))
        try:
            while todo or encoded:
                if not encoded:
                    encoded.append(self._engine.encode(todo.popleft(), sound.samples))
                now = encoded.popleft()
                waiting = [pool.submit(hearing.hear, now) for hearing in hearings]
                if todo and not encoded:
                    encoded.append(self._engine.encode(todo.popleft(), sound.samples))
                text, check = (future.result() for future in waiting)
                rest_s = unheard_from(text, now.window.length_s)
                rest = now.window.rest(rest_s) if rest_s else None
                if rest_s and rest:
                    check = [word for word in check if word.start_s < rest_s]
                    encoded.appendleft(self._engine.encode(rest, sound.samples))
                yield Both(_in_recording(text, now.window), _in_recording(check, now.window))
                if self._progress:
                    self._progress(now.window.end_s, sound.length_s, "hearing")
        finally:
            # Not waited for: after Ctrl-C a window can take seconds.
            pool.shutdown(wait=False, cancel_futures=True)


class Both(NamedTuple):
    """One window's words in both hearings, in seconds of the recording."""

    text: list[Heard]
    check: list[Heard]
    read_back: tuple[Heard, ...] = ()
    """Left out of the text: the prompt's own words, given back."""
    added: tuple[Heard, ...] = ()
    """In the text, but only the check has them: the text's own hearing left them out."""


def unheard_from(words: Sequence[Heard], length_s: float) -> float | None:
    """Where the words of a window leave off before its speech does, in seconds of it; None where they don't.

    The recogniser sometimes ends a window early; its own loop would go on from there.
    """
    if not words:
        return None
    last_s = words[-1].end_s
    return last_s if 0 < last_s < length_s - _UNHEARD_S else None


def assemble(heard: Sequence[Both], same: dict[str, str]) -> Transcript:
    """The windows' words as one text, with their places in it and where the check differs."""
    text = ""
    words: list[Word] = []
    found: list[Difference] = []
    warnings = []
    for window in heard:
        own = []
        for word in window.text:
            text += " " if text else ""
            own.append(_word(word, len(text)))
            text += word.text
        words += own
        found += differences(own, window.check, same, len(text))
        found += _heard_once(own, window.added)
        if window.read_back:
            at_s = window.read_back[0].start_s
            warnings.append(f"at {at_s:.0f} s the recogniser gave its own word list back; left out")
    found.sort(key=lambda difference: difference.start)
    return Transcript(text=text, words=tuple(words), differences=tuple(found), warnings=tuple(warnings))


def _heard_once(words: Sequence[Word], added: Sequence[Heard]) -> list[Difference]:
    """What only the check has differs from the text's own hearing, which has nothing there."""
    times = {(heard.start_s, heard.end_s) for heard in added}
    spans: list[tuple[int, int]] = []
    for place, word in enumerate(words):
        if (word.start_s, word.end_s) in times:
            joins = spans and spans[-1][1] == place - 1
            spans.append((spans.pop()[0] if joins else place, place))
    return [
        Difference(start=words[first].at, end=words[last].at + len(words[last].text), other="")
        for first, last in spans
    ]


def _word(heard: Heard, at: int) -> Word:
    return Word(
        text=heard.text,
        at=at,
        start_s=heard.start_s,
        end_s=heard.end_s,
        probability=round(heard.probability, 3),
    )


def _settled(both: Both, prompts: HearingPrompts) -> Both:
    """*both* without what either hearing only read off its prompt, and with what the text's left out."""
    text, dropped = without_read_back(both.text, prompts.sentence, both.check)
    check, _ = without_read_back(both.check, prompts.words, both.text)
    text, added = filled(text, check)
    return Both(text, check, tuple(dropped), tuple(added))


def _in_recording(words: Sequence[Heard], window: Window) -> list[Heard]:
    placed = []
    for word in words:
        start_s, end_s = window.span(word.start_s, word.end_s)
        placed.append(word._replace(start_s=start_s, end_s=end_s))
    return placed


def _device(*, gpu: bool) -> str:
    from notepipe.whisper import has_gpu

    if gpu and not has_gpu():
        raise MissingModel("gpu", "there is none here that the recogniser can use", "Leave it out.")
    return "cuda" if gpu else "cpu"
