"""Train the reader.

    python models/training/train.py ROWS.jsonl BASE_FOLDER OUT.pt [--epochs N] [--dev NAMES.txt]

BASE_FOLDER holds the encoder (config.json, model.safetensors, tokenizer.json). Rows named in --dev are left
out of training and marked after each epoch. Runs on a GPU where torch sees one, else on the CPU (hours).
"""

from __future__ import annotations

import argparse
import json
import math
import random
import re
import time
from pathlib import Path
from typing import Any, ClassVar

import torch
from net import ACTIONS, ASKED, COUNTS, LINKS, RANKS, STANDINGS, VALUES, Reader, bucket, split_tags
from tokenizers import Tokenizer
from torch import Tensor
from torch.nn import functional as F
from transformers import AutoModel

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"
ROOM, OVERLAP = 500, 150
SENTENCE, SHORT = 60, 200
"""Words: a row below the first is a sentence or two, below the second a short note."""
IGNORE = -100


class Windows:
    """Words cut into pieces, in windows of at most ROOM, each in the window it stands deepest in."""

    known: ClassVar[dict[str, list[int]]] = {}

    @classmethod
    def pieces(cls, tokenizer: Tokenizer, word: str) -> list[int]:
        if word not in cls.known:
            cls.known[word] = tokenizer.encode(word, add_special_tokens=False).ids or [
                tokenizer.token_to_id("<unk>") or 3
            ]
        return cls.known[word]

    def __init__(self, tokenizer: Tokenizer, words: list[str]) -> None:
        pieces = [self.pieces(tokenizer, w) for w in words]
        starts = [0]
        for p in pieces:
            starts.append(starts[-1] + len(p))
        flat = [i for p in pieces for i in p]
        begins = [0]
        while begins[-1] + ROOM < len(flat):
            begins.append(min(begins[-1] + ROOM - OVERLAP, len(flat) - ROOM))
        bos, eos = tokenizer.token_to_id("<s>"), tokenizer.token_to_id("</s>")
        self.rows = [[bos, *flat[b : b + ROOM], eos] for b in begins]
        self.first = []
        for at in starts[:-1]:
            depth = [min(at - b, b + ROOM - at) if b <= at < b + ROOM else -1 for b in begins]
            best = max(range(len(begins)), key=lambda k: depth[k])
            self.first.append((best, at - begins[best] + 1))


def bio(size: int, spans: list[tuple[int, int]]) -> list[int]:
    tags = [0] * size
    for first, last in spans:
        tags[first] = 1
        for i in range(first + 1, last + 1):
            tags[i] = tags[i] or 2
    return tags


def labels(row: dict[str, Any]) -> dict[str, Any]:
    """The rows' marks as label vectors."""
    size = len(row["words"])
    values = {
        k: bio(size, [(v["first"], v["last"]) for v in row["values"] if v["kind"] == k]) for k in VALUES[:5]
    }
    values |= {
        k: bio(size, [(d["first"], d["last"]) for d in row["details"] if d["kind"] == k]) for k in VALUES[5:]
    }
    fates, weight, standing = fate_labels(row, size)
    asked = {
        k: bio(size, [(q["first"], q["last"]) for q in row["asked"] if q["to"] == k and not q["optional"]])
        for k in ASKED
    }
    count = [IGNORE] * size
    for record in row["records"]:
        if record["anchor"] and record["count"]:
            count[record["anchor"][0]] = COUNTS.index(record["count"])
    sequences = [group_labels(row, size), *values.values(), *asked.values(), standing, count]
    return {"tags": torch.tensor(sequences).T, "fates": fates, "weight": weight}


def group_labels(row: dict[str, Any], size: int) -> list[int]:
    """Anchors over the names of sets over further mentions."""
    group = [0] * size
    for offset, key in ((5, "more"), (3, "sets")):
        for record in row["records"]:
            for first, last in record[key]:
                for i in range(first, last + 1):
                    group[i] = offset if i == first else offset + 1
    for record in row["records"]:
        if record["anchor"]:
            first, last = record["anchor"]
            for i in range(first, last + 1):
                group[i] = IGNORE if record["optional"] else (1 if i == first else 2)
    return group


def fate_labels(row: dict[str, Any], size: int) -> tuple[Tensor, Tensor, list[int]]:
    """Actions of each word, what each counts for (0: not known which word of the quote), and standings."""
    fates, standing = torch.zeros(size, len(ACTIONS)), [IGNORE] * size
    weight = torch.ones(size, len(ACTIONS))
    for fate in row["fates"]:
        action = ACTIONS.index(fate["action"])
        if fate["word"] is None:
            weight[fate["quote"][0] : fate["quote"][1] + 1, action] = 0
            continue
        fates[fate["word"], action] = 1
        if fate["optional"]:
            weight[fate["word"], action] = 0
        standing[fate["word"]] = STANDINGS.index(fate["standing"])
    return fates, weight, standing


def pairs_of(found: dict[str, tuple[list[int], list[int], list[list[float]]]]) -> tuple[Tensor, Tensor]:
    """Every pair that might be linked (tail, head, kind, distance bucket, rank) and whether it is."""
    rows, wanted = [], []
    for kind, (tails, heads, marks) in found.items():
        for tail, line in zip(tails, marks, strict=True):
            passed = sum(h <= tail for h in heads)
            for place, (head, mark) in enumerate(zip(heads, line, strict=True)):
                rows.append(
                    (
                        tail,
                        head,
                        LINKS.index(kind),
                        head - tail,
                        min(max(place - passed, -RANKS), RANKS - 1) + RANKS,
                    )
                )
                wanted.append(mark)
    pairs = torch.tensor(rows, dtype=torch.long).reshape(-1, 5)
    pairs[:, 3] = bucket(pairs[:, 3])
    return pairs, torch.tensor(wanted)


def links(row: dict[str, Any]) -> dict[str, tuple[list[int], list[int], list[list[float]]]]:
    """For each kind of link: the words it comes from, the words it may go to, and which go where."""
    anchors = [r["anchor"][0] if r["anchor"] else None for r in row["records"]]
    heads = sorted({a for a in anchors if a is not None})
    place = {a: k for k, a in enumerate(heads)}
    out: dict[str, tuple[list[int], list[int], list[list[float]]]] = {}

    def add(kind: str, word: int, records: list[int]) -> None:
        tails, _, marks = out.setdefault(kind, ([], heads, []))
        line = [0.0] * len(heads)
        for k in {place[anchors[r]] for r in records if anchors[r] is not None}:
            line[k] = 1.0
        if word in tails:
            old = marks[tails.index(word)]
            marks[tails.index(word)] = [max(a, b) for a, b in zip(old, line, strict=True)]
        else:
            tails.append(word)
            marks.append(line)

    for fate in row["fates"]:
        if fate["word"] is not None:
            add("fate", fate["word"], fate["records"])
    for value in row["values"]:
        add(value["kind"], value["first"], value["records"])
    for asked in row["asked"]:
        if asked["records"]:
            add("asked", asked["first"], asked["records"])
    for index, record in enumerate(row["records"]):
        for first, _ in record["sets"]:
            add("set", first, [index])
        for first, _ in record["more"]:
            add("men", first, [index])
    add_details(row, out)
    return {k: v for k, v in out.items() if v[0] and v[1]}


def add_details(row: dict[str, Any], out: dict[str, tuple[list[int], list[int], list[list[float]]]]) -> None:
    """Links from a finish, a metal or a trade that belongs to a decision to that decision's word."""
    words = sorted({f["word"] for f in row["fates"] if f["word"] is not None})
    for detail in row["details"]:
        marks = [1.0 if any(row["fates"][f]["word"] == w for f in detail["fates"]) else 0.0 for w in words]
        tails, _, lines = out.setdefault(detail["kind"], ([], words, []))
        tails.append(detail["first"])
        lines.append(marks)


KINDS = (1.5, *[1.0] * len(VALUES), *[0.5] * len(ASKED), 2.0, 0.7)
"""How much each sequence of tags weighs: group, values, asked, standing, count."""


def loss_of(model: Reader, batch: list[dict[str, Any]], tags: Tensor, tail: Tensor, head: Tensor) -> Tensor:
    """Of a whole batch, whose words stand one note after the other."""
    parts, dev = split_tags(tags.float()), tags.device
    gold = torch.cat([r["labels"]["tags"] for r in batch]).to(dev)
    columns = [
        parts["group"],
        *parts["values"].split(3, -1),
        *parts["asked"].split(3, -1),
        parts["standing"],
        parts["count"],
    ]
    total = tags.sum() * 0
    for k, (logits, weight) in enumerate(zip(columns, KINDS, strict=True)):
        total = (
            total
            + weight * F.cross_entropy(logits, gold[:, k], ignore_index=IGNORE, reduction="sum").nan_to_num()
        )
    fates = torch.cat([r["labels"]["fates"] for r in batch]).to(dev)
    weight = torch.cat([r["labels"]["weight"] for r in batch]).to(dev)
    two = torch.tensor(2.0, device=dev)
    total = total + 2.0 * F.binary_cross_entropy_with_logits(
        parts["fates"], fates, weight=weight, pos_weight=two, reduction="sum"
    )
    shift, shifted = 0, []
    for row in batch:
        shifted.append(row["pairs"][0] + torch.tensor([shift, shift, 0, 0, 0]))
        shift += len(row["words"])
    pairs, wanted = torch.cat(shifted).to(dev), torch.cat([r["pairs"][1] for r in batch]).to(dev)
    score = model.link(tail.float(), head.float(), pairs)
    total = total + F.binary_cross_entropy_with_logits(score, wanted, reduction="sum")
    return total / 100 / max(1, len(batch)) ** 0.5


def rough(row: dict[str, Any], rng: random.Random) -> dict[str, Any]:
    """The row as a poorer transcriber writes it: no capitals, some commas gone; labels stay."""
    words = list(row["words"])
    if rng.random() < 0.15:
        words = [w.lower() for w in words]
    if rng.random() < 0.25:
        words = [
            ("and" if rng.random() < 0.1 else ",") if w in ".;–—" and rng.random() < 0.3 else w for w in words
        ]
    return row | {"words": words}


def joined(rows: list[dict[str, Any]], rng: random.Random) -> list[dict[str, Any]]:
    """The rows of one epoch: single sentences and some short notes run together, as in one walk-round."""
    short = [r for r in rows if len(r["words"]) < SENTENCE]
    notes = [r for r in rows if len(r["words"]) >= SENTENCE]
    rng.shuffle(short)
    out: list[dict[str, Any]] = []
    while short:
        size = rng.choice((1, 2, 4, 6, 8, 10))
        out.append(run_on(short[:size]))
        short = short[size:]
    rng.shuffle(notes)
    while notes:
        size = 2 if len(notes) > 1 and len(notes[-1]["words"]) < SHORT and rng.random() < 0.4 else 1
        out.append(run_on(notes[-size:]))
        notes = notes[:-size]
    return out


def run_on(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Several rows as one, with its marks; a single one as it is."""
    if len(rows) == 1:
        return rows[0]
    whole: dict[str, Any] = {"name": "+".join(r["name"] for r in rows), "words": []}
    whole |= {key: [] for key in ("records", "fates", "values", "details", "asked")}
    for row in rows:
        by, record, fate = len(whole["words"]), len(whole["records"]), len(whole["fates"])
        whole["records"] += [shifted(r, by, record, fate) for r in row["records"]]
        for key in ("fates", "values", "details", "asked"):
            whole[key] += [shifted(mark, by, record, fate) for mark in row[key]]
        whole["words"] += row["words"]
    whole["labels"], whole["pairs"] = labels(whole), pairs_of(links(whole))
    return whole


def shifted(mark: dict[str, Any], by: int, record: int, fate: int) -> dict[str, Any]:
    """*mark* with its words *by* further on, its records and fates counted from *record* and *fate*."""

    def span(s: Any) -> Any:
        return None if s is None else [s[0] + by, s[1] + by]

    moved = dict(mark)
    for key in ("first", "last", "word"):
        if moved.get(key) is not None:
            moved[key] += by
    for key in ("anchor", "quote"):
        if key in moved:
            moved[key] = span(moved[key])
    for key in ("sets", "more"):
        if key in moved:
            moved[key] = [span(s) for s in moved[key]]
    for key, start in (("records", record), ("fates", fate)):
        if key in moved:
            moved[key] = [n + start for n in moved[key]]
    return moved


def batches(rows: list[dict[str, Any]], rng: random.Random, most: int) -> list[list[dict[str, Any]]]:
    order = sorted(rows, key=lambda r: len(r["words"]) + rng.random() * 120)
    out: list[list[dict[str, Any]]] = []
    for row in order:
        if out and sum(len(r["words"]) for r in out[-1]) + len(row["words"]) <= most:
            out[-1].append(row)
        else:
            out.append([row])
    rng.shuffle(out)
    return out


def run(model: Reader, tokenizer: Tokenizer, batch: list[dict[str, Any]]) -> tuple[Tensor, Tensor, Tensor]:
    pieces: list[list[int]] = []
    first: list[tuple[int, int]] = []
    for row in batch:
        windows = Windows(tokenizer, row["words"])
        first += [(w + len(pieces), at) for w, at in windows.first]
        pieces += windows.rows
    longest = max(map(len, pieces))
    pad = tokenizer.token_to_id("<pad>")
    grid = torch.tensor([p + [pad] * (longest - len(p)) for p in pieces], device=DEVICE)
    with torch.autocast(DEVICE, dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
        tags, tail, head = model(grid, (grid != pad).long(), torch.tensor(first, device=DEVICE))
    return tags, tail, head


class Slow:
    """The slowly moving average of a model's weights, which generalises better than the last step's."""

    def __init__(self, model: Reader, keep: float) -> None:
        self.keep = keep
        self.steps = 0
        self.mean = {k: v.detach().clone() for k, v in model.state_dict().items()}

    @torch.no_grad()
    def follow(self, model: Reader) -> None:
        self.steps += 1
        keep = min(self.keep, self.steps / (self.steps + 10))
        for k, v in model.state_dict().items():
            if v.dtype.is_floating_point:
                self.mean[k].lerp_(v, 1 - keep)


class Adverse:
    """Adversarial weights: each step is also taken where a small push on the weights hurts most.

    After Wu, Xia, Wang: Adversarial Weight Perturbation Helps Robust Generalization, 2020.
    """

    def __init__(self, model: Reader, size: float) -> None:
        self.weights = [
            p
            for n, p in model.named_parameters()
            if p.requires_grad and p.ndim == 2 and n.startswith("encoder.")
        ]
        self.size = size
        self.kept: list[Tensor] = []

    @torch.no_grad()
    def push(self) -> None:
        self.kept = [p.detach().clone() for p in self.weights]
        for p in self.weights:
            if p.grad is not None:
                p.add_(p.grad * (self.size * p.norm() / (p.grad.norm() + 1e-12)))

    @torch.no_grad()
    def back(self) -> None:
        for p, was in zip(self.weights, self.kept, strict=True):
            p.copy_(was)


def groups_of(model: Reader, rate: float, decay: float) -> list[dict[str, Any]]:
    """Parameters with their rates: each layer of the encoder *decay* times that of the one above it."""
    layers = 1 + max(int(m[1]) for n, _ in model.named_parameters() if (m := re.search(r"layer\.(\d+)\.", n)))
    out: dict[float, list[Tensor]] = {}
    for name, p in model.named_parameters():
        if not p.requires_grad:
            continue
        found = re.search(r"layer\.(\d+)\.", name)
        depth = layers - 1 - int(found[1]) if found else 0
        out.setdefault(8e-4 if not name.startswith("encoder.") else rate * decay**depth, []).append(p)
    return [{"params": ps, "lr": r} for r, ps in out.items()]


def f1(hit: int, got: int, want: int) -> float:
    return 2 * hit / max(1, got + want)


@torch.no_grad()
def marks_of(model: Reader, tokenizer: Tokenizer, rows: list[dict[str, Any]]) -> dict[str, float]:
    """F1 of anchors, of fate words (action and standing right), and of the links of gold words."""
    model.eval()
    hit = {k: [0, 0, 0] for k in ("anchor", "fate", "stood", "link", "asked")}
    for row in rows:
        tags, tail, head = run(model, tokenizer, [row])
        parts = split_tags(tags.float().cpu())
        want = {r["anchor"][0] for r in row["records"] if r["anchor"] and not r["optional"]}
        free = {r["anchor"][0] for r in row["records"] if r["anchor"] and r["optional"]}
        got = set((parts["group"].argmax(-1) == 1).nonzero().flatten().tolist()) - free
        hit["anchor"] = [
            a + b for a, b in zip(hit["anchor"], (len(got & want), len(got), len(want)), strict=True)
        ]
        said = {(int(w), int(a)) for w, a in (parts["fates"] > 0).nonzero().tolist()}
        meant = {
            (f["word"], ACTIONS.index(f["action"])): STANDINGS.index(f["standing"])
            for f in row["fates"]
            if f["word"] is not None and not f["optional"]
        }
        near = {(w, a): next(((v, b) for v, b in meant if b == a and abs(v - w) <= 2), None) for w, a in said}
        right = {n for n in near.values() if n}
        stood = sum(int(parts["standing"][w].argmax()) == meant[n] for (w, _), n in near.items() if n)
        hit["fate"] = [a + b for a, b in zip(hit["fate"], (len(right), len(said), len(meant)), strict=True)]
        hit["stood"] = [
            a + b for a, b in zip(hit["stood"], (min(stood, len(right)), len(said), len(meant)), strict=True)
        ]
        pairs, wanted = row["pairs"]
        score, gold = model.link(tail.float(), head.float(), pairs.to(DEVICE)).cpu() > 0, wanted > 0.5
        hit["link"] = [
            a + b
            for a, b in zip(
                hit["link"], (int((score & gold).sum()), int(score.sum()), int(gold.sum())), strict=True
            )
        ]
        for k, to in enumerate(ASKED):
            starts = set((parts["asked"][:, 3 * k : 3 * k + 3].argmax(-1) == 1).nonzero().flatten().tolist())
            true = {q["first"] for q in row["asked"] if q["to"] == to}
            close = sum(any(abs(s - t) <= 6 for t in true) for s in starts)
            hit["asked"] = [
                a + b
                for a, b in zip(hit["asked"], (min(close, len(true)), len(starts), len(true)), strict=True)
            ]
    model.train()
    return {k: round(f1(*v), 3) for k, v in hit.items()}


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", type=Path)
    parser.add_argument("base", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--epochs", type=int, default=14)
    parser.add_argument("--dev", type=Path)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--rate", type=float, default=5e-5)
    parser.add_argument("--words", type=int, default=2500, help="words in a batch")
    parser.add_argument("--join", action="store_true", help="run short rows together")
    parser.add_argument("--slow", action="store_true", help="keep the slow average of the weights")
    parser.add_argument("--adverse", type=float, default=0.0, help="size of the adversarial push")
    parser.add_argument("--decay", type=float, default=1.0, help="rate of each layer to the one above")
    parser.add_argument("--most", type=int, help="rows at most, for a trial")
    return parser.parse_args()


def main() -> None:
    args = arguments()
    torch.manual_seed(args.seed)
    rng = random.Random(args.seed)
    rows = [json.loads(line) for line in args.rows.read_text(encoding="utf-8").splitlines()][: args.most]
    for row in rows:
        row["labels"], row["pairs"] = labels(row), pairs_of(links(row))
    held = set(args.dev.read_text(encoding="utf-8").split()) if args.dev else set()
    train, dev = [r for r in rows if r["name"] not in held], [r for r in rows if r["name"] in held]
    tokenizer = Tokenizer.from_file(str(args.base / "tokenizer.json"))
    tokenizer.no_truncation()
    tokenizer.no_padding()
    model = Reader(
        AutoModel.from_pretrained(
            args.base, add_pooling_layer=False, attn_implementation="eager", dtype=torch.float32
        )
    ).to(DEVICE)
    model.encoder.embeddings.requires_grad_(requires_grad=False)
    steps = args.epochs * len(batches(joined(train, rng) if args.join else train, rng, args.words))
    optimizer = torch.optim.AdamW(groups_of(model, args.rate, args.decay), weight_decay=0.01)
    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimizer,
        lambda s: min(1.0, s / (0.06 * steps)) * max(0.02, 0.5 * (1 + math.cos(math.pi * s / steps))),
    )
    print(len(train), "rows to train on,", len(dev), "held out,", steps, "steps on", DEVICE, flush=True)
    began = time.monotonic()
    slow, adverse = Slow(model, 0.995), Adverse(model, args.adverse)
    for epoch in range(args.epochs):
        total = 0.0
        for batch in batches(joined(train, rng) if args.join else train, rng, args.words):
            roughened = [rough(r, rng) for r in batch]
            out = run(model, tokenizer, roughened)
            loss = loss_of(model, roughened, *out)
            optimizer.zero_grad()
            loss.backward()
            if args.adverse and epoch >= 1:
                adverse.push()
                loss_of(model, roughened, *run(model, tokenizer, roughened)).backward()
                adverse.back()
            torch.nn.utils.clip_grad_norm_(model.parameters(), 1.0)
            optimizer.step()
            schedule.step()
            if args.slow:
                slow.follow(model)
            total += loss.detach()
        figures = (
            marks_of(model, tokenizer, dev) if dev and (epoch % 2 == 1 or epoch == args.epochs - 1) else {}
        )
        print(
            f"epoch {epoch + 1} loss {float(total):.1f} {figures} {time.monotonic() - began:.0f} s",
            flush=True,
        )
    if args.slow:
        model.load_state_dict(slow.mean)
        print("slow weights", marks_of(model, tokenizer, dev) if dev else "", flush=True)
    torch.save({k: v.half().cpu() for k, v in model.state_dict().items()}, args.out)


if __name__ == "__main__":
    main()
