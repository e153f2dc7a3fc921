"""The shop's own words: the command ``words``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import as_option, ledger_of, now, reviewer_of, shop_of, shop_option, show, talk

if TYPE_CHECKING:
    from notepipe.accepting import Offered
    from notepipe.learning import Correction


@click.command()
@click.option(
    "--take", "take_", metavar="WORD", help="Take it into words/learnt.toml: its number, or its id."
)
@click.option("--refuse", "refuse_", metavar="WORD", help="Don't offer it again: its number, or its id.")
@click.option("--reason", metavar="WHY", help="Why it is refused; stays in the history.")
@as_option
@shop_option
def words(shop_folder: Path | None, person: str | None, **told: Any) -> None:
    """List the words that what was put right in review would teach the shop's own pack.

    Each is shown as the row it would become, with the corrections it rests on. A reviewer takes it, and the
    next note is heard and read with it; or refuses it, and it isn't offered again.

    \b
    Examples:
      notepipe words
      notepipe words --take 2 --as "Ada Fenn"
      notepipe words --refuse 3 --reason "said once, in jest" --as "Ada Fenn"
    """
    from notepipe.accepting import chosen, offered, refuse, take
    from notepipe.ledger import Hand
    from notepipe.reading.examples import name_of

    if told["take_"] and told["refuse_"]:
        raise click.UsageError("Take a word or refuse it, not both at once.")
    shop = shop_of(shop_folder)
    ledger = ledger_of(shop)
    if not (told["take_"] or told["refuse_"]):
        _list(offered(shop, ledger))
        return
    hand = Hand(who=reviewer_of(shop, person), at=now())
    one = chosen(offered(shop, ledger), told["take_"] or told["refuse_"])
    if told["take_"]:
        take(shop, ledger, hand, one)
        talk(f"✓ {name_of(one.row)} is in words/learnt.toml; the next note is heard and read with it.")
    else:
        refuse(ledger, hand, one, told["reason"] or "")
        talk(f"✓ {name_of(one.row)} is not offered again.")


def _list(rows: tuple[Offered, ...]) -> None:
    for number, one in enumerate(rows, start=1):
        show(_lines(number, one))
    if rows:
        talk("To take one: notepipe words --take NUMBER    To refuse it: notepipe words --refuse NUMBER")
    else:
        talk("No word to offer: whatever was put right, the packs know, or it was refused.")


def _lines(number: int, one: Offered) -> Iterator[str]:
    from notepipe.showing import count

    rests_on = one.offer.rests_on
    yield f"{number:>2}  {_headline(one)} (put right {count(len(rests_on), 'time')})"
    for correction in rests_on:
        yield from (f"      {line}" for line in _correction(correction))
    yield ""
    yield from (f"      {line}" for line in one.toml.splitlines())
    yield ""


def _headline(one: Offered) -> str:
    offer = one.offer
    if offer.kind == "mishearing":
        return f"heard '{offer.phrases[0]}', meant '{offer.value}'"
    others = [f"'{phrase}'" for phrase in offer.phrases if phrase.casefold() != offer.value.casefold()]
    heard = f", for {' or '.join(others)}" if others else ""
    return f"{offer.kind} '{offer.value}'{heard}"


def _correction(one: Correction) -> Iterator[str]:
    from notepipe.showing import clock

    at = "" if one.start_s is None else f" at {clock(one.start_s)}"
    yield f"{one.job} {one.tag}  {one.field}: {one.was or 'nothing'} → {one.now}  ({one.who}, {one.on})"
    if one.quote:
        yield f"  “{one.quote}”{at}{f', {one.file}' if one.file else ''}"
