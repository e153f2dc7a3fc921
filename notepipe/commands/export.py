"""A whole job leaves the program: the command ``export``, and the checking of a copy for ``check``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from notepipe.commands.shared import PATH, ledger_of, shop_of, shop_option, show_text, talk


@click.command()
@click.argument("job_name", metavar="JOB")
@click.option(
    "--to", type=PATH, metavar="FILE.html", help="Write the page to FILE instead of standard output."
)
@click.option(
    "--for-client",
    is_flag=True,
    help="An extract: without what is the shop's own, and without the entries to check it by.",
)
@click.option(
    "--prov", type=PATH, metavar="FILE.json", help="Write who made what from what, as W3C PROV-JSON."
)
@shop_option
def export(job_name: str, to: Path | None, prov: Path | None, *, for_client: bool, **told: Any) -> None:
    """Write a whole JOB to one HTML page that needs no program to read, and can be checked by itself.

    The same job gives the same bytes, whenever it is written.

    \b
    Examples:
      notepipe export tram-7 --to tram-7.html
      notepipe export tram-7 --for-client --to for-the-museum.html
      notepipe export tram-7 --prov tram-7.prov.json
    """
    from notepipe.exporting import extract_of, page_of
    from notepipe.jobs import entries_of
    from notepipe.papers.letter import Letter
    from notepipe.provenance import provenance
    from notepipe.shop import write_whole
    from notepipe.trade import load_trade
    from notepipe.trade.cautions import inside_only

    shop = shop_of(told["shop_folder"])
    ledger = ledger_of(shop)
    entries = entries_of(ledger, job_name)
    if prov is not None:
        write_whole(prov, provenance(entries, shop.settings.shop))
        talk(f"provenance: {prov}")
        if to is None and not for_client:
            return
    inside = inside_only(load_trade(shop.packs()).cautions)
    letter = Letter(shop=shop.settings.shop, date="", templates=shop.templates, inside=inside)
    written = ledger.written(job_name)
    text = extract_of(written, letter) if for_client else page_of(written, letter)
    if to is None:
        show_text(text)
    else:
        write_whole(to, text)
        talk(f"{'extract' if for_client else 'whole job'}: {to}")


def check_copy(path: Path) -> str:
    """What there is to say of the copy of a job at *path*, with nothing but the file.

    Raises NotFound where it is none, BadLedger where it does not hold.
    """
    from notepipe import __version__
    from notepipe.copies import must_hold, read_copy
    from notepipe.errors import BadLedger, NotFound
    from notepipe.exporting import says_the_same

    try:
        page = path.read_bytes().decode("utf-8")
    except OSError as error:
        raise NotFound(str(path), "can't be read", "Check the name, and that it is a file.") from error
    except UnicodeDecodeError as error:
        raise BadLedger(str(path), "no UTF-8 text", "Fetch the file once more as it was sent.") from error
    copy = read_copy(str(path), page)
    must_hold(str(path), copy)
    held = f"{copy.job}: {len(copy.written)} entries hold, the last {copy.written[-1].entry.hash[:12]}"
    if says_the_same(copy, page):
        return f"{held}; the pages above them say the same"
    if copy.made_with == f"notepipe {__version__}":
        do = "The entries themselves hold: go by them."
        raise BadLedger(str(path), "the pages above the entries are not what is written from them", do)
    return f"{held}; the pages above them were written by {copy.made_with}, and were not compared"
