"""How far the drafts fall when notes are heard: python tests/narrations/from_sound.py [--notes N] [FOLDER]

Speaks the first N keyed notes of FOLDER (else of this folder) with two synthetic voices, clean and with
workshop noise 10 dB below the voice, hears them with the base model and marks the drafts by the same keys as
the text's. Needs what demo_audio/make_audio.py needs (flite, festival, ffmpeg). Minutes for each note.
"""

from __future__ import annotations

import argparse
import difflib
import json
import re
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1] / "demo_audio")]

import accuracy  # noqa: E402
import make_audio  # noqa: E402
import numpy as np  # noqa: E402
import score_drafts as marker  # noqa: E402

from notepipe.draft import Note  # noqa: E402
from notepipe.hearing import HearingSettings, ear_for  # noqa: E402
from notepipe.reading import read  # noqa: E402
from notepipe.recording import open_recording  # noqa: E402
from notepipe.trade import load_trade  # noqa: E402
from notepipe.transcript import Transcript  # noqa: E402

NOISE_DB = 10.0


def spoken(text: str, voice: str, path: Path, *, noisy: bool) -> None:
    """*text* as a wav at *path*, a breath between the sentences."""
    lines = [s for s in re.split(r"(?<=[.?!])\s+", text) if s.strip()]
    breath = np.zeros(make_audio.RATE_HZ // 3)
    with tempfile.TemporaryDirectory() as folder:
        parts = [p for line in lines for p in (make_audio.speak(line, voice, Path(folder)), breath)]
    speech = 0.1 * make_audio.level(np.concatenate(parts))
    mixed = make_audio.with_noise(speech, NOISE_DB) if noisy else speech
    make_audio.write_wav(path, 0.9 * mixed / np.max(np.abs(mixed)))


def words(text: str) -> list[str]:
    """Lower case, no marks."""
    return re.findall(r"[a-z0-9']+", text.lower())


def wrong(said: str, heard: str) -> tuple[int, int]:
    """How many words were heard wrong, of how many said (number spellings count as wrong)."""
    a, b = words(said), words(heard)
    steps = difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes()
    return sum(max(j - i, n - m) for tag, i, j, m, n in steps if tag != "equal"), len(a)


def hear(path: Path) -> Transcript:
    """The recording at *path*, heard twice with the base model."""
    recording = open_recording(path)
    return ear_for(recording, HearingSettings(model="base")).hear(recording)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", nargs="?", type=Path, default=HERE)
    parser.add_argument("--notes", type=int, default=3)
    args = parser.parse_args()
    keys, trade = sorted(args.folder.glob("*.key.json"))[: args.notes], load_trade()
    totals: dict[str, tuple[marker.Marks, int, int]] = {}
    for key in keys:
        name = key.name.removesuffix(".key.json")
        text = key.with_name(name + ".txt").read_text(encoding="utf-8")
        for voice in ("awb", "slt"):
            for noisy in (False, True):
                with tempfile.TemporaryDirectory() as folder:
                    path = Path(folder) / f"{name}.wav"
                    spoken(text, voice, path, noisy=noisy)
                    heard = hear(path)
                draft = read(heard, Note(file=path.name, sha256="0" * 64), trade).model_dump(mode="json")
                marks = marker.mark(json.loads(key.read_text(encoding="utf-8")), draft, heard.text, name)
                how = f"{voice}, {'10 dB' if noisy else 'clean'}"
                before, bad, said = totals.get(how, (marker.Marks(), 0, 0))
                before.add(marks)
                more, all_words = wrong(text, heard.text)
                totals[how] = (before, bad + more, said + all_words)
                print(accuracy.line(f"{name}, {how}", marks), f"{more / all_words:8.1%} words", flush=True)
                print("\n".join(m for m in marks.misses if "REVERSED" in m))
    for how, (marks, bad, said) in totals.items():
        print(accuracy.line(f"all, {how}", marks), f"{bad / said:8.1%} words")


if __name__ == "__main__":
    main()
