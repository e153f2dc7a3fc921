"""What each later kind of entry did, in one line of the history, and the lines that stand under it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from notepipe.entries import (
    Body,
    CautionOff,
    CautionOn,
    JobClosed,
    JobReopened,
    PaperIssued,
    PartsJoined,
    PictureAttached,
    PictureRemoved,
    QuestionAnswered,
    RecordReopened,
    WordAccepted,
    WordRefused,
)
from notepipe.errands import (
    ConditionNoted,
    LineBack,
    PriceNoted,
    PriceReleased,
    PromiseNoted,
    PromiseSettled,
    SheetBack,
    SheetLine,
    SheetSent,
    SheetSettled,
    WhereaboutsNoted,
)
from notepipe.showing import clock, count

_Deed = Callable[[Any], str]
_Grounds = Callable[[Any], Iterator[str]]


def deed(body: Body) -> str | None:
    """``answered Q01: burgundy``; None for a kind that is told elsewhere."""
    tell = _DEEDS.get(type(body))
    return tell(body) if tell else None


def grounds(body: Body) -> Iterator[str]:
    """The lines under it; none for a kind that has none or is told elsewhere."""
    tell = _GROUNDS.get(type(body))
    if tell:
        yield from tell(body)


def tags_of(body: Body) -> frozenset[str]:
    """Every tag of a part or question that the entry speaks of."""
    named = {getattr(body, "tag", None), getattr(body, "into", None), getattr(body, "because", None)}
    many = (
        *getattr(body, "tags", ()),
        *getattr(body, "asked", ()),
        *_reopened_questions(body),
        *getattr(body, "rests_on", ()),
    )
    lines = (line.tag for line in body.lines) if isinstance(body, SheetSent | SheetBack) else ()
    return frozenset(tag for tag in (*named, *many, *lines) if tag)


def _reopened_questions(body: Body) -> tuple[str, ...]:
    return body.answers if isinstance(body, RecordReopened) else ()


def _answered(body: QuestionAnswered) -> str:
    way = f" {body.way}" if body.way else ""
    return f"wrote down the answer to {body.tag}, given by {body.by} on {body.on}{way}: {body.answer}"


def _issued(body: PaperIssued) -> str:
    asked = f", asking {', '.join(body.asked)}" if body.asked else ""
    way = f" {body.way}" if body.way else ""
    return f"issued the paper '{body.paper}' no. {body.number} to {body.to}{way}{asked}"


def _sent(body: SheetSent) -> str:
    return f"sent {count(body.pieces, 'piece')} to {body.vendor} with sheet {body.sheet} on {body.on}"


def _sent_lines(body: SheetSent) -> Iterator[str]:
    if body.reference:
        yield f"quotation {body.reference}"
    yield from (f"{line.line}. {line.tag} {_line(line)}" for line in body.lines)


def _line(line: SheetLine) -> str:
    counted = "" if line.count is None else f"{line.count} × "
    return f"{counted}{line.name}{f': to be {line.wanted}' if line.wanted else ''}"


def _back(body: SheetBack) -> str:
    pieces = count(sum(line.count for line in body.lines), "piece")
    return f"booked {pieces} back on sheet {body.sheet}, {body.on}"


def _back_lines(body: SheetBack) -> Iterator[str]:
    yield from (_came(line) for line in body.lines)
    if body.remark:
        yield body.remark


def _came(line: LineBack) -> str:
    told = ", ".join(filter(None, (line.finish, line.damage and f"damaged: {line.damage}")))
    return f"line {line.line}: {line.count}{f', {told}' if told else ''}"


def _settled(body: SheetSettled) -> str:
    gone = f" ({count(body.missing, 'piece')} will not come)" if body.missing else ""
    return f"settled line {body.line} of sheet {body.sheet}: {body.how}{gone}"


def _whereabouts(body: WhereaboutsNoted) -> str:
    some = "the original" if body.count is None else f"{body.count} of the originals"
    return f"noted {some} of {body.tag}: {body.where}{f', {body.remark}' if body.remark else ''}"


def _condition(body: ConditionNoted) -> str:
    moment = f"back from {body.by_whom}" if body.moment == "back" and body.by_whom else body.moment
    return f"noted {body.tag} {moment}, {body.on}: {'; '.join(body.condition)}"


def _promise(body: PromiseNoted) -> str:
    about = ", ".join(filter(None, (*body.tags, body.sheet and f"sheet {body.sheet}")))
    return f"noted {body.promise}, {body.who}: {body.what}{f' ({about})' if about else ''}, due {body.due}"


def _promise_words(body: PromiseNoted) -> Iterator[str]:
    at = "" if body.start_s is None else f" at {clock(body.start_s)}"
    yield f"“{body.words}”, said on {body.said_on}{at}"


def _promise_settled(body: PromiseSettled) -> str:
    return f"settled {body.promise}: {body.how} on {body.on}{f', {body.remark}' if body.remark else ''}"


def _price(body: PriceNoted) -> str:
    amount = " ".join(filter(None, (body.amount, body.currency)))
    return f"noted the price {body.price} of {body.tag}, inside the shop: {amount} for {body.what_for}"


def _price_words(body: PriceNoted) -> Iterator[str]:
    yield f"“{body.words}”"


def _joined(body: PartsJoined) -> str:
    return f"joined {body.tag} with {body.into}: {body.reason}"


def _reopened(body: RecordReopened) -> str:
    tags = f" ({', '.join(body.tags)})" if body.tags else ""
    answers = f", {', '.join(body.answers)} open again" if body.answers else ""
    return f"took back entry {body.undoes}: {body.record}{tags} waits again{answers}"


def _caution_off(body: CautionOff) -> str:
    return f"switched the caution {body.caution} off for {body.tag}: {body.reason}"


def _picture(body: PictureAttached) -> str:
    at = "" if body.at_s is None else f" at {clock(body.at_s)}"
    return f"put a picture to {body.tag}: {body.file}{at}"


def _no_picture(body: PictureRemoved) -> str:
    return f"took the picture {body.sha256[:12]} from {body.tag}: {body.reason}"


def _word(body: WordAccepted) -> str:
    return f"took a word into words/{body.file}"


def _word_row(body: WordAccepted | WordRefused) -> Iterator[str]:
    yield from (line for line in body.row.splitlines() if line.strip())


_DEEDS: dict[type, _Deed] = {
    QuestionAnswered: _answered,
    PaperIssued: _issued,
    SheetSent: _sent,
    SheetBack: _back,
    SheetSettled: _settled,
    WhereaboutsNoted: _whereabouts,
    ConditionNoted: _condition,
    PromiseNoted: _promise,
    PromiseSettled: _promise_settled,
    PriceNoted: _price,
    PriceReleased: lambda body: f"released the price {body.price} to the client",
    PartsJoined: _joined,
    RecordReopened: _reopened,
    CautionOff: _caution_off,
    CautionOn: lambda body: f"switched the caution {body.caution.id} on again for {body.tag}: {body.reason}",
    PictureAttached: _picture,
    PictureRemoved: _no_picture,
    WordAccepted: _word,
    WordRefused: lambda body: f"refused a word for the shop's own pack: {body.reason}",
    JobClosed: lambda body: f"closed the job: {body.reason}",
    JobReopened: lambda body: f"opened the job again: {body.reason}",
}
_GROUNDS: dict[type, _Grounds] = {
    SheetSent: _sent_lines,
    SheetBack: _back_lines,
    PromiseNoted: _promise_words,
    PriceNoted: _price_words,
    WordAccepted: _word_row,
    WordRefused: _word_row,
}
