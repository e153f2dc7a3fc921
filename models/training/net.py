"""The trained reader's network: an encoder, tags for each word, and links between words.

Sizes: B windows, T pieces, W words, D = encoder width. One forward pass gives for W words

    group    W × 7    O, B/I of REC, SET, MEN
    values   W × 8 × 3    O, B, I of each of VALUES
    fates    W × 13   one for each action
    standing W × 5
    asked    W × 2 × 3    O, B, I of a question to the client, to the shop
    count    W × 5
    tails, heads   W × 12 × 128   the two ends of a link of each of LINKS; with how far apart the words
                   stand and how many other ends lie between them they say how likely the link is
"""

from __future__ import annotations

import math

import torch
from torch import Tensor, nn

GROUPS = ("O", "B-REC", "I-REC", "B-SET", "I-SET", "B-MEN", "I-MEN")
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
LINK_WIDTH = 64


def bucket(distance: Tensor) -> Tensor:
    """Signed word distance → 0 … 2·len(BUCKETS): coarser the further apart."""
    size = torch.bucketize(distance.abs(), torch.tensor(BUCKETS, device=distance.device), right=True)
    return torch.where(distance < 0, size + len(BUCKETS), size)


class Reader(nn.Module):
    """Encoder and heads; *encoder* gives last_hidden_state of shape B × T × D."""

    def __init__(self, encoder: nn.Module, width: int = 768) -> None:
        super().__init__()
        self.encoder = encoder
        # The encoder's own output is small (it was trained for cosines): without this the heads learn slowly.
        self.even = nn.LayerNorm(width)
        self.drop = nn.Dropout(0.15)
        self.mix = nn.Sequential(nn.Linear(width, width), nn.GELU(), nn.LayerNorm(width))
        self.tags = nn.Linear(
            width,
            len(GROUPS) + 3 * len(VALUES) + len(ACTIONS) + len(STANDINGS) + 3 * len(ASKED) + len(COUNTS),
        )
        # Two ends of each kind of link, twice: for their product, and for their sum under a rectifier.
        self.tail = nn.Linear(width, len(LINKS) * 2 * LINK_WIDTH)
        self.head = nn.Linear(width, len(LINKS) * 2 * LINK_WIDTH)
        self.far = nn.Parameter(torch.zeros(len(LINKS), 2 * len(BUCKETS) + 1))
        self.rank = nn.Parameter(torch.zeros(len(LINKS), 2 * RANKS))
        self.far_deep = nn.Parameter(0.1 * torch.randn(len(LINKS), 2 * len(BUCKETS) + 1, LINK_WIDTH))
        self.rank_deep = nn.Parameter(0.1 * torch.randn(len(LINKS), 2 * RANKS, LINK_WIDTH))
        self.weigh = nn.Parameter(0.1 * torch.randn(len(LINKS), LINK_WIDTH))
        self.bias = nn.Parameter(torch.full((len(LINKS),), -2.0))
        nn.init.normal_(self.tail.weight, std=0.01)
        nn.init.normal_(self.head.weight, std=0.01)

    def forward(self, pieces: Tensor, mask: Tensor, first: Tensor) -> tuple[Tensor, Tensor, Tensor]:
        """Tags (W × all), tails and heads (W × links × 2·width).

        *first* is W × 2: window and piece of a word's first piece.
        """
        hidden = self.encoder(input_ids=pieces, attention_mask=mask).last_hidden_state
        word = self.drop(self.even(hidden[first[:, 0], first[:, 1]]))
        deep = self.mix(word)
        tail = self.tail(deep).view(-1, len(LINKS), 2 * LINK_WIDTH)
        head = self.head(deep).view(-1, len(LINKS), 2 * LINK_WIDTH)
        return self.tags(word), tail, head

    def link(self, tail: Tensor, head: Tensor, pairs: Tensor) -> Tensor:
        """Scores (before the sigmoid) of *pairs*: P × 5 of tail, head, kind, distance bucket, rank."""
        t, h, k, far, rank = pairs.unbind(-1)
        a, b = tail[t, k], head[h, k]
        near = (a[:, :LINK_WIDTH] * b[:, :LINK_WIDTH]).sum(-1) / math.sqrt(LINK_WIDTH)
        deep = torch.relu(
            a[:, LINK_WIDTH:] + b[:, LINK_WIDTH:] + self.far_deep[k, far] + self.rank_deep[k, rank]
        )
        return near + (deep * self.weigh[k]).sum(-1) + self.far[k, far] + self.rank[k, rank] + self.bias[k]


def split_tags(tags: Tensor) -> dict[str, Tensor]:
    """The columns of the tag layer by name."""
    sizes = {
        "group": len(GROUPS),
        "values": 3 * len(VALUES),
        "fates": len(ACTIONS),
        "standing": len(STANDINGS),
        "asked": 3 * len(ASKED),
        "count": len(COUNTS),
    }
    return dict(zip(sizes, tags.split(list(sizes.values()), dim=-1), strict=True))
