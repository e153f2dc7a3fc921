"""How right the changes are that a later note makes: python tests/narrations/changes.py [--misses] [FOLDER …]

A pair is NAME-1 and NAME-2 (text and key each) with NAME-2.changes.json, which says what the second note
changes of the first. The first, all confirmed, stands as the register; the second is held against it: (keys)
both as their keys have them, which marks matching alone, and (drafts) both as they are drafted, which marks
reading as well. A change is right with its part, kind, field and, for a group of a set, the group; a decision
also with its action and standing. Changes marked optional may be there or not; a decision or a value that is
repeated is no mistake where the part is not new, nor is a place or a condition that is added.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path.insert(0, str(HERE))

import score_drafts as marker  # noqa: E402

from notepipe.draft import Draft, Note  # noqa: E402
from notepipe.later.comparison import Comparison, as_rows  # noqa: E402
from notepipe.later.matching import Around, OnFile, held_against  # noqa: E402
from notepipe.later.offering import OpenQuestion, offered  # noqa: E402
from notepipe.reading import read  # noqa: E402
from notepipe.trade import Trade, load_trade  # noqa: E402
from notepipe.transcript import Transcript  # noqa: E402

Row = dict[str, Any]
UNMARKED = {"location", "condition"}


class Marked(NamedTuple):
    """What came of one pair."""

    changes: marker.Tally
    answers: marker.Tally
    doubts: int
    misses: list[str]


def pairs_in(folder: Path) -> list[Path]:
    """The ``.changes.json`` of every pair in *folder*."""
    return sorted(folder.glob("*.changes.json"))


def draft_of_key(key: Path) -> Draft:
    """The key as a draft: of several values that are right the first."""
    written = json.loads(key.read_text(encoding="utf-8"))
    written["note"] = {"file": key.name, "sha256": "0" * 64}
    written["parts"] = [_part(part) for part in written["parts"]]
    written["questions"] = [_first(question) for question in written.get("questions", [])]
    return Draft.model_validate(written)


def drafted(text: Path, trade: Trade) -> Draft:
    """The note as the program drafts it."""
    transcript = Transcript(text=text.read_text(encoding="utf-8"))
    return read(transcript, Note(file=text.name, sha256="0" * 64), trade)


def mark(changes: Path, trade: Trade | None = None) -> Marked:
    """The marks of a pair: from its keys, or with a *trade* as it is drafted."""
    key = json.loads(changes.read_text(encoding="utf-8"))
    first = changes.with_name(f"{key['since']}.txt")
    second = changes.with_name(changes.name.replace(".changes.json", ".txt"))
    before, after = (
        drafted(note, trade) if trade else draft_of_key(note.with_suffix(".key.json"))
        for note in (first, second)
    )
    words = second.read_text(encoding="utf-8") if trade else ""
    on_file = [
        OnFile(tag=f"{n:03d}", part=part.model_copy(update={"doubts": ()}), recording="1" * 64)
        for n, part in enumerate(before.parts, start=1)
    ]
    asked = [OpenQuestion(tag=f"Q{n:02d}", question=q) for n, q in enumerate(before.questions, start=1)]
    matches = held_against(after, on_file, Around(words, {}, before.questions))
    rows = as_rows(Comparison(after, matches, offered(after, matches, asked, words)))
    free = _optional_parts(second.with_suffix(".key.json"))
    misses: list[str] = []
    label = changes.name.removesuffix(".changes.json")
    return Marked(
        _tally(key["changes"], [r for r in rows["changes"] if _counts(r, free)], _fits, (label, misses)),
        _tally(key.get("answers", []), rows["answers"], _answers, (label, misses)),
        sum(match.doubt is not None for match in matches),
        misses,
    )


def _tally(keys: list[Row], gots: list[Row], score: Any, told: tuple[str, list[str]]) -> marker.Tally:
    label, misses = told
    pairs, missing, extra = _paired(keys, gots, score)
    missed = [k for k in missing if not k.get("optional")]
    wrong = [g for g in extra if g.get("kind") != "repeated" or (g.get("field") is None)]
    wrong = [g for g in wrong if g.get("field") not in UNMARKED]
    misses += [f"{label}: missed {_told(k)}" for k in missed]
    misses += [f"{label}: invented {_told(g)}" for g in wrong]
    return marker.Tally(hit=len(pairs), miss=len(missed), extra=len(wrong))


def _paired(
    keys: list[Row], gots: list[Row], score: Any
) -> tuple[list[tuple[Row, Row]], list[Row], list[Row]]:
    """Best first, as the marker of drafts does it with many."""
    marks = [[score(k, g) for g in gots] for k in keys]
    chosen = marker.best_first(marks)
    rows, columns = {i for i, _ in chosen}, {j for _, j in chosen}
    return (
        [(keys[i], gots[j]) for i, j in chosen],
        [k for i, k in enumerate(keys) if i not in rows],
        [g for j, g in enumerate(gots) if j not in columns],
    )


def _fits(key: Row, got: Row) -> float:
    if key["kind"] != got["kind"] or key["field"] != got["field"]:
        return 0.0
    if (key["same_as"] is None) != (got["same_as"] is None):
        return 0.0
    like = max(marker.likeness(key[name], got[other]) for name in ("part", "same_as") if key[name]
               for other in ("part", "same_as") if got[other])  # fmt: skip
    if like <= 0 or ("group" in key and got.get("group", key["group"]) != key["group"]):
        return 0.0
    if key["field"] == "decision" and not (_acts(key["was"], got["was"]) and _acts(key["now"], got["now"])):
        return 0.0
    if key["field"] in ("quantity", "metal", "finish") and marker.norm(got["now"]) not in marker.norms(
        key["now"]
    ):
        return 0.0
    return like + 0.1 * (key.get("group") == got.get("group"))


def _acts(key: Row | None, got: Row | None) -> bool:
    """Whether a decision is the keyed one: its action and standing."""
    if key is None or got is None:
        return key is None or key["standing"] == "ruled-out"
    return all(marker.norm(got[f]) in marker.norms(key[f]) for f in ("action", "standing") if f in key)


def _answers(key: Row, got: Row) -> float:
    if key.get("to", got["to"]) != got["to"]:
        return 0.0
    about = marker.likeness(key["question_about"], got["question_about"])
    return about or 0.5 * (marker.words(got["question_about"])[-1] in marker.words(key["question_about"]))


def _counts(row: Row, free: list[Any]) -> bool:
    """Whether a row is marked: not where the key has its part as optional and no change of it."""
    return not any(marker.likeness(names, row["part"]) == 1.0 for names in free) or row["kind"] == "new"


def _optional_parts(key: Path) -> list[Any]:
    return [p["name"] for p in json.loads(key.read_text(encoding="utf-8"))["parts"] if p.get("optional")]


def _part(part: Row) -> Row:
    kept = _first(part)
    kept["decisions"] = [_first(decision) for decision in part.get("decisions", [])]
    kept["sizes"] = [_first(size) for size in part.get("sizes", [])]
    kept["quotes"] = [{"text": words} for words in part.get("heard_as", [])]
    for name in ("heard_as", "condition"):
        kept[name] = part.get(name, [])
    return kept


def _first(record: Row) -> Row:
    """Without the freedoms of a key."""
    return {
        name: value[0] if isinstance(value, list) and value else value
        for name, value in record.items()
        if name != "optional"
    }


def _told(row: Row) -> str:
    names = ("part", "question_about", "same_as", "kind", "field", "group", "was", "now", "doubt", "quote")
    return " ".join(f"{name}={row[name]!r}" for name in names if row.get(name) is not None)


def table(title: str, changes: Iterable[Path], trade: Trade | None, *, misses: bool) -> None:
    """Print a line for each pair and one for all."""
    print(f"\n{title:34}{'precision':>10}{'recall':>8}{'F1':>8}{'answers F1':>12}{'doubts':>8}")
    all_changes, all_answers, doubts, told = marker.Tally(), marker.Tally(), 0, []
    for path in changes:
        marked = mark(path, trade)
        _line(path.name.removesuffix(".changes.json"), marked.changes, marked.answers, marked.doubts)
        all_changes.add(marked.changes)
        all_answers.add(marked.answers)
        doubts += marked.doubts
        told += marked.misses
    _line("all", all_changes, all_answers, doubts)
    if misses:
        print("\n".join(told))


def _line(label: str, changes: marker.Tally, answers: marker.Tally, doubts: int) -> None:
    f, a = changes.figures(), answers.figures()
    print(f"{label:34}{f['precision']:10.3f}{f['recall']:8.3f}{f['f1']:8.3f}{a['f1']:12.3f}{doubts:8}")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="*", type=Path)
    parser.add_argument("--misses", action="store_true", help="list what was wrong")
    args = parser.parse_args()
    folders = args.folders or [HERE / "pairs", ROOT.parent / "shared" / "narrations"]
    paths = [path for folder in folders for path in pairs_in(folder)]
    table("from keys", paths, None, misses=args.misses)
    table("as drafted", paths, load_trade(), misses=args.misses)


if __name__ == "__main__":
    main()
