"""The recogniser: one window of speech, encoded once, and one hearing of it for each prompt.

Built from faster-whisper's own parts. Its ``transcribe`` can't be used: it can neither share a window between
two hearings, nor keep the prompt and the carried-over text together within what the model takes.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Final, NamedTuple

import ctranslate2
import numpy as np
from faster_whisper import WhisperModel
from faster_whisper.audio import pad_or_trim
from faster_whisper.tokenizer import Tokenizer
from faster_whisper.transcribe import TranscriptionOptions, get_suppressed_tokens
from numpy.typing import NDArray

from notepipe.agreement import Heard
from notepipe.errors import MissingModel
from notepipe.windows import Window

_EARLIER_TOKENS: Final = 223
"""What the model takes as earlier text, prompt and carried-over text together. More loses sentences."""
_RESET_TEMPERATURE: Final = 0.5
"""Text that came only at a higher temperature is not carried over: it is the kind that repeats itself."""
_NO_SPEECH: Final = 0.6
_UNLIKELY: Final = -1.0
"""Mean log probability below which a window that is likely no speech is taken for none."""
_PREPENDED: Final = "\"'“¿([{"
_APPENDED: Final = "\"'.。,，!！?？:：”)]}、"


class Encoded(NamedTuple):
    """A window as the model's encoder sees it."""

    window: Window
    frames: int
    """Of 10 ms, without the padding to 30 s."""
    features: Any


class Engine:
    """The loaded model. Two threads may use it at the same time."""

    def __init__(self, folder: Path, device: str = "cpu") -> None:
        compute = "int8" if device == "cpu" else "int8_float16"
        # One thread for each of the two hearings: the second core is free for the second hearing.
        threads = max(1, (os.cpu_count() or 2) // 2)
        try:
            self.model = WhisperModel(
                str(folder), device=device, compute_type=compute, cpu_threads=threads, num_workers=2
            )
            if device != "cpu":
                # A GPU whose libraries are not installed shows it only at its first work.
                self.model.encode(pad_or_trim(self.model.feature_extractor(np.zeros(160, np.float32))))
        except (RuntimeError, ValueError, OSError) as error:
            do = "Put the right files there, or choose another model: notepipe models"
            raise MissingModel(str(folder), f"the speech model can't be loaded ({error})", do) from error

    def encode(self, window: Window, samples: NDArray[np.float32]) -> Encoded:
        """*window* of *samples*, encoded once for all hearings."""
        features = self.model.feature_extractor(window.sound(samples))
        # The extractor pads by one frame; the recogniser's own loop leaves it out as well.
        frames = min(features.shape[-1] - 1, self.model.feature_extractor.nb_max_frames)
        return Encoded(window, frames, self.model.encode(pad_or_trim(features[..., :frames])))

    def tokens_in(self, text: str) -> int:
        """How many of the model's tokens *text* takes."""
        return len(self.model.hf_tokenizer.encode(f" {text}", add_special_tokens=False).ids)


class Hearing:
    """One way of hearing a recording: its prompt, and the text carried from one window to the next."""

    def __init__(self, engine: Engine, prompt: str) -> None:
        self._model = engine.model
        self._prompt = prompt
        self._tokenizer = _Tokenizer(
            self._model.hf_tokenizer, self._model.model.is_multilingual, task="transcribe", language="en"
        )
        self._options = _options(self._tokenizer)
        self._room = max(0, _EARLIER_TOKENS - engine.tokens_in(prompt))
        self._carried: list[int] = []

    def hear(self, encoded: Encoded) -> list[Heard]:
        """The words of a window, in seconds of the window; empty where nothing was said."""
        earlier = self._carried[-self._room :] if self._room else []
        # As hotwords the prompt stands before every window; as initial_prompt only before the first ones.
        self._tokenizer.before = ()
        # With time stamps the model leaves whole sentences of a window out (48 of 607 words; without, none).
        start = self._model.get_prompt(
            self._tokenizer, earlier, without_timestamps=True, hotwords=self._prompt
        )
        result, likely, temperature, _ = self._model.generate_with_fallback(
            encoded.features, start, self._tokenizer, self._options
        )
        if result.no_speech_prob > _NO_SPEECH and likely <= _UNLIKELY:
            return []
        tokens = result.sequences_ids[0]
        self._carried = [] if temperature > _RESET_TEMPERATURE else [*self._carried, *tokens]
        return self._timed(encoded, tokens, start)

    def _timed(self, encoded: Encoded, tokens: list[int], start: list[int]) -> list[Heard]:
        """The words of *tokens*, aligned under the prompt they were heard with.

        Aligned without it, a rightly heard "replate" gets the low opinion of a model that was told nothing.
        """
        self._tokenizer.before = tuple(start[: start.index(self._tokenizer.sot)])
        segment: dict[str, Any] = {
            "seek": 0, "start": 0.0, "end": encoded.frames / 100, "tokens": tokens, "words": []
        }  # fmt: skip
        if not any(token < self._tokenizer.eot for token in tokens):
            return []
        self._model.add_word_timestamps(
            [[segment]], self._tokenizer, encoded.features, encoded.frames, _PREPENDED, _APPENDED, 0.0
        )
        return _whole_words(segment["words"])


class _Tokenizer(Tokenizer):  # type: ignore[misc]
    """faster-whisper's, whose start sequence can hold the prompt, which its aligner would leave out."""

    before: tuple[int, ...] = ()

    @property
    def sot_sequence(self) -> list[int]:
        return [*self.before, *super().sot_sequence]


def _whole_words(pieces: list[dict[str, Any]]) -> list[Heard]:
    """Words as they are written: what has no blank before it ("-plate" after "re") joins the one before."""
    words: list[Heard] = []
    for piece in pieces:
        text, start_s, end_s = piece["word"], float(piece["start"]), float(piece["end"])
        probability = float(piece["probability"])
        if words and not text.startswith(" "):
            last = words[-1]
            probability = min(last.probability, probability)
            words[-1] = Heard(last.text + text, last.start_s, end_s, probability)
        elif text.strip():
            words.append(Heard(text.strip(), start_s, end_s, probability))
    return words


def has_gpu() -> bool:
    """Whether this machine has a GPU the recogniser can use."""
    return bool(ctranslate2.get_cuda_device_count())


def _options(tokenizer: Tokenizer) -> TranscriptionOptions:
    """faster-whisper's own defaults, word for word, but for what is handled here."""
    return TranscriptionOptions(
        beam_size=5,
        best_of=5,
        patience=1,
        length_penalty=1,
        repetition_penalty=1,
        no_repeat_ngram_size=0,
        log_prob_threshold=_UNLIKELY,
        no_speech_threshold=_NO_SPEECH,
        compression_ratio_threshold=2.4,
        condition_on_previous_text=True,
        prompt_reset_on_temperature=_RESET_TEMPERATURE,
        temperatures=[0.0, 0.2, 0.4, 0.6, 0.8, 1.0],
        initial_prompt=None,
        prefix=None,
        suppress_blank=True,
        suppress_tokens=get_suppressed_tokens(tokenizer, [-1]),
        without_timestamps=True,
        max_initial_timestamp=1.0,
        word_timestamps=True,
        prepend_punctuations=_PREPENDED,
        append_punctuations=_APPENDED,
        multilingual=False,
        max_new_tokens=None,
        clip_timestamps="0",
        hallucination_silence_threshold=None,
        hotwords=None,
    )
