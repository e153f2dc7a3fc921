"""What was heard: timed words, where two hearings of one sound differ, and what is missing of the sound."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """A record that never changes and knows no field but its own."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Word(Frozen):
    """One word as heard, and where it stands in the text of the transcript."""

    text: str
    """As written in the transcript, without the blank before it."""
    at: int
    """Offset of its first character in ``Transcript.text``."""
    start_s: float | None = None
    """Seconds from the start of the recording; None where the note came as plain text."""
    end_s: float | None = None
    probability: float | None = None
    """The recogniser's, 0 to 1; None where the note came as text."""


class Difference(Frozen):
    """Two hearings disagree: ``Transcript.text[start:end]`` against what the other hearing has there."""

    start: int
    end: int
    """Equal to start where only the other hearing has words."""
    other: str
    """The other hearing's words; empty where it has none."""


class Transcript(Frozen):
    """The text that is read, its words, and what is known about how well it was heard."""

    text: str
    words: tuple[Word, ...] = ()
    differences: tuple[Difference, ...] = ()
    warnings: tuple[str, ...] = ()
    """In plain words, what is missing ("12 s promised, 11.5 s heard, 12 packets damaged")."""
    duration_s: float | None = None
    heard_with: str | None = None
    """For example ``whisper base int8``; None where the note came as text."""

    def words_between(self, start: int, end: int) -> tuple[Word, ...]:
        """The words that overlap ``text[start:end]``."""
        return tuple(w for w in self.words if w.at < end and w.at + len(w.text) > start)

    def seconds(self, start: int, end: int) -> tuple[float | None, float | None]:
        """When ``text[start:end]`` was said: (start, end) in seconds, or (None, None)."""
        timed = [w for w in self.words_between(start, end) if w.start_s is not None]
        return (timed[0].start_s, timed[-1].end_s) if timed else (None, None)
