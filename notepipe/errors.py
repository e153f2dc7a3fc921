"""Every mistake a user can meet, and the only place that words how it is printed.

    NotepipeError
    ├── BadRecording    the sound or text can't be used (not sound, no speech, too short)
    ├── BadPicture      a picture can't be used (no picture, cut off, too large)
    ├── MissingModel    the speech engine's files are not there, or are not the right ones
    ├── BadSetting      a TOML file of the shop or of the trade has a slip
    ├── BadTemplate     a paper's template names what isn't there
    ├── NotFound        no such shop, job, note, part
    ├── NotReviewed     a paper asked for before its records are confirmed
    ├── BadLedger       the history was changed by hand, or is from a newer version
    ├── CannotWrite     a folder that can't be written, a full disk
    └── BadAnswer       a review answer that makes no sense (splitting 5 into 3 and 3)

A bug is never one of these: it keeps its traceback.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class NotepipeError(Exception):
    """A user's mistake or a broken file: *where*, *what* is wrong, and what to *do* about it."""

    def __init__(self, where: str, what: str, do: str) -> None:
        super().__init__(where, what, do)
        self.where = where
        self.what = what
        self.do = do

    def __str__(self) -> str:
        return f"{self.where}: {self.what}\n{self.do}"


class BadRecording(NotepipeError):
    """The sound or text given can't be used."""


class BadPicture(NotepipeError):
    """The picture given can't be used."""


class MissingModel(NotepipeError):
    """The speech engine's files are missing or wrong."""


class BadSetting(NotepipeError):
    """A TOML file has a slip: the place names file, line and field."""


class BadTemplate(NotepipeError):
    """A paper's template names what isn't there, or is no Jinja2."""


class NotFound(NotepipeError):
    """What was named does not exist."""


class NotReviewed(NotepipeError):
    """A paper was asked for while records wait for review."""


class BadLedger(NotepipeError):
    """The history does not verify, or is newer than this program."""


class CannotWrite(NotepipeError):
    """Nothing can be written where it should go."""


class BadAnswer(NotepipeError):
    """An answer in a review that contradicts the record."""


def nearest(word: str, known: Iterable[str]) -> str:
    """``Did you mean 'x'?`` for the most alike of *known*, else the list of what is known."""
    choices = sorted(known)
    close = difflib.get_close_matches(word, choices, n=1, cutoff=0.5)
    return f"Did you mean '{close[0]}'?" if close else f"Known: {', '.join(choices)}."
