"""The plausibility rules: what hardly can be meant, asked as a question for the reviewer (``rules.toml``)."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import ConfigDict, model_validator

from notepipe.toml import read_toml
from notepipe.trade.cautions import FACT, NO_SOURCE, Evidence, once_each
from notepipe.trade.row import HERE, Row
from notepipe.trade.when import Examples, When


class RuleRow(Row):
    """One rule. It corrects nothing: the words stay as spoken and a doubt is set beside them."""

    id: str
    field: Literal["name", "quantity", "metal", "finish", "condition", "sizes", "decisions"]
    """The value the doubt stands beside."""
    fact: str | None = None
    """What is known, where there is evidence for it; said before the question."""
    ask: str
    """The question."""
    source: str
    """What was read, or "common practice, no source"."""
    evidence: Evidence
    when: tuple[When, ...]
    """Any of these."""
    examples: Examples

    @model_validator(mode="after")
    def _worded_as_known(self) -> RuleRow:
        if not self.ask.endswith("?"):
            raise ValueError("'ask' must be a question and end in a question mark")
        if self.fact and self.evidence not in FACT:
            raise ValueError(f"evidence {self.evidence} is no fact: leave 'fact' out, and ask")
        if self.fact and self.source == NO_SOURCE:
            raise ValueError("a fact needs its source")
        return self

    @property
    def why(self) -> str:
        """The fact, then the question."""
        return f"{self.fact} {self.ask}" if self.fact else self.ask


class RulePack(Row):
    """The rules of one file."""

    rule: tuple[RuleRow, ...] = ()


class _OfShop(RulePack):
    """Those of a shop's file, which may hold words and cautions as well; load_trade checks the rest of it."""

    model_config = ConfigDict(frozen=True, extra="ignore")


def load_rules(extra: Sequence[Path] = ()) -> tuple[RuleRow, ...]:
    """Ours, then those of the files in *extra*; a shop's row takes the place of ours with the same id.

    Raises BadSetting for a slip, or for an id twice in one file.
    """
    rows: dict[str, RuleRow] = {}
    for path in (HERE / "rules.toml", *extra):
        pack = read_toml(path, _OfShop if path in extra else RulePack).rule
        once_each(path, [row.id for row in pack])
        rows |= {row.id: row for row in pack}
    return tuple(rows.values())


@cache
def rules() -> tuple[RuleRow, ...]:
    """The program's own rules."""
    return load_rules()
