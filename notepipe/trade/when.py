"""When a plausibility rule or a caution speaks: what must be true of a part, in words.

Words are matched whole, in small letters, the plural folded ("hinges" is "hinge"); several words in one
string must stand next to each other, and a star stands for the rest of a word ("weld*": welds, welded,
welder). A list is *any of these*; everything given must hold.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import model_validator

from notepipe.trade.row import ActionName, Row

StandingName = Literal["decided", "considering", "asking", "ruled-out", "done"]
ALIVE: tuple[StandingName, ...] = ("decided", "considering", "asking", "done")
"""What was refused harms nobody."""


class When(Row):
    """One set of circumstances. ``action`` to ``said_too`` must all hold of one and the same decision."""

    part: tuple[str, ...] = ()
    """Words in the part's name."""
    unless_part: tuple[str, ...] = ()
    metal: tuple[str, ...] = ()
    """The value itself: "aluminium" is not in "aluminium bronze"."""
    finish: tuple[str, ...] = ()
    """Words in it: "paint" is in "black paint"."""
    condition: tuple[str, ...] = ()
    spoken: tuple[str, ...] = ()
    """Words anywhere in what was said of the part: name, condition, place, quotes, decisions."""
    spoken_too: tuple[str, ...] = ()
    unless_spoken: tuple[str, ...] = ()
    lacks: tuple[Literal["metal", "finish", "quantity", "unit"], ...] = ()
    """Fields of which at least one is empty; unit: that of any size."""
    quantity_not: tuple[int, ...] = ()
    """A count was given, and it is none of these."""
    quantity_odd: bool = False
    mixed_units: bool = False
    """Sizes in inches and in millimetres on one part."""
    mm_over: float | None = None
    mm_under: float | None = None
    action: tuple[ActionName, ...] = ()
    standing: tuple[StandingName, ...] = ALIVE
    by: tuple[str, ...] = ()
    to_finish: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    """Words in the quote of that decision."""
    said_too: tuple[str, ...] = ()
    unless_said: tuple[str, ...] = ()
    together: tuple[ActionName, ...] = ()
    """Actions that are all decided on this part."""
    without: tuple[ActionName, ...] = ()
    """Actions none of which is alive on this part."""
    unasked: bool = False
    """Nothing on this part waits for the client's word."""

    @model_validator(mode="after")
    def _says_something(self) -> When:
        if not self.model_fields_set:
            raise ValueError("it is empty and would always hold")
        return self

    @property
    def about_decision(self) -> bool:
        """Whether a decision is asked for at all."""
        return bool(
            self.action or self.by or self.to_finish or self.said or self.said_too or self.unless_said
        )


class Examples(Row):
    """Parts it speaks on, and parts it must leave alone, each written as in a draft."""

    speaks: tuple[dict[str, Any], ...]
    silent: tuple[dict[str, Any], ...]

    @model_validator(mode="after")
    def _one_each(self) -> Examples:
        if not self.speaks or not self.silent:
            raise ValueError("one example at least of each: a part it speaks on, and one it leaves alone")
        return self
