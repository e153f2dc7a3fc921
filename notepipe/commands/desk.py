"""The command ``desk``: the review in a browser, on this machine alone."""

from __future__ import annotations

from pathlib import Path

import click

from notepipe.commands.shared import as_option, ledger_of, now, reviewer_of, shop_of, shop_option, talk


@click.command()
@click.argument("job_name", metavar="[JOB]", required=False)
@click.option("--port", type=click.IntRange(1, 65535), help="Where it listens (else 7407, or any free).")
@click.option("--no-browser", is_flag=True, help="Only print the address, open no browser.")
@as_option
@shop_option
def desk(
    job_name: str | None, port: int | None, person: str | None, shop_folder: Path | None, *, no_browser: bool
) -> None:
    """Open the review desk in a browser: drafts reviewed by ear and eye, on this machine alone.

    The address it prints lets in whoever has it, until the desk is closed with Ctrl-C. Every answer is kept
    at once, in the same history as that of notepipe review. Without --as each browser asks who sits there.

    \b
    Examples:
      notepipe desk tram-7 --as "Ada Fenn"
      notepipe desk --no-browser
    """
    from notepipe.desk.desk import Desk, job_key
    from notepipe.desk.serving import address, bound, serve
    from notepipe.jobs import entries_of

    shop = shop_of(shop_folder)
    who = reviewer_of(shop, person) if person else _only(shop.settings.reviewers)
    ledger = ledger_of(shop)
    if job_name is not None:
        entries_of(ledger, job_name)  # A job misspelt is told before a browser opens.
    with bound(port) as listening:
        table = Desk(shop, ledger, now, person=who, port=listening.getsockname()[1])
        where = address(table, job_key(job_name) if job_name else None)

        def ready() -> None:
            talk(f"The desk of {shop.settings.shop} is open: {where}")
            talk("Leave it with Ctrl-C; every answer is kept at once.")
            if not no_browser and click.launch(where) != 0:
                talk("No browser opened: open that address yourself.")

        serve(table, listening, ready)
    talk("\nThe desk is closed.")


def _only(reviewers: tuple[str, ...]) -> str | None:
    """The one who may review, where nobody else may; else the first page asks."""
    return reviewers[0] if len(reviewers) == 1 else None
