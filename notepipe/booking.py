"""What comes back is booked against what went out, line by line; what was wrong stays until settled. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from notepipe.days import day_past
from notepipe.entries import PartConfirmed
from notepipe.errands import LineBack, SheetBack, SheetSettled
from notepipe.errors import BadAnswer, NotFound
from notepipe.months.outside import LineNow, Outside, lines_of
from notepipe.months.worknames import same_trade, work_name
from notepipe.register import Booked, PartNow, Register, SheetNow
from notepipe.review import correction, refuse_unread, to_acknowledge
from notepipe.transcript import Frozen


class Returned(Frozen):
    """What a person says came back; lines by their number on the sheet."""

    on: str
    """ISO 8601."""
    counts: Mapping[int, int] = {}
    damage: tuple[tuple[int, str], ...] = ()
    finish: Mapping[int, str] = {}
    """As it came back."""
    everything: bool = False
    """All that is still out, but for the lines counted."""
    remark: str | None = None


class Finished(Frozen):
    """A decision that can be marked done: every piece is back from it, and nothing is open."""

    tag: str
    name: str
    number: int
    work: str
    acknowledge: tuple[str, ...] = ()
    """Ids of the cautions that have to be acknowledged with it."""

    def command(self, job: str) -> str:
        """What a reviewer types to mark it done."""
        read = "".join(f" --acknowledge {caution}" for caution in self.acknowledge)
        return f'notepipe correct {job} {self.tag} "decision {self.number} standing=done"{read}'


def booked(register: Register, name: str, returned: Returned, today: date) -> SheetBack:
    """The entry for what came back with the sheet *name*.

    Raises NotFound for no such sheet or line, BadAnswer where more came back than went out, where nothing
    did, and for a day before it went or still to come.
    """
    sheet = register.sheet(name)
    where = f"job {register.job} {name}"
    day = day_past(where, returned.on, today)
    if day.isoformat() < sheet.sent.on:
        what = f"back on {day.isoformat()}, and it only went on {sheet.sent.on}"
        raise BadAnswer(where, what, "Give the day it came back: --on YYYY-MM-DD")
    known = {line.line.line: line for line in lines_of(sheet)}
    for number in (*returned.counts, *(number for number, _ in returned.damage), *returned.finish):
        if number not in known:
            do = f"Its lines: {', '.join(f'{n} ({line.line.name})' for n, line in known.items())}"
            raise NotFound(where, f"no line {number}", do)
    lines = [back for line in known.values() if (back := _came(where, line, returned)) is not None]
    if not lines:
        what = "nothing is out on it any more" if returned.everything else "nothing came back"
        raise BadAnswer(where, what, f"See: notepipe sheet {register.job} {name}")
    return SheetBack(
        sheet=name, lines=tuple(lines), on=day.isoformat(), remark=(returned.remark or "").strip() or None
    )


def settled(register: Register, name: str, number: int, how: str, *, missing: bool = False) -> SheetSettled:
    """The entry that settles what is open on a line: what came back wrong, or else what is still out.

    Where something is wrong with what came back and pieces are out as well, the pieces stay out unless
    *missing* says that they will not come either. Raises NotFound for no such sheet or line, BadAnswer where
    nothing is open, or for no word how.
    """
    where = f"job {register.job} {name} line {number}"
    found = next((line for line in lines_of(register.sheet(name)) if line.line.line == number), None)
    if found is None:
        raise NotFound(f"job {register.job} {name}", f"no line {number}", f"See: notepipe out {register.job}")
    if not found.open:
        raise BadAnswer(where, "nothing is open on it", "Leave it as it is.")
    if not how.strip():
        raise BadAnswer(where, "settled, and no word how", "Say how in a few words.")
    gone = found.missing if missing or not found.remarked else 0
    return SheetSettled(sheet=name, line=number, tag=found.line.tag, how=how.strip(), missing=gone)


def with_back(register: Register, back: SheetBack) -> Register:
    """*register* as it stands once *back* is booked."""
    more = tuple(Booked(on=back.on, by="", back=line, remark=back.remark) for line in back.lines)
    sheets = tuple(
        sheet.model_copy(update={"back": (*sheet.back, *more)}) if sheet.sent.sheet == back.sheet else sheet
        for sheet in register.sheets
    )
    return register.model_copy(update={"sheets": sheets})


def finished(register: Register, name: str) -> tuple[Finished, ...]:
    """The decisions that the sheet *name* went out for and that can be marked done now."""
    sheet, outside = register.sheet(name), Outside(register)
    parts = {tag: now for now in register.parts for tag in (now.tag, *now.joined)}
    found: dict[tuple[str, int], Finished] = {}
    for line in lines_of(sheet):
        now = parts.get(line.line.tag)
        if now is None or line.open or not _all_back(outside, now, sheet):
            continue
        for number, decision in enumerate(now.part.decisions, start=1):
            if decision.standing == "decided" and work_name(decision) in line.line.work:
                found[now.tag, number] = Finished(
                    tag=now.tag,
                    name=now.part.name,
                    number=number,
                    work=work_name(decision),
                    acknowledge=to_acknowledge(now.part),
                )
    return tuple(found.values())


def marked_done(
    register: Register, rows: Sequence[Finished], acknowledged: tuple[str, ...] = ()
) -> tuple[PartConfirmed, ...]:
    """The corrections that mark *rows* done, one entry a part.

    Raises BadAnswer for a caution that has to be acknowledged and is not.
    """
    made = []
    for tag in dict.fromkeys(row.tag for row in rows):
        fields = {f"decision {row.number} standing": "done" for row in rows if row.tag == tag}
        part = register.part(tag).part
        refuse_unread(part, acknowledged)
        mine = to_acknowledge(part)
        read = tuple(caution for caution in acknowledged if caution in mine)
        body = correction(register.standing(tag), fields, read)
        assert isinstance(body, PartConfirmed)
        made.append(body)
    return tuple(made)


def _came(where: str, line: LineNow, returned: Returned) -> LineBack | None:
    """What is booked for *line*; None where nothing was said of it."""
    number = line.line.line
    damage = [text.strip() for at, text in returned.damage if at == number and text.strip()]
    finish = returned.finish.get(number, "").strip()
    count = returned.counts.get(number, line.missing if returned.everything else 0)
    if count == 0 and not damage and not finish:
        if number in returned.counts:
            raise BadAnswer(f"{where} line {number}", "0 came back", "Leave the line out.")
        return None
    here = line.went - line.back
    if count > here:
        before = f", and {line.back} came back before" if line.back else ""
        what = f"{count} came back, and {line.went} went out{before}"
        do = f"Count again: at most {here} can be booked." if here else "All of it is back already."
        raise BadAnswer(f"{where} line {number}", what, do)
    if count + line.back == 0:
        do = f"Say how many came back: --line {number}={line.went}"
        raise BadAnswer(f"{where} line {number}", "a remark on what is not back", do)
    return LineBack(
        line=number,
        tag=line.line.tag,
        count=count,
        finish=finish or None,
        damage="; ".join(damage) or None,
    )


def _all_back(outside: Outside, now: PartNow, sheet: SheetNow) -> bool:
    """Whether no piece is out, and every one has been there and is back (or is known not to come)."""
    if outside.pieces(now):
        return False
    there = [line for line in outside.lines(now) if same_trade(line.sheet.sent.trade, sheet.sent.trade)]
    pieces = sum(line.back + line.not_coming for line in there)
    return now.part.quantity is None or pieces >= now.part.quantity
