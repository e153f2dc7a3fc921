"""A note comes in: opened, heard (or remembered), read into a draft, and taken into a job."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from notepipe.closing import refuse_where_closed
from notepipe.draft import Draft, Note
from notepipe.entries import Entry, NoteTaken
from notepipe.errors import BadRecording, NotepipeError
from notepipe.jobs import entries_of
from notepipe.shop import Shop
from notepipe.transcript import Frozen, Transcript

if TYPE_CHECKING:
    from notepipe.entries import Body
    from notepipe.ledger import Hand, Ledger
    from notepipe.recording import Recording
    from notepipe.trade import Trade

Progress = Callable[[float, float, str], None]
"""Called with (done, in all, what is being done)."""


class Hearing(Frozen):
    """How a note is to be heard."""

    model: str = "base"
    gpu: bool = False
    again: bool = False
    """Hear it again, also where it is remembered."""


def draft_of(path: Path, hearing: Hearing, shop: Shop | None, progress: Progress) -> Draft:
    """What is understood of the note at *path*. Nothing is stored; what a shop has heard before is used.

    Raises NotFound, BadRecording, MissingModel, or BadSetting for a slip in the shop's words.
    """
    from notepipe.recording import open_recording

    trade, recording = _trade_of(shop), open_recording(path)
    return _read(recording, _heard(recording, hearing, shop, progress), trade)


class Taken(Frozen):
    """The entry a note stands in, and whether it is new."""

    entry: Entry
    fresh: bool


class Desk:
    """Where notes are taken into one job of a shop."""

    def __init__(self, shop: Shop, ledger: Ledger, job: str) -> None:
        self._shop = shop
        self._ledger = ledger
        self._job = job

    def take(self, path: Path, hand: Hand, hearing: Hearing, progress: Progress) -> Taken:
        """Keep, hear and draft the recording at *path*; it stands in the job when this returns.

        One that is in the job already is not taken twice. Raises what draft_of raises, and CannotWrite.
        """
        from notepipe.recording import open_recording

        recording = open_recording(path)
        if before := _taken(entries_of(self._ledger, self._job), recording.sha256):
            return Taken(entry=before, fresh=False)
        refuse_where_closed(entries_of(self._ledger, self._job))  # Before minutes of hearing.
        trade = _trade_of(self._shop)
        transcript = _heard(recording, hearing, self._shop, progress)
        _remember(recording, hearing, self._shop, transcript)
        draft = _read(recording, transcript, trade)
        if self._shop.keep(path).name[:64] != recording.sha256:
            what = "was changed while it was being heard"
            raise BadRecording(str(path), what, "Take it again when it is finished.")
        note = NoteTaken(
            recording=recording.sha256, file=draft.note.file, transcript=transcript.text, draft=draft
        )

        def once(entries: tuple[Entry, ...]) -> tuple[Body, ...]:
            return () if _taken(entries, recording.sha256) else (note,)

        if made := self._ledger.decide(self._job, hand, once):
            return Taken(entry=made[0], fresh=True)
        # Somebody else took it while it was heard here.
        before = _taken(entries_of(self._ledger, self._job), recording.sha256)
        assert before is not None
        return Taken(entry=before, fresh=False)


def words_of(shop: Shop, recording: str, text: str) -> Transcript:
    """The timed words of a note taken before, whose text is *text*; the text alone where they are gone."""
    from notepipe.hearing import TextEar
    from notepipe.recording import open_recording

    for path in sorted(shop.transcripts.glob(f"{recording}.*.json")):
        try:
            heard = Transcript.model_validate_json(path.read_text(encoding="utf-8"))
        except (ValidationError, UnicodeDecodeError):
            continue  # Written by another version, or cut.
        if heard.text == text:
            return heard
    try:
        kept = open_recording(shop.recording(recording))
        read = TextEar().hear(kept) if kept.kind == "text" else None
    except NotepipeError:
        read = None
    return read if read is not None and read.text == text else Transcript(text=text)


def _taken(entries: tuple[Entry, ...], sha256: str) -> Entry | None:
    return next((e for e in entries if e.body.kind == "note-taken" and e.body.recording == sha256), None)


def _trade_of(shop: Shop | None) -> Trade:
    """A slip in the shop's words is told before minutes of hearing."""
    from notepipe.trade import load_trade

    return load_trade(shop.packs() if shop else ())


def _read(recording: Recording, transcript: Transcript, trade: Trade) -> Draft:
    from notepipe.reading import read

    note = Note(
        file=_legible(recording.name),
        sha256=recording.sha256,
        duration_s=transcript.duration_s,
        heard_with=transcript.heard_with,
        warnings=transcript.warnings,
    )
    return read(transcript, note, trade)


def _heard(recording: Recording, hearing: Hearing, shop: Shop | None, progress: Progress) -> Transcript:
    """From what was heard before where that can be, else from the recording."""
    from notepipe.hearing import HearingSettings, ear_for

    before = shop.remembered(recording.sha256, hearing.model) if shop and not hearing.again else None
    if before and recording.kind == "sound":
        try:
            return Transcript.model_validate_json(before)
        except ValidationError:
            pass  # Written by another version, or cut: it is heard again.
    settings = HearingSettings(model=hearing.model, shop_words=_own_words(shop), gpu=hearing.gpu)
    return ear_for(recording, settings, progress).hear(recording)


def _remember(recording: Recording, hearing: Hearing, shop: Shop, transcript: Transcript) -> None:
    if recording.kind == "sound":
        shop.remember(recording.sha256, hearing.model, transcript.model_dump_json())


def _own_words(shop: Shop | None) -> tuple[str, ...]:
    """The words of the shop's own packs, for the recogniser."""
    from notepipe.toml import read_toml
    from notepipe.trade import Pack
    from notepipe.trade.hearing_words import words_to_tell

    return words_to_tell(read_toml(path, Pack) for path in shop.packs()) if shop else ()


def _legible(name: str) -> str:
    """A file name the ledger can hold: bytes that are no UTF-8 become question marks."""
    return os.fsencode(name).decode("utf-8", "replace")
