"""How papers word what stands in the register: ``wording.toml`` and ``client_words.toml``."""

from __future__ import annotations

from functools import cache

from pydantic import Field

from notepipe.toml import read_toml
from notepipe.trade.row import HERE, Row


class ActionWords(Row):
    """How one action is said: ``{finish}`` and ``{metal}`` stand for what the part is to become."""

    id: str
    step: int
    """When in the course of the work it is usually done; 0 where it comes in no order."""
    participle: str
    participle_one: str | None = None
    """Where it differs for a single part ("left as it is")."""
    in_place: str | None = None
    """Instead of the participle where the part as described is the one that goes ("broken … bought")."""
    in_place_one: str | None = None
    first_time: str | None = None
    """Instead of the participle where the part had no plate before."""
    again: tuple[str, ...] = ()
    """Spoken words that say it had one."""
    done: str | None = None
    """Instead of the participle where it has been done."""
    finished: str | None = None
    """Instead of the participle before ``finish``, where the coat has no verb of its own."""
    in_house: str = "here"
    finish: str | None = None
    metal: str | None = None
    metal_one: str | None = None
    said: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    """Participle to write → other words spoken for it."""


class Wording(Row):
    """The letter's words."""

    counts: tuple[str, ...]
    name_ends_before: tuple[str, ...]
    question_words: tuple[str, ...]
    platers: tuple[str, ...]
    the_client: tuple[str, ...]
    currency: dict[str, str]
    looking: tuple[str, ...]
    """Words that speak of having looked for something."""
    money: tuple[str, ...]
    """Words and signs by which a price is known."""
    action: tuple[ActionWords, ...]
    has_finish: dict[str, str]
    plates: tuple[str, ...]
    coloured: tuple[str, ...]
    in_finish: dict[str, str]
    coated: dict[str, str]
    to_finish: dict[str, str]
    feature: dict[str, str]
    plurals: dict[str, str]

    def of(self, action: str) -> ActionWords:
        """The words for *action*."""
        return next(words for words in self.action if words.id == action)


class ClientWords(Row):
    """The words that may pass from the bench into a letter."""

    openings: tuple[str, ...]
    closings: tuple[str, ...]
    never_last: tuple[str, ...]
    gone: tuple[str, ...]
    """Conditions that say that the part is not there."""
    reasons: tuple[str, ...]
    verbs: tuple[str, ...]
    ends: tuple[str, ...]
    short_forms: dict[str, str]
    words: dict[str, tuple[str, ...]]

    def without(self, *groups: str) -> frozenset[str]:
        """The words of every group but *groups*."""
        return frozenset(word for name, group in self.words.items() if name not in groups for word in group)


@cache
def wording() -> Wording:
    """The program's ``wording.toml``. Raises BadSetting for a slip in it."""
    return read_toml(HERE / "wording.toml", Wording)


@cache
def client_words() -> ClientWords:
    """The program's ``client_words.toml``. Raises BadSetting for a slip in it."""
    return read_toml(HERE / "client_words.toml", ClientWords)
