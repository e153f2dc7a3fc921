"""The lines of a sheet that goes out: all a vendor must know of each part, and nothing private. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from notepipe.changing import size_in_words
from notepipe.draft import Caution, Decision, Part
from notepipe.errands import SheetLine
from notepipe.months.worknames import work_name
from notepipe.papers.actions import said
from notepipe.papers.fit import conditions
from notepipe.papers.layout import plain
from notepipe.reading.plausibility import speaks
from notepipe.register import PartNow
from notepipe.trade.cautions import CautionRow
from notepipe.trade.operations import operations
from notepipe.trade.wording import wording

Told = Sequence[tuple[str, str]]
"""Tags, each with what was said of the part."""


def line_of(
    now: PartNow, number: int, count: int, work: tuple[Decision, ...], rows: Sequence[CautionRow]
) -> SheetLine:
    """Line *number* of a sheet: *count* pieces of a part, for the decisions in *work*."""
    part = now.part
    wanted = list(dict.fromkeys(said(decision, part) for decision in work))
    refused = dict.fromkeys(
        said(decision, part)
        for decision in part.decisions
        if decision.standing == "ruled-out" and operations().of(decision.action).list == "bench"
    )
    finishes = [decision.to_finish for decision in work if decision.to_finish]
    return SheetLine(
        line=number,
        tag=now.tag,
        name=plain(part.name),
        count=count,
        metal=part.metal,
        finish=part.finish,
        wanted=_listed([plain(text) for text in wanted]),
        to_finish=finishes[-1] if finishes else _same_again(part, work),
        work=tuple(work_name(decision) for decision in work),
        flaws=tuple(plain(flaw) for flaw in conditions(part)),
        sizes=tuple(
            plain(size_in_words(size)) + ("" if size.unit else " (unit not said)") for size in part.sizes
        ),
        never=tuple(f"not to be {plain(text)}" for text in refused if text not in wanted),
        cautions=_cautions(part, work, rows),
    )


def _same_again(part: Part, work: tuple[Decision, ...]) -> str | None:
    """ "Replated" and no word in what: in the plate it has."""
    plated = part.finish in wording().plates and work[-1].action == "replate"
    return part.finish if plated else None


def _cautions(part: Part, work: tuple[Decision, ...], rows: Sequence[CautionRow]) -> tuple[Caution, ...]:
    """Those of the part, less the ones that only speak of other work on it."""
    known = {row.id: row for row in rows}
    as_sent = part.model_copy(update={"decisions": work})
    return tuple(c for c in part.cautions if c.id not in known or speaks(known[c.id].when, as_sent))


def with_words(line: SheetLine, never: Told, flaws: Told) -> SheetLine:
    """*line* with what a person adds to it: what must never be done, and flaws."""
    refused = (plain(text) for tag, text in never if tag == line.tag)
    known = (plain(text) for tag, text in flaws if tag == line.tag)
    return line.model_copy(
        update={
            "never": tuple(dict.fromkeys((*line.never, *refused))),
            "flaws": tuple(dict.fromkeys((*line.flaws, *known))),
        }
    )


def held_back(chosen: Sequence[PartNow]) -> Iterator[str]:
    """What was said of the parts' condition and is not plain enough for a stranger's eyes."""
    for now in chosen:
        shown = len(conditions(now.part))
        if shown < len(now.part.condition):
            every = "; ".join(now.part.condition)
            do = f'to name a flaw: --flaw "{now.tag}=…"'
            yield f"{now.tag} {now.part.name}: not all that was said stands on the sheet ({every}); {do}"


def _listed(pieces: list[str]) -> str:
    return f"{', '.join(pieces[:-1])} and {pieces[-1]}" if len(pieces) > 1 else "".join(pieces)
