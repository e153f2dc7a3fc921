"""Later notes of a job: the commands ``compare``, ``join``, ``split`` and ``undo``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import as_option, ledger_of, now, reviewer_of, shop_of, shop_option, show, talk

if TYPE_CHECKING:
    from notepipe.sitting import Sitting


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("note")
@click.option("--json", "as_json", is_flag=True, help="As JSON: a row for each change, and the answers.")
@shop_option
def compare(job_name: str, note: str, shop_folder: Path | None, *, as_json: bool) -> None:
    """Hold the draft of a NOTE against what is on file in the JOB: what is new, the same, or changed.

    Only what waits for review is shown. It stores nothing.

    \b
    Examples:
      notepipe compare tram-7 walk-2.m4a
      notepipe compare tram-7 walk-2.m4a --json > changes.json
    """
    from notepipe.jobs import register_of, sittings

    register = register_of(ledger_of(shop_of(shop_folder)), job_name)
    (sitting,) = sittings(register, note)
    earlier = [n.file for n in register.notes if n.recording != sitting.recording]
    if as_json:
        show([_as_json(sitting, earlier)])
    elif not sitting.waiting():
        talk(f"{sitting.file}: nothing of it waits for review any more.")
    elif not sitting.on_file and not sitting.questions:
        talk(f"{sitting.file}: nothing of an earlier note is on file yet.")
    else:
        show(_lines(sitting))


def _as_json(sitting: Sitting, earlier: list[str]) -> str:
    import json

    from notepipe.later.comparison import Comparison, as_rows

    waits = [int(name[1:]) - 1 for name in sitting.waiting() if name.startswith("p")]
    draft = sitting.draft.model_copy(update={"parts": tuple(sitting.draft.parts[at] for at in waits)})
    matches = [sitting.matches[at] for at in waits]
    offers = [offer for offer in sitting.offers if offer.record in sitting.waiting()]
    rows = as_rows(Comparison(draft, matches, offers))
    return json.dumps({"since": earlier, **rows}, indent=2, ensure_ascii=False)


def _lines(sitting: Sitting) -> Iterator[str]:
    from notepipe.draft import Part
    from notepipe.matched import match_lines

    for name in sitting.waiting():
        record = sitting.record(name)
        counted = f", {record.quantity}" if isinstance(record, Part) and record.quantity else ""
        yield f"{name:<4}{record.name if isinstance(record, Part) else record.text}{counted}"
        yield from match_lines(sitting, name)
        yield ""


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag")
@click.argument("into")
@click.option("--reason", required=True, help="How it is known that they are one.")
@click.option("--acknowledge", metavar="CAUTION", multiple=True, help="A caution you have read, by its id.")
@as_option
@shop_option
def join(job_name: str, tag: str, into: str, **told: Any) -> None:
    """Join the part TAG with INTO: they turned out to be one part, or one set. INTO goes on.

    The count stays as INTO has it; the history of both is kept.

    \b
    Example:
      notepipe join tram-7 012 004 --reason "the same lamp, seen from below" --as "Ada Fenn"
    """
    from notepipe.jobs import keep_made
    from notepipe.joining import joined
    from notepipe.ledger import Hand

    shop = shop_of(told["shop_folder"])
    who = reviewer_of(shop, told["person"])
    read, reason = told["acknowledge"], told["reason"]
    ledger = ledger_of(shop)
    bodies = keep_made(
        ledger, job_name, Hand(who=who, at=now()), lambda now: joined(now, tag, into, reason, read)
    )
    _tell(bodies)


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag")
@click.argument("counts", metavar="COUNT...", nargs=-1, required=True, type=int)
@click.option("--acknowledge", metavar="CAUTION", multiple=True, help="A caution you have read, by its id.")
@as_option
@shop_option
def split(job_name: str, tag: str, counts: tuple[int, ...], **told: Any) -> None:
    """Split the set TAG into groups of so many each, that get different fates. The first keeps the tag.

    What is different about a group is put right afterwards: notepipe correct.

    \b
    Example:
      notepipe split tram-7 004 4 2 --as "Ada Fenn"
    """
    from notepipe.jobs import keep_made
    from notepipe.joining import parted
    from notepipe.ledger import Hand

    shop = shop_of(told["shop_folder"])
    hand = Hand(who=reviewer_of(shop, told["person"]), at=now())
    read = told["acknowledge"]
    _tell(keep_made(ledger_of(shop), job_name, hand, lambda now: parted(now, tag, counts, read)))


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("entry", type=int, required=False)
@as_option
@shop_option
def undo(job_name: str, entry: int | None, person: str | None, shop_folder: Path | None) -> None:
    """Take an answer of a review back: the last one, or that of the ENTRY. The record waits again.

    What stood under its tag before stands again. The history keeps both.

    \b
    Examples:
      notepipe undo tram-7 --as "Ada Fenn"
      notepipe undo tram-7 23 --as "Ada Fenn"
    """
    from notepipe.jobs import keep_from_entries
    from notepipe.ledger import Hand
    from notepipe.undoing import undone

    shop = shop_of(shop_folder)
    hand = Hand(who=reviewer_of(shop, person), at=now())
    _tell(keep_from_entries(ledger_of(shop), job_name, hand, lambda entries: undone(entries, entry)))


def _tell(bodies: tuple[Any, ...]) -> None:
    from notepipe.telling import deed
    from notepipe.terminal import told

    for body in bodies:
        line = deed(body)
        for one in (f"✓ {line}",) if line else told((body,)):
            talk(one)
