"""Pictures put to a part and taken from it: what a person says becomes an entry. Pure."""

from __future__ import annotations

from notepipe.entries import PictureAttached, PictureRemoved
from notepipe.errors import BadAnswer, NotFound, nearest
from notepipe.register import PartNow, Picture, Register


def attached(register: Register, picture: PictureAttached) -> PictureAttached:
    """The entry that puts a kept picture to a part.

    Raises NotFound for no such part, BadAnswer where the part has the very same picture.
    """
    part = register.part(picture.tag)
    if any(has.sha256 == picture.sha256 for has in part.pictures):
        raise BadAnswer(f"{picture.tag} {picture.file}", "is one of its pictures already", "Choose another.")
    return picture


def removed(register: Register, tag: str, name: str, reason: str) -> PictureRemoved:
    """The entry that takes a picture from a part; *name* is its file's, or how its hash begins.

    Raises NotFound for no such part or picture, BadAnswer for no reason.
    """
    part = register.part(tag)
    found = picture_named(part, name)
    if not reason.strip():
        raise BadAnswer(f"{tag} {name}", "no reason given", "Say why in a few words.")
    return PictureRemoved(tag=tag, sha256=found.sha256, reason=reason.strip())


def picture_named(part: PartNow, name: str) -> Picture:
    """The picture of *part* from the file *name*, or whose hash begins so.

    Raises NotFound where there is none, BadAnswer where several came under that name.
    """
    found = [p for p in part.pictures if p.file == name or (len(name) >= 6 and p.sha256.startswith(name))]
    if len(found) > 1:
        do = f"Say which by its hash: {', '.join(p.sha256[:12] for p in found)}"
        raise BadAnswer(f"{part.tag} {name}", "several of its pictures came under that name", do)
    if not found:
        known = [p.file for p in part.pictures]
        do = nearest(name, known) if known else "It has none."
        raise NotFound(f"{part.tag} {part.part.name}", f"no picture '{name}'", do)
    return found[0]
