"""How likely a mark of the trained reader is wrong: what speaks for it, weighed.

The network is too sure of itself. The weights in models/reader/doubts.json were fitted by
models/training/calibrate.py on notes that it had not been trained on, and so is the line from which a mark
gets a doubt: there the reviewer looks at the fewest right values for the wrong ones found.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from notepipe.reading.marks import Fate, Group, Signs, Value
from notepipe.reading.network import reader_folder

Grounds = Mapping[str, float]
LEAST = 1e-4
FAR = 40.0
"""Words apart, from where on further makes no difference."""


def grounds_of_value(value: Value, group: Group, *, agreed: bool) -> dict[str, float]:
    """What speaks for and against a value on *group*; *agreed*: the rules say the same."""
    signs = value.signs or Signs()
    twins = sum(v.field == value.field for v in group.values) - 1
    return {
        **_shared(signs, group),
        "agreed": float(agreed),
        "twins": min(twins, 3.0),
        signs.how or "said": 1,
    }


def grounds_of_fate(fate: Fate, group: Group, *, agreed: bool, against: bool) -> dict[str, float]:
    """What speaks for and against an action on *group*; *against*: the rules give it to another group."""
    signs = fate.signs or Signs()
    alone = float(len(group.fates) == 1)
    others = {
        "stands": _odds(signs.stands),
        "agreed": float(agreed),
        "against": float(against),
        "alone": alone,
    }
    split = {"split": float(bool(group.sets)), "again": float(len(group.anchors) > 1 + len(group.sets))}
    return {**_shared(signs, group), **others, **split, "alone": alone, fate.standing: 1.0, fate.action: 1.0}


def chance_wrong(kind: str, grounds: Grounds) -> float:
    """From 0 to 1; *kind* is decision, metal, finish, quantity or size."""
    weights = _weights(reader_folder())["weights"][kind]
    score = weights["bias"] + sum(weights.get(name, 0.0) * x for name, x in grounds.items())
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, score))))


def doubtful(kind: str, grounds: Grounds) -> bool:
    """Whether a mark with these *grounds* gets a doubt."""
    line: float = _weights(reader_folder())["line"][kind]
    return chance_wrong(kind, grounds) > line


@cache
def _weights(folder: Path) -> dict[str, Any]:
    weights: dict[str, Any] = json.loads((folder / "doubts.json").read_text("utf-8"))
    return weights


def _shared(signs: Signs, group: Group) -> dict[str, float]:
    return {
        "tagged": _odds(signs.said),
        "linked": _odds(signs.linked),
        "rival": _odds(signs.rival),
        "picked": _odds(group.likely),
        "apart": math.log1p(min(signs.apart, FAR)),
    }


def _odds(likely: float) -> float:
    """The logarithm of the odds, kept within ±9.2."""
    kept = min(max(likely, LEAST), 1 - LEAST)
    return math.log(kept / (1 - kept))
