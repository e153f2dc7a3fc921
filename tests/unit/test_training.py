"""The keyed notes become rows of words and marks; what a key says of a note is found in its words."""

import importlib
import json
import sys
from pathlib import Path
from typing import Any

import pytest

TRAINING = Path(__file__).parents[2] / "models" / "training"
NOTES = sorted((TRAINING / "notes").glob("*.json"))


@pytest.fixture(scope="module")
def prepare() -> Any:
    sys.path.insert(0, str(TRAINING))
    try:
        return importlib.import_module("prepare")
    finally:
        sys.path.pop(0)


@pytest.mark.parametrize("path", NOTES[::97], ids=lambda path: path.stem)
def test_every_record_of_a_key_is_found_in_the_words(prepare: Any, path: Path) -> None:
    row = prepare.from_note(path)
    assert len(row["records"]) == len(json.loads(path.read_text(encoding="utf-8"))["parts"])
    assert all(record["anchor"] for record in row["records"])
    assert all(fate["known"] for fate in row["fates"])


def test_a_narration_s_key_becomes_a_row_too(prepare: Any, tmp_path: Path) -> None:
    """A key that does not say which words its values rest on: they are looked up in the packs."""
    key = {
        "parts": [
            {
                "name": "bell",
                "quantity": 2,
                "metal": "brass",
                "heard_as": ["Two brass bells"],
                "sizes": [{"mm": 254.0}],
                "decisions": [{"action": "polish", "standing": "decided", "quote": "we'll polish those"}],
            }
        ]
    }
    (tmp_path / "bells.key.json").write_text(json.dumps(key), encoding="utf-8")
    (tmp_path / "bells.txt").write_text(
        "Two brass bells, ten inches across, and we'll polish those.", encoding="utf-8"
    )
    row = prepare.from_narration(tmp_path / "bells.key.json")
    said = {(v["kind"], " ".join(row["words"][v["first"] : v["last"] + 1])) for v in row["values"]}
    assert said == {("name", "bells"), ("metal", "brass"), ("quantity", "Two"), ("size", "ten inches")}
    assert [row["words"][f["word"]] for f in row["fates"]] == ["polish"]
    assert row["records"][0]["count"] == "said"
