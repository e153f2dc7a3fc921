"""What is out of the house: each line of each sheet, what came back of it and what is still open. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from notepipe.errands import SheetLine
from notepipe.register import Booked, PartNow, Register, SheetNow
from notepipe.transcript import Frozen


class LineNow(Frozen):
    """A line of a sheet as it stands: what went, what came back, and what nobody has settled."""

    sheet: SheetNow
    line: SheetLine
    back: int
    """Pieces that came back."""
    not_coming: int
    """Pieces that will not come any more, as somebody settled."""
    damage: tuple[str, ...]
    """Open: said when it came back, and not settled."""
    wrong: tuple[str, ...]
    """Finishes it came back with that are not the one it was sent for; open as well."""

    @property
    def went(self) -> int:
        """The pieces that went out."""
        return self.line.count or 1

    @property
    def missing(self) -> int:
        """The pieces that are still out."""
        return max(0, self.went - self.back - self.not_coming)

    @property
    def remarked(self) -> bool:
        """Whether something that came back was wrong and is not settled."""
        return bool(self.damage or self.wrong)

    @property
    def open(self) -> bool:
        """Whether the line has to stay in sight."""
        return bool(self.missing) or self.remarked


def lines_of(sheet: SheetNow) -> tuple[LineNow, ...]:
    """Every line of *sheet* as it stands."""
    return tuple(_line(sheet, line) for line in sheet.sent.lines)


def all_lines(register: Register) -> tuple[LineNow, ...]:
    """Every line of every sheet, in the order they went out."""
    return tuple(line for sheet in register.sheets for line in lines_of(sheet))


def open_lines(register: Register) -> tuple[LineNow, ...]:
    """The lines with pieces still out, or with something wrong that nobody has settled."""
    return tuple(line for line in all_lines(register) if line.open)


class Outside:
    """The lines of every sheet by the tag they went out under: worked out once, asked for each part."""

    def __init__(self, register: Register) -> None:
        self._lines: dict[str, list[LineNow]] = {}
        for line in all_lines(register):
            self._lines.setdefault(line.line.tag, []).append(line)

    def lines(self, part: PartNow) -> tuple[LineNow, ...]:
        """Those that *part* went out on, also under a tag it was joined from."""
        return tuple(line for tag in (part.tag, *part.joined) for line in self._lines.get(tag, ()))

    def pieces(self, part: PartNow) -> int:
        """How many pieces of *part* are out of the house now."""
        return sum(line.missing for line in self.lines(part))


def _line(sheet: SheetNow, line: SheetLine) -> LineNow:
    here = [row for row in sheet.back if row.back.line == line.line]
    waiting = [row for row in here if row.settled is None]
    return LineNow(
        sheet=sheet,
        line=line,
        back=sum(row.back.count for row in here),
        not_coming=sum(count for number, count in sheet.not_coming if number == line.line),
        damage=tuple(row.back.damage for row in waiting if row.back.damage),
        wrong=tuple(_wrong(line, waiting)),
    )


def _wrong(line: SheetLine, rows: list[Booked]) -> Iterator[str]:
    for row in rows:
        finish = row.back.finish
        if finish and line.to_finish and finish.casefold() != line.to_finish.casefold():
            yield finish
