"""What happened and what leaves the program: the commands ``update``, ``list``, ``history`` and ``check``."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.export import check_copy
from notepipe.commands.shared import (
    PATH,
    Command,
    as_option,
    complain,
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
from notepipe.errors import BadLedger, NotepipeError

if TYPE_CHECKING:
    from notepipe.ledger import Ledger
    from notepipe.papers.letter import Letter
    from notepipe.register import Register
    from notepipe.shop import Shop

Write = Callable[["Register", "Letter"], str]


def _paper_options(command: Command) -> Command:
    to = click.option("--to", type=PATH, metavar="FILE", help="Write it to FILE instead of standard output.")
    text = "Go on without unreviewed records; the paper says how many."
    return to(click.option("--leave-out", is_flag=True, help=text)(as_option(shop_option(command))))


@click.command()
@click.argument("job_name", metavar="JOB")
@click.option("--whole", is_flag=True, help="All that stands, also where a letter was issued before.")
@_paper_options
def update(job_name: str, *, whole: bool, **told: Any) -> None:
    """Write the update for the client of a JOB, from what is confirmed.

    Once one was issued (notepipe issue) it tells what has changed since, and asks again what is unanswered.

    \b
    Examples:
      notepipe update tram-7 --to update.txt
      notepipe update tram-7 --whole
    """
    from notepipe import papers

    _write("client update", papers.update, job_name, told, since=not whole)


@click.command("list")
@click.argument("job_name", metavar="JOB")
@click.option("--csv", "as_csv", is_flag=True, help="As CSV, for a spreadsheet.")
@_paper_options
def list_(job_name: str, *, as_csv: bool, **told: Any) -> None:
    """Write the parts list of a JOB, from what is confirmed.

    \b
    Examples:
      notepipe list tram-7
      notepipe list tram-7 --csv --to parts.csv
    """
    from notepipe import papers

    write = papers.parts_csv if as_csv else papers.parts_list
    _write("parts list (CSV)" if as_csv else "parts list", write, job_name, told)


def _write(paper: str, write: Write, job: str, told: dict[str, Any], *, since: bool = False) -> None:
    """Write a paper where it was asked for, then that it was written into the history."""
    from notepipe.folding import fold
    from notepipe.issuing import stood_when_issued
    from notepipe.jobs import as_written, entries_of, paper_written
    from notepipe.shop import write_whole

    shop = shop_of(told["shop_folder"])
    ledger = ledger_of(shop)
    entries = entries_of(ledger, job)
    register = fold(entries)
    letter = letter_of(shop, leave_out=told["leave_out"])
    if since:
        letter = letter.model_copy(update={"since": stood_when_issued(entries)})
        tell_unsettled(register)
    text = write(register, letter)
    if told["to"] is not None:
        write_whole(told["to"], text)
        talk(f"{paper}: {told['to']}")
    else:
        show_text(text)
    paper_written(ledger, job, hand_of(shop, told["person"]), as_written(paper, text, register.waiting))


@click.command()
@click.argument("job_name", metavar="JOB")
@click.option("--part", metavar="TAG", help="Only what concerns the part with this tag.")
@click.option("--question", metavar="TAG", help="Only what concerns the question with this tag.")
@click.option("--person", metavar="NAME", help="Only what this person did, or answered.")
@click.option("--day", metavar="DAY", help="Only what was done on this day, as 2026-11-25.")
@shop_option
def history(job_name: str, shop_folder: Path | None, **told: Any) -> None:
    """Tell the history of a JOB: who decided what, when, from which words, and what it was before.

    Several of the options together tell only what fits all of them.

    \b
    Examples:
      notepipe history tram-7
      notepipe history tram-7 --part 003
      notepipe history tram-7 --person "Ada Fenn" --day 2026-11-25
    """
    from notepipe.choosing import Wanted
    from notepipe.jobs import entries_of
    from notepipe.story import history_lines

    entries = entries_of(ledger_of(shop_of(shop_folder)), job_name)
    show(history_lines(entries, Wanted(**told)))


@click.command()
@click.option("--letter", metavar="HASH", help="Find the entry whose hash stands at the foot of a paper.")
@click.option("--copy", type=PATH, metavar="FILE.html", help="Check an exported job, with nothing but FILE.")
@shop_option
def check(letter: str | None, copy: Path | None, shop_folder: Path | None) -> None:
    """Verify the history of every job, every recording it names, and every letter that was issued.

    \b
    Examples:
      notepipe check
      notepipe check --letter 3f9a0c21d7e4
      notepipe check --copy tram-7.html
    """
    if copy is not None:
        show([check_copy(copy)])
        return
    from notepipe.jobs import register_of

    shop = shop_of(shop_folder)
    ledger = ledger_of(shop)
    wrong = 0
    for verdict in ledger.check():
        if verdict.wrong is None:
            show([f"{verdict.job}: {verdict.good} entries hold, the last {verdict.last_hash[:12]}"])
            wrong += sum(complain(error) for error in _lost(shop, register_of(ledger, verdict.job)))
        else:
            do = f"The {verdict.good} before it hold. Put back the last copy that holds, and compare."
            wrong += complain(BadLedger(f"job {verdict.job}", verdict.wrong, do))
    if letter and not wrong:
        show([_found(ledger, letter)])
    if wrong:
        raise click.exceptions.Exit(1)


def _lost(shop: Shop, register: Register) -> Iterator[NotepipeError]:
    """What is wrong with the recordings, pictures and issued letters that the history of a job names."""
    from notepipe.attaching import altered_pictures
    from notepipe.issuing import altered
    from notepipe.sending import altered_sheets
    from notepipe.shop import sha256_of

    yield from altered(shop, register)
    yield from altered_sheets(shop, register)
    yield from altered_pictures(shop, register)
    for note in register.notes:
        try:
            kept = shop.recording(note.recording)
            if sha256_of(kept) != note.recording:
                do = f"Put back {note.file} as it was recorded."
                yield BadLedger(str(kept), "the recording was changed after it was taken", do)
        except NotepipeError as error:
            yield error


def _found(ledger: Ledger, letter: str) -> str:
    """The entry a paper's short hash stands for. Raises BadLedger where there is none."""
    for job in ledger.jobs():
        for entry in ledger.entries(job):
            if len(letter) >= 6 and entry.hash.startswith(letter.lower()):
                return f"{letter}: job {job}, entry {entry.number}, {entry.who} on {entry.at[:10]}"
    what = "no entry has this hash: the paper was written from another history"
    raise BadLedger(letter, what, "Look for a copy of the ledger from the day of the paper.")
