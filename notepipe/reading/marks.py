"""What a reader marks in the tokens of a note, before it is gathered into records.

Both readers, the rules and the trained one, make these; ``gather`` turns them into parts and questions.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

Field = Literal["quantity", "metal", "finish", "size", "condition", "location"]


@dataclass(frozen=True)
class Span:
    """Tokens ``first`` to ``last``, both inclusive."""

    first: int
    last: int


class Signs(NamedTuple):
    """What speaks for a mark of the trained reader, and against it; likelihoods from 0 to 1."""

    said: float = 1.0
    """That the words are such a value or action."""
    stands: float = 1.0
    """That it stands so."""
    linked: float = 1.0
    """That it belongs to its group."""
    rival: float = 0.0
    """That it belongs to the group next likeliest."""
    apart: int = 0
    """Tokens between it and the words that pick its group out."""
    how: str = ""
    """How it was come by, where not by its own words: one, two, singular, rest, handed, loose."""


@dataclass(frozen=True)
class Value:
    """A value said of a group: the words it stands in and the rule or reader that marked it."""

    field: Field
    value: object
    span: Span
    rule: str
    sure: bool = True
    why: str = ""
    """Where not sure: what the reviewer is told."""
    signs: Signs | None = None
    """None: by the rules."""


@dataclass(frozen=True)
class Fate:
    """An action said of one or more groups."""

    action: str
    standing: str
    span: Span
    """The words of the action itself."""
    clause: Span
    """The clause it rests on: the quote."""
    rule: str
    by: str | None = None
    to_finish: str | None = None
    to_metal: str | None = None
    sure: bool = True
    why: str = ""
    signs: Signs | None = None
    other: str | None = None
    """The next likeliest standing."""


@dataclass
class Group:
    """A thing or a set of like things with one fate, as it is being gathered."""

    name: str
    anchors: list[Span]
    plural: bool
    set_of: Group | None = None
    """The set it was picked out of."""
    own: Span = Span(0, 0)
    """The words that pick out this very group."""
    names: list[Span] = field(default_factory=list)
    """The words its name was taken from."""
    sets: list[Span] = field(default_factory=list)
    """The words that name the set it is picked out of."""
    values: list[Value] = field(default_factory=list)
    fates: list[Fate] = field(default_factory=list)
    picked: list[Group] = field(default_factory=list)
    """Groups picked out of this one."""
    likely: float = 1.0
    """That it is a record of its own, by the trained reader's opinion."""
    rule: str = ""

    @property
    def whole(self) -> Group:
        """The set it belongs to, itself where it belongs to none."""
        return self.set_of or self

    def value(self, name: Field) -> object | None:
        """The last word on a field."""
        said = [v.value for v in self.values if v.field == name]
        return said[-1] if said else None


@dataclass(frozen=True)
class Asked:
    """A question: to whom, about which group, in which words."""

    to: Literal["client", "shop"]
    group: Group | None
    about: str
    clause: Span
    rule: str
    sure: bool = True


@dataclass
class Marks:
    """Everything one reader marked in a note."""

    groups: list[Group] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
