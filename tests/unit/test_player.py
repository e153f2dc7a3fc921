"""The seconds of a quote are cut out and given to whatever player there is; none is a plain line."""

import subprocess
import wave
from pathlib import Path

import numpy as np
import pytest

import notepipe.recording
from notepipe.errors import NotFound
from notepipe.player import Player
from notepipe.recording import RATE_HZ, Recording, Sound

RECORDING = Recording(Path("walk.m4a"), "walk.m4a", "ab" * 32, "sound")


@pytest.fixture
def decoded(monkeypatch: pytest.MonkeyPatch) -> list[Recording]:
    """Ten seconds of sound whose level is its second, and the list of the decodings."""
    calls: list[Recording] = []

    def samples(recording: Recording) -> Sound:
        calls.append(recording)
        level = np.repeat(np.arange(10, dtype=np.float32) / 10, RATE_HZ)
        return Sound(level, heard_s=10.0, promised_s=10.0)

    monkeypatch.setattr(notepipe.recording, "samples", samples)
    return calls


def only(monkeypatch: pytest.MonkeyPatch, name: str | None) -> None:
    monkeypatch.setattr("shutil.which", lambda wanted: f"/bin/{name}" if wanted == name else None)


def test_the_words_are_played_with_half_a_second_around_and_the_sound_decoded_once(
    decoded: list[Recording], monkeypatch: pytest.MonkeyPatch
) -> None:
    only(monkeypatch, "aplay")
    played: list[tuple[float, float]] = []

    def play(command: list[str], **_: object) -> subprocess.CompletedProcess[bytes]:
        assert command[:2] == ["/bin/aplay", "-q"]
        with wave.open(command[2]) as file:
            level = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2") / 32767
            played.append((file.getnframes() / file.getframerate(), round(float(level[0]), 1)))
        return subprocess.CompletedProcess(command, 0, b"", b"")

    monkeypatch.setattr(subprocess, "run", play)
    player = Player(RECORDING)
    player.play(4.5, 6.0)
    player.play(0.1, 1.0)
    assert played == [(2.5, 0.4), (1.5, 0.0)]
    assert len(decoded) == 1


def test_a_machine_without_a_player_is_told_which_to_install(
    decoded: list[Recording], monkeypatch: pytest.MonkeyPatch
) -> None:
    only(monkeypatch, None)
    with pytest.raises(NotFound, match="Install one of: ffplay, mpv"):
        Player(RECORDING).play(0, 1)


def test_a_player_that_fails_is_named_with_its_last_words(
    decoded: list[Recording], monkeypatch: pytest.MonkeyPatch
) -> None:
    only(monkeypatch, "mpv")
    failed = subprocess.CompletedProcess([], 1, b"", b"opening\nno sound card\n")
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: failed)
    with pytest.raises(NotFound, match="mpv: no sound card"):
        Player(RECORDING).play(0, 1)
