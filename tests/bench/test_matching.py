"""What it costs to hold a note of 30 parts against what is on file, and how that grows.

A ratio, because seconds are a machine's: from 1,000 to 10,000 on file. Not part of the plain run:
``make bench``.
"""

from __future__ import annotations

import itertools
import time

import pytest

from notepipe.draft import Decision, Draft, Note, Part
from notepipe.later import likeness
from notepipe.later.matching import OnFile, held_against

SIDES = ("front", "rear", "upper", "lower", "port", "starboard", "inner", "outer", "left", "right")
PLACES = ("deck", "cabin", "stair", "saloon", "platform", "bow", "stern", "roof", "door", "window")
HEADS = (
    "hinge", "handle", "lamp", "rail", "hook", "bracket", "catch", "plate", "bolt", "valve", "cover", "bell",
    "ring", "frame", "cap", "spring", "lever", "knob", "grille", "pulley", "cleat", "strap", "vent",
    "lock", "stay",
)  # fmt: skip
HIGHEST_GROWTH = 15.0
HIGHEST_SECONDS = 1.0


def stock(many: int) -> list[OnFile]:
    """So many parts, four of each name before the names go round with a number."""
    names = [f"{side} {place} {head}" for side, place, head in itertools.product(SIDES, PLACES, HEADS)]
    polish = Decision(action="polish", standing="decided", quote="we polish those")
    return [
        OnFile(
            tag=f"{n:05d}",
            part=Part(
                name=names[n % len(names)],
                heard_as=(f"the {names[n % len(names)]}s",),
                quantity=1 + n % 7,
                metal=("brass", "steel", "bronze")[n % 3],
                decisions=(polish,),
            ),
            recording="11" * 32,
        )
        for n in range(many)
    ]


def seconds_for(many: int) -> float:
    """The quickest of three, each with names that were not taken apart before."""
    on_file = stock(many)
    said = tuple(row.part.model_copy(update={"metal": "copper"}) for row in on_file[:: many // 30][:30])
    draft = Draft(note=Note(file="2.txt", sha256="22" * 32), parts=said)
    taken = []
    for _ in range(3):
        likeness.forget()
        began = time.perf_counter()
        held_against(draft, on_file)
        taken.append(time.perf_counter() - began)
    return min(taken)


def test_matching_stays_fluent_with_ten_thousand_on_file(capsys: pytest.CaptureFixture[str]) -> None:
    few, many = seconds_for(1_000), seconds_for(10_000)
    with capsys.disabled():
        print(f"\n30 parts against 1,000: {few:.2f} s, against 10,000: {many:.2f} s, {many / few:.1f} times")
    assert many / few <= HIGHEST_GROWTH
    assert many <= HIGHEST_SECONDS
