"""Parts out: what is with whom, since when, what is still missing and what is open, as text and CSV."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from notepipe.days import ago, days_ago
from notepipe.months.outside import LineNow, lines_of
from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter
from notepipe.papers.phrases import finish_named
from notepipe.papers.sheet import csv_text
from notepipe.papers.tables import table
from notepipe.papers.templates import rendered
from notepipe.register import Register, SheetNow
from notepipe.transcript import Frozen

TEMPLATE = "parts_out.txt.j2"
_COLUMNS = ("line", "tag", "part", "sent", "back", "missing", "open")
_CSV = (
    "tag", "job", "part", "sheet", "line", "vendor", "trade", "since", "days", "promised", "sent", "back",
    "missing", "open", "remarks",
)  # fmt: skip


class SheetOut(Frozen):
    """One sheet with something of it still out or open."""

    job: str
    sheet: str
    vendor: str
    trade: str
    since: str
    """The day it went, as the shop writes dates."""
    ago: str
    promised: str
    """The day it is promised for; empty where nobody promised."""
    reference: str
    missing: int
    lines: tuple[str, ...]
    """The table of its open lines, fitted to the paper."""
    remarks: tuple[str, ...]
    """What was said when some of it came back."""


class PartsOut(Frozen):
    """All that the template of the parts out may name."""

    shop: str
    date: str
    jobs: str
    sheets: tuple[SheetOut, ...]
    missing: int
    """Pieces that are out, together."""
    open: int
    """Lines with something wrong that nobody has settled."""


def parts_out(registers: Sequence[Register], letter: Letter) -> str:
    """What is out in the jobs of *registers*, as plain text. Raises BadTemplate for a broken template."""
    found = [(r, sheet, open_) for r in registers for sheet in r.sheets if (open_ := _open(sheet))]
    view = PartsOut(
        shop=plain(letter.shop),
        date=plain(letter.date),
        jobs=plain(f"Job {registers[0].job}: {registers[0].what}") if len(registers) == 1 else "All jobs",
        sheets=tuple(_shown(register, sheet, lines, letter) for register, sheet, lines in found),
        missing=sum(line.missing for _, _, lines in found for line in lines),
        open=sum(line.remarked for _, _, lines in found for line in lines),
    )
    return rendered(TEMPLATE, view, letter)


def parts_out_csv(registers: Sequence[Register], letter: Letter) -> str:
    """The same as CSV: a row for each line of a sheet that is still out or open."""
    rows: list[tuple[str, ...]] = [_CSV]
    for register in registers:
        for sheet in register.sheets:
            rows += [_row(register, line, letter) for line in _open(sheet)]
    return csv_text(rows)


def open_in_words(line: LineNow) -> str:
    """``came back chromed, wanted nickel-plated; damaged: one has a run``; empty where nothing is open."""
    wanted = finish_named(line.line.to_finish or "")
    wrong = [f"came back {finish_named(finish)}, wanted {wanted}" for finish in line.wrong]
    return plain("; ".join((*wrong, *(f"damaged: {damage}" for damage in line.damage))))


def _open(sheet: SheetNow) -> tuple[LineNow, ...]:
    return tuple(line for line in lines_of(sheet) if line.open)


def _shown(register: Register, sheet: SheetNow, lines: tuple[LineNow, ...], letter: Letter) -> SheetOut:
    sent = sheet.sent
    rows = [
        (
            str(line.line.line),
            line.line.tag,
            plain(line.line.name),
            str(line.went),
            str(line.back),
            str(line.missing),
            open_in_words(line),
        )
        for line in lines
    ]
    due = _promised(register, sheet)
    return SheetOut(
        job=plain(register.job),
        sheet=sent.sheet,
        vendor=plain(sent.vendor),
        trade=plain(sent.trade),
        since=letter.day(sent.on),
        ago=ago(_days(sent.on, letter)) if letter.today else "",
        promised=letter.day(due) if due else "",
        reference=plain(sent.reference or ""),
        missing=sum(line.missing for line in lines),
        lines=table(_COLUMNS, rows, letter.width),
        remarks=_remarks(sheet),
    )


def _row(register: Register, line: LineNow, letter: Letter) -> tuple[str, ...]:
    sent = line.sheet.sent
    return (
        line.line.tag,
        plain(register.job),
        plain(line.line.name),
        sent.sheet,
        str(line.line.line),
        plain(sent.vendor),
        plain(sent.trade),
        sent.on,
        str(_days(sent.on, letter)) if letter.today else "",
        _promised(register, line.sheet),
        str(line.went),
        str(line.back),
        str(line.missing),
        open_in_words(line),
        "; ".join(_remarks(line.sheet)),
    )


def _days(on: str, letter: Letter) -> int:
    return days_ago(on, date.fromisoformat(letter.today))


def _promised(register: Register, sheet: SheetNow) -> str:
    """The day the sheet is promised for, ISO 8601; the last promise that is waited for counts."""
    about = {line.tag for line in sheet.sent.lines}
    due = [
        promise.noted.due
        for promise in register.promises
        if promise.settled_on is None
        and (
            promise.noted.sheet == sheet.sent.sheet
            or (
                promise.noted.who.casefold() == sheet.sent.vendor.casefold() and about & {*promise.noted.tags}
            )
        )
    ]
    return due[-1] if due else ""


def _remarks(sheet: SheetNow) -> tuple[str, ...]:
    return tuple(dict.fromkeys(plain(f"{row.on}: {row.remark}") for row in sheet.back if row.remark))
