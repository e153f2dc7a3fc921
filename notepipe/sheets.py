"""A sheet that leaves with parts: a person's words and the register become its counted lines. Pure.

A part goes out for what is decided for that vendor or its trade. Nothing else of it is told: no price, no
name, no word from the bench that a client could not read as well.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from notepipe.days import day_past
from notepipe.draft import Decision, Part
from notepipe.errands import SheetLine, SheetSent
from notepipe.errors import BadAnswer, nearest
from notepipe.months.outside import LineNow, Outside
from notepipe.months.worknames import PLATER, is_for, same_trade, trade_of, work_name
from notepipe.register import PartNow, Register
from notepipe.sheet_lines import held_back, line_of, with_words
from notepipe.trade.cautions import CautionRow
from notepipe.trade.operations import operations
from notepipe.transcript import Frozen

_STANDS = {
    "considering": "is only being considered",
    "asking": "waits for an answer",
    "ruled-out": "was ruled out",
    "done": "is done already",
}


class Parcel(Frozen):
    """What a person says of a sheet that is to go out."""

    vendor: str
    on: str
    """The day it goes, ISO 8601."""
    trade: str | None = None
    """None: the one trade that the parts are decided for."""
    usual: str | None = None
    """The trade this vendor was sent parts for before."""
    tags: tuple[str, ...] = ()
    """None: every part that is decided for the trade and has not been there yet."""
    counts: Mapping[str, int] = {}
    """Tag → how many of the set; else all that are here."""
    never: tuple[tuple[str, str], ...] = ()
    """Tag, and what must not be done to it."""
    flaws: tuple[tuple[str, str], ...] = ()
    """Tag, and a flaw to be named besides those of the register."""
    reference: str | None = None


class Packed(Frozen):
    """The entry for a sheet, and what whoever packs it should know."""

    sent: SheetSent
    told: tuple[str, ...] = ()


def packed(register: Register, parcel: Parcel, today: date, rows: Sequence[CautionRow]) -> Packed:
    """The sheet for *parcel*; *rows* are the cautions known, to tell which speak of work that is done there.

    Raises NotFound for a part that isn't there, BadAnswer where nothing is decided for the trade, where more
    would go than is here, for a part without a count, and for a day still to come.
    """
    where = f"job {register.job}"
    day = day_past(where, parcel.on, today)
    trade, outside = _trade(register, parcel), Outside(register)
    chosen, told = _chosen(register, outside, parcel, trade)
    lines: list[SheetLine] = []
    for number, now in enumerate(chosen, start=1):
        work = work_for(now.part, trade, parcel.vendor)
        if not work:
            raise _undecided(register, now, trade)
        lines.append(line_of(now, number, _count(outside, now, parcel, trade), work, rows))
    on_sheet = {line.tag for line in lines}
    for tag in (*parcel.counts, *(tag for tag, _ in (*parcel.never, *parcel.flaws))):
        if tag not in on_sheet:
            register.part(tag)
            raise BadAnswer(f"{where} {tag}", "is not on this sheet", f"Name it among the parts: {tag}")
    lines = [with_words(line, parcel.never, parcel.flaws) for line in lines]
    sent = SheetSent(
        sheet=next_sheet(register),
        vendor=parcel.vendor,
        trade=trade,
        lines=tuple(lines),
        pieces=sum(line.count or 0 for line in lines),
        on=day.isoformat(),
        reference=(parcel.reference or "").strip() or None,
    )
    return Packed(sent=sent, told=(*told, *held_back(chosen)))


def next_sheet(register: Register) -> str:
    """The name of the next sheet of the job: ``S01``, ``S02`` …"""
    return f"S{1 + max((int(sheet.sent.sheet[1:]) for sheet in register.sheets), default=0):02d}"


def work_for(part: Part, trade: str, vendor: str) -> tuple[Decision, ...]:
    """The decisions that *part* goes to *vendor* for: decided, for that trade, and done where it is sent."""
    return tuple(
        decision
        for decision in part.decisions
        if decision.standing == "decided"
        and operations().of(decision.action).goes_out
        and is_for(decision, trade, vendor)
    )


def _trade(register: Register, parcel: Parcel) -> str:
    """The trade as told, as usual for this vendor, or the only one that is decided."""
    if parcel.trade is not None:
        return " ".join(parcel.trade.split()) or parcel.vendor
    parts = [register.part(tag) for tag in parcel.tags] or list(register.parts)
    trades = _trades(parts)
    usual = parcel.usual
    if usual is not None and (not trades or any(same_trade(usual, trade) for trade in trades)):
        return usual
    if any(trade.casefold() == parcel.vendor.casefold() for trade in trades):
        return usual or parcel.vendor
    if len(trades) == 1:
        return trades[0]
    where = f"job {register.job}"
    if not trades and parcel.tags:
        raise _undecided(register, parts[0], None)
    if not trades:
        do = f'Say by whom: notepipe correct {register.job} TAG "decision 1 by=plater"'
        raise BadAnswer(where, "nothing is decided for anybody outside the house", do)
    choices = " or ".join(f'--trade "{trade}"' for trade in trades)
    do = f"Say which: {choices}"
    raise BadAnswer(where, f"what is the trade of {parcel.vendor}?", do)


def _trades(parts: Sequence[PartNow]) -> list[str]:
    """The trades outside the house that something is decided for, on any of *parts*."""
    decided = [d for now in parts for d in now.part.decisions if d.standing == "decided"]
    named = (trade_of(d) for d in decided if operations().of(d.action).goes_out)
    return sorted({trade for trade in named if trade is not None})


def _chosen(
    register: Register, outside: Outside, parcel: Parcel, trade: str
) -> tuple[list[PartNow], list[str]]:
    if parcel.tags:
        return [register.part(tag) for tag in dict.fromkeys(parcel.tags)], []
    chosen, told = [], []
    for now in register.parts:
        if not work_for(now.part, trade, parcel.vendor):
            continue
        went = _went(outside, now, trade)
        if went and (now.part.quantity is None or sum(line.went for line in went) >= now.part.quantity):
            sheets = ", ".join(dict.fromkeys(line.sheet.sent.sheet for line in went))
            told.append(f"{now.tag} {now.part.name}: went with {sheets} already, so it is not on this sheet")
        else:
            chosen.append(now)
    if not chosen and told:
        raise BadAnswer(f"job {register.job}", f"nothing is left to go to the {trade}", told[0])
    if not chosen:
        known = _trades(register.parts)
        say = f'Say by whom: notepipe correct {register.job} TAG "decision 1 by={trade}"'
        do = nearest(trade, known) if known else say
        raise BadAnswer(f"job {register.job}", f"nothing is decided for the {trade}", do)
    return chosen, told


def _went(outside: Outside, now: PartNow, trade: str) -> list[LineNow]:
    """The lines on which pieces of *now* have gone to *trade* before, back or not."""
    return [line for line in outside.lines(now) if same_trade(line.sheet.sent.trade, trade)]


def _count(outside: Outside, now: PartNow, parcel: Parcel, trade: str) -> int:
    where, all_ = _place(now), now.part.quantity
    out = outside.pieces(now)
    asked = parcel.counts.get(now.tag)
    if asked is not None and asked < 1:
        raise BadAnswer(where, f"{asked} can't go out", f"Give a count of 1 or more: --count {now.tag}=1")
    if out and (all_ is None or out >= all_):
        raise BadAnswer(where, f"is out already: {_where_out(outside, now)}", "Book it back first.")
    if all_ is None:
        if asked is None:
            do = f"Count them, and say how many go: --count {now.tag}=4"
            raise BadAnswer(where, "has no count", do)
        return asked
    here = all_ - out
    if asked is not None and asked > here:
        gone = f", {_where_out(outside, now)}" if out else ""
        do = f"Send {here} of them: --count {now.tag}={here}"
        raise BadAnswer(where, f"{asked} can't go: there {_is(here)} {here} of {all_} here{gone}", do)
    if asked is not None:
        return asked
    # Without a count only those go that have not been there, unless all of them have.
    went = sum(line.went for line in _went(outside, now, trade))
    return min(here, all_ - went) if went < all_ else here


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def _where_out(outside: Outside, now: PartNow) -> str:
    return ", ".join(
        f"{line.missing} with {line.sheet.sent.vendor} since {line.sheet.sent.on} ({line.sheet.sent.sheet})"
        for line in outside.lines(now)
        if line.missing
    )


def _undecided(register: Register, now: PartNow, trade: str | None) -> BadAnswer:
    """Why *now* can't go to *trade*, and what would make it so."""
    job, part = register.job, now.part
    to = f"the {trade}" if trade else "anybody outside the house"
    rows = list(enumerate(part.decisions, start=1))
    decided = [(n, d) for n, d in rows if d.standing == "decided" and operations().of(d.action).goes_out]
    open_ = [(n, d) for n, d in rows if d.standing != "decided" and operations().of(d.action).goes_out]
    mine = [(n, d) for n, d in open_ if trade is None or is_for(d, trade, "")]
    # What nobody was named for may be meant as well, where nothing else is decided.
    mine += [(n, d) for n, d in open_ if d.by is None and not decided]
    if mine:
        number, decision = mine[0]
        do = f'Decide it first: notepipe correct {job} {now.tag} "decision {number} standing=decided"'
        return BadAnswer(_place(now), f"to {work_name(decision)} {_STANDS[decision.standing]}", do)
    if decided:
        number, decision = decided[0]
        told = "; ".join(f"{work_name(d)}, {d.by or 'nobody named'}" for _, d in decided)
        do = f'If it is for {to}: notepipe correct {job} {now.tag} "decision {number} by={trade or PLATER}"'
        return BadAnswer(_place(now), f"nothing is decided for {to} ({told})", do)
    do = f'Decide it first, for example: notepipe correct {job} {now.tag} "new decision=repair"'
    return BadAnswer(_place(now), f"nothing is decided for {to}", do)


def _place(now: PartNow) -> str:
    return f"{now.tag} {now.part.name}"
