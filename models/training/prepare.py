"""Keyed notes become rows of words and labels to train the reader on.

    python models/training/prepare.py ROWS.jsonl NOTES_FOLDER [NARRATIONS_FOLDER [SENTENCES.jsonl]]

A row: words; ``group`` tags (REC: where a record is picked out, SET: the set it is picked from, MEN: named
again); ``fates`` (word, action, standing, records); ``values`` (first, last, kind, records); ``details``
(first, last, kind, fates); ``asked`` (first, last, to, records);
``counts`` (record → null, one, two, rest, said).
Where a key does not say which words it rests on (narrations, sentences) they are looked up in the packs.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

from notepipe.reading.measures import measures_in, to_mm
from notepipe.reading.numbers import numbers_in
from notepipe.reading.terms import Lexicon, singular
from notepipe.reading.tokens import cut, tokens_of
from notepipe.trade import load_trade

LEXICON = Lexicon(load_trade())


def options(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


class Row:
    """The words of one note and where things stand in it."""

    def __init__(self, name: str, text: str) -> None:
        self.name, self.text = name, text
        self.pieces = cut(text)
        self.low = [p.text.lower() for p in self.pieces]
        self.records: list[dict[str, Any]] = []
        self.fates: list[dict[str, Any]] = []
        self.values: list[dict[str, Any]] = []
        self.details: list[dict[str, Any]] = []
        self.asked: list[dict[str, Any]] = []

    def span(self, at: int, length: int) -> tuple[int, int] | None:
        inside = [i for i, p in enumerate(self.pieces) if p.at < at + length and p.at + len(p.text) > at]
        return (inside[0], inside[-1]) if inside else None

    def find(self, words: str, near: int | None = None) -> tuple[int, int] | None:
        """The tokens of *words* in the text; of several places that nearest to token *near*."""
        places = [m.start() for m in re.finditer(re.escape(words), self.text)]
        spans = [s for s in (self.span(at, len(words)) for at in places) if s]
        if not spans:
            return None
        return min(spans, key=lambda s: abs(s[0] - near)) if near is not None else spans[0]

    def content(self, span: tuple[int, int]) -> tuple[int, int]:
        """*span* without the marks and little words at its ends."""
        first, last = span
        little = {
            "the",
            "a",
            "an",
            "and",
            "of",
            "'s",
            "is",
            "are",
            "so",
            "but",
            "then",
            "it",
            "we",
            "i",
            "that",
            "to",
            "in",
            "just",
            "oh",
            "now",
            "there",
        }
        while first < last and (self.low[first] in little or not self.low[first][0].isalnum()):
            first += 1
        while last > first and (self.low[last] in little or not self.low[last][0].isalnum()):
            last -= 1
        return first, last


def from_note(path: Path) -> dict[str, Any]:
    note = json.loads(path.read_text(encoding="utf-8"))
    row = Row(path.stem, note["text"])
    return build(row, [expand(p) for p in note["parts"]], note.get("questions", []))


def expand(part: dict[str, Any]) -> dict[str, Any]:
    return part | {"anchors": part.get("anchors") or part.get("heard_as") or []}


def from_narration(key_path: Path) -> dict[str, Any]:
    name = key_path.name.removesuffix(".key.json")
    key = json.loads(key_path.read_text(encoding="utf-8"))
    row = Row(name, key_path.with_name(name + ".txt").read_text(encoding="utf-8"))
    return build(row, [expand(p) for p in key["parts"]], key.get("questions", []))


def from_sentence(number: int, sentence: dict[str, Any]) -> dict[str, Any] | None:
    """A labelled utterance: its part's name must stand in it, and the word of each action must be known."""
    row = Row(f"sentence-{number}", sentence["say"])
    parts = []
    for part in sentence.get("parts", []):
        name = locate_name(row, options(part["name"]), 0)
        if name is None:
            return None
        first, last = name
        text = row.text[row.pieces[first].at : row.pieces[last].at + len(row.pieces[last].text)]
        parts.append(
            part
            | {"anchors": [text], "decisions": [d | {"quote": row.text} for d in part.get("decisions", [])]}
        )
    counts = {p["anchors"][0] for p in parts}
    if len(counts) < len(parts):
        return None
    questions = []
    for asked in sentence.get("questions", []):
        marked = [m.group().strip() for m in re.finditer(r"[^.?!]+[.?!]", row.text)]
        best = [s for s in marked if "?" in s] or ([row.text.strip()] if len(marked) == 1 else [])
        if not best:
            return None
        questions.append(asked | {"quote": best[0]})
    return build(row, parts, questions)


def build(row: Row, parts: list[dict[str, Any]], questions: list[dict[str, Any]]) -> dict[str, Any]:
    uses: dict[str, int] = {}
    for part in parts:
        for anchor in dict.fromkeys(part["anchors"]):
            uses[anchor] = uses.get(anchor, 0) + 1
    tokens = tokens_of(row.text)
    for part in parts:
        add_record(row, part, uses)
    for record, part in zip(row.records, parts, strict=True):
        add_values(row, record, part, tokens)
        for decision in part.get("decisions", []):
            add_fate(row, record, decision, tokens)
    merge_fates(row)
    for asked in questions:
        add_asked(row, asked)
    return {
        "name": row.name, "words": [p.text for p in row.pieces], "records": row.records, "fates": row.fates,
        "values": merged(row.values), "details": row.details, "asked": row.asked,
    }  # fmt: skip


def add_record(row: Row, part: dict[str, Any], uses: dict[str, int]) -> None:
    spans = [(a, row.find(a)) for a in part["anchors"]]
    found = [(a, row.content(s)) for a, s in spans if s]
    own = [s for a, s in found if uses.get(a, 0) == 1]
    shared = [s for a, s in found if uses.get(a, 0) > 1]
    # The record's own anchor is where this very group is picked out; one that several share names their set.
    primary = (own[-1] if shared else own[0]) if own else (shared[-1] if shared else None)
    row.records.append(
        {
            "anchor": primary,
            "sets": shared if own else [],
            "more": [s for s in own if s != primary],
            "name": options(part["name"]),
            "optional": bool(part.get("optional")),
            "count": None,
        }
    )


def locate_name(row: Row, names: list[str], near: int) -> tuple[int, int] | None:
    """The longest of *names* that stands in the text, nearest to token *near*."""
    folded = [singular(w) for w in row.low]
    for name in sorted(names, key=lambda n: -len(n.split())):
        want = [singular(p.text.lower()) for p in cut(name)]
        places = [i for i in range(len(folded) - len(want) + 1) if folded[i : i + len(want)] == want]
        if places:
            first = min(places, key=lambda i: abs(i - near) + (0 if i <= near + 3 else 20))
            return first, first + len(want) - 1
    head = singular(cut(names[0])[-1].text.lower())
    places = [i for i, w in enumerate(folded) if w == head]
    return (min(places, key=lambda i: abs(i - near)),) * 2 if places else None


def add_values(row: Row, record: dict[str, Any], part: dict[str, Any], tokens: Any) -> None:
    if record["anchor"] is None:
        return
    near = record["anchor"][0]
    index = len(row.records[: row.records.index(record)])
    name = locate_name(row, options(part["name"]), near)
    if name:
        row.values.append({"first": name[0], "last": name[1], "kind": "name", "records": [index]})
    for kind in ("metal", "finish"):
        span = value_span(row, part, kind, near, tokens)
        if span:
            row.values.append({"first": span[0], "last": span[1], "kind": kind, "records": [index]})
    record["count"] = count_class(row, part, index, near, tokens)
    for size in part.get("sizes", []):
        span = row.find(size["from"], near) if size.get("from") else size_span(size, tokens, near)
        if span:
            row.values.append({"first": span[0], "last": span[1], "kind": "size", "records": [index]})


def value_span(row: Row, part: dict[str, Any], kind: str, near: int, tokens: Any) -> tuple[int, int] | None:
    """The words that say the metal or finish: inside ``metal_from``, else the nearest word of that value."""
    values = [str(v).lower() for v in options(part.get(kind)) if v is not None]
    if not values or (part.get(kind) is not None and options(part[kind])[0] is None):
        return None
    said = [t for t in LEXICON.terms(tokens) if t.kind == kind and t.value in values]
    where = row.find(part[f"{kind}_from"], near) if part.get(f"{kind}_from") else None
    if where:
        inside = [t for t in said if where[0] <= t.first and t.last <= where[1]]
        if inside:
            return inside[-1].first, inside[-1].last
        for value in values:
            words = [i for i in range(where[0], where[1] + 1) if row.low[i].startswith(value.split()[-1][:4])]
            if words:
                return words[-1], words[-1]
        return where if where[1] - where[0] < 2 else None
    if "anchors" in part and f"{kind}_from" in part:
        return None
    best = min(said, key=lambda t: abs(t.first - near), default=None)
    return (best.first, best.last) if best and abs(best.first - near) < 60 else None


def count_class(row: Row, part: dict[str, Any], index: int, near: int, tokens: Any) -> str:
    """How the count is known: said in a number word (a value is added), one, two, the rest, or not."""
    wanted = options(part.get("quantity"))[0]
    if wanted is None:
        return "null"
    numbers = [n for n in numbers_in(tokens) if n.kind == "count" and n.value == wanted]
    where = row.find(part["quantity_from"], near) if part.get("quantity_from") else None
    inside = [n for n in numbers if where and where[0] <= n.first <= n.last <= where[1]]
    close = inside or ([n for n in numbers if abs(n.first - near) <= 12] if not where and wanted != 1 else [])
    if close:
        best = min(close, key=lambda n: abs(n.first - near))
        row.values.append({"first": best.first, "last": best.last, "kind": "quantity", "records": [index]})
        return "said"
    return "one" if wanted == 1 else "two" if wanted == 2 else "rest"


def size_span(size: dict[str, Any], tokens: Any, near: int) -> tuple[int, int] | None:
    fits = [
        m
        for m in measures_in(tokens, numbers_in(tokens))
        if any(abs(to_mm(m.value, m.unit or "in") - mm) < 0.02 for mm in options(size["mm"]))
    ]
    best = min(fits, key=lambda m: abs(m.first - near), default=None)
    return (best.first, best.last) if best else None


def add_fate(row: Row, record: dict[str, Any], decision: dict[str, Any], tokens: Any) -> None:
    quote = row.find(decision["quote"])
    if quote is None or record["anchor"] is None:
        return
    word = trigger(row, decision, quote, record["anchor"][0], tokens)
    index = row.records.index(record)
    fate = {
        "word": word, "quote": quote, "action": options(decision["action"])[0],
        "standing": options(decision["standing"])[0], "records": [index],
        "optional": bool(decision.get("optional")), "known": word is not None,
    }  # fmt: skip
    row.fates.append(fate)
    if word is None:
        return
    number = len(row.fates) - 1
    for kind, terms in (("by", "trade"), ("to_finish", "finish"), ("to_metal", "metal")):
        value = options(decision.get(kind))[0]
        if value is None:
            continue
        span = detail_span(row, kind, terms, value, word, tokens)
        if span:
            row.details.append({"first": span[0], "last": span[1], "kind": kind, "fates": [number]})


def trigger(row: Row, decision: dict[str, Any], quote: tuple[int, int], near: int, tokens: Any) -> int | None:
    """The token that carries the action: the key's ``word``, else the packs' action word in the quote."""
    if decision.get("word"):
        at = row.text.index(decision["quote"]) + decision["quote"].index(decision["word"])
        span = row.span(at, len(decision["word"]))
        return row.content(span)[0] if span else None
    wanted = set(options(decision["action"]))
    inside = [
        a for a in LEXICON.actions(tokens) if quote[0] <= a.first <= quote[1] and a.row.action in wanted
    ]
    if inside:
        return row.content((inside[0].first, inside[0].last))[0]
    if quote[1] - quote[0] > 25:
        return None
    verbs = [
        t.i
        for t in tokens[quote[0] : quote[1] + 1]
        if t.tag.startswith("VB") and t.lemma not in ("be", "have", "do", "will", "get", "'s")
    ]
    return verbs[-1] if verbs else row.content(quote)[0]


def detail_span(
    row: Row, kind: str, terms: str, value: str, word: int, tokens: Any
) -> tuple[int, int] | None:
    if kind == "by" and value == "in-house":
        places = [
            i
            for i, w in enumerate(row.low)
            if w in ("here", "myself", "ourselves", "house", "own", "meself", "in-house", "ourself", "bench")
            and abs(i - word) < 14
        ]
        best = min(places, key=lambda i: abs(i - word), default=None)
        return (best, best) if best is not None else None
    said = [
        t for t in LEXICON.terms(tokens) if t.kind == terms and t.value == value and abs(t.first - word) < 25
    ]
    if said:
        best_term = min(said, key=lambda t: abs(t.first - word))
        return best_term.first, best_term.last
    head = str(value).split()[-1][:5]
    places = [i for i, w in enumerate(row.low) if w.startswith(head) and abs(i - word) < 25]
    best = min(places, key=lambda i: abs(i - word), default=None)
    if best is None:
        return None
    first = best - (len(str(value).split()) - 1) if kind == "by" else best
    return max(0, first), best


def merge_fates(row: Row) -> None:
    """One action word said of several groups is one fate with several records."""
    kept: list[dict[str, Any]] = []
    moved: dict[int, int] = {}
    for number, fate in enumerate(row.fates):
        same = next(
            (
                k
                for k, f in enumerate(kept)
                if f["word"] is not None and (f["word"], f["action"]) == (fate["word"], fate["action"])
            ),
            None,
        )
        if same is None:
            moved[number] = len(kept)
            kept.append(fate)
        else:
            moved[number] = same
            kept[same]["records"] += [r for r in fate["records"] if r not in kept[same]["records"]]
            kept[same]["optional"] = kept[same]["optional"] and fate["optional"]
    row.fates = kept
    details: dict[tuple[int, int, str], dict[str, Any]] = {}
    for detail in row.details:
        key = (detail["first"], detail["last"], detail["kind"])
        there = details.setdefault(key, detail | {"fates": []})
        there["fates"] += [moved[f] for f in detail["fates"] if moved[f] not in there["fates"]]
    row.details = list(details.values())


def merged(values: list[dict[str, Any]]) -> list[dict[str, Any]]:
    out: dict[tuple[int, int, str], dict[str, Any]] = {}
    for value in values:
        key = (value["first"], value["last"], value["kind"])
        there = out.setdefault(key, value | {"records": []})
        there["records"] += [r for r in value["records"] if r not in there["records"]]
    return list(out.values())


def add_asked(row: Row, asked: dict[str, Any]) -> None:
    span = row.find(asked["quote"])
    if span is None:
        return
    about = {singular(w) for name in options(asked.get("about")) if name for w in name.split()}
    heads = {singular(name.split()[-1]) for name in options(asked.get("about")) if name}
    records = []
    for index, record in enumerate(row.records):
        names = record["name"]
        if any(n in options(asked.get("about")) for n in names) or any(
            singular(n.split()[-1]) in heads and len(about & {singular(w) for w in n.split()}) >= 1
            for n in names[:1]
        ):
            records.append(index)
    if len(records) > 1:
        inside = [r for r in records if row.records[r]["anchor"]]
        nearest = min(inside, key=lambda r: abs(row.records[r]["anchor"][0] - span[0]), default=None)
        records = [nearest] if nearest is not None else []
    row.asked.append(
        {
            "first": span[0],
            "last": span[1],
            "to": options(asked["to"])[0],
            "records": records,
            "optional": bool(asked.get("optional")),
        }
    )


def main() -> None:
    out, *sources = (Path(a) for a in sys.argv[1:])
    rows = [from_note(p) for p in sorted(sources[0].glob("*.json"))]
    if len(sources) > 1:
        rows += [from_narration(p) for p in sorted(sources[1].glob("*.key.json"))]
    if len(sources) > 2:
        sentences = [json.loads(line) for line in sources[2].read_text(encoding="utf-8").splitlines()]
        rows += [r for r in (from_sentence(i, s) for i, s in enumerate(sentences)) if r]
    out.write_text("".join(json.dumps(r) + "\n" for r in rows), encoding="utf-8")
    print(
        len(rows),
        "rows;",
        sum(len(r["records"]) for r in rows),
        "records;",
        sum(len(r["fates"]) for r in rows),
        "fates;",
        sum(not f["known"] for r in rows for f in r["fates"]),
        "without a word",
    )


if __name__ == "__main__":
    main()
