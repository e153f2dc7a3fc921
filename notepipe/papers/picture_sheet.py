"""The picture sheet: every part that has pictures, with what is to become of it, as one page to print."""

from __future__ import annotations

import base64
from collections.abc import Callable

from notepipe.changing import decision_in_words
from notepipe.papers.layout import plain
from notepipe.papers.letter import Letter, short_hash
from notepipe.papers.templates import rendered
from notepipe.register import PartNow, Picture, Register
from notepipe.transcript import Frozen

TEMPLATE = "picture_sheet.html.j2"
Source = Callable[[Picture], str]
"""Where a page finds a picture: an address, or the picture itself."""


class Pictured(Frozen):
    """One picture on the sheet."""

    source: str
    told: str
    """Where it is from: ``walk.mp4 at 1:23.2``."""


class PartPictured(Frozen):
    """A part with its pictures."""

    tag: str
    name: str
    quantity: int | None
    known: str
    """``brass, nickel plate, upper deck``."""
    decisions: tuple[str, ...]
    pictures: tuple[Pictured, ...]


class PictureSheet(Frozen):
    """All that the template of the picture sheet may name."""

    shop: str
    date: str
    client: str
    job: str
    what: str
    parts: tuple[PartPictured, ...]
    """Those that have a picture, by tag."""
    without: tuple[str, ...]
    """The tags of those that have none."""
    hash: str
    """The short form of the last entry's hash."""


def picture_sheet(register: Register, letter: Letter, read: Callable[[Picture], bytes]) -> str:
    """The sheet as one HTML page with the pictures inside; *read* gives the bytes of a kept one.

    Raises what *read* raises, BadTemplate for a broken template.
    """

    def inside(picture: Picture) -> str:
        return f"data:image/jpeg;base64,{base64.b64encode(read(picture)).decode('ascii')}"

    return rendered(TEMPLATE, sheet_view(register, letter, inside), letter)


def sheet_view(register: Register, letter: Letter, source: Source) -> PictureSheet:
    """What the sheet says, before it is laid out."""
    parts = sorted(register.parts, key=lambda now: now.tag)
    return PictureSheet(
        shop=plain(letter.shop),
        date=plain(letter.date),
        client=plain(register.client),
        job=plain(register.job),
        what=plain(register.what),
        parts=tuple(_pictured(now, source) for now in parts if now.pictures),
        without=tuple(now.tag for now in parts if not now.pictures),
        hash=short_hash(register),
    )


def told(picture: Picture) -> str:
    """Where a picture is from: its file, and the moment of the film."""
    at = "" if picture.at_s is None else f" at {_clock(picture.at_s)}"
    return f"{plain(picture.file)}{at}"


def _pictured(now: PartNow, source: Source) -> PartPictured:
    part = now.part
    return PartPictured(
        tag=now.tag,
        name=plain(part.name),
        quantity=part.quantity,
        known=plain(", ".join(filter(None, (part.metal, part.finish, part.location)))),
        decisions=tuple(plain(decision_in_words(decision)) for decision in part.decisions),
        pictures=tuple(Pictured(source=source(p), told=told(p)) for p in now.pictures),
    )


def _clock(s: float) -> str:
    """``1:23.2``, to the tenth, never up into the next minute."""
    tenths = int(s * 10)
    return f"{tenths // 600}:{tenths // 10 % 60:02d}.{tenths % 10}"
