"""The sound of a note is played from the kept recording in ranges; only what the ledger knows is sent."""

import io
import wave
from pathlib import Path

import av
import numpy as np
import pytest
from starlette.testclient import TestClient

from notepipe.desk.desk import Desk
from notepipe.desk.sound import source_of
from notepipe.draft import Draft, Note
from notepipe.entries import NoteTaken
from notepipe.ledger import Hand
from notepipe.shop import Shop

AT = "2026-11-25T10:00:00+00:00"
KINDS = ("wav", "ogg", "flac", "m4a", "mp3", "aac", "webm", "mp4", "alaw.wav")
_CODECS = {
    "wav": "pcm_s16le", "ogg": "libopus", "flac": "flac", "m4a": "aac", "mp3": "mp3", "aac": "aac",
    "webm": "libopus", "mp4": "aac", "alaw.wav": "pcm_alaw",
}  # fmt: skip


def made(folder: Path, kind: str) -> Path:
    """Two seconds of a tone, a second of silence before them."""
    path = folder / f"walk.{kind}"
    forms = {"m4a": "mp4", "aac": "adts", "alaw.wav": "wav"}
    with av.open(str(path), "w", format=forms.get(kind, kind)) as out:
        stream = out.add_stream(_CODECS[kind], rate=48_000 if "opus" in _CODECS[kind] else 16_000)
        stream.layout = "mono"
        if kind == "mp4":
            film = out.add_stream("mpeg4", rate=5)
            film.width, film.height, film.pix_fmt = 64, 64, "yuv420p"
            for _ in range(15):
                out.mux(film.encode(av.VideoFrame(64, 64, "yuv420p")))
            out.mux(film.encode())
        tone = np.concatenate([np.zeros(16_000), np.sin(np.arange(32_000) / 8) * 9_000]).astype("<i2")
        frame = av.AudioFrame.from_ndarray(tone.reshape(1, -1), format="s16", layout="mono")
        frame.sample_rate = 16_000
        for resampled in av.AudioResampler(stream.format.name, "mono", stream.rate).resample(frame):
            out.mux(stream.encode(resampled))
        out.mux(stream.encode())
    return path


def taken(desk: Desk, shop: Shop, path: Path, warnings: tuple[str, ...] = ()) -> str:
    sha = shop.keep(path).name[:64]
    draft = Draft(note=Note(file=path.name, sha256=sha, warnings=warnings))
    note = NoteTaken(recording=sha, file=path.name, transcript="", draft=draft)
    desk.ledger.append("tram-7", Hand(who="Ada Fenn", at=AT), note)
    return sha


@pytest.fixture
def ogg(desk: Desk, shop: Shop, tmp_path: Path) -> str:
    return taken(desk, shop, made(tmp_path, "ogg"))


def test_the_kept_recording_is_sent_to_the_byte(browsers, shop: Shop, ogg: str) -> None:
    answer = browsers().get(f"/recording/{ogg}")
    assert answer.content == shop.recording(ogg).read_bytes()
    assert answer.headers["content-type"] == "audio/ogg"
    assert answer.headers["accept-ranges"] == "bytes"


# RFC 9110, section 14: ranges are of bytes, both ends included; a range outside is answered with 416.
@pytest.mark.parametrize(
    ("asked", "first", "last"), [("bytes=0-99", 0, 99), ("bytes=100-", 100, None), ("bytes=-50", -50, None)]
)
def test_a_range_is_sent_as_such(
    browsers, shop: Shop, ogg: str, asked: str, first: int, last: int | None
) -> None:
    whole = shop.recording(ogg).read_bytes()
    answer = browsers().get(f"/recording/{ogg}", headers={"range": asked})
    wanted = whole[first:] if last is None else whole[first : last + 1]
    assert answer.status_code == 206
    assert answer.content == wanted
    start = first if first >= 0 else len(whole) + first
    assert answer.headers["content-range"] == f"bytes {start}-{start + len(wanted) - 1}/{len(whole)}"


def test_a_range_outside_is_refused(browsers, ogg: str) -> None:
    answer = browsers().get(f"/recording/{ogg}", headers={"range": "bytes=99999999-"})
    assert answer.status_code == 416
    assert answer.headers["content-range"].startswith("bytes */") or answer.headers[
        "content-range"
    ].startswith("*/")


@pytest.mark.parametrize("kind", KINDS)
def test_a_browser_can_play_every_kind_of_recording(
    browsers, desk: Desk, shop: Shop, tmp_path: Path, kind: str
) -> None:
    sha = taken(desk, shop, made(tmp_path, kind))
    source = source_of(desk, desk.job("tram-7").note(sha))
    assert source is not None
    as_it_is = kind in ("wav", "ogg", "flac", "m4a")
    assert (source.address == f"/recording/{sha}") == as_it_is
    answer = browsers().get(source.decoded)
    with wave.open(io.BytesIO(answer.content)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (16_000, 1, 2)
        sound = np.frombuffer(file.readframes(file.getnframes()), "<i2")
    assert 2.9 <= len(sound) / 16_000 <= 3.2
    # The tone begins at the second it was put at: what is played is what the draft's seconds mean.
    assert np.abs(sound[: int(0.85 * 16_000)]).max() < 500
    assert np.abs(sound[int(1.2 * 16_000) : int(2.5 * 16_000)]).max() > 3_000


def test_the_decoded_sound_comes_in_ranges_too(browsers, desk: Desk, shop: Shop, tmp_path: Path) -> None:
    sha = taken(desk, shop, made(tmp_path, "mp3"))
    answer = browsers().get(f"/recording/{sha}/decoded", headers={"range": "bytes=0-3"})
    assert (answer.status_code, answer.content) == (206, b"RIFF")


def test_a_damaged_recording_is_decoded_so_that_its_seconds_are_the_drafts(
    desk: Desk, shop: Shop, tmp_path: Path
) -> None:
    sha = taken(desk, shop, made(tmp_path, "ogg"), warnings=("12 s promised, 11.5 s heard",))
    source = source_of(desk, desk.job("tram-7").note(sha))
    assert source is not None
    assert source.address.endswith("/decoded")


def test_a_note_that_came_as_text_has_no_sound(browsers, desk: Desk, recording: str) -> None:
    assert source_of(desk, desk.job("tram-7").note(recording)) is None
    assert browsers().get(f"/recording/{recording}").status_code == 404


def test_a_recording_that_is_gone_leaves_the_words_to_review(
    browsers, desk: Desk, shop: Shop, ogg: str
) -> None:
    shop.recording(ogg).unlink()
    assert browsers().get(f"/job/tram-7/note/{ogg[:16]}").status_code == 200
    answer = browsers().get(f"/recording/{ogg}", headers={"accept": "application/json"})
    assert answer.status_code == 404
    assert "is not there" in answer.json()["what"]


@pytest.mark.parametrize(
    "path",
    [
        "0" * 64, "..%2fledger.db", "%2e%2e%2fshop.toml", "*", "?" * 64, "", "A" * 64,
        "..%2f..%2fetc%2fpasswd", "[0-9a-f]*", "%00",
    ],
)  # fmt: skip
def test_nothing_but_a_recording_the_ledger_knows_is_sent(browsers, ogg: str, path: str) -> None:
    for tail in ("", "/decoded"):
        answer = browsers().get(f"/recording/{path}{tail}")
        assert answer.status_code == 404
        assert answer.headers["content-type"].startswith("text/html")


def test_a_file_in_the_folder_that_no_note_names_is_not_sent(
    browsers, shop: Shop, tmp_path: Path, ogg: str
) -> None:
    (tmp_path / "other.ogg").write_bytes(b"private")
    sha = shop.keep(tmp_path / "other.ogg").name[:64]
    assert browsers().get(f"/recording/{sha}").status_code == 404


def test_a_stranger_gets_no_sound(browsers, ogg: str) -> None:
    browser: TestClient = browsers()
    browser.cookies.clear()
    assert browser.get(f"/recording/{ogg}").status_code == 401
