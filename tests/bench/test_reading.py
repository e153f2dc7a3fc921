"""What reading costs: seconds for 1,000 words, by the rules alone and with the trained reader.

Figures, not limits.

make bench
"""

import time
from pathlib import Path

import pytest

from notepipe.draft import Note
from notepipe.reading import network, read
from notepipe.trade import load_trade
from notepipe.transcript import Transcript

NOTES = sorted((Path(__file__).parents[1] / "narrations").glob("*.txt"))
WORDS = 1000


def a_long_note() -> str:
    """Our own notes one after the other, cut at 1,000 words."""
    words = " ".join(p.read_text(encoding="utf-8") for p in NOTES).split()
    return " ".join((words * 3)[:WORDS])


@pytest.mark.parametrize("rules_alone", [True, False], ids=["rules alone", "with the trained reader"])
def test_seconds_for_1000_words(capsys: pytest.CaptureFixture[str], *, rules_alone: bool) -> None:
    """The median of three readings after a first one that loads."""
    assert rules_alone or network.is_there()
    trade, note, transcript = (
        load_trade(),
        Note(file="long.txt", sha256="0" * 64),
        Transcript(text=a_long_note()),
    )
    taken = []
    for _ in range(4):
        began = time.perf_counter()
        read(transcript, note, trade, rules_alone=rules_alone)
        taken.append(time.perf_counter() - began)
    with capsys.disabled():
        how = "rules alone" if rules_alone else "with the trained reader"
        print(
            f"\n{WORDS} words, {how}: {sorted(taken[1:])[1]:.2f} s (loading and the first: {taken[0]:.2f} s)"
        )
