"""The office's lists, and what is noted of a part: ``lists part original condition price``."""

from __future__ import annotations

from collections.abc import Callable
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
    from notepipe.entries import Body
    from notepipe.papers.letter import Letter
    from notepipe.register import Register

    Write = Callable[[Register, Letter], str]

_DAY = "YYYY-MM-DD"
_LISTS = ("bench", "buying", "looking-for", "out")


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("which", metavar="[bench|buying|looking-for|out]", type=click.Choice(_LISTS))
@click.option("--csv", "as_csv", is_flag=True, help="As CSV, for a spreadsheet.")
@click.option("--to", type=PATH, metavar="FILE", help="Write it to FILE instead of standard output.")
@click.option("--leave-out", is_flag=True, help="Go on without unreviewed records; the list says how many.")
@as_option
@shop_option
def lists(job_name: str, which: str, to: Path | None, *, as_csv: bool, leave_out: bool, **told: Any) -> None:
    """Write one of the office's lists of a JOB, from what is confirmed.

    bench: what is done here, by operation. buying: what is to be bought. looking-for: what is hunted for, and
    where was looked. out: what is out with whom.

    \b
    Examples:
      notepipe lists tram-7 bench
      notepipe lists tram-7 buying --csv --to buying.csv
    """
    from notepipe.jobs import as_written, paper_written, register_of
    from notepipe.papers import left_out
    from notepipe.shop import write_whole

    shop = shop_of(told["shop_folder"])
    ledger = ledger_of(shop)
    register = register_of(ledger, job_name)
    letter = letter_of(shop, leave_out=leave_out)
    left_out(register, letter)
    text = _writer(which, as_csv=as_csv)(register, letter)
    name = f"{which.replace('-', ' ')} list" + (" (CSV)" if as_csv else "")
    if to is None:
        show_text(text)
    else:
        write_whole(to, text)
        talk(f"{name}: {to}")
    hand = hand_of(shop, told["person"])
    paper_written(ledger, job_name, hand, as_written(name, text, register.waiting))


def _writer(which: str, *, as_csv: bool) -> Write:
    from notepipe.papers.bench_list import bench_csv, bench_list
    from notepipe.papers.buying_list import buying_csv, buying_list
    from notepipe.papers.looking_for import looking_csv, looking_for
    from notepipe.papers.parts_out import parts_out, parts_out_csv

    writers: dict[str, tuple[Write, Write]] = {
        "bench": (bench_list, bench_csv),
        "buying": (buying_list, buying_csv),
        "looking-for": (looking_for, looking_csv),
        "out": (
            lambda register, letter: parts_out((register,), letter),
            lambda register, letter: parts_out_csv((register,), letter),
        ),
    }
    return writers[which][as_csv]


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag")
@shop_option
def part(job_name: str, tag: str, shop_folder: Path | None) -> None:
    """Show all that stands of the part TAG of a JOB: for the shop's eyes, prices are in it.

    \b
    Example:
      notepipe part tram-7 003
    """
    from notepipe.jobs import register_of
    from notepipe.part_page import part_lines

    shop = shop_of(shop_folder)
    register = register_of(ledger_of(shop), job_name)
    show(part_lines(register, tag, shop.settings.date_in_words))


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag", required=False)
@click.argument("where", metavar="[kept|returned|scrapped|lost]", required=False)
@click.option("--count", type=int, metavar="N", help="How many of the set (else all of them).")
@click.option("--remark", help='What else there is to say: "on the shelf by the door".')
@as_option
@shop_option
def original(
    job_name: str, tag: str | None, where: str | None, count: int | None, remark: str | None, **told: Any
) -> None:
    """Say what became of the original of a part TAG of a JOB that is replaced, made new or scrapped.

    Without a TAG: the parts whose originals nobody has accounted for.

    \b
    Examples:
      notepipe original tram-7
      notepipe original tram-7 004 kept --remark "in the box with the bearings"
      notepipe original tram-7 005 scrapped --count 2
    """
    from typing import get_args

    from notepipe.errands import Whereabouts
    from notepipe.errors import BadAnswer, nearest
    from notepipe.jobs import register_of
    from notepipe.months.originals import original_noted, originals_open, unaccounted

    if tag is None:
        register = register_of(ledger_of(shop_of(told["shop_folder"])), job_name)
        for now_ in originals_open(register):
            left = unaccounted(now_)
            some = "" if left is None else f", {left} of {now_.part.quantity}"
            show([f"{now_.tag}  {now_.part.name}{some}"])
        if not originals_open(register):
            talk("Every original is accounted for.")
        return
    if where not in get_args(Whereabouts):
        places = get_args(Whereabouts)
        do = nearest(where, places) if where else f"One of: {', '.join(places)}."
        raise BadAnswer(tag, f"no whereabouts '{where}'" if where else "where is the original?", do)
    _keep(job_name, told, lambda register: original_noted(register, tag, where, count, remark))  # type: ignore[arg-type]


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag")
@click.argument("moment", metavar="MOMENT")
@click.argument("words", metavar="CONDITION")
@click.option("--from", "by_whom", metavar="WHO", help="Whom it is back from.")
@click.option("--on", metavar=_DAY, help="The day (else today).")
@as_option
@shop_option
def condition(
    job_name: str, tag: str, moment: str, words: str, by_whom: str | None, on: str | None, **told: Any
) -> None:
    """Note how the part TAG of a JOB was found at a MOMENT: "on arrival", "back" or "handed over".

    They stand side by side; none takes the place of another. See: notepipe part.

    \b
    Examples:
      notepipe condition tram-7 003 "on arrival" "pitted; two dents"
      notepipe condition tram-7 003 back "one has a run" --from "Tarn Plating" --on 2026-12-16
    """
    from notepipe.months.originals import Found, condition_noted

    today = date.fromisoformat(now()[:10])
    found = Found(moment=moment, condition=words, on=on or today.isoformat(), by_whom=by_whom)
    _keep(job_name, told, lambda register: condition_noted(register, tag, found, today))


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag", required=False)
@click.argument("amount", required=False)
@click.argument("currency", required=False)
@click.option("--for", "what_for", default="", metavar="WHAT", help="What it is the price of.")
@click.option("--words", default="", help="As it was spoken.")
@click.option("--release", metavar="M01", help="The client may read this one. Reviewers only.")
@as_option
@shop_option
def price(
    job_name: str, tag: str | None, amount: str | None, currency: str | None, release: str | None, **told: Any
) -> None:
    """Note a price that was spoken of a part TAG of a JOB. It is the shop's own until somebody releases it.

    Without a TAG: the prices of the job. CURRENCY is that of ISO 4217 (else the shop's).

    \b
    Examples:
      notepipe price tram-7 003 180 GBP --for "beating out" --words "call it a hundred and eighty"
      notepipe price tram-7 --release M01 --as "Ada Fenn"
      notepipe price tram-7
    """
    from notepipe.jobs import register_of
    from notepipe.months.prices import Priced, price_line, price_noted, price_released

    shop = shop_of(told["shop_folder"])
    if release is not None:
        if tag is not None:
            raise click.UsageError("--release goes with the price's own name: --release M01")
        _keep(job_name, told, lambda register: price_released(register, release), reviewing=True)
        return
    if tag is None:
        register = register_of(ledger_of(shop), job_name)
        prices = [one for part in register.parts for one in part.prices]
        show(price_line(one) for one in sorted(prices, key=lambda one: one.noted.price))
        if not prices:
            talk("No price is noted yet.")
        return
    if amount is None:
        raise click.UsageError("give the amount: notepipe price JOB TAG 180 GBP --for WHAT")
    priced = Priced(
        amount=amount,
        currency=currency or shop.settings.currency or None,
        what_for=told["what_for"],
        words=told["words"],
    )
    _keep(job_name, told, lambda register: price_noted(register, tag, priced))


def _keep(
    job: str, told: dict[str, Any], make: Callable[[Register], Body], *, reviewing: bool = False
) -> None:
    """Append what *make* makes, and tell it."""
    from notepipe.jobs import keep_made
    from notepipe.ledger import Hand
    from notepipe.telling import deed

    shop = shop_of(told["shop_folder"])
    person = told["person"]
    hand = Hand(who=reviewer_of(shop, person), at=now()) if reviewing else hand_of(shop, person)
    for body in keep_made(ledger_of(shop), job, hand, lambda register: (make(register),)):
        talk(f"{job}: {deed(body)}")
