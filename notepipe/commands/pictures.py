"""Pictures of the parts: the commands ``picture`` and ``pictures``."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import (
    PATH,
    as_option,
    each,
    hand_of,
    ledger_of,
    letter_of,
    shop_of,
    shop_option,
    show,
    talk,
)

if TYPE_CHECKING:
    from notepipe.register import Picture


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag", metavar="TAG")
@click.argument("files", metavar="[FILE]...", nargs=-1, type=PATH)
@click.option("--still", metavar="NOTE", help="Take a still out of this filmed note instead of a FILE.")
@click.option("--at", metavar="TIME", help="Its moment, as 83.5 or 1:23.5 (else where the part is named).")
@click.option("--remove", metavar="PICTURE", help="Take this one off again, by its file or hash.")
@click.option("--reason", help="Why it is taken off.")
@as_option
@shop_option
def picture(job_name: str, tag: str, files: tuple[Path, ...], **told: Any) -> None:
    """Put pictures to the part TAG of a JOB: from FILES (.jpg .png .webp .heic), or out of a filmed note.

    Each is kept in the shop's folder under its hash, upright and without what the camera wrote into it
    (where it was taken, by whom). What is taken off a part stays in the history and on the disk.

    \b
    Examples:
      notepipe picture tram-7 003 lamp.jpg lamp-back.heic
      notepipe picture tram-7 003 --still walk.mp4
      notepipe picture tram-7 003 --remove lamp.jpg --reason "it shows 004"
    """
    from notepipe.attaching import Album

    chosen = sum(map(bool, (files, told["still"], told["remove"])))
    if chosen != 1:
        raise click.UsageError("Give FILES, or a note with --still, or a picture with --remove.")
    shop = shop_of(told["shop_folder"])
    hand = hand_of(shop, told["person"])
    album = Album(shop, ledger_of(shop), job_name)
    if told["remove"]:
        gone = album.remove(hand, tag, told["remove"], told["reason"] or "")
        talk(f"{tag}: picture {gone.sha256[:12]} taken off: {gone.reason}")
        return
    if told["still"]:
        at_s = None if told["at"] is None else _seconds(told["at"])
        _tell(tag, album.add_still(hand, tag, told["still"], at_s).sha256, told["still"])
        return
    each(files, lambda path: _tell(tag, album.add_file(hand, tag, path).sha256, path.name))


@click.command()
@click.argument("job_name", metavar="JOB")
@click.option("--to", type=PATH, metavar="FILE.html", help="Write the picture sheet to FILE.html.")
@shop_option
def pictures(job_name: str, to: Path | None, shop_folder: Path | None) -> None:
    """List the pictures of a JOB; with --to write them as a sheet to print, one page with all inside.

    \b
    Examples:
      notepipe pictures tram-7
      notepipe pictures tram-7 --to sheet.html
    """
    from notepipe.jobs import register_of
    from notepipe.papers.picture_sheet import picture_sheet
    from notepipe.papers.picture_sheet import told as from_where
    from notepipe.shop import write_whole
    from notepipe.showing import count

    shop = shop_of(shop_folder)
    register = register_of(ledger_of(shop), job_name)
    shown = [part for part in register.parts if part.pictures]
    many = count(sum(len(part.pictures) for part in shown), "picture")
    if to is None:
        for part in shown:
            show([f"{part.tag} {part.part.name}"])
            show(f"     {one.sha256[:12]}  {from_where(one)}" for one in part.pictures)
        talk(f"{job_name}: {many} of {count(len(shown), 'part')}, {len(register.parts) - len(shown)} without")
        return

    def read(one: Picture) -> bytes:
        return shop.picture(one.sha256).read_bytes()

    write_whole(to, picture_sheet(register, letter_of(shop, leave_out=True), read))
    talk(f"picture sheet: {to} ({many})")


def _seconds(text: str) -> float:
    """``83.5`` or ``1:23.5`` in seconds."""
    found = re.fullmatch(r"(?:(?:(\d+):)?(\d+):)?(\d+(?:\.\d+)?)", text.strip())
    if found is None:
        raise click.BadParameter("write seconds, or minutes and seconds: 83.5 or 1:23.5", param_hint="--at")
    return int(found[1] or 0) * 3600 + int(found[2] or 0) * 60 + float(found[3])


def _tell(tag: str, sha256: str, file: str) -> None:
    talk(f"{tag}: {file} is kept as picture {sha256[:12]}")
