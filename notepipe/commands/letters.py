"""What leaves the house for the client: the commands ``issue`` and ``issued``."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import (
    PATH,
    as_option,
    hand_of,
    ledger_of,
    letter_of,
    shop_of,
    shop_option,
    show,
    show_text,
    talk,
    tell_unsettled,
)

if TYPE_CHECKING:
    from notepipe.register import Register


@click.command()
@click.argument("job_name", metavar="JOB")
@click.option("--to", metavar="WHO", help="To whom it goes (else the client).")
@click.option("--way", help='How: "by e-mail", "by post".')
@click.option("--file", type=PATH, metavar="FILE", help="Write it to FILE instead of standard output.")
@click.option("--whole", is_flag=True, help="All that stands, also where a letter was issued before.")
@click.option("--leave-out", is_flag=True, help="Go on without unreviewed records; the letter says how many.")
@as_option
@shop_option
def issue(job_name: str, to: str | None, way: str | None, file: Path | None, **told: Any) -> None:
    """Write the update for the client of a JOB and put into the history that it went out.

    Its text is kept in the shop's folder, word for word. The next update tells what has changed since, and
    how long the questions in it have waited. To see it first: notepipe update.

    \b
    Example:
      notepipe issue tram-7 --to "Fennimore Museum" --way "by e-mail" --file update.txt
    """
    from notepipe import papers
    from notepipe.issuing import Recipient
    from notepipe.issuing import issue as issue_update
    from notepipe.jobs import register_of
    from notepipe.shop import write_whole

    shop = shop_of(told["shop_folder"])
    ledger = ledger_of(shop)
    register = register_of(ledger, job_name)
    letter = letter_of(shop, leave_out=told["leave_out"])

    def write(now: Register, since: Register | None) -> str:
        text = papers.update(now, letter.model_copy(update={"since": None if told["whole"] else since}))
        if file is not None:
            write_whole(file, text)  # Where that fails nothing is issued.
        return text

    tell_unsettled(register)
    recipient = Recipient(to=(to or "").strip() or register.client, way=way)
    issued = issue_update(ledger, job_name, hand_of(shop, told["person"]), recipient, write, shop)
    kept = shop.issued(job_name, issued.body.number).relative_to(shop.folder)
    if file is None:
        show_text(issued.text)
    talk(f"Update {issued.body.number} is issued to {recipient.to}, and kept as {kept}.")


@click.command()
@click.argument("job_name", metavar="JOB")
@shop_option
def issued(job_name: str, shop_folder: Path | None) -> None:
    """List what was issued of a JOB: number, day, to whom, which questions it asked, where it is kept.

    \b
    Example:
      notepipe issued tram-7
    """
    from notepipe.enquiries import issued_line
    from notepipe.jobs import register_of
    from notepipe.papers.questions import ISSUED

    shop = shop_of(shop_folder)
    register = register_of(ledger_of(shop), job_name)
    for one in register.issued:
        show([issued_line(one, lambda at: shop.settings.date_in_words(date.fromisoformat(at[:10])))])
        if one.paper == ISSUED:
            kept = shop.issued(job_name, one.number)
            gone = "" if kept.is_file() else " (not there)"
            show([f"     {kept.relative_to(shop.folder)}{gone}"])
    if not register.issued:
        talk(f"Nothing was issued yet. Run: notepipe issue {job_name}")
