"""The shop's folder: its settings, and where its recordings, ledger, own words and templates lie.

shop.toml       the settings, commented
recordings/     every recording as it came, under its SHA-256, read-only
transcripts/    what was heard of them, so that nothing is heard twice
pictures/       pictures of the parts, each under its SHA-256
incoming/       recordings on their way in from the desk; empty once they are taken in
words/          the shop's own packs
templates/      the shop's own papers, laid over the program's
papers/         what was issued, word for word, a folder for each job
ledger.db       the history (see ledger.py)
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import BinaryIO, Literal

from pydantic import BaseModel, ConfigDict, Field

from notepipe.errors import BadSetting, CannotWrite, NotFound, nearest
from notepipe.toml import read_toml

SETTINGS_FILE = "shop.toml"
DateForm = Literal["25 November 2026", "November 25, 2026", "25/11/2026", "11/25/2026", "2026-11-25"]
_DATES: dict[DateForm, Callable[[date], str]] = {
    "25 November 2026": lambda day: f"{day.day} {day:%B %Y}",
    "November 25, 2026": lambda day: f"{day:%B} {day.day}, {day.year}",
    "25/11/2026": lambda day: f"{day:%d/%m/%Y}",
    "11/25/2026": lambda day: f"{day:%m/%d/%Y}",
    "2026-11-25": lambda day: day.isoformat(),
}


class Settings(BaseModel):
    """What a shop says about itself in ``shop.toml``; everything but its name has a default."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    shop: str = Field(min_length=1)
    """Its name, as it stands on the papers."""
    reviewers: tuple[str, ...] = ()
    """Who may review. Nobody else may, and nobody at all while the list is empty."""
    paper_width: int = Field(default=72, ge=40, le=200)
    """Letters to a line on the papers."""
    date_form: DateForm = "25 November 2026"
    """How dates are written: the form of this example."""
    speech_model: str = "base"
    """The speech model to hear with, by its name in models/speech.toml."""
    gpu: bool = False
    """Whether to hear on the machine's GPU."""
    currency: str = Field(default="", pattern="^([A-Z]{3})?$")
    """What prices are in where nobody says, ISO 4217 ("GBP"); empty: a price without one stays bare."""
    country: str = Field(default="", pattern="^([A-Z]{2})?$")
    """Whose public holidays are kept, ISO 3166-1 ("GB"); empty: only Saturdays and Sundays are off."""
    country_part: str = ""
    """Where its parts differ, ISO 3166-2 without the country ("ENG")."""

    def date_in_words(self, day: date) -> str:
        """*day* as this shop writes dates."""
        return in_words(day, self.date_form)

    def reviewer(self, name: str) -> str:
        """The listed reviewer *name* means, capitals aside. Raises NotFound for anybody else."""
        for listed in self.reviewers:
            if listed.casefold() == name.strip().casefold():
                return listed
        if not self.reviewers:
            raise NotFound(SETTINGS_FILE, "nobody may review yet", f'Write there: reviewers = ["{name}"]')
        raise NotFound(SETTINGS_FILE, f"'{name}' may not review", nearest(name, self.reviewers))


def in_words(day: date, form: DateForm) -> str:
    """*day* in the form of that example."""
    return _DATES[form](day)


class Shop:
    """An opened shop's folder."""

    def __init__(self, folder: Path, settings: Settings) -> None:
        self.folder = folder
        self.settings = settings
        self.ledger = folder / "ledger.db"
        self.recordings = folder / "recordings"
        self.transcripts = folder / "transcripts"
        self.templates = folder / "templates"
        self.papers = folder / "papers"
        self.pictures = folder / "pictures"
        self.incoming = folder / "incoming"

    def packs(self) -> list[Path]:
        """The shop's own words, in the order of their names."""
        return sorted((self.folder / "words").glob("*.toml"))

    def recording(self, sha256: str) -> Path:
        """Where the recording with this hash is kept. Raises NotFound where it is gone."""
        found = sorted(self.recordings.glob(f"{sha256}*"))
        if not found:
            do = "Put the recording back into that folder, under its hash."
            raise NotFound(str(self.recordings), f"recording {sha256[:12]} is not there", do)
        return found[0]

    def keep(self, path: Path) -> Path:
        """A copy of *path* under its SHA-256, read-only; one that is there already is left alone.

        Raises NotFound where *path* is missing, CannotWrite where nothing can be kept.
        """
        with _writing(self.recordings, make=True), _temporary(self.recordings) as (part, name):
            kept = self.recordings / f"{_copy(path, part)}{path.suffix.lower()}"
            if not kept.exists() or sha256_of(kept) != kept.name[:64]:
                name.chmod(0o444)
                _rename(name, kept)
        return kept

    def picture(self, sha256: str) -> Path:
        """Where the picture with this hash is kept. Raises NotFound where it is gone."""
        kept = self.pictures / f"{sha256}.jpg"
        if not re.fullmatch(r"[0-9a-f]{64}", sha256) or not kept.is_file():
            do = "Put the picture back into that folder, under its hash."
            raise NotFound(str(self.pictures), f"picture {sha256[:12]} is not there", do)
        return kept

    def keep_picture(self, jpeg: bytes) -> str:
        """Keep the bytes of a picture under their SHA-256, which is returned. Raises CannotWrite."""
        sha256 = hashlib.sha256(jpeg).hexdigest()
        kept = self.pictures / f"{sha256}.jpg"
        with _writing(self.pictures, make=True):
            if kept.is_file() and sha256_of(kept) == sha256:
                return sha256
            with _temporary(self.pictures) as (part, name):
                part.write(jpeg)
                _settle(part)
                name.chmod(0o444)
                _rename(name, kept)
        return sha256

    def remembered(self, sha256: str, model: str) -> str | None:
        """What was written down when this recording was heard with *model*, or None."""
        path = self._transcript(sha256, model)
        return path.read_text(encoding="utf-8") if path.is_file() else None

    def remember(self, sha256: str, model: str, text: str) -> None:
        """Write down what was heard, so that the same recording is not heard twice."""
        with _writing(self.transcripts, make=True):
            write_whole(self._transcript(sha256, model), text)

    def issued(self, job: str, number: int) -> Path:
        """Where the text of the job's issued update of that number is kept, or is to be."""
        return self.papers / _folder_name(job) / f"update-{number}.txt"

    def keep_issued(self, job: str, number: int, text: str) -> Path:
        """Keep the *text* that is being issued, in its place. Raises CannotWrite."""
        path = self.issued(job, number)
        with _writing(path.parent, make=True):
            write_whole(path, text)
        return path

    def sheet(self, job: str, name: str) -> Path:
        """Where the text of the job's sheet of that name is kept, or is to be."""
        return self.papers / _folder_name(job) / f"sheet-{name}.txt"

    def keep_sheet(self, job: str, name: str, text: str) -> Path:
        """Keep the *text* of a sheet that goes out, in its place. Raises CannotWrite."""
        path = self.sheet(job, name)
        with _writing(path.parent, make=True):
            write_whole(path, text)
        return path

    def _transcript(self, sha256: str, model: str) -> Path:
        plain = "".join(c if c.isalnum() or c in ".-" else "-" for c in model)
        return self.transcripts / f"{sha256}.{plain}.json"


def _folder_name(job: str) -> str:
    """The job's name where any disk can have it as a folder, else made so and told apart by its hash."""
    plain = "".join(c if c.isalnum() or c in "-_" else "-" for c in job)
    return plain if plain == job else f"{plain}-{hashlib.sha256(job.encode()).hexdigest()[:8]}"


def find_shop(start: Path, given: Path | None = None) -> Shop:
    """The shop whose folder is *given*, else the first with a shop.toml from *start* upwards.

    Raises NotFound where there is none, BadSetting where its shop.toml has a slip.
    """
    if given is not None and not _is_shop(given):
        raise NotFound(str(given), "no shop's folder (no shop.toml in it)", f"Run: notepipe start {given}")
    folders = [given] if given is not None else [start, *start.parents]
    folder = next((f for f in folders if _is_shop(f)), None)
    if folder is None:
        do = "Go to the shop's folder, give it with --shop, or make one: notepipe start FOLDER"
        raise NotFound(str(start), "not in a shop's folder", do)
    return Shop(folder, read_toml(folder / SETTINGS_FILE, Settings))


def _is_shop(folder: Path) -> bool:
    # The own words may lie in words/shop.toml, and that folder is no shop.
    inside = folder.name == "words" and (folder.parent / SETTINGS_FILE).is_file()
    return (folder / SETTINGS_FILE).is_file() and not inside


def start_shop(folder: Path, settings: Settings) -> Shop:
    """A new shop's folder at *folder*; its shop.toml is written last, so a half-made one is none.

    Files that are there stay as they are. Raises CannotWrite where it is a shop's folder already.
    """
    if (folder / SETTINGS_FILE).exists():
        do = f"Use it as it is, or change {folder / SETTINGS_FILE}."
        raise CannotWrite(str(folder), "is a shop's folder already", do)
    with _writing(folder, make=True):
        for name in ("recordings", "transcripts", "words", "templates"):
            (folder / name).mkdir(parents=True, exist_ok=True)
    for path, text in ((folder / "words/shop.toml", _WORDS), (folder / "templates/README.txt", _TEMPLATES)):
        if not path.exists():
            write_whole(path, text)
    write_whole(folder / SETTINGS_FILE, _settings_text(settings))
    return find_shop(folder, folder)


def write_whole(path: Path, text: str) -> None:
    """*text* at *path*, all of it or nothing: a cut-off write leaves the old file.

    Raises CannotWrite, also where the folder is not there: a slip in a name makes no folder.
    """
    with _writing(path.parent), _temporary(path.parent) as (part, name):
        part.write(text.encode("utf-8"))
        _settle(part)
        name.chmod(0o644)
        _rename(name, path)


def sha256_of(path: Path) -> str:
    """The SHA-256 of the file at *path*, in hex."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def cannot_write(where: str, error: OSError) -> CannotWrite:
    """*error* as one clear line: a full disk, a folder that can't be written, a folder that isn't one."""
    full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
    if full:
        return CannotWrite(where, "the disk is full", "Make room and run it again; nothing was lost.")
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return CannotWrite(where, "can't be written", "Ask whoever owns it for leave, or choose another.")
    if error.errno in (errno.ENOTDIR, errno.EEXIST, errno.ENOENT):
        return CannotWrite(where, "is no folder to write in", "Choose a folder that is there.")
    return CannotWrite(where, error.strerror or str(error), "Put that right and run it again.")


@contextmanager
def _writing(folder: Path, *, make: bool = False) -> Iterator[None]:
    try:
        if make:
            folder.mkdir(parents=True, exist_ok=True)
        yield
    except OSError as error:
        raise cannot_write(str(folder), error) from error


@contextmanager
def _temporary(folder: Path) -> Iterator[tuple[BinaryIO, Path]]:
    """A new file in *folder* and its path, gone afterwards unless it was renamed."""
    number, text = tempfile.mkstemp(prefix=".part-", dir=folder)
    name = Path(text)
    try:
        with os.fdopen(number, "wb") as part:
            yield part, name
    finally:
        name.unlink(missing_ok=True)


def _copy(path: Path, part: BinaryIO) -> str:
    """Copy *path* into *part* to the disk; the SHA-256 of what was copied, in hex."""
    try:
        file = path.open("rb")
    except OSError as error:
        raise NotFound(str(path), "can't be read", "Check the name, and that it is a file.") from error
    digest = hashlib.sha256()
    with file:
        while piece := file.read(1 << 20):
            digest.update(piece)
            part.write(piece)
    _settle(part)
    return digest.hexdigest()


def _settle(part: BinaryIO) -> None:
    part.flush()
    os.fsync(part.fileno())


def _rename(name: Path, to: Path) -> None:
    name.replace(to)
    if os.name == "posix":  # Elsewhere a folder can't be opened to be synced.
        folder = os.open(to.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _quoted(text: str) -> str:
    """*text* as a TOML string on one line. Raises BadSetting for what no name can hold."""
    if not text.isprintable():
        raise BadSetting(SETTINGS_FILE, f"{text!r} holds a line break or the like", "Give it on one line.")
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _settings_text(settings: Settings) -> str:
    return f"""\
# The settings of this shop. Change them with any text editor; a slip is named by line and field.

# The shop's name, as it stands on the papers.
shop = {_quoted(settings.shop)}

# The people who may review, by the names that will stand in the history. Nobody else may:
# a slip of the keyboard can't sign for anyone. Example: reviewers = ["Ada Fenn", "Joe Marsh"]
reviewers = [{", ".join(_quoted(name) for name in settings.reviewers)}]

# Letters to a line on the papers, 40 to 200.
paper_width = {settings.paper_width}

# How dates are written, one of:
# {", ".join(f'"{form}"' for form in _DATES)}
date_form = {_quoted(settings.date_form)}

# The speech model that hears the recordings. `notepipe models` shows which there are.
speech_model = {_quoted(settings.speech_model)}

# Whether to hear on the machine's GPU, where it has one: true or false.
gpu = {str(settings.gpu).lower()}

# What prices are in where nobody says: "GBP", "EUR", "USD" (ISO 4217).
currency = {_quoted(settings.currency)}

# Whose public holidays the shop keeps, by its two letters ("GB", "US"), and the part of the country
# where they differ ("ENG", "SCT"). Empty: only Saturdays and Sundays are days off.
country = {_quoted(settings.country)}
country_part = {_quoted(settings.country_part)}
"""


_WORDS = """\
# The shop's own words, laid beside the trade's. Take the # away from the lines you want, and change them.
# Every term has an example: a sentence it stands in.
#
# [[term]]
# id = "trolley-head"
# kind = "part"
# phrases = ["trolley head"]
# example = { say = "The trolley head wants polishing." }
"""

_TEMPLATES = """\
Papers of your own go here. Copy one of the program's templates into this folder under
the same name and change it; yours is used instead. Any other name is left alone.
"""
