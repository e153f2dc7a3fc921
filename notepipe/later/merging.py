"""A later record laid over the part on file: the whole part as it stands from then on. Pure.

What is said now takes the place of what was said before; what is not spoken of stays; conditions add up;
what was ruled out stays as ruled out. Every decision and quote keeps the note it was said in.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from notepipe.draft import Caution, Decision, Part, Quote, Size
from notepipe.entries import Change
from notepipe.later.comparing import Difference, compared, news


class Layer(NamedTuple):
    """A part, and the note it was said in."""

    part: Part
    recording: str


class Merged(NamedTuple):
    """The whole part, what it says against the one on file, and what changed of it."""

    part: Part
    differences: tuple[Difference, ...]
    changes: tuple[Change, ...]


def laid_over(on_file: Layer, drafted: Layer, asked: Sequence[str] = ()) -> Merged:
    """*drafted* over *on_file*; *asked* are the texts of open questions about it.

    The name on file stays, and what the part was called now is kept beside it.
    """
    below, above = _stamped(on_file), _stamped(drafted)
    differences = compared(below, above, asked)
    told = {d.field: d for d in differences if d.kind != "says the same"}
    update: dict[str, Any] = {
        field: getattr(above, field) for field in ("quantity", "metal", "finish", "location") if field in told
    }
    if "condition" in told:
        update["condition"] = (*below.condition, *news(below.condition, above.condition))
    if "sizes" in told:
        update["sizes"] = _sizes(below.sizes, differences)
    update["decisions"] = _decisions(below.decisions, differences)
    update["quotes"] = _once((*below.quotes, *_shifted(differences, below), *above.quotes))
    update["heard_as"] = tuple(dict.fromkeys((*below.heard_as, *above.heard_as)))
    update["cautions"] = cautions_of_both(below.cautions, above.cautions)
    update["rules"] = {**below.rules, **{f: r for f, r in above.rules.items() if f in told}}
    update["doubts"] = ()
    changes = tuple(d.change for d in differences if d.kind != "says the same")
    return Merged(below.model_copy(update=update), differences, changes)


def cautions_of_both(below: Sequence[Caution], above: Sequence[Caution]) -> tuple[Caution, ...]:
    """Every caution of either, once."""
    return tuple({caution.id: caution for caution in (*below, *above)}.values())


def _decisions(on_file: Sequence[Decision], differences: Sequence[Difference]) -> tuple[Decision, ...]:
    """Those on file in their order, each with what took its place; then the new ones."""
    pairs = [d for d in differences if d.field == "decision"]
    now: list[Decision] = []
    for decision in on_file:
        pair = next((p for p in pairs if p.was_decision is decision), None)
        if pair is None or pair.kind == "says the same":
            now.append(decision)
        elif pair.now_decision is not None:
            now.append(pair.now_decision)
        else:
            now.append(decision.model_copy(update={"standing": "ruled-out"}))
    return (*now, *(p.now_decision for p in pairs if p.was_decision is None and p.now_decision is not None))


def _sizes(on_file: Sequence[Size], differences: Sequence[Difference]) -> tuple[Size, ...]:
    told = [d for d in differences if d.field == "sizes"]
    gone = [size for d in told for size in d.was_sizes]
    return tuple(
        dict.fromkeys((*(s for s in on_file if s not in gone), *(s for d in told for s in d.now_sizes)))
    )


def _shifted(differences: Sequence[Difference], below: Part) -> tuple[Quote, ...]:
    """The words of decisions that no longer stand: the part still rests on them."""
    replaced = [
        d.was_said for d in differences if d.field == "decision" and d.was_decision in below.decisions
        and d.kind in ("changes", "withdraws")
    ]  # fmt: skip
    return tuple(quote for said in replaced for quote in said)


def _once(quotes: Sequence[Quote]) -> tuple[Quote, ...]:
    """Each passage once, though it was kept with another probability."""
    return tuple({(q.text, q.start_s, q.recording): q for q in quotes}.values())


def _stamped(layer: Layer) -> Part:
    """The part, with its note written to every passage that names none."""

    def stamp(passages: Sequence[Any]) -> tuple[Any, ...]:
        return tuple(
            p if p.recording is not None else p.model_copy(update={"recording": layer.recording})
            for p in passages
        )

    part = layer.part
    return part.model_copy(update={"quotes": stamp(part.quotes), "decisions": stamp(part.decisions)})
