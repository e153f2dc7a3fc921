"""Switching a caution of a part off, and on again: by a reviewer, with a reason that stays. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.draft import Caution
from notepipe.entries import CautionOff, CautionOn, Entry, PartConfirmed
from notepipe.errors import BadAnswer, NotFound, nearest
from notepipe.folding import fold


def switched_off(entries: Sequence[Entry], tag: str, name: str, reason: str) -> tuple[CautionOff, Caution]:
    """The entry that switches the caution called *name* off for the part *tag*, and that caution.

    Raises NotFound for no such part or caution, BadAnswer where it is off already or there is no reason.
    """
    now = fold(entries).part(tag)
    if name in now.cautions_off:
        do = f"Its history tells who switched it off, and why: notepipe history {entries[0].job} --part {tag}"
        raise BadAnswer(_place(tag, now.part.name), f"the caution '{name}' is off already", do)
    known = {caution.id: caution for caution in now.part.cautions}
    if name not in known:
        do = nearest(name, known) if known else "It has none."
        raise NotFound(_place(tag, now.part.name), f"no caution '{name}'", do)
    said = _said(tag, now.part.name, reason)
    return CautionOff(tag=tag, caution=name, reason=said), known[name]


def switched_on(entries: Sequence[Entry], tag: str, name: str, reason: str) -> tuple[CautionOn, Caution]:
    """The entry that switches it on again, and the caution. Raises NotFound, BadAnswer as above."""
    now = fold(entries).part(tag)
    if name not in now.cautions_off:
        do = nearest(name, now.cautions_off) if now.cautions_off else "None of its cautions is off."
        raise NotFound(_place(tag, now.part.name), f"no caution '{name}' was switched off", do)
    caution = next(
        caution
        for entry in reversed(entries)
        if isinstance(entry.body, PartConfirmed) and entry.body.tag == tag
        for caution in entry.body.part.cautions
        if caution.id == name
    )
    return CautionOn(tag=tag, caution=caution, reason=_said(tag, now.part.name, reason)), caution


def _place(tag: str, name: str) -> str:
    return f"{tag} {name}"


def _said(tag: str, name: str, reason: str) -> str:
    if not reason.strip():
        raise BadAnswer(_place(tag, name), "no reason given", "Say why in a few words.")
    return reason.strip()
