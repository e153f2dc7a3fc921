"""A note is heard once, read with the shop's own words, and stands in the job once, whoever takes it."""

from dataclasses import replace
from pathlib import Path

import pytest

import notepipe.hearing
import notepipe.reading
from notepipe.draft import Draft, Note
from notepipe.entries import JobOpened, NoteTaken
from notepipe.errors import BadRecording
from notepipe.hearing import HearingSettings
from notepipe.jobs import register_of
from notepipe.ledger import Hand, Ledger
from notepipe.recording import Progress, Recording
from notepipe.shop import Settings, Shop, start_shop
from notepipe.taking import Desk, Hearing, draft_of
from notepipe.transcript import Transcript, Word

ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
JOE = Hand(who="Joe Marsh", at="2026-11-25T10:00:05+00:00")
HEARD = Transcript(
    text="the bell",
    words=(Word(text="the", at=0, start_s=0.1, end_s=0.25, probability=0.875),),
    warnings=("12 s promised, 11.5 s heard",),
    duration_s=11.5,
    heard_with="whisper base int8",
)


class Ear:
    """A stand-in for the recogniser that counts how often it listens, and to what settings."""

    def __init__(self) -> None:
        self.settings: list[HearingSettings] = []

    def for_recording(self, recording: Recording, settings: HearingSettings, progress: Progress) -> "Ear":
        self.settings.append(settings)
        return self

    def hear(self, recording: Recording) -> Transcript:
        return HEARD


@pytest.fixture
def ear(monkeypatch: pytest.MonkeyPatch) -> Ear:
    ear = Ear()
    monkeypatch.setattr(notepipe.hearing, "ear_for", ear.for_recording)
    monkeypatch.setattr(notepipe.reading, "read", lambda _, note, __: Draft(note=note))
    return ear


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return start_shop(tmp_path / "larkhill", Settings(shop="Larkhill Tramway Workshop"))


@pytest.fixture
def walk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A recording that passes for sound."""
    path = tmp_path / "walk.wav"
    path.write_bytes(b"sound")
    opened = notepipe.recording.open_recording

    def as_sound(given: Path) -> Recording:
        text = given.with_suffix(".txt")
        text.write_bytes(given.read_bytes())
        return replace(opened(text), path=given, name=given.name, kind="sound")

    monkeypatch.setattr(notepipe.recording, "open_recording", as_sound)
    return path


def silent(*_: object) -> None:
    """Nobody watches."""


def job(ledger: Ledger) -> Ledger:
    ledger.append("tram-7", ADA, JobOpened(name="tram-7", client="c", what="w"))
    return ledger


def test_what_is_known_of_the_sound_stands_in_the_note(ear: Ear, walk: Path) -> None:
    note = draft_of(walk, Hearing(), None, silent).note
    assert note == Note(
        file="walk.wav", sha256=note.sha256, duration_s=11.5, heard_with="whisper base int8",
        warnings=("12 s promised, 11.5 s heard",),
    )  # fmt: skip


def test_what_was_taken_is_heard_once_for_each_model_unless_asked(ear: Ear, walk: Path, shop: Shop) -> None:
    for job in ("tram-7", "tram-8"):
        ledger = Ledger(shop.ledger)
        ledger.append(job, ADA, JobOpened(name=job, client="Fennimore Museum", what="Tram"))
        Desk(shop, ledger, job).take(walk, ADA, Hearing(), silent)
    assert len(ear.settings) == 1
    draft_of(walk, Hearing(), shop, silent)
    assert len(ear.settings) == 1
    draft_of(walk, Hearing(model="small"), shop, silent)
    draft_of(walk, Hearing(again=True), shop, silent)
    assert [s.model for s in ear.settings] == ["base", "small", "base"]


def test_a_draft_stores_nothing_with_or_without_a_shop(ear: Ear, walk: Path, shop: Shop) -> None:
    before = sorted(shop.folder.rglob("*"))
    draft_of(walk, Hearing(), None, silent)
    draft_of(walk, Hearing(), shop, silent)
    assert len(ear.settings) == 2
    assert sorted(shop.folder.rglob("*")) == before


def test_a_transcript_remembered_that_can_t_be_read_is_heard_again(ear: Ear, walk: Path, shop: Shop) -> None:
    Desk(shop, job(Ledger(shop.ledger)), "tram-7").take(walk, ADA, Hearing(), silent)
    (kept,) = shop.transcripts.iterdir()
    kept.write_text('{"text": "cut o', encoding="utf-8")
    draft_of(walk, Hearing(), shop, silent)
    assert len(ear.settings) == 2


def test_the_shop_s_own_phrases_are_told_to_the_recogniser(ear: Ear, walk: Path, shop: Shop) -> None:
    row = '[[term]]\nid = "zz"\nkind = "part"\nphrases = ["bow collector"]\nexample = { say = "a" }\n'
    (shop.folder / "words" / "own.toml").write_text(row, encoding="utf-8")
    draft_of(walk, Hearing(gpu=True), shop, silent)
    assert ear.settings == [HearingSettings(model="base", shop_words=("bow collector",), gpu=True)]


def test_a_note_taken_is_kept_and_stands_in_the_job(ear: Ear, walk: Path, shop: Shop) -> None:
    ledger = job(Ledger(None))
    taken = Desk(shop, ledger, "tram-7").take(walk, ADA, Hearing(), silent)
    body = taken.entry.body
    assert isinstance(body, NoteTaken)
    assert (taken.fresh, body.file, body.transcript) == (True, "walk.wav", "the bell")
    assert shop.recording(body.recording).read_bytes() == b"sound"
    assert register_of(ledger, "tram-7").notes[0].file == "walk.wav"


def test_a_note_that_somebody_else_takes_while_it_is_heard_stands_once(
    ear: Ear, walk: Path, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    ledger = job(Ledger(None))

    def meanwhile(recording: Recording) -> Transcript:
        monkeypatch.undo()
        draft = Draft(note=Note(file="hers.wav", sha256=recording.sha256))
        ledger.append(
            "tram-7", JOE, NoteTaken(recording=recording.sha256, file="hers.wav", transcript="", draft=draft)
        )
        return HEARD

    monkeypatch.setattr(ear, "hear", meanwhile)
    monkeypatch.setattr(notepipe.reading, "read", lambda _, note, __: Draft(note=note))
    taken = Desk(shop, ledger, "tram-7").take(walk, ADA, Hearing(), silent)
    assert (taken.fresh, taken.entry.who) == (False, "Joe Marsh")
    assert len(register_of(ledger, "tram-7").notes) == 1


def test_a_recording_that_grows_while_it_is_heard_is_not_taken(
    ear: Ear, walk: Path, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def growing(_: Recording) -> Transcript:
        walk.write_bytes(b"sound and more")
        return HEARD

    monkeypatch.setattr(ear, "hear", growing)
    ledger = job(Ledger(None))
    with pytest.raises(BadRecording, match="changed while it was being heard"):
        Desk(shop, ledger, "tram-7").take(walk, ADA, Hearing(), silent)
    assert register_of(ledger, "tram-7").notes == ()
