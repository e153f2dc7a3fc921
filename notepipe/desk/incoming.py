"""Recordings on their way in: written to the shop's folder as they come, then taken in one at a time.

Each lies in a folder of its own in ``incoming/`` with a card that says for which job, by whom and under which
name it came. The card is written when all of the file is there. Where the desk is closed or killed meanwhile,
the next one finds both and offers to go on; what has no card was cut off, and goes away after a day.
"""

from __future__ import annotations

import json
import logging
import queue
import re
import secrets
import shutil
import threading
from collections.abc import AsyncIterator, Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from pydantic import ValidationError
from starlette.concurrency import run_in_threadpool

from notepipe.desk.names import safe_name
from notepipe.entries import NoteTaken
from notepipe.errors import BadRecording, CannotWrite, NotepipeError, NotFound
from notepipe.shop import cannot_write, write_whole
from notepipe.showing import count
from notepipe.transcript import Frozen

if TYPE_CHECKING:
    from notepipe.desk.desk import Desk
    from notepipe.taking import Taken

LARGEST_BYTES: Final = 16 * 1024**3
"""Four hours of film from a telephone."""
_SPARE_BYTES: Final = 200 * 1024**2
_CUT_OFF_S: Final = 24 * 3600
_CARD: Final = "card.json"
_NAME = re.compile(r"[0-9a-f]{16}")
State = Literal["left", "waiting", "hearing", "done", "failed"]
_log = logging.getLogger(__name__)


class Card(Frozen):
    """What is known of a recording that came, besides its bytes."""

    job: str
    person: str
    file: str


class Wrong(NamedTuple):
    """A mistake, in words."""

    where: str
    what: str
    do: str


class Coming(NamedTuple):
    """One recording, and how far it is."""

    name: str
    """Of its folder: sixteen letters."""
    card: Card
    state: State
    doing: str = ""
    """``hearing``, ``reading the sound``."""
    percent: int = 0
    said: str = ""
    """What came of it."""
    note: str = ""
    """The recording's hash, once it is a note."""
    wrong: Wrong | None = None


class Incoming:
    """The recordings on their way in, for one run of the desk. One thread takes them in, one at a time."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._folder = desk.shop.incoming
        self._coming: dict[str, Coming] = {}
        self._waiting: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None

    async def receive(self, card: Card, pieces: AsyncIterator[bytes], promised: int | None) -> Coming:
        """Write what comes to the disk, and put it in the queue when it is whole.

        Raises CannotWrite where there is no room or no leave, BadRecording where it is empty, too large or
        shorter than promised. Of what was cut off nothing is left.
        """
        card = card.model_copy(update={"file": safe_name(card.file)})
        if promised is not None and promised > LARGEST_BYTES:
            raise _too_large(card.file)
        place = self._make_place(promised or 0)
        try:
            written = await self._write(place / card.file, pieces, card.file)
            if promised is not None and written != promised:
                what = f"came only in part: {written} of {promised} bytes"
                raise BadRecording(card.file, what, "Drop it here again.")
            if not written:
                raise BadRecording(
                    card.file, "the file is empty", "Copy it again from where it was recorded."
                )
            write_whole(place / _CARD, card.model_dump_json())
        except OSError as error:
            _gone(place)
            raise cannot_write(str(self._folder), error) from error
        except BaseException:  # Also where the browser went away in the middle.
            _gone(place)
            raise
        return self._queue(Coming(place.name, card, "waiting"))

    def all_of(self, job: str) -> tuple[Coming, ...]:
        """What is on its way into *job*, what was taken in since the desk was opened, and what was left."""
        self._find_left()
        with self._lock:
            return tuple(coming for coming in self._coming.values() if coming.card.job == job)

    def go_on(self, job: str, name: str) -> None:
        """Take in what was left by an earlier desk, or try again what failed. Raises NotFound."""
        coming = self._of(job, name)
        if coming.state in ("left", "failed"):
            self._queue(Coming(name, coming.card, "waiting"))

    def throw_away(self, job: str, name: str) -> None:
        """Forget one that is done, was left or failed; its file here goes, a kept recording stays.

        Raises NotFound for no such one, CannotWrite for one that is being heard.
        """
        coming = self._of(job, name)
        if coming.state == "hearing":
            do = "Wait until it is heard, or close the desk."
            raise CannotWrite(coming.card.file, "is being heard", do)
        with self._lock:
            self._coming.pop(name, None)
        _gone(self._folder / name)

    def _of(self, job: str, name: str) -> Coming:
        self._find_left()
        with self._lock:
            coming = self._coming.get(name)
        if coming is None or coming.card.job != job:
            raise NotFound("the desk", "no such recording on its way in", "Load the page again.")
        return coming

    def _make_place(self, promised: int) -> Path:
        place = self._folder / secrets.token_hex(8)
        try:
            self._folder.mkdir(exist_ok=True)
            # Twice: once here, once as it is kept.
            if shutil.disk_usage(self._folder).free < 2 * promised + _SPARE_BYTES:
                what = "there is not room enough on the disk"
                raise CannotWrite(str(self._folder), what, "Make room and drop it here again.")
            place.mkdir()
        except OSError as error:
            raise cannot_write(str(self._folder), error) from error
        return place

    async def _write(self, path: Path, pieces: AsyncIterator[bytes], name: str) -> int:
        written = 0
        with path.open("xb") as file:
            async for piece in pieces:
                written += len(piece)
                if written > LARGEST_BYTES:
                    raise _too_large(name)
                await run_in_threadpool(file.write, piece)
        return written

    def _queue(self, coming: Coming) -> Coming:
        with self._lock:
            self._coming[coming.name] = coming
            if self._thread is None:
                # A daemon: the desk can be closed in the middle, and what is heard is heard again.
                self._thread = threading.Thread(target=self._work, name="taking in", daemon=True)
                self._thread.start()
        self._waiting.put(coming.name)
        return coming

    def _work(self) -> None:
        while True:
            name = self._waiting.get()
            with self._lock:
                coming = self._coming.get(name)
            if coming is not None and coming.state == "waiting":  # Else it was thrown away meanwhile.
                self._take(coming)

    def _take(self, coming: Coming) -> None:
        from notepipe.taking import Desk as Taking
        from notepipe.taking import Hearing

        name, card, desk = coming.name, coming.card, self._desk
        settings = desk.shop.settings
        self._now(name, state="hearing", doing="opening it")
        try:
            taking = Taking(desk.shop, desk.ledger, card.job)
            hearing = Hearing(model=settings.speech_model, gpu=settings.gpu)
            path = self._folder / name / card.file
            taken = taking.take(path, desk.hand(card.person), hearing, self._progress(name))
        except NotepipeError as error:
            # The folder's name is no business of whoever reads it.
            where = error.where.replace(f"{self._folder / name}/", "")
            self._now(name, state="failed", wrong=Wrong(where, error.what, error.do))
        except Exception:
            _log.exception("taking in %s", card.file)
            wrong = Wrong(
                card.file, "a fault of the program", "Its traceback stands in the terminal of the desk."
            )
            self._now(name, state="failed", wrong=wrong)
        else:
            said, note = _said(taken)
            self._now(name, state="done", percent=100, said=said, note=note)
            _gone(self._folder / name)

    def _progress(self, name: str) -> Callable[[float, float, str], None]:
        def tell(done: float, total: float, doing: str) -> None:
            percent = min(100, round(100 * done / total)) if total else 0
            self._now(name, doing=doing, percent=percent)

        return tell

    def _now(self, name: str, **how: object) -> None:
        with self._lock:
            if name in self._coming:
                self._coming[name] = self._coming[name]._replace(**how)  # type: ignore[arg-type]

    def _find_left(self) -> None:
        """What an earlier desk left, with its card; cut off pieces of more than a day are cleared away."""
        for place, card in list(_left(self._folder)):
            with self._lock:
                known = place.name in self._coming
                if not known and card is not None:
                    self._coming[place.name] = Coming(place.name, card, "left")
            if not known and card is None and _age_s(self._desk.clock(), place) > _CUT_OFF_S:
                _gone(place)


def _left(folder: Path) -> Iterator[tuple[Path, Card | None]]:
    if not folder.is_dir():
        return
    for place in sorted(folder.iterdir()):
        if _NAME.fullmatch(place.name) and place.is_dir():
            try:
                card = Card.model_validate(json.loads((place / _CARD).read_text(encoding="utf-8")))
            except (OSError, ValueError, ValidationError):
                card = None
            if card is not None and (safe_name(card.file) != card.file or not (place / card.file).is_file()):
                card = None
            yield place, card


def _age_s(now: str, place: Path) -> float:
    try:
        return datetime.fromisoformat(now).timestamp() - place.stat().st_mtime
    except OSError:
        return 0.0


def _said(taken: Taken) -> tuple[str, str]:
    """What came of it, and the hash of the recording."""
    body = taken.entry.body
    assert isinstance(body, NoteTaken)
    if not taken.fresh:
        return f"in the job already, as {body.file}; not taken twice", body.recording
    drafted = f"{count(len(body.draft.parts), 'part')}, {count(len(body.draft.questions), 'question')}"
    return f"{drafted} to review", body.recording


def _gone(place: Path) -> None:
    shutil.rmtree(place, ignore_errors=True)


def _too_large(name: str) -> BadRecording:
    what = f"is larger than {LARGEST_BYTES // 1024**3} GB"
    return BadRecording(name, what, "Cut it into several recordings, or take it in with: notepipe take")
