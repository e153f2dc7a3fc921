"""What was promised and what is due: the commands ``promise``, ``kept``, ``due`` and ``calendar``."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import (
    PATH,
    as_option,
    hand_of,
    ledger_of,
    now,
    shop_of,
    shop_option,
    show,
    show_text,
    talk,
)

if TYPE_CHECKING:
    from notepipe.heard_promises import Candidate
    from notepipe.ledger import Ledger
    from notepipe.months.promising import Told
    from notepipe.register import Register
    from notepipe.shop import Shop
    from notepipe.working_days import WorkingDays

_DAY = "YYYY-MM-DD"
_KINDS = ("job-opened", "promise-noted", "promise-settled", "sheet-sent", "sheet-back")
"""All that tells what is due: of a hundred thousand entries only few are read."""


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tags", metavar="[TAG]...", nargs=-1)
@click.option("--who", help="Who promised it: a vendor, a trade, the client, one of the shop.")
@click.option("--due", metavar=_DAY, help="The day; left out, it is worked out of --words.")
@click.option("--words", default="", help="As it was said: “nine weeks, they say”.")
@click.option("--what", default="", help="What was promised, where it is no part of the job.")
@click.option("--sheet", metavar="S01", help="The sheet the parts went out with.")
@click.option("--said-on", metavar=_DAY, help="The day it was promised (else today, or the day of the note).")
@click.option("--moves", metavar="D01", help="The promise it puts off or brings forward.")
@click.option("--past", is_flag=True, help="The day may be past.")
@click.option("--new-vendor", is_flag=True, help="The name is right, though it is like one the shop knows.")
@click.option(
    "--heard",
    metavar="[NOTE]",
    is_flag=False,
    flag_value="",
    help="List what was heard in the notes, or in one, and note nothing.",
)
@click.option(
    "--take", "takes", metavar="NUMBER", type=int, multiple=True, help="Note this one of what was heard."
)
@as_option
@shop_option
def promise(
    job_name: str, tags: tuple[str, ...], heard: str | None, takes: tuple[int, ...], **told: Any
) -> None:
    """Note what somebody promised for a JOB, by when and in which words.

    What was heard in the notes is only listed (--heard); a person takes it (--take). The same vendor on the
    same parts with another day moves the promise it has.

    \b
    Examples:
      notepipe promise tram-7 001 002 --who "Tarn Plating" --words "two weeks"
      notepipe promise tram-7 003 --who foundry --due 2026-12-09
      notepipe promise tram-7 --heard
      notepipe promise tram-7 --take 1 --take 3
    """
    from notepipe.months.promising import Told

    shop = shop_of(told["shop_folder"])
    if heard is not None or takes:
        if tags:
            raise click.UsageError("--heard and --take find their parts themselves: leave the tags out")
        _heard(shop, job_name, heard or None, takes, told)
        return
    if not told["who"]:
        raise click.UsageError('say who promised it, for example: --who "Tarn Plating"')
    said_on = told["said_on"] or now()[:10]
    mine = Told(
        who=_as_known(shop, told["who"], new=told["new_vendor"]),
        due=told["due"] or _worked_out(shop, job_name, (told["who"], told["words"]), said_on),
        words=told["words"],
        said_on=said_on,
        tags=tags,
        sheet=told["sheet"],
        what=told["what"],
        moves=told["moves"],
        past=told["past"],
    )
    _note(shop, job_name, told["person"], mine)


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("name", metavar="D01")
@click.option("--on", metavar=_DAY, help="The day (else today).")
@click.option("--gave-up", is_flag=True, help="It was not kept, and is waited for no longer.")
@click.option("--remark", help="What there is to say about it.")
@as_option
@shop_option
def kept(job_name: str, name: str, *, gave_up: bool, **told: Any) -> None:
    """Say that a promise of a JOB was kept, and when, so that it is waited for no longer.

    \b
    Examples:
      notepipe kept tram-7 D01
      notepipe kept tram-7 D02 --on 2026-12-16 --remark "brought by the plater's van"
    """
    from notepipe.agenda import settled_line
    from notepipe.errands import PromiseSettled
    from notepipe.folding import fold
    from notepipe.jobs import entries_of, register_of
    from notepipe.months.promising import kept as settled

    shop = shop_of(told["shop_folder"])
    ledger, today = ledger_of(shop), date.fromisoformat(now()[:10])
    entries_of(ledger, job_name)
    mine = PromiseSettled(
        promise=name,
        on=told["on"] or today.isoformat(),
        how="given up" if gave_up else "kept",
        remark=told["remark"],
    )
    hand = hand_of(shop, told["person"])
    ledger.decide(job_name, hand, lambda entries: (settled(fold(entries), name, mine, today),))
    talk(settled_line(register_of(ledger, job_name).promise(name), shop.settings.date_in_words))


@click.command()
@click.argument("job_name", metavar="JOB", required=False)
@click.option("--all", "all_jobs", is_flag=True, help="Of every job of the shop.")
@click.option("--on", metavar=_DAY, help="As seen from that day (else today).")
@shop_option
def due(job_name: str | None, *, all_jobs: bool, on: str | None, shop_folder: Path | None) -> None:
    """List what was promised for a JOB: overdue, due this week, later; and how long it took before.

    \b
    Examples:
      notepipe due tram-7
      notepipe due --all --on 2026-12-14
    """
    from notepipe.agenda import due_lines, record_lines
    from notepipe.days import day_of
    from notepipe.months.due import due as due_on
    from notepipe.months.due import records

    shop = shop_of(shop_folder)
    ledger = ledger_of(shop)
    registers = _registers(ledger, job_name, all_jobs=all_jobs)
    history = registers if all_jobs else _registers(ledger, None, all_jobs=True)
    day = day_of("--on", on or now()[:10])
    found = due_on(registers, day, _working_days(shop), history)
    show(due_lines(found, shop.settings.date_in_words))
    show(record_lines(tuple(records(history).values())))


@click.command()
@click.argument("job_name", metavar="JOB", required=False)
@click.option("--all", "all_jobs", is_flag=True, help="Of every job of the shop.")
@click.option(
    "--tasks", is_flag=True, help="As tasks instead of all-day events; not every calendar shows them."
)
@click.option("--to", type=PATH, metavar="FILE", help="Write it to FILE instead of standard output.")
@shop_option
def calendar(
    job_name: str | None, *, all_jobs: bool, tasks: bool, to: Path | None, shop_folder: Path | None
) -> None:
    """Write what was promised for a JOB as iCalendar (.ics), for the office's own calendar.

    Each promise keeps its identifier, so that a calendar that has it already only learns what changed.

    \b
    Examples:
      notepipe calendar tram-7 --to tram-7.ics
      notepipe calendar --all --to due.ics
    """
    from notepipe.papers.calendar import calendar as written
    from notepipe.shop import write_whole

    shop = shop_of(shop_folder)
    registers = _registers(ledger_of(shop), job_name, all_jobs=all_jobs)
    text = written(registers, _working_days(shop), "tasks" if tasks else "events").decode("utf-8")
    if to is None:
        show_text(text)
    else:
        write_whole(to, text)
        talk(f"calendar: {to}")


def _note(shop: Shop, job: str, person: str | None, told: Told) -> None:
    from notepipe.agenda import promise_line
    from notepipe.folding import fold
    from notepipe.jobs import entries_of, register_of
    from notepipe.months.promising import noted

    ledger, today = ledger_of(shop), date.fromisoformat(now()[:10])
    entries_of(ledger, job)
    made = ledger.decide(job, hand_of(shop, person), lambda entries: (noted(fold(entries), told, today),))
    name = made[0].body.promise if made[0].body.kind == "promise-noted" else ""
    stands = register_of(ledger, job).promise(name)
    before = f", moved from {stands.moved[-1]}" if stands.moved else ""
    talk(promise_line(stands, shop.settings.date_in_words) + before)
    off = _working_days(shop).day_off(date.fromisoformat(stands.noted.due))
    if off:
        talk(f"That is a day off: {off}.")


def _as_known(shop: Shop, who: str, *, new: bool) -> str:
    """*who* as the shop has written that name before. Raises NotFound for one that is nearly so."""
    from notepipe.months.vendors import KINDS, known_vendors, vendor_named

    if not who.strip():
        return who  # Told as any other slip, where it is noted.
    found = ledger_of(shop).of_kinds(KINDS).values()
    return vendor_named(who, known_vendors(entry.body for entries in found for entry in entries), new=new)


def _worked_out(shop: Shop, job: str, told: tuple[str, str], said_on: str) -> str:
    """The day that *told*, who and words, comes to. Raises BadAnswer for none, and for one in doubt."""
    from notepipe.days import day_of
    from notepipe.draft import Draft, Note
    from notepipe.errors import BadAnswer
    from notepipe.reading.promised import Setting, promised
    from notepipe.trade import load_trade
    from notepipe.transcript import Transcript

    who, words = told
    where, do = f"job {job}", "Give the day: --due 2026-12-09"
    if not words.strip():
        raise BadAnswer(where, "a promise without a day", do)
    setting = Setting(on=day_of(where, said_on), working=_working_days(shop), who=who)
    nothing = Draft(note=Note(file="", sha256=""))
    heard = promised(Transcript(text=words), nothing, load_trade(shop.packs()), setting)
    days = [one.due for one in heard if one.due is not None]
    if len(heard) != 1 or not days:
        raise BadAnswer(where, f"no day can be worked out of “{words}”", do)
    unsure = [doubt.why for doubt in heard[0].doubts if doubt.field == "due"]
    if unsure:
        raise BadAnswer(where, f"“{words}” may be {days[0].isoformat()}: {unsure[0]}", do)
    return days[0].isoformat()


def _heard(shop: Shop, job: str, note: str | None, takes: Sequence[int], told: dict[str, Any]) -> None:
    from notepipe.agenda import candidate_lines
    from notepipe.errors import NotFound
    from notepipe.heard_promises import told as as_told

    found = _candidates(shop, job, note, told["said_on"])
    if not takes:
        show(candidate_lines(found, shop.settings.date_in_words))
        if not found:
            talk("No promised time was heard.")
        elif any(candidate.noted is None for candidate in found):
            talk(f"Only what you take is noted: notepipe promise {job} --take NUMBER")
        return
    known = {candidate.number: candidate for candidate in found}
    for number in dict.fromkeys(takes):
        if number not in known:
            do = f"Run: notepipe promise {job} --heard"
            raise NotFound(f"job {job}", f"no promise {number} was heard", do)
    if len(takes) > 1 and told["due"]:
        raise click.UsageError("--due is for one promise: take them one by one")
    for number in dict.fromkeys(takes):
        mine = as_told(known[number], told["who"], told["due"])
        who = _as_known(shop, mine.who, new=told["new_vendor"])
        _note(shop, job, told["person"], mine.model_copy(update={"who": who, **_given(told)}))


def _given(told: dict[str, Any]) -> dict[str, Any]:
    """What a person said on the command line goes before what was heard."""
    return {name: told[name] for name in ("words", "what", "sheet", "moves") if told[name]}


def _candidates(shop: Shop, job: str, note: str | None, said_on: str | None) -> tuple[Candidate, ...]:
    from notepipe.days import day_past
    from notepipe.folding import fold
    from notepipe.heard_promises import Listening, candidates
    from notepipe.jobs import entries_of
    from notepipe.taking import words_of
    from notepipe.trade import load_trade

    entries = entries_of(ledger_of(shop), job)
    register = fold(entries)
    notes = register.notes if note is None else (register.note(note),)
    on = day_past(f"job {job}", said_on, date.fromisoformat(now()[:10])) if said_on else None
    return candidates(
        entries,
        register,
        Listening(notes=notes, said_on=on),
        load_trade(shop.packs()),
        _working_days(shop),
        lambda one: words_of(shop, one.recording, one.transcript),
    )


def _registers(ledger: Ledger, job: str | None, *, all_jobs: bool) -> tuple[Register, ...]:
    """What was promised and what went out and back, in one job or in all; the rest of a job is left out."""
    from notepipe.folding import fold
    from notepipe.jobs import entries_of

    if all_jobs == (job is not None):
        raise click.UsageError("give a JOB, or --all for every job")
    found = ledger.of_kinds(_KINDS, job)
    if job is not None and job not in found:
        entries_of(ledger, job)
    return tuple(fold(entries) for entries in found.values())


def _working_days(shop: Shop) -> WorkingDays:
    from notepipe.working_days import WorkingDays

    return WorkingDays(shop.settings.country, shop.settings.country_part)
