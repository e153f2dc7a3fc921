"""The sheet that leaves with parts: counted lines, what is wanted and what must not be, a slip to return."""

from __future__ import annotations

from notepipe.draft import Caution
from notepipe.errands import SheetLine, SheetSent
from notepipe.papers.layout import HARD_BLANK, hold, plain
from notepipe.papers.letter import Letter, short_hash
from notepipe.papers.phrases import finish_named
from notepipe.papers.tables import table
from notepipe.papers.templates import rendered
from notepipe.register import Register
from notepipe.trade.plurals import plural
from notepipe.transcript import Frozen

TEMPLATE = "out_sheet.txt.j2"
_SLIP = ("line", "tag", "part", "sent", "back", "remarks")
_BLANK = "_" * 6


class LineShown(Frozen):
    """One counted line, as the template may name it."""

    number: int
    tag: str
    what: str
    """Count and name: ``4 × carriage lamps``."""
    made_of: str
    """Metal and present finish: ``brass, nickel-plated``."""
    wanted: str
    sizes: tuple[str, ...]
    never: tuple[str, ...]
    flaws: tuple[str, ...]


class CautionOnSheet(Frozen):
    """A caution, whom to ask, and the lines it is about."""

    text: str
    defer_to: str
    lines: str


class OutSheet(Frozen):
    """All that the template of the sheet may name. The client and the job's subject are nobody's business."""

    shop: str
    date: str
    """The day it goes."""
    sheet: str
    vendor: str
    trade: str
    job: str
    reference: str
    lines: tuple[LineShown, ...]
    pieces: int
    cautions: tuple[CautionOnSheet, ...]
    slip: tuple[str, ...]
    """The table to fill in and send back."""
    hash: str
    """The short form of the hash of the last entry it was written from."""


def out_sheet(sent: SheetSent, register: Register, letter: Letter) -> str:
    """The sheet as plain text, lines no longer than the letter is wide.

    Raises BadTemplate for a broken template.
    """
    view = OutSheet(
        shop=plain(letter.shop),
        date=letter.day(sent.on),
        sheet=sent.sheet,
        vendor=plain(sent.vendor),
        trade=plain(sent.trade) if sent.trade.casefold() != sent.vendor.casefold() else "",
        job=plain(register.job),
        reference=plain(sent.reference or ""),
        lines=tuple(_shown(line) for line in sent.lines),
        pieces=sent.pieces,
        cautions=_cautions(sent.lines),
        slip=_slip(sent.lines, letter.width),
        hash=short_hash(register),
    )
    return rendered(TEMPLATE, view, letter)


def _shown(line: SheetLine) -> LineShown:
    name = plural(line.name) if line.count != 1 else line.name
    finish = finish_named(line.finish) if line.finish else ""
    return LineShown(
        number=line.line,
        tag=line.tag,
        what=f"{line.count}{HARD_BLANK}×{HARD_BLANK}{name}",
        made_of=plain(", ".join(filter(None, (line.metal, finish)))),
        wanted=line.wanted,
        sizes=tuple(hold(size) for size in line.sizes),
        never=line.never,
        flaws=line.flaws,
    )


def _cautions(lines: tuple[SheetLine, ...]) -> tuple[CautionOnSheet, ...]:
    """Each caution once, with the lines it is about."""
    about: dict[tuple[str, str], list[str]] = {}
    for line in lines:
        for caution in line.cautions:
            about.setdefault(_said(caution), []).append(str(line.line))
    return tuple(
        CautionOnSheet(text=text, defer_to=defer_to, lines=", ".join(numbers))
        for (text, defer_to), numbers in about.items()
    )


def _said(caution: Caution) -> tuple[str, str]:
    return plain(caution.text), plain(caution.defer_to)


def _slip(lines: tuple[SheetLine, ...], width: int) -> tuple[str, ...]:
    remarks = "_" * 16
    rows = [(str(line.line), line.tag, line.name, str(line.count), _BLANK, remarks) for line in lines]
    return table(_SLIP, rows, width)
