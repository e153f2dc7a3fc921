"""A recording is known by kind and hash, decoded past damage, and never silently shorter than it was."""

from __future__ import annotations

import hashlib
import random
import wave
from pathlib import Path

import av
import numpy as np
import pytest

from notepipe.errors import BadRecording, NotFound
from notepipe.promises import has_frame_count, ogg_is_cut, riff_seconds
from notepipe.recording import RATE_HZ, open_recording, samples

CODECS = {
    "m4a": "aac", "mp3": "libmp3lame", "wav": "pcm_s16le", "ogg": "libopus", "opus": "libopus",
    "flac": "flac", "aac": "aac", "mp4": "aac", "mov": "aac", "webm": "libopus",
}  # fmt: skip


def tone(
    path: Path, seconds: float = 4.0, rate_hz: int = 48_000, layout: str = "mono", video: bool = False
) -> Path:
    """A tone that never repeats itself, so that its packets are not all alike."""
    form = {"m4a": "mp4", "aac": "adts", "opus": "ogg"}.get(path.suffix[1:], path.suffix[1:])
    options = {"movflags": "faststart"} if form in ("mp4", "mov") else {}
    with av.open(str(path), "w", format=form, options=options) as container:
        if video:
            picture = container.add_stream("mpeg4", rate=10)
            picture.width = picture.height = 64
        stream = container.add_stream(CODECS[path.suffix[1:]], rate=rate_hz)
        stream.layout = layout
        time_s = np.arange(round(seconds * rate_hz)) / rate_hz
        wave_form = np.round(8000 * np.sin(2 * np.pi * (200 + 150 * time_s) * time_s)).astype(np.int16)
        channels = 2 if layout == "stereo" else 1
        frame = av.AudioFrame.from_ndarray(
            np.repeat(wave_form, channels)[None, :], format="s16", layout=layout
        )
        frame.sample_rate = rate_hz
        if video:
            still = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), format="rgb24")
            container.mux(picture.encode(still))
            container.mux(picture.encode(None))
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def cut(path: Path, share: float = 0.5) -> Path:
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    return path


@pytest.mark.parametrize("ending", CODECS)
def test_every_kind_of_file_is_heard_whole_and_without_warning(tmp_path: Path, ending: str) -> None:
    sound = samples(open_recording(tone(tmp_path / f"walk.{ending}")))
    assert sound.heard_s == pytest.approx(4.0, abs=0.1)
    assert sound.warnings == ()
    assert np.abs(sound.samples).max() > 0.1


@pytest.mark.parametrize(("rate_hz", "layout"), [(8_000, "mono"), (44_100, "stereo"), (16_000, "stereo")])
def test_stereo_and_other_rates_become_mono_at_16_khz(tmp_path: Path, rate_hz: int, layout: str) -> None:
    sound = samples(open_recording(tone(tmp_path / "walk.wav", rate_hz=rate_hz, layout=layout)))
    assert sound.samples.dtype == np.float32
    assert len(sound.samples) == pytest.approx(4 * RATE_HZ, abs=50)


def test_the_hash_is_of_the_file_as_it_came(tmp_path: Path) -> None:
    path = tone(tmp_path / "walk.wav")
    recording = open_recording(path)
    assert recording.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert (recording.name, recording.kind) == ("walk.wav", "sound")


def test_a_transcript_is_known_by_its_ending(tmp_path: Path) -> None:
    path = tmp_path / "walk.TXT"
    path.write_text("Six hinges.", encoding="utf-8")
    assert open_recording(path).kind == "text"


@pytest.mark.parametrize("ending", ["wav", "mp3", "flac", "m4a", "webm"])
def test_a_file_cut_in_half_is_heard_so_far_and_says_what_is_missing(tmp_path: Path, ending: str) -> None:
    sound = samples(open_recording(cut(tone(tmp_path / f"walk.{ending}"))))
    assert 1.0 < sound.heard_s < 3.0
    assert "4.0 s promised" in sound.warnings[0]
    assert f"{sound.heard_s:.1f} s heard" in sound.warnings[0]


@pytest.mark.parametrize("ending", ["ogg", "opus"])
def test_a_cut_ogg_promises_nothing_but_misses_its_end_mark(tmp_path: Path, ending: str) -> None:
    path = cut(tone(tmp_path / f"walk.{ending}", seconds=30), 0.7)
    assert "no end" in samples(open_recording(path)).warnings[-1]


def test_garbage_in_the_middle_is_passed_over_counted_and_keeps_the_times_true(tmp_path: Path) -> None:
    path = tone(tmp_path / "walk.m4a", seconds=12)
    whole = bytearray(path.read_bytes())
    start = whole.index(b"mdat") + 20_000
    whole[start : start + 5_000] = random.Random(1).randbytes(5_000)
    path.write_bytes(whole)
    sound = samples(open_recording(path))
    assert sound.damaged_packets > 0
    assert 9.0 < sound.heard_s < 12.0
    assert sound.length_s == pytest.approx(12.0, abs=0.1)
    assert f"{sound.damaged_packets} packets damaged" in sound.warnings[0]


def test_a_wave_file_that_does_not_know_its_length_promises_nothing(tmp_path: Path) -> None:
    path = tone(tmp_path / "walk.wav")
    head = bytearray(path.read_bytes())
    at = head.index(b"data") + 4
    head[at : at + 4] = b"\xff\xff\xff\xff"
    path.write_bytes(head)
    assert riff_seconds(path) is None
    assert samples(open_recording(path)).warnings == ()


def test_promises_are_read_from_the_files_own_bytes(tmp_path: Path) -> None:
    assert riff_seconds(tone(tmp_path / "a.wav")) == pytest.approx(4.0)
    assert riff_seconds(tone(tmp_path / "a.flac")) is None
    assert has_frame_count(tone(tmp_path / "a.mp3"))
    assert not has_frame_count(tone(tmp_path / "a.aac"))
    assert not ogg_is_cut(tone(tmp_path / "a.ogg"))


@pytest.mark.parametrize(
    ("name", "content", "what"),
    [
        ("bill.pdf", b"%PDF-1.4\n1 0 obj\n", "neither sound, video nor text"),
        ("noise.mp3", random.Random(2).randbytes(3_000), "neither sound, video nor text"),
        ("walk.wav", b"We have six hinges and they are bent.\n", "text, not sound"),
        ("walk.m4a", b"", "the file is empty"),
        ("half.m4a", b"\0\0\0\x1cftypM4A \0\0\0\0" + bytes(500), "cut off"),
    ],
)
def test_what_is_no_sound_is_refused_in_one_line(
    tmp_path: Path, name: str, content: bytes, what: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(BadRecording) as caught:
        open_recording(path)
    assert caught.value.what.startswith(what)
    assert caught.value.do


def test_a_missing_file_is_not_found(tmp_path: Path) -> None:
    with pytest.raises(NotFound):
        open_recording(tmp_path / "walk.wav")


def test_less_than_half_a_second_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadRecording, match=r"only 0\.30 s of sound"):
        samples(open_recording(tone(tmp_path / "walk.wav", seconds=0.3)))


def test_a_wave_file_without_any_sound_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "walk.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 16_000, 0, "NONE", ""))
    with pytest.raises(BadRecording, match="no sound in it can be decoded"):
        samples(open_recording(path))


def test_a_video_is_heard_by_its_sound(tmp_path: Path) -> None:
    sound = samples(open_recording(tone(tmp_path / "walk.mp4", video=True)))
    assert sound.heard_s == pytest.approx(4.0, abs=0.1)


def test_a_video_without_sound_says_so(tmp_path: Path) -> None:
    path = tmp_path / "walk.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 64
        for _ in range(10):
            still = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), format="rgb24")
            container.mux(stream.encode(still))
        container.mux(stream.encode(None))
    with pytest.raises(BadRecording, match="without a sound track"):
        open_recording(path)


def test_of_two_sound_tracks_the_first_is_heard_and_that_is_said(tmp_path: Path) -> None:
    path = tmp_path / "walk.mov"
    with av.open(str(path), "w") as container:
        streams = [container.add_stream("aac", rate=16_000, layout="mono") for _ in range(2)]
        for stream, level in zip(streams, (8_000, 0), strict=True):
            wave_form = (level * np.sin(np.arange(32_000) / 8)).astype(np.int16)
            frame = av.AudioFrame.from_ndarray(wave_form[None, :], format="s16", layout="mono")
            frame.sample_rate = 16_000
            container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
    sound = samples(open_recording(path))
    assert sound.warnings == ("2 sound tracks in the file; only the first was heard",)
    assert np.abs(sound.samples).max() > 0.1


def test_progress_comes_with_seconds_done_and_in_all(tmp_path: Path) -> None:
    told: list[tuple[float, float, str]] = []
    samples(open_recording(tone(tmp_path / "walk.flac")), lambda *step: told.append(step))
    assert told[-1][0] == pytest.approx(4.0, abs=0.2)
    assert all(done <= total for done, total, _ in told)
