"""The cautions: work that can hurt somebody, what to say, and whom to defer to (``cautions.toml``)."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import ConfigDict, model_validator

from notepipe.errors import BadSetting
from notepipe.toml import read_toml
from notepipe.trade.row import HERE, Row
from notepipe.trade.when import Examples, When

Evidence = Literal["V", "V2", "C", "M", "P"]
FACT: tuple[Evidence, ...] = ("V", "V2", "C")
"""Read in the source, read in a copy of it, or computed: may be stated as a fact. The rest is asked."""
NO_SOURCE = "common practice, no source"


class CautionRow(Row):
    """One caution. ``text`` states a fact only where the evidence allows it, else it asks."""

    id: str
    text: str
    """One plain sentence; no procedure and no limit value."""
    defer_to: str
    source: str
    """What was read, or "common practice, no source"."""
    evidence: Evidence
    acknowledge: bool = False
    """Safety-critical: acknowledged before a decision on the part is confirmed."""
    on_update: bool = False
    """Belongs in a letter: it is about the thing the client gets back, not about work in the shop."""
    when: tuple[When, ...]
    """Any of these."""
    examples: Examples

    @model_validator(mode="after")
    def _worded_as_known(self) -> CautionRow:
        if self.evidence not in FACT and not self.text.endswith("?"):
            raise ValueError(
                f"evidence {self.evidence} is no fact: 'text' must ask, and end in a question mark"
            )
        if self.evidence in FACT and self.source == NO_SOURCE:
            raise ValueError("a fact needs its source")
        return self


class CautionPack(Row):
    """The cautions of one file."""

    caution: tuple[CautionRow, ...] = ()


class _OfShop(CautionPack):
    """Those of a shop's file, which may hold words and rules as well; load_trade checks the rest of it."""

    model_config = ConfigDict(frozen=True, extra="ignore")


def load_cautions(extra: Sequence[Path] = ()) -> tuple[CautionRow, ...]:
    """Ours, then those of the files in *extra*; a shop's row takes the place of ours with the same id.

    Raises BadSetting for a slip, or for an id twice in one file.
    """
    rows: dict[str, CautionRow] = {}
    for path in (HERE / "cautions.toml", *extra):
        pack = read_toml(path, _OfShop if path in extra else CautionPack).caution
        once_each(path, [row.id for row in pack])
        rows |= {row.id: row for row in pack}
    return tuple(rows.values())


@cache
def cautions() -> tuple[CautionRow, ...]:
    """The program's own cautions."""
    return load_cautions()


def inside_only(rows: Sequence[CautionRow]) -> frozenset[str]:
    """The ids of the cautions that are about work in the shop and belong in no letter."""
    return frozenset(row.id for row in rows if not row.on_update)


def once_each(path: Path, ids: Sequence[str]) -> None:
    """Raises BadSetting where an id stands twice in *path*."""
    twice = sorted({name for name in ids if ids.count(name) > 1})
    if twice:
        raise BadSetting(str(path), f"id '{twice[0]}' stands there twice", "Give each an id of its own.")
