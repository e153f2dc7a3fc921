"""Sheets that go out: kept word for word, and in the history with their hash; printed again as they were."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence

from notepipe.closing import refuse_where_closed
from notepipe.entries import Body, Entry
from notepipe.errands import SheetSent
from notepipe.errors import BadLedger, NotepipeError, NotFound
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.outside import lines_of
from notepipe.register import Register, SheetNow
from notepipe.sheets import Packed
from notepipe.shop import Shop, sha256_of
from notepipe.transcript import Frozen

Make = Callable[[Register], Packed]
Write = Callable[[SheetSent, Register], str]


class Gone(Frozen):
    """A sheet that went out, and what whoever packs it should know."""

    sent: SheetSent
    text: str
    told: tuple[str, ...]


def send(ledger: Ledger, job: str, hand: Hand, make: Make, write: Write, shop: Shop) -> Gone:
    """Make a sheet of what stands in that moment, keep its text, and put it into the history.

    The text is on the disk before the entry is; of two people at once the second gets the next name, and what
    is left. Raises what *make* and *write* raise, and CannotWrite.
    """
    made: list[Gone] = []

    def once(entries: tuple[Entry, ...]) -> Sequence[Body]:
        refuse_where_closed(entries)  # Before anything is kept that would then not go.
        gone = tried(fold(entries), make, write)
        shop.keep_sheet(job, gone.sent.sheet, gone.text)
        made.append(gone)
        return (gone.sent,)

    ledger.decide(job, hand, once)
    return made[-1]


def tried(register: Register, make: Make, write: Write) -> Gone:
    """The sheet as it would go, with nothing kept."""
    packed = make(register)
    text = write(packed.sent, register)
    sha256 = hashlib.sha256(text.encode("utf-8")).hexdigest()
    return Gone(sent=packed.sent.model_copy(update={"sha256": sha256}), text=text, told=packed.told)


def kept_text(shop: Shop, register: Register, name: str) -> str:
    """The text of the sheet *name* as it went out. Raises NotFound, BadLedger where it was changed."""
    sheet = register.sheet(name)
    for error in _altered(shop, register.job, sheet):
        raise error
    return shop.sheet(register.job, name).read_bytes().decode("utf-8")


def sheet_line(sheet: SheetNow) -> str:
    """``S01  2026-11-25  Tarn Plating (plater), 7 pieces, 3 still out, to be settled: line 1``."""
    sent, lines = sheet.sent, lines_of(sheet)
    out = sum(line.missing for line in lines)
    wrong = ", ".join(str(line.line.line) for line in lines if line.remarked)
    stands = f"{out} still out" if out else "back"
    pieces = f"{sent.pieces} piece{'' if sent.pieces == 1 else 's'}"
    settle = f", to be settled: line {wrong}" if wrong else ""
    return f"{sent.sheet}  {sent.on}  {sent.vendor} ({sent.trade}), {pieces}, {stands}{settle}"


def altered_sheets(shop: Shop, register: Register) -> Iterator[NotepipeError]:
    """What is wrong with the kept texts of the sheets that went out."""
    for sheet in register.sheets:
        yield from _altered(shop, register.job, sheet)


def _altered(shop: Shop, job: str, sheet: SheetNow) -> Iterator[NotepipeError]:
    sent = sheet.sent
    path, told = shop.sheet(job, sent.sheet), f"sent to {sent.vendor} on {sent.on}"
    if sent.sha256 is None:
        return
    if not path.is_file():
        do = "Put it back from a copy of the shop's folder; the history has its SHA-256."
        yield NotFound(str(path), f"sheet {sent.sheet}, {told}, is not there", do)
    elif sha256_of(path) != sent.sha256:
        do = "Put back the text as it went out; the history has its SHA-256."
        yield BadLedger(str(path), f"sheet {sent.sheet} was changed after it was {told}", do)
