"""When two names are of one thing, and what says that an answer came: ``alike.toml``."""

from __future__ import annotations

import re
from functools import cache
from typing import Literal

from notepipe.toml import read_toml
from notepipe.trade.row import HERE, ActionName, Row


class AlikeExample(Row):
    """Two names, and whether they are of one part: so, not so, or only nearly (to be asked)."""

    one: str
    other: str
    alike: Literal["same", "nearly", "no"]


class ReplyExample(Row):
    """What is said, and whether the row speaks of it."""

    say: str
    gives: bool


class ReplyRow(Row):
    """Words that say that somebody answered, or (*found*) that what was looked for turned up."""

    id: str
    to: Literal["client", "shop"]
    """Whose question they answer."""
    found: bool = False
    phrases: tuple[str, ...]
    example: ReplyExample

    def speaks(self, text: str) -> bool:
        """Whether one of the phrases stands in *text*, as whole words."""
        return bool(_pattern(self.phrases).search(text.casefold().replace("’", "'")))


class UnchangedRow(Row):
    """Words that say that a part stays as it is on file."""

    id: str
    phrases: tuple[str, ...]
    example: ReplyExample

    def without(self, text: str) -> str | None:
        """*text* without the phrase; None where it does not say it."""
        plain = text.casefold().replace("’", "'")
        cut = _pattern(self.phrases).sub(" ", plain)
        return cut if cut != plain else None


class AsksRow(Row):
    """Words by which a question asks for the value of a field."""

    id: str
    field: Literal["quantity", "metal", "finish", "location", "sizes"]
    phrases: tuple[str, ...]
    example: ReplyExample

    def asks(self, text: str) -> bool:
        """Whether one of the phrases stands in *text*, as whole words."""
        return bool(_pattern(self.phrases).search(text.casefold().replace("’", "'")))


class Alike(Row):
    """The words by which parts are told apart or known again."""

    opposites: tuple[tuple[str, ...], ...]
    forms: frozenset[str]
    measures: frozenset[str]
    ends: frozenset[str]
    no_name: frozenset[str]
    teens: tuple[str, ...]
    tens: tuple[str, ...]
    hundreds: tuple[str, ...]
    calls: frozenset[str]
    some_of: tuple[str, ...]
    common: frozenset[str]
    new_one: frozenset[ActionName]
    either_way: tuple[frozenset[ActionName], ...]
    example: tuple[AlikeExample, ...]
    reply: tuple[ReplyRow, ...]
    asks: tuple[AsksRow, ...]
    unchanged: tuple[UnchangedRow, ...]


@cache
def alike() -> Alike:
    """The pack, read once. Raises BadSetting for a slip in it."""
    return read_toml(HERE / "alike.toml", Alike)


@cache
def _pattern(phrases: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w'])(?:{'|'.join(map(re.escape, phrases))})(?![\w'])")
