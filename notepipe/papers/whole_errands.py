"""Sheets, promises and issued papers, as the page of a whole job shows them."""

from __future__ import annotations

from notepipe.papers.layout import plain
from notepipe.papers.whole_view import PaperShown, PromiseShown, SheetShown
from notepipe.register import IssuedNow, PromiseNow, SheetNow


def sheet(now: SheetNow, *, extract: bool) -> SheetShown:
    """What went out with a sheet, and what came back of each line; an *extract* names the trade alone."""
    sent = now.sent
    return SheetShown(
        name=sent.sheet,
        vendor=plain(sent.trade if extract else f"{sent.vendor} ({sent.trade})"),
        on=sent.on,
        by=plain(now.by),
        pieces=sent.pieces,
        reference="" if extract else plain(sent.reference or ""),
        lines=tuple(
            (
                line.tag,
                plain(f"{line.count} × {line.name}" if line.count is not None else line.name),
                plain(line.wanted),
                plain(_came(now, line.line)),
            )
            for line in sent.lines
        ),
        settled=tuple(plain(f"line {line}: {how}") for line, how in now.settled),
    )


def promise(now: PromiseNow) -> PromiseShown:
    """A promise, where it moved from, and what became of it."""
    noted = now.noted
    about = ", ".join(filter(None, (*noted.tags, noted.sheet)))
    settled = f"{now.how} on {now.settled_on}{f': {now.remark}' if now.remark else ''}"
    return PromiseShown(
        name=noted.promise,
        who=plain(noted.who),
        what=plain(f"{noted.what} ({about})" if about else noted.what),
        words=plain(noted.words),
        said_on=noted.said_on,
        due=noted.due,
        moved=", ".join(now.moved),
        became=plain(settled) if now.settled_on else "waited for",
    )


def paper(now: IssuedNow) -> PaperShown:
    """A paper that left the house: to whom, when, and the questions it asked."""
    return PaperShown(
        name=plain(f"{now.paper} no. {now.number}"),
        to=plain(", ".join(filter(None, (now.to, now.way)))),
        at=now.at,
        by=plain(now.by),
        sha256=now.sha256,
        up_to=now.up_to,
        asked=", ".join(now.asked),
    )


def _came(now: SheetNow, line: int) -> str:
    told = []
    for booked in now.back:
        if booked.back.line == line:
            damage = booked.back.damage and f"damaged: {booked.back.damage}"
            how = ", ".join(filter(None, (booked.back.finish, damage)))
            told.append(f"{booked.on}: {booked.back.count}{f', {how}' if how else ''}")
    return "; ".join(told) or "not back"
