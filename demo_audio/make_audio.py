"""Makes the demo's recordings again from the words beside them: ``python demo_audio/make_audio.py``.

Needs Debian's flite, festival, festvox-us-slt-hts and ffmpeg, and numpy. Each line of a .txt is spoken
by itself, and a pause put between the lines; under one recording lies workshop noise of our own making.
"""

from __future__ import annotations

import subprocess
import tempfile
import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

HERE = Path(__file__).parent
RATE_HZ = 16_000
PAUSE_S = 0.6
Samples = NDArray[np.float64]


@dataclass(frozen=True)
class Take:
    """One recording: its words, who speaks, how much louder the speech is than the noise."""

    words: str
    voice: str
    recording: str
    codec: tuple[str, ...]
    above_noise_db: float | None = None


OPUS = ("-c:a", "libopus", "-b:a", "24k", "-application", "voip")
AAC = ("-c:a", "aac", "-b:a", "40k", "-movflags", "+faststart")
TAKES = (
    Take("bench.txt", "awb", "bench.ogg", OPUS),
    Take("platform.txt", "awb", "platform.m4a", AAC),
    Take("shopfloor.txt", "slt", "shopfloor.ogg", OPUS, above_noise_db=12),
    Take("again.txt", "awb", "again.ogg", OPUS),
)


def speak(line: str, voice: str, folder: Path) -> Samples:
    """*line* spoken, at RATE_HZ; ``awb`` by flite, ``slt`` by festival."""
    spoken, even = folder / "spoken.wav", folder / "even.wav"
    if voice == "awb":
        subprocess.run(["flite", "-voice", "awb", "-t", line, "-o", str(spoken)], check=True)
    else:
        choice = "(voice_cmu_us_slt_arctic_hts)"
        subprocess.run(["text2wave", "-eval", choice, "-o", str(spoken)], input=line.encode(), check=True)
    run_ffmpeg("-i", str(spoken), "-ac", "1", "-ar", str(RATE_HZ), "-sample_fmt", "s16", str(even))
    return read_wav(even)


def run_ffmpeg(*words: str) -> None:
    """ffmpeg, quietly, over what is there."""
    subprocess.run(["ffmpeg", "-hide_banner", "-loglevel", "error", "-y", *words], check=True)


def read_wav(path: Path) -> Samples:
    """Samples between -1 and 1."""
    with wave.open(str(path)) as sound:
        whole = np.frombuffer(sound.readframes(sound.getnframes()), "<i2")
    return whole.astype(np.float64) / 32768


def write_wav(path: Path, samples: Samples) -> None:
    """16 bit, mono, RATE_HZ."""
    with wave.open(str(path), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE_HZ)
        sound.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())


def coloured(count: int, falls: float, dice: np.random.Generator) -> Samples:
    """Noise whose power falls with frequency to the power *falls*: 1 is pink, 2 is brown."""
    spectrum = np.fft.rfft(dice.standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / RATE_HZ)
    spectrum *= np.maximum(hertz, 20) ** (-falls / 2)
    return level(np.fft.irfft(spectrum, count))


def level(samples: Samples) -> Samples:
    """The same, at a root mean square of 1."""
    return np.asarray(samples / np.sqrt(np.mean(samples**2)))


def taps(count: int, dice: np.random.Generator) -> Samples:
    """A hammer on a bench plate: short rings, some seconds apart."""
    sound, start = np.zeros(count), int(1.5 * RATE_HZ)
    t_s = np.arange(int(0.12 * RATE_HZ)) / RATE_HZ
    ring = np.exp(-t_s * 45) * (np.sin(2 * np.pi * 1900 * t_s) + 0.6 * np.sin(2 * np.pi * 3140 * t_s))
    while start + len(ring) < count:
        sound[start : start + len(ring)] += ring * dice.uniform(0.5, 1)
        start += int(dice.uniform(2.5, 6) * RATE_HZ)
    return sound


def workshop(count: int) -> Samples:
    """An extractor (brown and pink noise), a transformer's hum; root mean square 1. Always the same."""
    dice = np.random.default_rng(7)
    t_s = np.arange(count) / RATE_HZ
    hum = np.sin(2 * np.pi * 100 * t_s) + 0.4 * np.sin(2 * np.pi * 200 * t_s)
    return level(coloured(count, 2, dice) + coloured(count, 1, dice) + 0.5 * level(hum))


def with_noise(speech: Samples, above_noise_db: float) -> Samples:
    """*speech* with the workshop under it; the level is that of the speech without its pauses."""
    loud = speech[np.abs(speech) > 0.01]
    floor = np.sqrt(np.mean(loud**2)) * 10 ** (-above_noise_db / 20)
    noise = workshop(len(speech)) + taps(len(speech), np.random.default_rng(8))
    return np.asarray(speech + floor * noise)


def take(wanted: Take, folder: Path) -> None:
    """Speak, mix and write one recording."""
    pause = np.zeros(int(PAUSE_S * RATE_HZ))
    pieces = [pause]
    for line in (HERE / wanted.words).read_text(encoding="utf-8").splitlines():
        pieces += [speak(line, wanted.voice, folder), pause]
    speech = 0.1 * level(np.concatenate(pieces))
    if wanted.above_noise_db is not None:
        speech = with_noise(speech, wanted.above_noise_db)
    write_wav(folder / "mixed.wav", 0.9 * speech / np.max(np.abs(speech)))
    target = HERE / wanted.recording
    run_ffmpeg(
        "-i",
        str(folder / "mixed.wav"),
        *wanted.codec,
        "-map_metadata",
        "-1",
        "-fflags",
        "+bitexact",
        str(target),
    )
    print(f"{target.name}: {len(speech) / RATE_HZ:.1f} s, {target.stat().st_size} bytes")


def main() -> None:
    """All takes."""
    with tempfile.TemporaryDirectory() as folder:
        for wanted in TAKES:
            take(wanted, Path(folder))


if __name__ == "__main__":
    main()
