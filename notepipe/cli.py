"""The commands. Each reads its words, calls one step of the way of a note, and prints what comes of it.

Results go to standard output, talk to standard error. Steps are imported inside their command, so that
``notepipe --help`` loads none of the big libraries.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe import __version__
from notepipe.commands.desk import desk
from notepipe.commands.due import calendar, due, kept, promise
from notepipe.commands.export import export
from notepipe.commands.history import check, history, list_, update
from notepipe.commands.later import compare, join, split, undo
from notepipe.commands.letters import issue, issued
from notepipe.commands.lists import condition, lists, original, part, price
from notepipe.commands.out import back, out, send, settle, sheet
from notepipe.commands.pictures import picture, pictures
from notepipe.commands.questions import answer, questions
from notepipe.commands.review import add, correct, review
from notepipe.commands.shared import (
    PATH,
    Command,
    Progress,
    as_option,
    complain,
    each,
    hand_of,
    ledger_of,
    shop_of,
    shop_option,
    show,
    talk,
)
from notepipe.commands.standing import caution_off, caution_on, close, reopen
from notepipe.commands.words import words
from notepipe.errors import NotepipeError, NotFound

if TYPE_CHECKING:
    from notepipe.ledger import Hand
    from notepipe.shop import Shop
    from notepipe.taking import Hearing


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command and leave with its exit code: 0 done, 1 a mistake, 2 wrong words, 130 stopped."""
    try:
        # Where a command leaves early its exit code comes back as a value, else None.
        code = notepipe.main(args=arguments, prog_name="notepipe", standalone_mode=False) or 0
        sys.stdout.flush()
    except NotepipeError as error:
        code = complain(error)
    except click.ClickException as error:
        error.show()
        code = error.exit_code
    except (KeyboardInterrupt, click.Abort):
        click.echo("\nStopped; what was finished is kept.", err=True)
        code = 130
    except BrokenPipeError:
        # The reader (head, less) has gone; Python would complain once more when it closes the pipe.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 1
    sys.exit(code)


def _hearing_options(command: Command) -> Command:
    again = click.option("--again", is_flag=True, help="Hear it again, though it was heard before.")
    gpu = click.option("--gpu", is_flag=True, help="Hear on the machine's GPU.")
    return again(gpu(command))


def _hearing(shop: Shop | None, model: str | None, *, gpu: bool, again: bool) -> Hearing:
    from notepipe.taking import Hearing

    chosen = model or (shop.settings.speech_model if shop else "base")
    return Hearing(model=chosen, gpu=gpu or bool(shop and shop.settings.gpu), again=again)


class _InOrder(click.Group):
    """Lists its commands in the order of the work, not of the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)


@click.group(cls=_InOrder, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="notepipe")
def notepipe() -> None:
    """From a spoken walk round the bench to confirmed part records, a client update and a parts list.

    \b
    notepipe start larkhill            a folder for the shop
    notepipe job tram-7 --client …     a job in it
    notepipe take tram-7 walk.m4a      a recording into the job: kept, heard, drafted
    notepipe review tram-7             a named person goes through the draft
    notepipe update tram-7             the update for the client
    notepipe list tram-7               the parts list
    """


@notepipe.command()
@click.argument("folder", type=PATH)
@click.option("--name", help="The shop's name, as it stands on the papers (else the folder's name).")
@click.option(
    "--reviewer", "reviewers", multiple=True, metavar="PERSON", help="Who may review; once for each."
)
def start(folder: Path, name: str | None, reviewers: tuple[str, ...]) -> None:
    """Make a shop's folder: settings, and places for recordings, own words and own templates.

    \b
    Example:
      notepipe start larkhill --name "Larkhill Tramway Workshop" --reviewer "Ada Fenn"
    """
    from notepipe.shop import Settings, start_shop

    title = (name or folder.resolve().name).strip() or "Our shop"
    start_shop(folder, Settings(shop=title, reviewers=reviewers))
    talk(f"{folder} is the folder of {title}. Its settings are in {folder / 'shop.toml'}.")
    if not reviewers:
        talk("Nobody may review yet: write the names into it.")
    talk(f"Next: cd {folder}, then: notepipe job NAME --client CLIENT --what WHAT")


@notepipe.command()
@click.argument("name")
@click.option("--client", required=True, help="Whose it is.")
@click.option("--what", required=True, help="What the job is.")
@as_option
@shop_option
def job(name: str, client: str, what: str, person: str | None, shop_folder: Path | None) -> None:
    """Open a job under a short NAME.

    \b
    Example:
      notepipe job tram-7 --client "Fennimore Museum of Transport" --what "Tram 7, upper deck"
    """
    from notepipe.entries import JobOpened
    from notepipe.jobs import open_job

    if not name.strip() or not name.isprintable():
        raise click.BadParameter("a job needs a name on one line", param_hint="NAME")
    shop = shop_of(shop_folder)
    open_job(ledger_of(shop), hand_of(shop, person), JobOpened(name=name, client=client, what=what))
    talk(f"Job {name} is open. Next: notepipe take {name} FILE")


@notepipe.command()
@shop_option
def jobs(shop_folder: Path | None) -> None:
    """List the jobs: notes, parts, and how many records wait for review.

    \b
    Example:
      notepipe jobs
    """
    from notepipe.jobs import register_of
    from notepipe.showing import count

    ledger = ledger_of(shop_of(shop_folder))
    for name in ledger.jobs():
        now = register_of(ledger, name)
        waits = f", {count(now.waiting, 'record')} to review" if now.waiting else ""
        stand = f"{count(len(now.notes), 'note')}, {count(len(now.parts), 'part')} confirmed{waits}"
        closed = f", closed: {now.closed}" if now.closed is not None else ""
        show([f"{name}  {now.client}: {now.what} ({stand}{closed})"])
    if not ledger.jobs():
        talk("No job yet. Run: notepipe job NAME --client CLIENT --what WHAT")


@notepipe.command()
@click.argument("job_name", metavar="JOB")
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=PATH)
@click.option("--model", help="Another speech model than the shop's.")
@_hearing_options
@as_option
@shop_option
def take(
    job_name: str, files: tuple[Path, ...], model: str | None, shop_folder: Path | None, **told: Any
) -> None:
    """Take recordings into a JOB: each is kept unchanged, heard and drafted, ready for review.

    \b
    Example:
      notepipe take tram-7 walk-1.m4a walk-2.m4a
    """
    from notepipe.jobs import entries_of
    from notepipe.taking import Desk

    shop = shop_of(shop_folder)
    ledger = ledger_of(shop)
    entries_of(ledger, job_name)  # A job misspelt is told before minutes of hearing.
    hearing = _hearing(shop, model, gpu=told["gpu"], again=told["again"])
    desk = Desk(shop, ledger, job_name)
    each(files, lambda path: _take_one(desk, path, hand_of(shop, told["person"]), hearing))


def _take_one(desk: Any, path: Path, hand: Hand, hearing: Hearing) -> None:
    from notepipe.showing import count

    progress = Progress(path.name)
    try:
        taken = desk.take(path, hand, hearing, progress)
    finally:
        progress.close()
    body = taken.entry.body
    if not taken.fresh:
        talk(f"{path.name}: in the job already, as {body.file} (entry {taken.entry.number}); not taken twice")
        return
    for warning in body.draft.note.warnings:
        talk(f"{path.name}: {warning}")
    drafted = f"{count(len(body.draft.parts), 'part')}, {count(len(body.draft.questions), 'question')}"
    talk(f"{path.name}: {drafted} to review. Next: notepipe review {taken.entry.job}")


@notepipe.command()
@click.argument("notes", metavar="NOTE...", nargs=-1, required=True, type=PATH)
@click.option("--json", "as_json", is_flag=True, help="The draft as JSON; of several, one a line.")
@click.option("--why", is_flag=True, help="The rule behind each mark.")
@click.option("--model", "models", multiple=True, help="A speech model; several are drafted one by one.")
@_hearing_options
@shop_option
def draft(notes: tuple[Path, ...], models: tuple[str, ...], shop_folder: Path | None, **told: Any) -> None:
    """Print what is understood of a NOTE. Works without a shop's folder, and stores nothing.

    Inside a shop it reads with the shop's own words, and does not hear again what was taken before.

    \b
    Examples:
      notepipe draft walk.m4a
      notepipe draft --json walk.txt > walk.json
    """
    shop = _shop_if_any(shop_folder)
    wanted = [
        (note, _hearing(shop, model, gpu=told["gpu"], again=told["again"]))
        for note in notes
        for model in models or (None,)
    ]
    form = "why" if told["why"] else "plain"
    if told["as_json"]:
        form = "json" if len(wanted) == 1 else "json line"
    each(wanted, lambda want: _draft_one(want[0], want[1], shop, form))


def _draft_one(path: Path, hearing: Hearing, shop: Shop | None, form: str) -> None:
    from notepipe.showing import draft_lines
    from notepipe.taking import draft_of

    progress = Progress(path.name)
    try:
        made = draft_of(path, hearing, shop, progress)
    finally:
        progress.close()
    if form.startswith("json"):
        show([made.model_dump_json(indent=2 if form == "json" else None)])
    else:
        show([*draft_lines(made, why=form == "why"), ""])


def _shop_if_any(folder: Path | None) -> Shop | None:
    if folder is not None:
        return shop_of(folder)
    from notepipe.shop import find_shop

    try:
        return find_shop(Path.cwd())
    except NotFound:
        return None


@notepipe.command()
@click.argument("name", required=False)
def models(name: str | None) -> None:
    """List the speech models; with a NAME, fetch that one and put it in its place.

    \b
    Examples:
      notepipe models
      notepipe models small
    """
    from notepipe import weights

    if name is None:
        show(_model_lines())
        return
    progress = Progress(name)
    try:
        folder = weights.fetch(weights.model_named(name), progress)
    finally:
        progress.close()
    talk(f'{name} is in {folder}. To use it: speech_model = "{name}" in shop.toml, or --model {name}')


def _model_lines() -> Iterator[str]:
    from notepipe import weights

    states = {"here": "here", "missing": "not fetched", "wrong": "its files are not the right ones"}
    fits = {True: "fits this machine", False: "too large for this machine now", None: ""}
    for model in weights.known_models():
        state, room = states[weights.state_of(model)], fits[weights.fits(model)]
        yield f"{model.name}: {', '.join(filter(None, (state, f'{model.size_mb} MB', model.licence, room)))}"
        yield f"    {model.about} {model.speed[:1].upper()}{model.speed[1:]}."


for _command in (
    compare,
    review,
    desk,
    add,
    correct,
    join,
    split,
    undo,
    caution_off,
    caution_on,
    questions,
    answer,
):
    notepipe.add_command(_command)
for _command in (update, issue, issued, list_, promise, kept, due, calendar, export):
    notepipe.add_command(_command)
for _command in (send, sheet, back, settle, out, lists, part, condition, original, price):
    notepipe.add_command(_command)
for _command in (picture, pictures, words, history, check, close, reopen):
    notepipe.add_command(_command)
