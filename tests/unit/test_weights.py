"""The speech models: listed, checked against their sums, put together whole or not at all."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import pytest

from notepipe import weights
from notepipe.errors import MissingModel, NotepipeError
from notepipe.weights import (
    SpeechModel,
    fetch,
    fits,
    folder_of,
    known_models,
    model_named,
    place_of,
    state_of,
)

PARTS = {"model.bin.part1": b"first half, ", "model.bin.part2": b"second half"}
WHOLE = b"".join(PARTS.values())


def toy(**changes: object) -> SpeechModel:
    fields = {
        "name": "toy", "licence": "MIT", "size_mb": 1, "memory_mb": 1, "speed": "quick", "about": "A toy.",
        "packages": ("toy_part1", "toy_part2"),
        "sha256": {
            "model.bin": hashlib.sha256(WHOLE).hexdigest(),
            "config.json": hashlib.sha256(b"{}").hexdigest(),
        },
    }  # fmt: skip
    return SpeechModel.model_validate(fields | changes)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty models folder, and two installed packages with a toy model in two pieces."""
    for number, (name, content) in enumerate(PARTS.items(), start=1):
        folder = tmp_path / "site" / f"toy_part{number}" / "data"
        folder.mkdir(parents=True)
        (folder.parent / "__init__.py").touch()
        (folder / name).write_bytes(content)
    (tmp_path / "site" / "toy_part1" / "data" / "config.json").write_bytes(b"{}")
    monkeypatch.syspath_prepend(tmp_path / "site")
    for package in ("toy_part1", "toy_part2"):
        monkeypatch.delitem(sys.modules, package, raising=False)
    monkeypatch.setenv("NOTEPIPE_MODELS", str(tmp_path / "models"))
    return tmp_path / "models"


def left_behind(home: Path) -> list[str]:
    return [f.name for f in (home / "weights").iterdir()]


def test_the_listed_default_has_the_published_sums() -> None:
    # The sums fixed when the model was chosen; a change here is another model.
    default = known_models()[0]
    assert default.name == "base"
    assert default.sha256["model.bin"].startswith("d01c3014881c9c6f")
    assert {m.name for m in known_models()} == {"base", "small", "medium", "large-v3-turbo"}
    assert all(m.licence and m.size_mb and m.speed for m in known_models())


def test_the_pieces_are_joined_in_order_and_the_sums_hold(home: Path) -> None:
    model = toy()
    assert state_of(model) == "missing"
    folder = fetch(model)
    assert (folder / "model.bin").read_bytes() == WHOLE
    assert state_of(model) == "here"
    assert left_behind(home) == ["toy"]


def test_a_file_with_another_sum_is_refused_and_nothing_is_kept(home: Path) -> None:
    with pytest.raises(MissingModel, match=r"model\.bin is not the file it should be"):
        fetch(toy(sha256={"model.bin": "0" * 64, "config.json": toy().sha256["config.json"]}))
    assert left_behind(home) == []


def test_a_file_changed_later_is_found(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    model = toy()
    (fetch(model) / "model.bin").write_bytes(b"something else")
    assert state_of(model) == "wrong"
    monkeypatch.setattr(weights, "known_models", lambda: (model,))
    with pytest.raises(MissingModel, match="SHA-256"):
        folder_of("toy")


def test_fetching_again_mends_a_wrong_one() -> None:
    model = toy()
    (fetch(model) / "model.bin").write_bytes(b"something else")
    fetch(model)
    assert state_of(model) == "here"


def test_broken_off_it_leaves_nothing_half_written(home: Path) -> None:
    def stop(done_mb: float, total_mb: float, what: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fetch(toy(), stop)
    assert left_behind(home) == []


def test_a_missing_package_is_named_with_what_to_do() -> None:
    with pytest.raises(MissingModel, match="toy_part9 is not installed") as caught:
        fetch(toy(packages=("toy_part9",)))
    assert "pip install toy-part9" in caught.value.do


def test_a_folder_that_cannot_be_written_is_one_line(home: Path) -> None:
    home.write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(NotepipeError, match="can't be kept"):
        fetch(toy())


def test_a_local_folder_is_taken_if_a_model_is_in_it(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    with pytest.raises(MissingModel, match=r"model\.bin is not there"):
        folder_of(str(folder))
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (folder / name).touch()
    assert folder_of(str(folder)) == folder


def test_a_listed_model_that_is_not_here_says_how_to_get_it() -> None:
    with pytest.raises(MissingModel) as caught:
        folder_of("small")
    assert caught.value.do == "Run: notepipe models small"


def test_a_misspelt_model_gets_the_nearest() -> None:
    with pytest.raises(MissingModel, match="Did you mean 'small'"):
        model_named("smal")


def test_what_fits_follows_from_the_memory_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(weights, "free_memory_mb", lambda: 800)
    assert fits(toy(memory_mb=700)) is True
    assert fits(toy(memory_mb=900)) is False
    monkeypatch.setattr(weights, "free_memory_mb", lambda: None)
    assert fits(toy()) is None


def test_the_environment_names_the_place(home: Path) -> None:
    assert place_of(toy()) == home / "weights" / "toy"


def test_what_comes_with_the_program_is_found_wherever_the_speech_models_are_kept() -> None:
    assert (weights.shipped("reader") / "tokenizer.json").is_file()
