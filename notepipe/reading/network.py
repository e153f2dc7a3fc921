"""The trained reader's network, run on the tokens of a note: tags for each word, and how likely words
are linked.

The network is described in models/training/net.py and ships as models/reader/; onnxruntime has its
owner here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from notepipe.weights import shipped

Floats = NDArray[np.float32]

VALUES = ("name", "metal", "finish", "quantity", "size", "by", "to_finish", "to_metal")
ACTIONS = (
    "replate",
    "polish",
    "buff",
    "straighten",
    "repair",
    "clean",
    "coat",
    "make",
    "replace",
    "buy",
    "source",
    "leave",
    "scrap",
)
STANDINGS = ("decided", "considering", "asking", "ruled-out", "done")
ASKED = ("client", "shop")
COUNTS = ("null", "one", "two", "rest", "said")
LINKS = (
    "fate",
    "name",
    "metal",
    "finish",
    "quantity",
    "size",
    "asked",
    "set",
    "men",
    "by",
    "to_finish",
    "to_metal",
)
BUCKETS = (1, 2, 4, 8, 16, 32, 64, 128, 256)
RANKS = 8
ROOM, OVERLAP = 500, 80
"""Pieces in a window, and how many two windows share."""


class Ends(NamedTuple):
    """What the links know beside the words themselves: how far apart two ends stand, and how many
    others lie between.
    """

    far: Floats
    rank: Floats
    far_deep: Floats
    rank_deep: Floats
    weigh: Floats
    bias: Floats


class Seen(NamedTuple):
    """What the network says of W words; all scores are logits."""

    group: Floats
    """W × 7: O, then B and I of REC (a record is picked out), SET, MEN (named again)."""
    values: Floats
    """W × 8 × 3: O, B, I of each of VALUES."""
    fates: Floats
    """W × 13, one for each of ACTIONS."""
    standing: Floats
    asked: Floats
    """W × 2 × 3."""
    counts: Floats
    tail: Floats
    head: Floats
    """W × 12 × 128: the two ends of a link, the first half for their product, the second for their sum."""
    ends: Ends

    def link(self, kind: str, tails: Sequence[int], heads: Sequence[int]) -> Floats:
        """len(tails) × len(heads): how likely each of *tails* is linked to each of *heads* (ascending),
        0 to 1.
        """
        if not tails or not heads:
            return np.zeros((len(tails), len(heads)), np.float32)
        k, ends = LINKS.index(kind), self.ends
        a, b = self.tail[list(tails), k], self.head[list(heads), k]
        width = a.shape[-1] // 2
        apart = np.asarray(heads)[None, :] - np.asarray(tails)[:, None]
        size = np.searchsorted(BUCKETS, np.abs(apart), side="right")
        far = np.where(apart < 0, size + len(BUCKETS), size)
        passed = np.searchsorted(np.asarray(heads), np.asarray(tails), side="right")
        rank = np.clip(np.arange(len(heads))[None, :] - passed[:, None], -RANKS, RANKS - 1) + RANKS
        near = a[:, :width] @ b[:, :width].T / math.sqrt(width)
        deep = a[:, None, width:] + b[None, :, width:] + ends.far_deep[k][far] + ends.rank_deep[k][rank]
        score = (
            near + np.maximum(deep, 0) @ ends.weigh[k] + ends.far[k][far] + ends.rank[k][rank] + ends.bias[k]
        )
        return sigmoid(score)


def sigmoid(x: Floats) -> Floats:
    """1 / (1 + e^-x), without overflow."""
    half: Floats = 0.5 * (1 + np.tanh(0.5 * x))
    return half.astype(np.float32)


def softmax(x: Floats) -> Floats:
    """Along the last axis."""
    e: Floats = np.exp(x - x.max(axis=-1, keepdims=True))
    shares: Floats = e / e.sum(axis=-1, keepdims=True)
    return shares.astype(np.float32)


def reader_folder() -> Path:
    """Where the trained reader's files lie."""
    return shipped("reader")


def is_there() -> bool:
    """Whether the trained reader can be used here; without it the rules read alone."""
    return (reader_folder() / "reader.onnx").exists()


def look(words: Sequence[str]) -> Seen:
    """Run the network on *words* (at least one)."""
    session, tokenizer, ends = _loaded(reader_folder())
    rows, first = _windows(tokenizer, words)
    pad = tokenizer.token_to_id("<pad>")
    longest = max(map(len, rows))
    pieces = np.array([r + [pad] * (longest - len(r)) for r in rows], np.int64)
    fed = {"pieces": pieces, "mask": (pieces != pad).astype(np.int64), "first": np.array(first, np.int64)}
    tags, tail, head = session.run(None, fed)
    cuts = np.cumsum([7, 3 * len(VALUES), len(ACTIONS), len(STANDINGS), 3 * len(ASKED)])
    group, values, fates, standing, asked, count = np.split(tags, cuts, axis=-1)
    size = len(words)
    return Seen(
        group,
        values.reshape(size, -1, 3),
        fates,
        standing,
        asked.reshape(size, -1, 3),
        count,
        tail,
        head,
        ends,
    )


@cache
def _loaded(folder: Path) -> tuple[Any, Any, Ends]:
    import onnxruntime
    from tokenizers import Tokenizer

    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    session = onnxruntime.InferenceSession(
        str(folder / "reader.onnx"), options, providers=["CPUExecutionProvider"]
    )
    tokenizer = Tokenizer.from_file(str(folder / "tokenizer.json"))
    tokenizer.no_truncation()
    tokenizer.no_padding()
    links = np.load(folder / "links.npz")
    return session, tokenizer, Ends(*(links[name] for name in Ends._fields))


def _windows(tokenizer: Any, words: Sequence[str]) -> tuple[list[list[int]], list[tuple[int, int]]]:
    """Windows of pieces, and for each word the window it stands deepest in and the place of its first
    piece there.
    """
    pieces = [
        tokenizer.encode(w, add_special_tokens=False).ids or [tokenizer.token_to_id("<unk>") or 3]
        for w in words
    ]
    starts = np.concatenate([[0], np.cumsum([len(p) for p in pieces])]).tolist()
    flat = [i for p in pieces for i in p]
    begins = [0]
    while begins[-1] + ROOM < len(flat):
        begins.append(min(begins[-1] + ROOM - OVERLAP, len(flat) - ROOM))
    bos, eos = tokenizer.token_to_id("<s>"), tokenizer.token_to_id("</s>")
    first = []
    for at in starts[:-1]:
        depth = [min(at - b, b + ROOM - at) if b <= at < b + ROOM else -1 for b in begins]
        best = max(range(len(begins)), key=depth.__getitem__)
        first.append((best, at - begins[best] + 1))
    return [[bos, *flat[b : b + ROOM], eos] for b in begins], first
