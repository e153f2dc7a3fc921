"""What each action means to the office (``operations.toml``): its list, and whether parts go out for it."""

from __future__ import annotations

from functools import cache
from typing import Literal

from notepipe.toml import read_toml
from notepipe.trade.row import HERE, ActionName, Row

ListName = Literal["bench", "buying", "looking for", "none"]


class OperationExample(Row):
    """A decision on this action, by somebody, and the list it stands on then."""

    by: str | None = None
    on: ListName


class Operation(Row):
    """One action in the order of the work."""

    action: ActionName
    title: str
    """Its heading on a list."""
    list: ListName
    goes_out: bool
    """Whether the part itself can leave the house for it."""
    leaves_original: bool = False
    """Whether an old part is left over, whose whereabouts have to be known."""
    example: OperationExample


class Operations(Row):
    """All of them, in the order of the work."""

    operation: tuple[Operation, ...]

    def of(self, action: str) -> Operation:
        """The row of *action*."""
        return next(row for row in self.operation if row.action == action)

    def step(self, action: str) -> int:
        """Which place *action* has in the order of the work, from 0."""
        return [row.action for row in self.operation].index(self.of(action).action)


@cache
def operations() -> Operations:
    """The program's ``operations.toml``. Raises BadSetting for a slip in it."""
    return read_toml(HERE / "operations.toml", Operations)
