"""Papers that leave the house: numbered, kept word for word, and in the history with their hash."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence

from notepipe.closing import refuse_where_closed
from notepipe.entries import Body, Entry, PaperIssued
from notepipe.errors import BadLedger, NotepipeError, NotFound
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.papers.questions import ISSUED, asked_of_client
from notepipe.register import IssuedNow, Register
from notepipe.shop import Shop, sha256_of
from notepipe.transcript import Frozen

Write = Callable[[Register, Register | None], str]
"""Makes the letter from what stands now and what stood when the last one went out."""


class Recipient(Frozen):
    """To whom a paper goes, and how."""

    to: str
    way: str | None = None


class Issued(Frozen):
    """A paper that was just issued."""

    body: PaperIssued
    text: str


def stood_when_issued(entries: Sequence[Entry]) -> Register | None:
    """What stood when the client's update was written that was issued last; None before the first."""
    last = next((body for body in _updates(reversed(entries))), None)
    return fold(entry for entry in entries if entry.number <= last.up_to) if last else None


def issue(ledger: Ledger, job: str, hand: Hand, recipient: Recipient, write: Write, shop: Shop) -> Issued:
    """Write the client's update from what stands in that moment, keep it, and put it into the history.

    The text is on the disk before the entry is; of two people at once the second gets the next number.
    Raises what *write* raises, and CannotWrite.
    """
    made: list[Issued] = []

    def once(entries: tuple[Entry, ...]) -> Sequence[Body]:
        refuse_where_closed(entries)  # Before anything is kept that would then not be issued.
        register = fold(entries)
        text = write(register, stood_when_issued(entries))
        number = 1 + max((body.number for body in _updates(entries)), default=0)
        body = PaperIssued(
            paper=ISSUED,
            number=number,
            sha256=hashlib.sha256(text.encode("utf-8")).hexdigest(),
            up_to=register.last_number,
            asked=asked_in(register),
            **recipient.model_dump(),
        )
        shop.keep_issued(job, number, text)
        made.append(Issued(body=body, text=text))
        return (body,)

    ledger.decide(job, hand, once)
    return made[-1]


def asked_in(register: Register) -> tuple[str, ...]:
    """The tags of what a letter written now asks: questions, and parts whose standing alone asks."""
    return tuple(asked.question or asked.tags[0] for asked in asked_of_client(register))


def altered(shop: Shop, register: Register) -> Iterator[NotepipeError]:
    """What is wrong with the kept texts of the updates that were issued."""
    for one in register.issued:
        if one.paper == ISSUED:
            yield from _altered(shop, register.job, one)


def _altered(shop: Shop, job: str, one: IssuedNow) -> Iterator[NotepipeError]:
    path, told = shop.issued(job, one.number), f"issued to {one.to} on {one.at[:10]}"
    if not path.is_file():
        do = "Put it back from a copy of the shop's folder; the history has its SHA-256."
        yield NotFound(str(path), f"update {one.number}, {told}, is not there", do)
    elif sha256_of(path) != one.sha256:
        do = "Put back the text as it went out; the history has its SHA-256."
        yield BadLedger(str(path), f"update {one.number} was changed after it was {told}", do)


def _updates(entries: Sequence[Entry] | Iterator[Entry]) -> Iterator[PaperIssued]:
    for entry in entries:
        if isinstance(entry.body, PaperIssued) and entry.body.paper == ISSUED:
            yield entry.body
