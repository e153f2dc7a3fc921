"""What hearing a note twice costs, against one pass of the recogniser's own loop over the same sound.

Ratios, because seconds are a machine's: medians of interleaved runs over the demo's recordings, one behind
the other until five minutes are full. Not part of the plain run; on a machine with nothing else to do:
``pytest -s tests/bench/test_hearing.py``. Memory is the peak of a process of its own.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from faster_whisper import WhisperModel

from notepipe.hearing import HearingSettings, WhisperEar
from notepipe.recording import RATE_HZ, Recording, open_recording, samples
from notepipe.weights import folder_of

DEMO = Path(__file__).parents[2] / "demo_audio"
RUNS = 3
HIGHEST_RATIO = 1.15
PEAK = """
import resource, sys
from pathlib import Path
from notepipe.hearing import HearingSettings, WhisperEar
from notepipe.recording import open_recording
WhisperEar(HearingSettings()).hear(open_recording(Path(sys.argv[1])))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


@pytest.fixture(scope="module")
def short_note(tmp_path_factory: pytest.TempPathFactory) -> Recording:
    return note(tmp_path_factory.mktemp("bench") / "five.wav", minutes=5)


def note(path: Path, minutes: float) -> Recording:
    files = [file for file in sorted(DEMO.iterdir()) if file.suffix in (".m4a", ".mp3", ".ogg", ".flac")]
    assert files, "the demo has recordings"
    once = np.concatenate([samples(open_recording(file)).samples for file in files])
    length = round(minutes * 60 * RATE_HZ)
    pcm = np.resize((once * 32767).astype(np.int16), length)
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE_HZ, length, "NONE", ""))
        file.writeframes(pcm.tobytes())
    return open_recording(path)


def seconds_of(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def test_both_hearings_cost_little_more_than_one_default_pass(short_note: Recording) -> None:
    ear = WhisperEar(HearingSettings())
    stock = WhisperModel(str(folder_of("base")), device="cpu", compute_type="int8")

    def default_pass() -> object:
        sound = samples(short_note).samples
        return list(stock.transcribe(sound, language="en", word_timestamps=True, vad_filter=True)[0])

    ours_s, stock_s = [], []
    for _ in range(RUNS):
        ours_s.append(seconds_of(lambda: ear.hear(short_note)))
        stock_s.append(seconds_of(default_pass))
    ratio = statistics.median(ours_s) / statistics.median(stock_s)
    print(f"\nboth hearings {ours_s}, one default pass {stock_s}: ratio {ratio:.2f}")
    assert ratio <= HIGHEST_RATIO


@pytest.mark.parametrize(("minutes", "highest_mb"), [(5, 700), (46, 1100)])
def test_memory_stays_low_and_grows_little_with_length(
    tmp_path: Path, minutes: float, highest_mb: int
) -> None:
    path = note(tmp_path / "walk.wav", minutes).path
    run = subprocess.run([sys.executable, "-c", PEAK, str(path)], check=True, capture_output=True, text=True)
    peak_mb = int(run.stdout)
    print(f"\n{minutes} minutes: {peak_mb} MB")
    assert peak_mb <= highest_mb
