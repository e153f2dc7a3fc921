"""A part as the cells of a parts list: what stands of it, one word or line a column."""

from __future__ import annotations

from collections.abc import Callable

from notepipe.draft import Decision, Part, Size
from notepipe.papers.layout import plain
from notepipe.papers.phrases import measure
from notepipe.register import PartNow

COLUMNS = (
    "tag", "part", "count", "metal", "finish", "condition", "size", "decision", "who", "standing", "state",
)  # fmt: skip
NOT_SAID = "not said"
IN_STEP = ("decision", "who", "standing")
"""The columns that have a line for each decision."""


def state(part: Part) -> str:
    """Where the part is on its way: what is still to do, whom it waits for, or that it is finished."""
    standings = {d.standing for d in part.decisions}
    alive = [d for d in part.decisions if d.standing in ("decided", "considering", "asking")]
    if "asking" in standings:
        return "waits for client"
    if any(d.action == "source" for d in alive):
        return "looked for"
    if any(d.standing == "decided" and d.action != "leave" for d in alive):
        return "part done" if "done" in standings else "to do"
    if "considering" in standings:
        return "open"
    if "done" in standings:
        return "done"
    return "left as is" if standings else "nothing decided"


def cells_of(now: PartNow) -> dict[str, list[str]]:
    """The lines of each cell of one part; decision, who and standing have one line a decision, in step."""
    part = now.part

    def each(say: Callable[[Decision], str]) -> list[str]:
        return [plain(say(decision)) for decision in part.decisions]

    return {
        "tag": [now.tag],
        "part": [plain(part.name)],
        "count": [] if part.quantity is None else [str(part.quantity)],
        "metal": [plain(part.metal)] if part.metal else [],
        "finish": [plain(part.finish)] if part.finish else [],
        "condition": [plain(condition) for condition in part.condition],
        "size": [_size(size) for size in part.sizes],
        "decision": each(_what),
        "who": each(lambda decision: decision.by or NOT_SAID),
        "standing": each(lambda decision: decision.standing),
        "state": [state(part)],
    }


def _size(size: Size) -> str:
    """``across 14 1/2 in``, no line ending inside the measure."""
    return " ".join(filter(None, (plain(size.feature or ""), measure(size))))


def _what(decision: Decision) -> str:
    finish = f" to {decision.to_finish}" if decision.to_finish else ""
    metal = f" in {decision.to_metal}" if decision.to_metal else ""
    return decision.action + finish + metal
