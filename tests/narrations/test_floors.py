"""Our own keyed notes, which the trained reader has never seen, are read at least as well as before.

floors.json holds what was reached, note by note, less 0.05 (the network rounds a little otherwise on other
processors); it may only rise, unless the reader is trained anew and is better over all of them. How to mark
is told in accuracy.py; the marker is score_drafts.py.
"""

import json
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

import accuracy  # noqa: E402
import score_drafts as marker  # noqa: E402

FLOORS = json.loads((HERE / "floors.json").read_text(encoding="utf-8"))
KEYS = sorted(HERE.glob("*.key.json"))


@pytest.fixture(scope="module")
def draft() -> accuracy.Reader:
    return accuracy.reader(rules_alone=False)


@pytest.mark.parametrize("key", KEYS, ids=lambda k: k.name.removesuffix(".key.json"))
def test_a_note_is_read_as_well_as_before(key: Path, draft: accuracy.Reader) -> None:
    marks, floor = accuracy.marks_of(key, draft), FLOORS[key.name.removesuffix(".key.json")]
    for name in marker.TALLIES:
        assert getattr(marks, name).figures()["f1"] >= floor[name], f"{name}: {marks.misses}"
    assert marks.reversed <= floor["reversed"], marks.misses
    assert marks.unsupported == 0, marks.misses


def test_every_note_has_a_floor() -> None:
    assert set(FLOORS) == {k.name.removesuffix(".key.json") for k in KEYS}
