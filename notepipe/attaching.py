"""A picture comes to a part: read or cut out of a film, kept in the shop's folder, put into the history."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from notepipe.entries import PictureAttached, PictureRemoved
from notepipe.errors import BadAnswer, BadLedger, NotepipeError
from notepipe.jobs import keep_made, register_of
from notepipe.picturing import attached, removed
from notepipe.register import NoteNow, Register
from notepipe.shop import Shop, sha256_of
from notepipe.stills import named_at
from notepipe.transcript import Frozen

if TYPE_CHECKING:
    from notepipe.ledger import Hand, Ledger


class Album:
    """Where pictures are put to the parts of one job."""

    def __init__(self, shop: Shop, ledger: Ledger, job: str) -> None:
        self._shop = shop
        self._ledger = ledger
        self._job = job

    def add_file(self, hand: Hand, tag: str, path: Path) -> PictureAttached:
        """The picture in the file at *path*. Raises NotFound, BadPicture, BadAnswer, CannotWrite."""
        from notepipe.pictures import picture_from_file

        register_of(self._ledger, self._job).part(tag)  # A tag misspelt is told first.
        return self._add(hand, picture_from_file(path), PictureAttached(tag=tag, sha256="", file=path.name))

    def add(self, hand: Hand, tag: str, sent: Sent) -> PictureAttached:
        """The picture that was *sent*. Raises as add_file does."""
        from notepipe.pictures import picture_from

        register_of(self._ledger, self._job).part(tag)
        return self._add(
            hand, picture_from(sent.file, sent.name), PictureAttached(tag=tag, sha256="", file=sent.name)
        )

    def add_still(self, hand: Hand, tag: str, note: str, at_s: float | None) -> PictureAttached:
        """The still of the *note* (by file or hash) at that second; None: where it names the part.

        Raises NotFound, BadRecording where it was not filmed, BadAnswer where nothing tells the second.
        """
        register = register_of(self._ledger, self._job)
        now, filmed = register.part(tag), register.note(note)
        if at_s is None:
            at_s = named_at(now.part, filmed.recording, now.recording)
        if at_s is None:
            what = f"no words with a time name {tag} in it"
            raise BadAnswer(filmed.file, what, "Say the second: --at 83.5")
        jpeg = still(self._shop, filmed, at_s)
        picture = PictureAttached(
            tag=tag, sha256="", file=filmed.file, recording=filmed.recording, at_s=round(at_s, 2)
        )
        return self._add(hand, jpeg, picture)

    def remove(self, hand: Hand, tag: str, name: str, reason: str) -> PictureRemoved:
        """Take the picture called *name* from a part; its file stays. Raises NotFound, BadAnswer."""
        made = keep_made(
            self._ledger, self._job, hand, lambda register: (removed(register, tag, name, reason),)
        )
        assert isinstance(made[0], PictureRemoved)
        return made[0]

    def _add(self, hand: Hand, jpeg: bytes, picture: PictureAttached) -> PictureAttached:
        """The file is on the disk before the entry is."""
        whole = picture.model_copy(update={"sha256": self._shop.keep_picture(jpeg)})
        keep_made(self._ledger, self._job, hand, lambda register: (attached(register, whole),))
        return whole


class Sent(Frozen):
    """A picture file as a page sent it."""

    name: str
    file: bytes


def altered_pictures(shop: Shop, register: Register) -> Iterator[NotepipeError]:
    """What is wrong with the kept pictures of the parts of a job: gone, or not what they were."""
    for sha256, tag in {p.sha256: part.tag for part in register.parts for p in part.pictures}.items():
        try:
            kept = shop.picture(sha256)
            if sha256_of(kept) != sha256:
                do = "Put the picture back as it was; the history has its SHA-256."
                yield BadLedger(str(kept), f"the picture of {tag} was changed after it was kept", do)
        except NotepipeError as error:
            yield error


def still(shop: Shop, note: NoteNow, at_s: float) -> bytes:
    """The picture seen at that second of *note*, as it is kept. Raises NotFound, BadRecording."""
    from notepipe.pictures import picture_of
    from notepipe.recording import frame_at

    return picture_of(frame_at(shop.recording(note.recording), at_s).pixels)
