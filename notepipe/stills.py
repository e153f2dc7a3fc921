"""Which moments of a film show a part: where it is named, and a few to choose from around it. Pure."""

from __future__ import annotations

from typing import Final

from notepipe.draft import Part

AROUND_S: Final = (0.0, -1.5, -0.75, 0.75, 1.5)
"""The moment itself first: it is the one that is shown, the others are to choose from."""


def named_at(part: Part, recording: str, first: str) -> float | None:
    """The second of *recording* at which *part* is named: the middle of the words that name it.

    *first* is the recording that words without one were said in. None where no words have a time.
    """
    told = [
        (quote.start_s, (quote.start_s + quote.end_s) / 2)
        for quote in part.quotes
        if quote.start_s is not None and quote.end_s is not None and (quote.recording or first) == recording
    ]
    if not told:
        told = [
            (d.start_s, (d.start_s + d.end_s) / 2)
            for d in part.decisions
            if d.start_s is not None and d.end_s is not None and (d.recording or first) == recording
        ]
    return min(told)[1] if told else None


def moments(at_s: float, length_s: float | None) -> tuple[float, ...]:
    """The seconds to choose a still from, *at_s* first, none of them outside the film."""
    last = max(0.0, length_s) if length_s is not None else float("inf")
    tried = (round(min(max(0.0, at_s + around), last), 2) for around in AROUND_S)
    return tuple(dict.fromkeys(tried))
