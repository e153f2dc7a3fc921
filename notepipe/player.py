"""Plays the seconds a quote came from, with whatever player the machine has."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
import wave
from pathlib import Path
from typing import TYPE_CHECKING

from notepipe.errors import NotFound

if TYPE_CHECKING:
    from notepipe.recording import Recording

BEFORE_S = 0.5
"""So much is played before and after the words, so that their beginning is not bitten off."""
_PLAYERS: tuple[tuple[str, ...], ...] = (
    ("ffplay", "-nodisp", "-autoexit", "-loglevel", "error"),
    ("mpv", "--no-video", "--really-quiet"),
    ("paplay",),
    ("afplay",),
    ("aplay", "-q"),
    ("play", "-q"),
)


class Player:
    """Plays stretches of one recording; it is decoded once, when the first is asked for."""

    def __init__(self, recording: Recording) -> None:
        self._recording = recording
        self._pcm: bytes | None = None

    def play(self, start_s: float, end_s: float) -> None:
        """Play from *start_s* to *end_s* with half a second around, and wait for the end.

        Raises NotFound where the machine has no player, or the one there is can't play.
        """
        command = _player()
        with tempfile.TemporaryDirectory(prefix="notepipe-") as folder:
            path = Path(folder, "words.wav")
            self._cut(path, max(0.0, start_s - BEFORE_S), end_s + BEFORE_S)
            done = subprocess.run([*command, str(path)], stdin=subprocess.DEVNULL, capture_output=True)
        if done.returncode != 0:
            said = done.stderr.decode("utf-8", "replace").strip().splitlines()[-1:] or ["no sound came out"]
            raise NotFound(command[0], said[0], "See that the machine's sound works, or read the words.")

    def _cut(self, path: Path, start_s: float, end_s: float) -> None:
        from notepipe.recording import RATE_HZ, samples

        if self._pcm is None:
            self._pcm = (samples(self._recording).samples * 32767).astype("<i2").tobytes()
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(RATE_HZ)
            file.writeframes(self._pcm[2 * int(start_s * RATE_HZ) : 2 * int(end_s * RATE_HZ)])


def _player() -> list[str]:
    for name, *options in _PLAYERS:
        if found := shutil.which(name):
            return [found, *options]
    names = ", ".join(player[0] for player in _PLAYERS)
    raise NotFound("this machine", "has no player of sound", f"Install one of: {names}.")
