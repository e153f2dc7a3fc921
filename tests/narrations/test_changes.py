"""Pairs of notes: what the second changes of the first is found at least as well as before.

From keys the floor is what matching alone must reach; as drafted it holds reading and matching together, less
0.05 for other processors. Floors may only rise. How to mark is told in changes.py.
"""

import json
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

import changes as marker  # noqa: E402

from notepipe.trade import Trade, load_trade  # noqa: E402

PAIRS = marker.pairs_in(HERE / "pairs")
FLOORS = json.loads((HERE / "pairs" / "floors.json").read_text(encoding="utf-8"))


def name_of(path: Path) -> str:
    return path.name.removesuffix(".changes.json")


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load_trade()


@pytest.mark.parametrize("pair", PAIRS, ids=name_of)
def test_the_changes_of_a_pair_are_found_from_its_keys(pair: Path) -> None:
    marked = marker.mark(pair)
    assert marked.changes.figures()["f1"] >= FLOORS[name_of(pair)]["from keys"], marked.misses
    assert marked.answers.figures()["f1"] >= FLOORS[name_of(pair)]["answers from keys"], marked.misses


@pytest.mark.parametrize("pair", PAIRS, ids=name_of)
def test_the_changes_of_a_pair_are_found_as_it_is_drafted(pair: Path, trade: Trade) -> None:
    marked = marker.mark(pair, trade)
    assert marked.changes.figures()["f1"] >= FLOORS[name_of(pair)]["as drafted"], marked.misses


def test_every_pair_has_its_floors() -> None:
    assert set(FLOORS) == {name_of(path) for path in PAIRS}
