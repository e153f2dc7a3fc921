"""What a person says of a job or a caution: ``close``, ``reopen``, ``caution-off``, ``caution-on``."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import (
    Command,
    as_option,
    hand_of,
    ledger_of,
    now,
    reviewer_of,
    shop_of,
    shop_option,
    talk,
)

if TYPE_CHECKING:
    from notepipe.draft import Caution
    from notepipe.entries import Body, Entry
    from notepipe.register import Register

    Entries = tuple[Entry, ...]


def _reason_option(command: Command) -> Command:
    text = "Why, in a few words; it stays in the history."
    return click.option("--reason", required=True, metavar="WHY", help=text)(command)


@click.command()
@click.argument("job_name", metavar="JOB")
@_reason_option
@as_option
@shop_option
def close(job_name: str, reason: str, person: str | None, shop_folder: Path | None) -> None:
    """Close a JOB: nothing more is taken, reviewed, answered or issued until it is opened again.

    \b
    Example:
      notepipe close tram-7 --reason "handed over on 12 March"
    """
    from notepipe.closing import shut
    from notepipe.folding import fold
    from notepipe.jobs import entries_of

    shop = shop_of(shop_folder)
    ledger = ledger_of(shop)
    register = fold(entries_of(ledger, job_name))
    ledger.decide(job_name, hand_of(shop, person), lambda entries: (shut(entries, reason),))
    for line in _left_open(register):
        talk(line)
    talk(f"{job_name} is closed. To go on with it: notepipe reopen {job_name} --reason WHY")


@click.command()
@click.argument("job_name", metavar="JOB")
@_reason_option
@as_option
@shop_option
def reopen(job_name: str, reason: str, person: str | None, shop_folder: Path | None) -> None:
    """Open a closed JOB again.

    \b
    Example:
      notepipe reopen tram-7 --reason "the bell came back"
    """
    from notepipe.closing import opened_again
    from notepipe.jobs import entries_of

    shop = shop_of(shop_folder)
    ledger = ledger_of(shop)
    entries_of(ledger, job_name)
    ledger.decide(job_name, hand_of(shop, person), lambda entries: (opened_again(entries, reason),))
    talk(f"{job_name} is open again.")


@click.command("caution-off")
@click.argument("job_name", metavar="JOB")
@click.argument("tag")
@click.argument("caution")
@_reason_option
@as_option
@shop_option
def caution_off(job_name: str, tag: str, caution: str, reason: str, **told: Any) -> None:
    """Switch a CAUTION off for the part TAG of a JOB, where it does not concern it. Reviewers only.

    It leaves the review, the sheets and the letters; the reason stays in the history.

    \b
    Example:
      notepipe caution-off tram-7 003 lifting --reason "a dummy, it never lifted" --as "Ada Fenn"
    """
    from notepipe.months.heeding import switched_off

    off = _heed(job_name, told, lambda entries: switched_off(entries, tag, caution, reason))
    if off.acknowledge:
        talk(f"! {caution} is safety-critical. While it is off nobody has to acknowledge it: {off.text}")
    talk(f"{tag}: the caution {caution} is off. On again: notepipe caution-on {job_name} {tag} {caution}")


@click.command("caution-on")
@click.argument("job_name", metavar="JOB")
@click.argument("tag")
@click.argument("caution")
@_reason_option
@as_option
@shop_option
def caution_on(job_name: str, tag: str, caution: str, reason: str, **told: Any) -> None:
    """Switch a CAUTION on again that was switched off for the part TAG of a JOB. Reviewers only.

    \b
    Example:
      notepipe caution-on tram-7 003 lifting --reason "it did lift" --as "Ada Fenn"
    """
    from notepipe.months.heeding import switched_on

    _heed(job_name, told, lambda entries: switched_on(entries, tag, caution, reason))
    talk(f"{tag}: the caution {caution} stands again.")


def _heed(job: str, told: dict[str, Any], make: Callable[[Entries], tuple[Body, Caution]]) -> Caution:
    """Append what *make* makes, by a reviewer's hand; the caution it is about."""
    from notepipe.jobs import entries_of
    from notepipe.ledger import Hand

    shop = shop_of(told["shop_folder"])
    hand = Hand(who=reviewer_of(shop, told["person"]), at=now())
    ledger = ledger_of(shop)
    entries_of(ledger, job)
    about: list[Caution] = []

    def bodies(entries: Entries) -> tuple[Body, ...]:
        body, caution = make(entries)
        about.append(caution)
        return (body,)

    ledger.decide(job, hand, bodies)
    return about[-1]


def _left_open(register: Register) -> Iterator[str]:
    """What a person closing a job may have forgotten."""
    from notepipe.months.originals import originals_open
    from notepipe.months.outside import open_lines
    from notepipe.showing import count

    if register.waiting:
        yield f"Not reviewed: {count(register.waiting, 'record')}"
    if register.open_questions:
        yield f"Without an answer: {', '.join(question.tag for question in register.open_questions)}"
    waited_for = [promise.noted.promise for promise in register.promises if promise.settled_on is None]
    if waited_for:
        yield f"Still promised: {', '.join(waited_for)}"
    out = dict.fromkeys(line.sheet.sent.sheet for line in open_lines(register))
    if out:
        yield f"Still out, or to be settled: {', '.join(out)}"
    originals = [part.tag for part in originals_open(register)]
    if originals:
        yield f"Originals nobody has accounted for: {', '.join(originals)}"
