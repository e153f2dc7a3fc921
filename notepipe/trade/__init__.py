"""The trade's knowledge, all TOML: loaded, checked and frozen into one ``Trade``.

A pack holds any of: terms (parts, metals, finishes, trades), actions, cues, mishearings, rules, cautions.
A shop's own packs are read after ours by the same rules; every row has an example that is tested.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import Literal

from pydantic import model_validator

from notepipe.errors import BadSetting
from notepipe.toml import read_toml
from notepipe.trade.cautions import CautionRow, load_cautions
from notepipe.trade.deadlines import DeadlineRow
from notepipe.trade.row import HERE, ActionName, Row
from notepipe.trade.rules import RuleRow, load_rules

PACKS = (
    "parts", "metals", "finishes", "conditions", "people", "actions", "cues", "pointing", "mishearings",
    "deadlines",
)  # fmt: skip


class Example(Row):
    """What is said, and what the row makes of it (None: the row must leave it alone)."""

    say: str
    gives: str | None = None


class Term(Row):
    """Words for a part, a metal, a finish or a trade; ``value`` is the draft's word, if it differs."""

    id: str
    kind: Literal["part", "metal", "finish", "trade", "condition", "not-a-part"]
    value: str | None = None
    phrases: tuple[str, ...]
    example: Example


class ActionRow(Row):
    """How an action is said. ``verbs`` are inflected by rule; ``phrases`` are patterns (see matching)."""

    id: str
    action: ActionName
    verbs: tuple[str, ...] = ()
    nouns: tuple[str, ...] = ()
    """Said as a noun after give, get, want, need: "a buff", "a good soak"."""
    phrases: tuple[str, ...] = ()
    to_finish: str | None = None
    by: str | None = None
    standing: Literal["decided", "considering", "asking", "ruled-out", "done"] | None = None
    """Where the phrase itself says how it stands ("hands off", "still looking")."""
    example: Example


class CueRow(Row):
    """Words that say how an action stands, or that a stretch is a question, a heading, an aside."""

    id: str
    sets: Literal[
        "decided", "considering", "asking", "ruled-out", "done",
        "to-client", "to-shop", "taken-back", "not-ours", "not-a-cue", "heading-ruled-out",
        "heading-end", "plan-back",
    ]  # fmt: skip
    patterns: tuple[str, ...]
    reach: Literal["phrase", "clause", "sentence", "next"] = "clause"
    """phrase: the pattern holds the action itself; clause, sentence: every action in it; next: the next."""
    examples: tuple[Example, ...]


class Mishearing(Row):
    """``said`` may come out as ``heard``: a doubt where the other reading would fit as well."""

    said: str
    heard: str
    wrong: str
    """What goes wrong, for the reviewer."""
    needs: tuple[str, ...] = ()
    """Words near it that make the other reading likely; none: anywhere."""
    unless: tuple[str, ...] = ()
    """Words near it that rule the other reading out."""
    example: Example


class Pack(Row):
    """The rows of one file."""

    term: tuple[Term, ...] = ()
    action: tuple[ActionRow, ...] = ()
    cue: tuple[CueRow, ...] = ()
    mishearing: tuple[Mishearing, ...] = ()
    deadline: tuple[DeadlineRow, ...] = ()
    rule: tuple[RuleRow, ...] = ()
    caution: tuple[CautionRow, ...] = ()

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of its rows, in order; a mishearing has none."""
        named: tuple[Term | ActionRow | CueRow | DeadlineRow, ...]
        named = (*self.term, *self.action, *self.cue, *self.deadline)
        return tuple(row.id for row in named)

    @model_validator(mode="after")
    def _ids_once(self) -> Pack:
        ids = self.ids
        twice = {i for i in ids if ids.count(i) > 1}
        if twice:
            raise ValueError(f"id used twice: {', '.join(sorted(twice))}")
        return self


class Trade(Row):
    """Everything the packs know, in the order it was read."""

    packs: tuple[Pack, ...]
    rules: tuple[RuleRow, ...] = ()
    cautions: tuple[CautionRow, ...] = ()

    @cached_property
    def terms(self) -> tuple[Term, ...]:
        return tuple(t for pack in self.packs for t in pack.term)

    @cached_property
    def actions(self) -> tuple[ActionRow, ...]:
        return tuple(a for pack in self.packs for a in pack.action)

    @cached_property
    def cues(self) -> tuple[CueRow, ...]:
        return tuple(c for pack in self.packs for c in pack.cue)

    @cached_property
    def mishearings(self) -> tuple[Mishearing, ...]:
        return tuple(m for pack in self.packs for m in pack.mishearing)

    @cached_property
    def deadlines(self) -> tuple[DeadlineRow, ...]:
        return tuple(d for pack in self.packs for d in pack.deadline)

    def without(self, row_id: str) -> Trade:
        """The same without one row: what the tests use to show that no row is dead."""
        packs = tuple(_without(pack, row_id) for pack in self.packs)
        return Trade(packs=packs, rules=self.rules, cautions=self.cautions)


def _without(pack: Pack, row_id: str) -> Pack:
    return Pack(
        term=tuple(r for r in pack.term if r.id != row_id),
        action=tuple(r for r in pack.action if r.id != row_id),
        cue=tuple(r for r in pack.cue if r.id != row_id),
        mishearing=tuple(m for m in pack.mishearing if f"{m.said}>{m.heard}" != row_id),
        deadline=tuple(r for r in pack.deadline if r.id != row_id),
    )


def load_trade(extra: Sequence[Path] = ()) -> Trade:
    """Our packs, then the packs in *extra*: files, or folders whose ``*.toml`` are read in order of name.

    Raises BadSetting naming file, line and field of a slip.
    """
    own = list(_files(extra))
    paths = [HERE / f"{name}.toml" for name in PACKS] + own
    packs = tuple(read_toml(path, Pack) for path in paths)
    _no_id_twice(paths, packs)
    return Trade(packs=packs, rules=load_rules(own), cautions=load_cautions(own))


def _files(extra: Sequence[Path]) -> Iterator[Path]:
    for path in extra:
        yield from sorted(path.glob("*.toml")) if path.is_dir() else [path]


def _no_id_twice(paths: Sequence[Path], packs: Sequence[Pack]) -> None:
    seen: dict[str, Path] = {}
    for path, pack in zip(paths, packs, strict=True):
        for row_id in pack.ids:
            if row_id in seen:
                raise BadSetting(
                    str(path), f"id '{row_id}' stands in {seen[row_id]} as well", "Give it an id of its own."
                )
            seen[row_id] = path
