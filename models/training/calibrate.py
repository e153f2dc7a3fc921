"""Fit when a mark gets a doubt: python models/training/calibrate.py OUT.json NOTES_OR_KEYS…

NOTES_OR_KEYS are keyed notes that the reader was NOT trained on: NAME.json as in notes/, or NAME.key.json
with its NAME.txt. Each mark of the reader is right or wrong by the key. A logistic regression of that on the
grounds in notepipe/reading/odds.py gives the weights. LINE is where a doubt begins: the highest at which no
more than 4 % of all values are wrong and silent by the marker (tests/narrations/score_drafts.py). Needs the
project installed.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "narrations"))

import score_drafts as marker  # noqa: E402

from notepipe.draft import Note  # noqa: E402
from notepipe.reading import agreement, gather, read  # noqa: E402
from notepipe.trade import load_trade  # noqa: E402
from notepipe.transcript import Transcript  # noqa: E402

LINE = 0.28
RIDGE = 2.0
KINDS = ("decision", "metal", "finish", "quantity", "size")
Mark = tuple[str, dict[str, float], bool]
"""Kind, grounds, wrong."""


class Watch:
    """The grounds of every mark, and the group each part of a draft was made from."""

    def __init__(self) -> None:
        self.grounds: dict[tuple[int, str, Any], dict[str, float]] = {}
        self.groups: list[Any] = []

    def begin(self) -> None:
        lines = gather._lines
        of_value, of_fate = agreement.grounds_of_value, agreement.grounds_of_fate

        def on_value(v: Any, group: Any, *, agreed: bool) -> dict[str, float]:
            found = of_value(v, group, agreed=agreed)
            self.grounds[id(group), v.field, repr(v.value)] = found
            return found

        def on_fate(f: Any, group: Any, *, agreed: bool, against: bool) -> dict[str, float]:
            found = of_fate(f, group, agreed=agreed, against=against)
            self.grounds[id(group), "decision", (f.action, f.standing, f.to_finish)] = found
            return found

        def on_lines(groups: Any) -> Iterator[Any]:
            self.groups = list(lines(groups))
            return iter(self.groups)

        agreement.grounds_of_value, agreement.grounds_of_fate = on_value, on_fate
        gather._lines = on_lines
        agreement.doubtful = lambda kind, grounds: False


def keyed(path: Path) -> tuple[dict[str, Any], str]:
    """The key and the text of one note."""
    told = json.loads(path.read_text(encoding="utf-8"))
    if path.name.endswith(".key.json"):
        return told, path.with_name(path.name.removesuffix(".key.json") + ".txt").read_text(encoding="utf-8")
    return told, told["text"]


def wrong_in(key: dict[str, Any], part: dict[str, Any], field: str, value: Any) -> bool:
    """Whether *value* of *field* is none of those the key has."""
    if field == "size":
        return not any(s.get("mm") is None or marker.same_size(s, value) for s in key.get("sizes", []))
    return marker.norm(value) not in marker.norms(key.get(field))


def right_decisions(key: dict[str, Any], part: dict[str, Any]) -> set[int]:
    """The places of the decisions that are right in all that the key gives."""
    pairs, _, _ = marker.pair(key.get("decisions", []), part["decisions"], marker.decision_score)
    right = set()
    for k, g in pairs:
        stands = marker.norm(g["standing"]) in marker.norms(k["standing"])
        if stands and all(marker.norm(g.get(f)) in marker.norms(k[f]) for f in marker.DETAILS if f in k):
            right.add(next(i for i, d in enumerate(part["decisions"]) if d is g))
    return right


def marks_of(path: Path, watch: Watch, trade: Any) -> Iterator[Mark]:
    """Every mark of the draft of one note, with its grounds, right or wrong by the key."""
    key, text = keyed(path)
    for part in key["parts"]:
        part["sizes"] = [s for s in part.get("sizes", []) if s.get("mm") not in (None, [None])]
    watch.grounds.clear()
    drafted = read(Transcript(text=text), Note(file=path.name, sha256=""), trade).model_dump(mode="json")
    draft = marker.tidy(drafted)
    pairs, _, _ = marker.pair(key["parts"], draft["parts"], marker.part_score)
    keys = {id(g): k for k, g in pairs}
    for part, group in zip(draft["parts"], watch.groups, strict=True):
        yield from marks_of_part(part, keys.get(id(part)), group, watch)


def marks_of_part(
    part: dict[str, Any], key: dict[str, Any] | None, group: Any, watch: Watch
) -> Iterator[Mark]:
    for value in group.values:
        grounds = watch.grounds.get((id(group), value.field, repr(value.value)))
        if grounds is not None and value.field in KINDS:
            yield value.field, grounds, key is None or wrong_in(key, part, value.field, value.value)
    right = right_decisions(key, part) if key else set()
    for place, fate in enumerate(group.fates):
        grounds = watch.grounds.get((id(group), "decision", (fate.action, fate.standing, fate.to_finish)))
        if grounds is not None:
            yield "decision", grounds, place not in right


def fitted(marks: list[Mark]) -> dict[str, float]:
    """Weights of a logistic regression with a ridge, by Newton's steps."""
    names = sorted({name for _, grounds, _ in marks for name in grounds})
    x = np.array([[1.0, *(grounds.get(n, 0.0) for n in names)] for _, grounds, _ in marks])
    y = np.array([float(wrong) for _, _, wrong in marks])
    w = np.zeros(x.shape[1])
    ridge = np.full(x.shape[1], RIDGE)
    ridge[0] = 1e-3
    for _ in range(30):
        p = 1 / (1 + np.exp(-np.clip(x @ w, -30, 30)))
        gradient = x.T @ (p - y) + ridge * w
        w -= np.linalg.solve((x * (p * (1 - p))[:, None]).T @ x + np.diag(ridge), gradient)
    return {
        "bias": round(float(w[0]), 4),
        **{n: round(float(v), 4) for n, v in zip(names, w[1:], strict=True)},
    }


def scores(weights: dict[str, float], marks: list[Mark]) -> np.ndarray[Any, Any]:
    raw = [weights["bias"] + sum(weights.get(n, 0.0) * v for n, v in g.items()) for _, g, _ in marks]
    return 1 / (1 + np.exp(-np.clip(np.array(raw), -30, 30)))


def main() -> None:
    out, *paths = (Path(a) for a in sys.argv[1:])
    watch, trade = Watch(), load_trade()
    watch.begin()
    marks: list[Mark] = []
    for path in paths:
        marks += marks_of(path, watch, trade)
    by_kind = {kind: [m for m in marks if m[0] == kind] for kind in KINDS}
    weights = {kind: fitted(of) for kind, of in by_kind.items()}
    told = {"notes": len(paths), "weights": weights, "line": dict.fromkeys(KINDS, LINE)}
    out.write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    for kind, of in by_kind.items():
        c, bad = scores(weights[kind], of), np.array([m[2] for m in of])
        print(
            f"{kind:9} {len(of):5} marks, {bad.mean():.3f} wrong; doubted {(c > LINE).mean():.3f}, "
            f"of the right ones {(c[~bad] > LINE).mean():.3f}, of the wrong ones {(c[bad] > LINE).mean():.3f}"
        )


if __name__ == "__main__":
    main()
