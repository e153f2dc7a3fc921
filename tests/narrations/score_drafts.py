#!/usr/bin/env python3
"""Mark drafts against hand-made keys.

    score_drafts.py KEY.json DRAFT.json [KEY.json DRAFT.json …]
    score_drafts.py --run 'notepipe draft --json' NARRATION_DIR

With --run, each NAME.txt in the folder that has a NAME.key.json is given to the command as
its last argument and the JSON it prints is marked.  --misses lists what was wrong, --json
prints the figures alone.  Rules: draft-format.md beside this file.  Python's standard library only.

A key is a draft with three freedoms: a part's "name" may be a list of acceptable names, any
plain value may be a list of acceptable values, and an item marked "optional": true may be
there or not.

What the lines mean:
  parts       the right lines on the parts list
  fields      quantity, metal and finish (a missed part misses its fields, an invented one invents them)
  sizes       in millimetres, to 0.02 mm or 0.1 %
  decisions   action, standing and, where the key gives them, by, to_finish and to_metal, all right
  questions   the right addressee and the right subject
  reversed    ruled out or left alone in one, going ahead in the other: the worst error there is
  silent      a wrong or invented value on a part that raises no doubt about that value
  unsupported a quote that is not in the transcript as whole words
"""

from __future__ import annotations

import argparse
import json
import re
import shlex
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

FIELDS = ("quantity", "metal", "finish")
DETAILS = ("by", "to_finish", "to_metal")
SAME = {
    "aluminum": "aluminium",
    "stainless steel": "stainless",
    "pot metal": "zinc die cast",
    "die cast zinc": "zinc die cast",
    "zinc diecast": "zinc die cast",
    "diecast zinc": "zinc die cast",
    "die cast": "zinc die cast",
    "mazak": "zinc die cast",
    "white metal": "zinc die cast",
    "mild steel": "steel",
    "nickel plate": "nickel",
    "nickel plated": "nickel",
    "nickel plating": "nickel",
    "nickeled": "nickel",
    "chrome plate": "chrome",
    "chrome plated": "chrome",
    "chromed": "chrome",
    "chrome plating": "chrome",
    "chromium": "chrome",
    "silver plated": "silver plate",
    "silver": "silver plate",
    "painted": "paint",
    "lacquered": "lacquer",
    "varnished": "varnish",
    "german silver": "nickel silver",
    "plated brass": "brass",
    "silvered": "silver plate",
    "gilt": "gold leaf",
    "gilded": "gold leaf",
    "spelter": "zinc die cast",
    "galvanized": "galvanised",
    "powder coated": "powder coat",
    "brass plated": "brass plate",
    "oiled": "oil",
    "waxed": "wax",
    "varnished": "varnish",
    "anodizer": "anodiser",
    "in house": "in house",
    "inhouse": "in house",
    "us": "in house",
    "the shop": "in house",
}
ARTICLES = {"a", "an", "the", "of", "for", "set", "pair", "old", "your", "s"}
UNCHANGED = {
    "lens": "lens",
    "lenses": "lens",
    "series": "series",
    "brass": "brass",
    "glass": "glass",
    "axes": "axe",
    "leaves": "leaf",
    "knives": "knife",
    "niches": "niche",
    "moustaches": "moustache",
    "chassis": "chassis",
    "feet": "foot",
    "gas": "gas",
    "bus": "bus",
    "buses": "bus",
    "bosses": "boss",
    "valves": "valve",
}
GOING, STOPPED = {"decided", "done"}, {"ruled out"}


def options(value) -> list:
    return value if isinstance(value, list) else [value]


def plain(text) -> str:
    return " ".join(
        re.sub(
            r"[^a-z0-9/ ]+", " ", str(text).lower().replace("'", "").replace("’", "").replace("-", " ")
        ).split()
    )


def norm(value):
    if value is None or isinstance(value, (int, float)):
        return value
    text = plain(value)
    return SAME.get(text, text)


def norms(value) -> list:
    return [norm(v) for v in options(value)]


def singular(word: str) -> str:
    if word in UNCHANGED:
        return UNCHANGED[word]
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("sses", "shes", "ches", "xes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def words(text) -> list[str]:
    return [singular(w) for w in plain(text).split() if w not in ARTICLES]


def likeness(names, got) -> float:
    """1 for the same words; less where one name only leaves words out; 0 where each says what the other does not."""
    best, b = 0.0, words(got)
    for name in options(names):
        a = words(name)
        if not a or not b:
            continue
        if sorted(a) == sorted(b) or "".join(a) == "".join(b):
            return 1.0
        share = len(set(a) & set(b)) / len(set(a) | set(b))
        nested = set(a) < set(b) or set(b) < set(a)
        if nested and (a[-1] == b[-1] and share >= 1 / 3 or share >= 0.5):
            best = max(best, share)
    return best


@dataclass
class Tally:
    hit: int = 0
    miss: int = 0
    extra: int = 0

    def add(self, other: "Tally") -> None:
        self.hit += other.hit
        self.miss += other.miss
        self.extra += other.extra

    def figures(self) -> dict:
        p = self.hit / (self.hit + self.extra) if self.hit + self.extra else 1.0
        r = self.hit / (self.hit + self.miss) if self.hit + self.miss else 1.0
        f1 = 2 * p * r / (p + r) if p + r else 0.0
        return {
            "f1": round(f1, 4),
            "precision": round(p, 4),
            "recall": round(r, 4),
            "hit": self.hit,
            "miss": self.miss,
            "extra": self.extra,
        }


TALLIES = ("parts", "fields", "sizes", "decisions", "questions")
COUNTS = ("reversed", "silent", "unsupported")


@dataclass
class Marks:
    parts: Tally = field(default_factory=Tally)
    fields: Tally = field(default_factory=Tally)
    sizes: Tally = field(default_factory=Tally)
    decisions: Tally = field(default_factory=Tally)
    questions: Tally = field(default_factory=Tally)
    reversed: int = 0
    silent: int = 0
    unsupported: int = 0
    misses: list[str] = field(default_factory=list)

    def add(self, other: "Marks") -> None:
        for name in TALLIES:
            getattr(self, name).add(getattr(other, name))
        for name in COUNTS:
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.misses += other.misses


def pair(keys, gots, score):
    """Pairs (key, got) with the best total score; then the unmatched of each side."""
    marks = [[score(k, g) for g in gots] for k in keys]
    chosen = best_few(marks) if len(gots) <= 10 else best_first(marks)
    return (
        [(keys[i], gots[j]) for i, j in chosen],
        [k for i, k in enumerate(keys) if i not in {i for i, _ in chosen}],
        [g for j, g in enumerate(gots) if j not in {j for _, j in chosen}],
    )


def best_few(marks) -> list[tuple[int, int]]:
    """The best assignment, tried out over the sets of columns already taken."""
    states = {0: (0.0, ())}
    for i, row in enumerate(marks):
        for taken, (total, chosen) in list(states.items()):
            for j, s in enumerate(row):
                if s > 0 and not taken >> j & 1:
                    state = taken | 1 << j
                    if total + s > states.get(state, (0.0, ()))[0]:
                        states[state] = (total + s, (*chosen, (i, j)))
    return list(max(states.values())[1])


def best_first(marks) -> list[tuple[int, int]]:
    ranked = sorted(
        ((-s, abs(i - j), i, j) for i, row in enumerate(marks) for j, s in enumerate(row) if s > 0)
    )
    chosen: list[tuple[int, int]] = []
    for _, _, i, j in ranked:
        if all(i != a and j != b for a, b in chosen):
            chosen.append((i, j))
    return chosen


def decision_score(key, got) -> float:
    if norm(got.get("action")) not in norms(key["action"]):
        return 0.0
    same = norm(got.get("standing")) in norms(key["standing"])
    return 1 + same + 0.1 * sum(norm(got.get(f)) in norms(key[f]) for f in DETAILS if f in key)


def part_score(key, got) -> float:
    base = likeness(key["name"], got.get("name") or "")
    if base <= 0:
        return 0.0
    wanted = [d for d in key.get("decisions", [])]
    pairs, _, _ = pair(wanted, got["decisions"], decision_score)
    agreed = sum(decision_score(k, g) >= 2 for k, g in pairs)
    return (
        base
        + 0.05 * (norm(got.get("quantity")) in norms(key.get("quantity")))
        + 0.05 * agreed / max(1, len(wanted), len(got["decisions"]))
    )


def question_score(key, got) -> float:
    if norm(got.get("to")) not in norms(key["to"]):
        return 0.0
    have = set(words(" ".join(str(got.get(f) or "") for f in ("about", "text", "quote"))))
    best = 0.0
    for about in options(key.get("about")):
        need = words(about) if about else []
        if need and need[-1] in have:
            best = max(best, len(set(need) & have) / len(set(need)))
    return best if best >= 0.5 else 0.0


def records(value) -> list[dict]:
    return [v for v in value if isinstance(v, dict)] if isinstance(value, list) else []


def tidy(draft) -> dict:
    """The draft with every list in place, so that a malformed one is marked and not a crash."""
    draft = draft if isinstance(draft, dict) else {}
    parts = [
        dict(
            p,
            decisions=records(p.get("decisions")),
            sizes=records(p.get("sizes")),
            doubts=records(p.get("doubts")),
            quotes=records(p.get("quotes")),
        )
        for p in records(draft.get("parts"))
    ]
    return {"parts": parts, "questions": records(draft.get("questions"))}


def same_size(key, got) -> bool:
    mm = got.get("mm")
    return isinstance(mm, (int, float)) and any(
        abs(mm - v) <= max(0.02, 1e-3 * v) for v in options(key["mm"])
    )


def mark_part(k, g, m: Marks, miss) -> None:
    name, doubted = options(k["name"])[0], {d.get("field") for d in g["doubts"]}
    m.parts.hit += 1
    for f in FIELDS:
        want, got = norms(k.get(f)), norm(g.get(f))
        if got in want:
            m.fields.hit += got is not None
            continue
        m.fields.miss += None not in want
        m.fields.extra += got is not None
        m.silent += got is not None and f not in doubted
        miss(f"{name}: {f} is {g.get(f)!r}, not {k.get(f)!r}")
    left = list(g["sizes"])
    for s in k.get("sizes", []):
        found = next((x for x in left if same_size(s, x)), None)
        if found is not None:
            left.remove(found)
            m.sizes.hit += 1
        elif not s.get("optional") and not any(same_size(s, x) for x in g["sizes"]):
            m.sizes.miss += 1
            miss(f"{name}: size {s.get('value')} {s.get('unit')} missed")
    for s in left:
        if any(same_size(k_size, s) for k_size in k.get("sizes", [])):
            continue  # one size given in two units
        m.sizes.extra += 1
        m.silent += not doubted & {"size", "sizes"}
        miss(f"{name}: size {s.get('value')} {s.get('unit')} invented")
    mark_decisions(name, k.get("decisions", []), g["decisions"], doubted, m, miss)


def mark_decisions(name, keys, gots, doubted, m: Marks, miss) -> None:
    keyed = {a for k in keys for a in norms(k["action"])}
    gots = [g for g in gots if norm(g.get("action")) != "scrap" or "scrap" in keyed]
    unsure = bool(doubted & {"action", "decision", "decisions", "standing"})
    pairs, missing, extra = pair(keys, gots, decision_score)
    for k, g in pairs:
        stands, got, bad = norms(k["standing"]), norm(g.get("standing")), []
        if got not in stands:
            bad.append(f"standing {g.get('standing')!r}, not {k['standing']!r}")
            if all((s in STOPPED and got in GOING) or (s in GOING and got in STOPPED) for s in stands):
                m.reversed += 1
                bad[-1] += " (REVERSED)"
        bad += [
            f"{f} {g.get(f)!r}, not {k[f]!r}" for f in DETAILS if f in k and norm(g.get(f)) not in norms(k[f])
        ]
        if not bad:
            m.decisions.hit += 1
            continue
        m.decisions.miss += not k.get("optional")
        m.decisions.extra += 1
        m.silent += not (unsure or doubted & set(DETAILS))
        miss(f"{name}: {g.get('action')}: {'; '.join(bad)}")
    for k in missing:
        if not k.get("optional"):
            m.decisions.miss += 1
            miss(f"{name}: {options(k['action'])[0]} {options(k['standing'])[0]} missed")
    for g in extra:
        action, standing = norm(g.get("action")), norm(g.get("standing"))
        m.decisions.extra += 1
        m.silent += not unsure
        stopped = [
            k
            for k in keys
            if not k.get("optional")
            and (
                action in norms(k["action"])
                and set(norms(k["standing"])) <= STOPPED
                or norms(k["action"]) == ["leave"]
                and set(norms(k["standing"])) <= GOING
                and action != "leave"
            )
        ]
        if standing in GOING and stopped:
            m.reversed += 1
        miss(
            f"{name}: {g.get('action')} {g.get('standing')} invented"
            + (" (REVERSED)" if standing in GOING and stopped else "")
        )


def mark(key: dict, draft, transcript: str | None, label: str) -> Marks:
    m, draft = Marks(), tidy(draft)

    def miss(text):
        m.misses.append(f"{label}: {text}")

    pairs, missing, extra = pair(key["parts"], draft["parts"], part_score)
    for k in missing:
        if k.get("optional"):
            continue
        m.parts.miss += 1
        m.fields.miss += sum(None not in norms(k.get(f)) for f in FIELDS)
        m.sizes.miss += sum(not s.get("optional") for s in k.get("sizes", []))
        m.decisions.miss += sum(not d.get("optional") for d in k.get("decisions", []))
        miss(f"part missed: {options(k['name'])[0]}")
    for g in extra:
        m.parts.extra += 1
        m.fields.extra += sum(g.get(f) is not None for f in FIELDS)
        m.sizes.extra += len(g["sizes"])
        m.decisions.extra += len(g["decisions"])
        m.silent += not g["doubts"]
        miss(
            f"part invented: {g.get('name')} x{g.get('quantity')} "
            f"{[(d.get('action'), d.get('standing')) for d in g['decisions']]}"
        )
    for k, g in pairs:
        mark_part(k, g, m, miss)

    qpairs, qmiss, qextra = pair(key.get("questions", []), draft["questions"], question_score)
    m.questions.hit += len(qpairs)
    for q in qmiss:
        if not q.get("optional"):
            m.questions.miss += 1
            miss(f"question to {options(q['to'])[0]} missed: {options(q.get('about'))[0]}")
    for q in qextra:
        m.questions.extra += 1
        miss(f"question to {q.get('to')} invented: {q.get('text')}")

    if transcript is not None:

        def words_of(text):
            return plain(str(text).replace("'", " ").replace("’", " "))

        spoken = f" {words_of(transcript)} "
        carried = [d.get("quote") for p in draft["parts"] for d in p["decisions"]]
        carried += [q.get("text") for p in draft["parts"] for q in p["quotes"]]
        carried += [q.get("quote") for q in draft["questions"]]
        for quote in carried:
            if not quote or f" {words_of(quote)} " not in spoken:
                m.unsupported += 1
                miss(f"quote not in the transcript: {quote!r}")
    return m


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--run", metavar="COMMAND")
    parser.add_argument("--suffix", default=".txt", help="with --run: the notes' file ending")
    parser.add_argument(
        "--notes", type=Path, help="with --run: the folder of the notes, if not the keys' own"
    )
    parser.add_argument("--misses", action="store_true")
    parser.add_argument("--each", action="store_true", help="a line for each note")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("paths", nargs="+", type=Path)
    args = parser.parse_args()

    if args.run:
        jobs = [
            (key, (args.notes or key.parent) / (key.name.removesuffix(".key.json") + args.suffix))
            for folder in args.paths
            for key in sorted(folder.glob("*.key.json"))
        ]
        jobs = [job for job in jobs if job[1].exists()]
    else:
        jobs = list(zip(args.paths[::2], args.paths[1::2]))
    total, broken = Marks(), []
    for key_path, other in jobs:
        label, transcript = key_path.name.removesuffix(".key.json"), None
        if args.run:
            run = subprocess.run([*shlex.split(args.run), str(other)], capture_output=True, text=True)
            out, trouble = run.stdout, f"exit {run.returncode}: {run.stderr.strip()[-200:]}"
            if other.suffix == ".txt":
                transcript = other.read_text()
        else:
            out, trouble = other.read_text(), "not JSON"
            text = key_path.with_name(label + ".txt")
            transcript = text.read_text() if text.exists() else None
        try:
            draft = json.loads(out)
        except ValueError:
            broken.append(f"{other.name}: {trouble}")
            draft = {}
        marks = mark(json.loads(key_path.read_text()), draft, transcript, label)
        if args.each:
            print(
                f"{label:24}",
                *(f"{n} {getattr(marks, n).figures()['f1']:.3f}" for n in TALLIES),
                *(f"{n} {getattr(marks, n)}" for n in COUNTS),
            )
        total.add(marks)

    figures = {n: getattr(total, n).figures() for n in TALLIES} | {n: getattr(total, n) for n in COUNTS}
    figures |= {"notes": len(jobs), "broken": len(broken)}
    if args.misses:
        print("\n".join(total.misses))
    for line in broken:
        print("BROKEN", line, file=sys.stderr)
    if args.json:
        print(json.dumps(figures))
    else:
        for n in TALLIES:
            f = figures[n]
            print(
                f"{n:10} F1 {f['f1']:.3f}  precision {f['precision']:.3f}  recall {f['recall']:.3f}"
                f"  ({f['hit']} right, {f['miss']} missed, {f['extra']} invented)"
            )
        print("   ".join(f"{n} {figures[n]}" for n in (*COUNTS, "notes", "broken")))
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
