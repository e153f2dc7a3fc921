"""What the commands share: printing, progress, the options they have in common, whose hand an entry is in."""

from __future__ import annotations

import getpass
import os
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.errors import NotepipeError, NotFound

if TYPE_CHECKING:
    from notepipe.ledger import Hand, Ledger
    from notepipe.papers.letter import Letter
    from notepipe.register import Register
    from notepipe.shop import Shop

Command = Callable[..., None]
PATH = click.Path(path_type=Path)


def complain(error: NotepipeError) -> int:
    """Print a mistake on standard error; the exit code it leads to."""
    click.echo(f"Error: {error}", err=True)
    return 1


def show(lines: Iterable[str]) -> None:
    """Lines to standard output. Raises CannotWrite where that is a file on a full disk."""
    show_text("".join(f"{line}\n" for line in lines))


def show_text(text: str) -> None:
    """*text*, as it is, to standard output. Raises CannotWrite as show does."""
    try:
        click.echo(text, nl=False)
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        from notepipe.shop import cannot_write

        # What is left in the buffer would fail once more when Python ends, and make the exit code 120.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise cannot_write("standard output", error) from error


def talk(line: str) -> None:
    """A line to standard error."""
    click.echo(line, err=True)


def now() -> str:
    """RFC 3339 with the offset of this machine's clock."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


class Progress:
    """One line on standard error for what takes more than two seconds: rewritten in place at a terminal,
    a new line every ten seconds elsewhere."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._next_s = time.monotonic() + 2
        self._open = False

    def __call__(self, done: float, total: float, doing: str) -> None:
        if time.monotonic() < self._next_s:
            return
        terminal = sys.stderr.isatty()
        self._next_s = time.monotonic() + (0.2 if terminal else 10)
        share = f"{min(100, round(100 * done / total))} %" if total else "…"
        start, end = ("\r", "   ") if terminal else ("", "")
        click.echo(f"{start}{self._name}: {doing}, {share}{end}", err=True, nl=not terminal)
        self._open = terminal

    def close(self) -> None:
        """End the line, so that what follows starts on its own."""
        if self._open:
            click.echo("", err=True)
        self._open = False


def shop_option(command: Command) -> Command:
    """Add ``--shop``."""
    text = "The shop's folder (else NOTEPIPE_SHOP, else found from here upwards)."
    return click.option("--shop", "shop_folder", type=PATH, envvar="NOTEPIPE_SHOP", help=text)(command)


def as_option(command: Command) -> Command:
    """Add ``--as``."""
    text = "Who you are (else NOTEPIPE_AS, else the only reviewer of shop.toml)."
    return click.option("--as", "person", envvar="NOTEPIPE_AS", metavar="PERSON", help=text)(command)


def shop_of(folder: Path | None) -> Shop:
    """The shop in *folder*, or the one found from here upwards. Raises NotFound, BadSetting."""
    from notepipe.shop import find_shop

    return find_shop(Path.cwd(), folder)


def ledger_of(shop: Shop) -> Ledger:
    """The shop's ledger. Raises BadLedger where what is there is none."""
    from notepipe.ledger import Ledger

    return Ledger(shop.ledger)


def hand_of(shop: Shop, person: str | None) -> Hand:
    """Whose hand an entry is in that is no review: as told, the only reviewer, or the machine's user."""
    from notepipe.ledger import Hand

    listed = shop.settings.reviewers
    return Hand(who=person or (listed[0] if len(listed) == 1 else _user()), at=now())


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # A machine that knows its user only by number.
        return "unnamed"


def reviewer_of(shop: Shop, person: str | None) -> str:
    """Who reviews: *person* if listed, or the only one listed. Raises NotFound for anybody else."""
    listed = shop.settings.reviewers
    if person is None and len(listed) != 1:
        do = f"Give --as and one of: {', '.join(listed)}." if listed else "Write your name into reviewers."
        raise NotFound("shop.toml", "who is reviewing?", do)
    return shop.settings.reviewer(person or listed[0])


def letter_of(shop: Shop, *, leave_out: bool) -> Letter:
    """What a paper of today is told besides the register. Raises BadSetting."""
    from notepipe.papers.letter import letter_for
    from notepipe.trade import load_trade

    return letter_for(shop, load_trade(shop.packs()), now()[:10], leave_out=leave_out)


def tell_unsettled(register: Register) -> None:
    """A line to standard error for each part that waits though its question was answered."""
    from notepipe.months.asking import still_waiting

    for part, question in still_waiting(register):
        first = next(n for n, d in enumerate(part.part.decisions, start=1) if d.standing == "asking")
        do = f"notepipe answer {register.job} {question.tag} --decides {part.tag}/{first}=decided"
        talk(
            f"{part.tag} {part.part.name} still waits though {question.tag} was answered. To settle it: {do}"
        )


def each(paths: Sequence[Any], do: Callable[[Any], None]) -> None:
    """*do* for each; the failing ones are named, the rest go on, and the exit code is 1."""
    failed = 0
    for path in paths:
        try:
            do(path)
        except NotepipeError as error:
            failed += complain(error)
    if failed:
        raise click.exceptions.Exit(1)
