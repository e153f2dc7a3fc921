"""How far the drafts fall when notes are heard: python tests/narrations/from_sound.py [--notes N] [FOLDER]

Speaks the first N keyed notes of FOLDER (else of this folder) with two synthetic voices, clean and with
workshop noise 10 dB below the voice, hears them with the base model and marks the drafts by the same keys as
the text's. Needs what demo_audio/make_audio.py needs (flite, festival, ffmpeg). Minutes for each note. With
--keep what was heard lies in a folder and is not heard again; with --held-out only notes that the trained
reader has not seen. Prints words wrong, and words wrong among those of the trade packs.
"""

from __future__ import annotations

import argparse
import difflib
import json
import re
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(HERE), str(HERE.parents[1] / "demo_audio")]

import accuracy  # noqa: E402
import make_audio  # noqa: E402
import numpy as np  # noqa: E402
import score_drafts as marker  # noqa: E402

from notepipe.draft import Note  # noqa: E402
from notepipe.hearing import HearingSettings, ear_for  # noqa: E402
from notepipe.reading import read  # noqa: E402
from notepipe.reading.terms import Lexicon  # noqa: E402
from notepipe.recording import open_recording  # noqa: E402
from notepipe.trade import Trade, load_trade  # noqa: E402
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


class Wrong(NamedTuple):
    """Words heard wrong of words said, in all and of those in the packs (number spellings count as wrong)."""

    bad: int = 0
    said: int = 0
    trade_bad: int = 0
    trade_said: int = 0

    def __add__(self, other: object) -> Wrong:
        assert isinstance(other, Wrong)
        return Wrong(*(a + b for a, b in zip(self, other, strict=True)))

    def __str__(self) -> str:
        return (
            f"{self.bad / self.said:8.1%} words, {self.trade_bad / max(1, self.trade_said):.1%} trade words"
        )


def wrong(said: str, heard: str, trade_words: frozenset[str]) -> Wrong:
    """What was heard wrong of *said*."""
    a, b = words(said), words(heard)
    bad, lost = 0, set[int]()
    for tag, i, j, m, n in difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        if tag != "equal":
            bad += max(j - i, n - m)
            lost |= set(range(i, j))
    trade = {i for i, word in enumerate(a) if word in trade_words}
    return Wrong(bad, len(a), len(trade & lost), len(trade))


def trade_words_of(trade: Trade) -> frozenset[str]:
    """Every word of the packs' terms and actions, in the forms they are said in."""
    verbs = Lexicon(trade).verbs
    return frozenset(word for term in trade.terms for phrase in term.phrases for word in words(phrase)) | {
        *verbs
    }


def hear(text: str, voice: str, name: str, keep: Path, *, noisy: bool) -> Transcript:
    """*text* spoken and heard twice with the base model; what was heard before is read from *keep*."""
    kept = keep / f"{name}.{voice}.{'noisy' if noisy else 'clean'}.json"
    if kept.exists():
        return Transcript.model_validate_json(kept.read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{name}.wav"
        spoken(text, voice, path, noisy=noisy)
        recording = open_recording(path)
        heard = ear_for(recording, HearingSettings(model="base")).hear(recording)
    kept.write_text(heard.model_dump_json(), encoding="utf-8")
    return heard


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", nargs="?", type=Path, default=HERE)
    parser.add_argument("--notes", type=int, default=3)
    parser.add_argument("--keep", type=Path, help="a folder for what was heard")
    parser.add_argument("--held-out", action="store_true")
    args = parser.parse_args()
    keys, trade = sorted(args.folder.glob("*.key.json")), load_trade()
    if args.held_out:
        held = set((ROOT / "models" / "training" / "held-out.txt").read_text(encoding="utf-8").split())
        keys = [key for key in keys if key.name.removesuffix(".key.json") in held]
    known = trade_words_of(trade)
    totals: dict[str, tuple[marker.Marks, Wrong]] = {}
    with tempfile.TemporaryDirectory() as folder:
        keep = args.keep or Path(folder)
        keep.mkdir(parents=True, exist_ok=True)
        for key in keys[: args.notes]:
            name = key.name.removesuffix(".key.json")
            text = key.with_name(name + ".txt").read_text(encoding="utf-8")
            for voice, noisy in (("awb", False), ("slt", False), ("awb", True), ("slt", True)):
                heard = hear(text, voice, name, keep, noisy=noisy)
                draft = read(heard, Note(file=key.name, sha256="0" * 64), trade).model_dump(mode="json")
                marks = marker.mark(json.loads(key.read_text(encoding="utf-8")), draft, heard.text, name)
                how = f"{voice}, {'10 dB' if noisy else 'clean'}"
                before, bad = totals.get(how, (marker.Marks(), Wrong()))
                before.add(marks)
                more = wrong(text, heard.text, known)
                totals[how] = (before, bad + more)
                print(accuracy.line(f"{name}, {how}", marks), more, flush=True)
                print("".join(f"{m}\n" for m in marks.misses if "REVERSED" in m), end="")
    for how, (marks, bad) in totals.items():
        print(accuracy.line(f"all, {how}", marks), bad)


if __name__ == "__main__":
    main()
