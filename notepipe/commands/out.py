"""What goes out and comes back: the commands ``send``, ``sheet``, ``back``, ``settle`` and ``out``."""

from __future__ import annotations

from collections.abc import Iterator
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
    now,
    reviewer_of,
    shop_of,
    shop_option,
    show,
    show_text,
    talk,
)

if TYPE_CHECKING:
    from notepipe.ledger import Ledger
    from notepipe.register import Register
    from notepipe.sheets import Parcel
    from notepipe.shop import Shop

_DAY = "YYYY-MM-DD"


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tags", metavar="[TAG]...", nargs=-1)
@click.option("--to", "vendor", required=True, metavar="VENDOR", help="Whom it goes to.")
@click.option("--trade", help="The vendor's trade (else as before, or the one the parts are decided for).")
@click.option("--count", "counts", metavar="TAG=N", multiple=True, help="How many of a set (else all here).")
@click.option("--never", metavar="TAG=WORDS", multiple=True, help="What must not be done to a part.")
@click.option("--flaw", "flaws", metavar="TAG=WORDS", multiple=True, help="A flaw that is known.")
@click.option("--reference", help="The vendor's quotation.")
@click.option("--on", metavar=_DAY, help="The day it goes (else today).")
@click.option("--file", type=PATH, metavar="FILE", help="Write the sheet to FILE instead of standard output.")
@click.option("--new-vendor", is_flag=True, help="The name is meant as it is, though a known one is near it.")
@click.option("--try", "only_try", is_flag=True, help="Print the sheet, and send nothing.")
@as_option
@shop_option
def send(job_name: str, tags: tuple[str, ...], file: Path | None, *, only_try: bool, **told: Any) -> None:
    """Send parts of a JOB out with a sheet: those decided for the vendor's trade, or those with these TAGs.

    The sheet is kept in the shop's folder word for word, and counted into the history. It tells nothing of
    the client, of prices, or of what was said at the bench.

    \b
    Examples:
      notepipe send tram-7 --to "Tarn Plating" --trade plater --try
      notepipe send tram-7 001 003 --to "Tarn Plating" --count 003=4 --reference Q-118 \\
        --never "003=do not polish the inscription" --file sheet.txt
    """
    from notepipe.papers.out_sheet import out_sheet
    from notepipe.sending import send as send_sheet
    from notepipe.sending import tried
    from notepipe.sheets import packed
    from notepipe.shop import write_whole
    from notepipe.showing import count
    from notepipe.trade import load_trade

    shop = shop_of(told["shop_folder"])
    ledger = ledger_of(shop)
    register = _register(ledger, job_name)
    parcel, today = _parcel(ledger, tags, told), date.fromisoformat(now()[:10])
    rows = load_trade(shop.packs()).cautions
    letter = letter_of(shop, leave_out=True)

    def write(sent: Any, stands: Register) -> str:
        text = out_sheet(sent, stands, letter)
        if file is not None and not only_try:
            write_whole(file, text)  # Where that fails nothing goes out.
        return text

    def make(stands: Register) -> Any:
        return packed(stands, parcel, today, rows)

    if only_try:
        gone = tried(register, make, write)
    else:
        gone = send_sheet(ledger, job_name, hand_of(shop, told["person"]), make, write, shop)
    if file is None or only_try:
        show_text(gone.text)
    for line in (*gone.told, *_waiting(register)):
        talk(line)
    sent, pieces = gone.sent, count(gone.sent.pieces, "piece")
    if only_try:
        talk(
            f"Nothing is sent yet: it would be sheet {sent.sheet}, {pieces} to {sent.vendor} ({sent.trade})."
        )
        return
    kept = shop.sheet(job_name, sent.sheet).relative_to(shop.folder)
    talk(f"Sheet {sent.sheet}: {pieces} to {sent.vendor} ({sent.trade}), kept as {kept}.")


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("name", metavar="[S01]", required=False)
@shop_option
def sheet(job_name: str, name: str | None, shop_folder: Path | None) -> None:
    """Print a sheet of a JOB again, byte for byte as it went out. Without a name: which sheets there are.

    \b
    Examples:
      notepipe sheet tram-7
      notepipe sheet tram-7 S01
    """
    from notepipe.sending import kept_text, sheet_line

    shop = shop_of(shop_folder)
    register = _register(ledger_of(shop), job_name)
    if name is not None:
        show_text(kept_text(shop, register, name))
        return
    show(sheet_line(one) for one in register.sheets)
    if not register.sheets:
        talk(f"No sheet went out yet. Run: notepipe send {job_name} --to VENDOR")


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("name", metavar="S01")
@click.option("--line", "lines", metavar="LINE=N", multiple=True, help="How many came back of a line.")
@click.option("--all", "everything", is_flag=True, help="All that is still out, but for the lines counted.")
@click.option("--damage", metavar="LINE=WORDS", multiple=True, help="What is damaged, and how.")
@click.option("--finish", metavar="LINE=FINISH", multiple=True, help="The finish it came back with.")
@click.option("--on", metavar=_DAY, help="The day it came back (else today).")
@click.option("--remark", help="What else there is to say.")
@click.option("--done", is_flag=True, help="Mark the decisions done that are wholly back. Reviewers only.")
@click.option("--acknowledge", metavar="CAUTION", multiple=True, help="A caution you have read, by its id.")
@as_option
@shop_option
def back(job_name: str, name: str, *, everything: bool, done: bool, **told: Any) -> None:
    """Book what came back with a sheet of a JOB against what went out, line by line.

    What is short, damaged or in another finish than was wanted stays in sight until it is settled.

    \b
    Examples:
      notepipe back tram-7 S01 --line 1=6 --damage "1=one has a run" --finish "2=chrome"
      notepipe back tram-7 S01 --all --on 2026-12-16 --done --as "Ada Fenn"
    """
    from notepipe.booking import booked, finished, marked_done, with_back
    from notepipe.entries import Body
    from notepipe.jobs import keep_made
    from notepipe.ledger import Hand

    shop = shop_of(told["shop_folder"])
    ledger, today = ledger_of(shop), date.fromisoformat(now()[:10])
    _register(ledger, job_name)
    hand = Hand(who=reviewer_of(shop, told["person"]), at=now()) if done else hand_of(shop, told["person"])
    returned = _returned(shop, told, everything=everything, today=today)

    def make(register: Register) -> tuple[Body, ...]:
        came = booked(register, name, returned, today)
        after = with_back(register, came)
        rows = finished(after, name) if done else ()
        return (came, *marked_done(after, rows, told["acknowledge"]))

    bodies = keep_made(ledger, job_name, hand, make)
    register = _register(ledger, job_name)
    for line in _came(register, name, bodies):
        talk(line)
    if done and len(bodies) == 1:
        talk("Nothing is marked done: of no part is every piece back and in order.")
    for row in finished(register, name):
        talk(f"{row.tag} {row.name} is back. To mark it done: {row.command(job_name)}")


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("name", metavar="S01")
@click.argument("line", type=int)
@click.argument("how")
@click.option("--missing", is_flag=True, help="What is still out of the line will not come back either.")
@as_option
@shop_option
def settle(job_name: str, name: str, line: int, how: str, *, missing: bool, **told: Any) -> None:
    """Settle what is open on a LINE of a sheet of a JOB: damage, a wrong finish, or pieces that don't come.

    \b
    Examples:
      notepipe settle tram-7 S01 1 "credited on their invoice 4412"
      notepipe settle tram-7 S01 2 "one lost at the plater's, paid for" --missing
    """
    from notepipe.booking import finished, settled
    from notepipe.errands import SheetSettled
    from notepipe.jobs import keep_made
    from notepipe.months.outside import lines_of
    from notepipe.showing import count

    shop = shop_of(told["shop_folder"])
    ledger = ledger_of(shop)
    (body,) = keep_made(
        ledger,
        job_name,
        hand_of(shop, told["person"]),
        lambda register: (settled(register, name, line, how, missing=missing),),
    )
    assert isinstance(body, SheetSettled)
    register = _register(ledger, job_name)
    stands = next(one for one in lines_of(register.sheet(name)) if one.line.line == line)
    gone = f"; {count(body.missing, 'piece')} will not come back" if body.missing else ""
    talk(f"{name} line {line} ({stands.line.name}): settled, {body.how}{gone}")
    if stands.missing:
        talk(f"{count(stands.missing, 'piece')} of it still out. If they won't come either: --missing")
    for row in finished(register, name):
        talk(f"{row.tag} {row.name} is back. To mark it done: {row.command(job_name)}")


@click.command()
@click.argument("job_name", metavar="JOB", required=False)
@click.option("--all", "all_jobs", is_flag=True, help="Of every job of the shop.")
@click.option("--csv", "as_csv", is_flag=True, help="As CSV, for a spreadsheet.")
@click.option("--to", type=PATH, metavar="FILE", help="Write it to FILE instead of standard output.")
@shop_option
def out(
    job_name: str | None, *, all_jobs: bool, as_csv: bool, to: Path | None, shop_folder: Path | None
) -> None:
    """List what of a JOB is out with whom, since when, what is missing, and what is to be settled.

    \b
    Examples:
      notepipe out tram-7
      notepipe out --all --csv --to out.csv
    """
    from notepipe.papers.parts_out import parts_out, parts_out_csv
    from notepipe.shop import write_whole

    if all_jobs == (job_name is not None):
        raise click.UsageError("give a JOB, or --all for every job")
    shop = shop_of(shop_folder)
    ledger = ledger_of(shop)
    names = (job_name,) if job_name is not None else tuple(ledger.of_kinds(("sheet-sent",)))
    registers = [_register(ledger, name) for name in names]
    letter = letter_of(shop, leave_out=True)
    text = parts_out_csv(registers, letter) if as_csv else parts_out(registers, letter)
    if to is None:
        show_text(text)
    else:
        write_whole(to, text)
        talk(f"parts out: {to}")


def _register(ledger: Ledger, job: str) -> Register:
    from notepipe.jobs import register_of

    return register_of(ledger, job)


def _parcel(ledger: Ledger, tags: tuple[str, ...], told: dict[str, Any]) -> Parcel:
    from notepipe.months.vendors import KINDS, known_vendors, vendor_named
    from notepipe.pairs import counts_of, pairs_of
    from notepipe.sheets import Parcel

    spoken = ledger.of_kinds(KINDS)
    known = known_vendors(entry.body for entries in spoken.values() for entry in entries)
    vendor = vendor_named(told["vendor"], known, new=told["new_vendor"])
    return Parcel(
        vendor=vendor,
        trade=told["trade"],
        usual=known.get(vendor),
        tags=tags,
        counts=counts_of("--count", told["counts"]),
        never=pairs_of("--never", told["never"]),
        flaws=pairs_of("--flaw", told["flaws"]),
        reference=told["reference"],
        on=told["on"] or now()[:10],
    )


def _waiting(register: Register) -> Iterator[str]:
    from notepipe.showing import count

    if register.waiting:
        waits = count(register.waiting, "record")
        yield f"{waits} of this job not reviewed yet: they may say otherwise of these parts."


def _returned(shop: Shop, told: dict[str, Any], *, everything: bool, today: date) -> Any:
    from notepipe.booking import Returned
    from notepipe.months.worknames import finish_meant
    from notepipe.pairs import counts_of, lines_named, pairs_of
    from notepipe.trade import load_trade

    if not (everything or told["lines"] or told["damage"] or told["finish"]):
        raise click.UsageError("say what came back: --line 1=6, or --all")
    terms = load_trade(shop.packs()).terms if told["finish"] else ()
    finishes = lines_named("--finish", pairs_of("--finish", told["finish"]))
    return Returned(
        counts=dict(lines_named("--line", tuple(counts_of("--line", told["lines"]).items()))),
        damage=lines_named("--damage", pairs_of("--damage", told["damage"])),
        finish={line: finish_meant(words, terms) for line, words in finishes},
        everything=everything,
        on=told["on"] or today.isoformat(),
        remark=told["remark"],
    )


def _came(register: Register, name: str, bodies: tuple[Any, ...]) -> Iterator[str]:
    """What was booked, and what stays open, line by line."""
    from notepipe.months.outside import lines_of
    from notepipe.papers.parts_out import open_in_words
    from notepipe.showing import count

    came, *done = bodies
    said = {back.line for back in came.lines}
    for line in lines_of(register.sheet(name)):
        if line.line.line not in said:
            continue
        stands = f"{line.missing} still out" if line.missing else "all back"
        wrong = f"; {open_in_words(line)}" if line.remarked else ""
        yield f"{name} line {line.line.line}, {line.line.name}: {line.back} of {line.went}, {stands}{wrong}"
        if line.remarked:
            yield f'    To settle it: notepipe settle {register.job} {name} {line.line.line} "how"'
    left = sum(line.missing for line in lines_of(register.sheet(name)))
    yield f"{name}: {count(left, 'piece') + ' still out' if left else 'nothing is out on it any more'}"
    for body in done:
        yield f"✓ {body.tag} {body.part.name}: {', '.join(f'{c.field} {c.now}' for c in body.changes)}"
