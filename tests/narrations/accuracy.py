"""How right the drafts are: python tests/narrations/accuracy.py [--misses] [FOLDER …]

Marks the notes of this folder (the trained reader has never seen them) and, where a folder of narrations
is named or ../shared/narrations is there, its two halves: those the reader was trained on, and the third
held out by name in models/training/held-out.txt. Each is read with the trained reader and by the rules alone.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path.insert(0, str(HERE))

import score_drafts as marker  # noqa: E402

from notepipe.draft import Note  # noqa: E402
from notepipe.reading import read  # noqa: E402
from notepipe.trade import load_trade  # noqa: E402
from notepipe.transcript import Transcript  # noqa: E402

Reader = Callable[[str, str], dict[str, object]]


def reader(*, rules_alone: bool) -> Reader:
    """Text and file name → draft, with the packs loaded once."""
    trade = load_trade()

    def draft(text: str, file: str) -> dict[str, object]:
        note = Note(file=file, sha256="0" * 64)
        return read(Transcript(text=text), note, trade, rules_alone=rules_alone).model_dump(mode="json")

    return draft


def marks_of(key: Path, draft: Reader) -> marker.Marks:
    """The marks of one keyed note."""
    name = key.name.removesuffix(".key.json")
    text = key.with_name(name + ".txt").read_text(encoding="utf-8")
    return marker.mark(json.loads(key.read_text(encoding="utf-8")), draft(text, name + ".txt"), text, name)


def line(label: str, marks: marker.Marks) -> str:
    """F1 of each kind, then the counts of the worst errors."""
    figures = [f"{getattr(marks, n).figures()['f1']:.3f}" for n in marker.TALLIES]
    return (
        f"{label:30}"
        + "".join(f"{f:>10}" for f in figures)
        + "".join(f"{getattr(marks, n):>12}" for n in marker.COUNTS)
    )


def table(title: str, keys: Iterable[Path], draft: Reader, *, misses: bool) -> None:
    """Print a line for each note and one for all."""
    print(
        f"\n{title:30}"
        + "".join(f"{n:>10}" for n in marker.TALLIES)
        + "".join(f"{n:>12}" for n in marker.COUNTS)
    )
    total = marker.Marks()
    for key in keys:
        marks = marks_of(key, draft)
        print(line(key.name.removesuffix(".key.json"), marks), flush=True)
        total.add(marks)
    print(line("all", total))
    if misses:
        print("\n".join(total.misses))


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="*", type=Path, default=[ROOT.parent / "shared" / "narrations"])
    parser.add_argument("--misses", action="store_true", help="list what was wrong")
    args = parser.parse_args()
    held = set((ROOT / "models" / "training" / "held-out.txt").read_text(encoding="utf-8").split())
    for how, rules_alone in (("rules and trained reader", False), ("rules alone", True)):
        draft = reader(rules_alone=rules_alone)
        table(f"our own, {how}", sorted(HERE.glob("*.key.json")), draft, misses=args.misses)
        for folder in args.folders:
            keys = sorted(folder.glob("*.key.json"))
            halves = {"held out": [k for k in keys if k.name.removesuffix(".key.json") in held]}
            halves["trained on"] = [k for k in keys if k not in halves["held out"]]
            for half, chosen in halves.items():
                if chosen:
                    table(f"{half}, {how}", chosen, draft, misses=args.misses)


if __name__ == "__main__":
    main()
