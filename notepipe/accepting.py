"""A word that was learnt is taken into the shop's own pack by a person, tested like any row; or refused."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from notepipe.entries import Body, Entry, WordAccepted, WordRefused
from notepipe.errors import BadAnswer, BadSetting, NotFound, nearest
from notepipe.learning import Meaning, Offer, corrections, offers
from notepipe.ledger import Hand, Ledger
from notepipe.reading.examples import failures, name_of
from notepipe.reading.terms import Lexicon
from notepipe.shop import Shop, write_whole
from notepipe.toml import toml_from
from notepipe.trade import Example, Mishearing, Pack, Term, Trade, load_trade

FILE = "learnt.toml"
_HEAD = "# Words learnt from what was put right in review, each taken over by a person.\n"
_KINDS = ("note-taken", "part-confirmed", "question-confirmed", "word-refused")


class Offered(NamedTuple):
    """An offer as the row it would become."""

    row: Term | Mishearing
    offer: Offer

    @property
    def toml(self) -> str:
        """The row as it would stand in the pack."""
        return as_toml(self.row)


def offered(shop: Shop, ledger: Ledger) -> tuple[Offered, ...]:
    """The words that what was put right in all jobs would teach the shop's packs. Raises BadSetting."""
    trade = load_trade(shop.packs())
    by_job = ledger.of_kinds(_KINDS)
    told = [one for entries in by_job.values() for one in corrections(entries)]
    made = offers(told, Lexicon(trade), frozenset(_refused(by_job)))
    rows: list[Offered] = []
    for offer in made:
        taken = {row_id for pack in trade.packs for row_id in pack.ids} | {name_of(one.row) for one in rows}
        rows.append(Offered(_row(offer, trade, taken), offer))
    return tuple(rows)


def chosen(rows: Sequence[Offered], which: str) -> Offered:
    """The one that is *which*: its number in the list, or its id. Raises NotFound."""
    if which.isdecimal() and 1 <= int(which) <= len(rows):
        return rows[int(which) - 1]
    for one in rows:
        if name_of(one.row) == which:
            return one
    do = nearest(which, [name_of(one.row) for one in rows]) if rows else "There is none to take or refuse."
    raise NotFound("words", f"no word '{which}' is offered", do)


def take(shop: Shop, ledger: Ledger, hand: Hand, one: Offered) -> None:
    """Put the row into the shop's pack, and into the history of every job that it rests on.

    Raises BadSetting, and leaves all as it was, where its example does not hold.
    """
    _tested(one, load_trade(shop.packs()))
    tags = _tags(one.offer)
    for job, rests_on in tags.items():
        _once(ledger, job, hand, WordAccepted(row=one.toml, file=FILE, rests_on=rests_on))

    def put(_: tuple[Entry, ...]) -> Sequence[Body]:
        # While nobody else can write: two words taken at once would else lose one. The entry comes first, so
        # that after a power cut the word is offered still, and taking it again finishes.
        path = shop.folder / "words" / FILE
        text = path.read_text(encoding="utf-8") if path.exists() else _HEAD
        if one.toml not in text:
            write_whole(path, f"{text}\n{one.toml}")
        return ()

    ledger.decide(next(iter(tags)), hand, put)


def refuse(ledger: Ledger, hand: Hand, one: Offered, reason: str) -> None:
    """Note that the word is not wanted, so that it isn't offered again. Raises BadAnswer without a reason."""
    if not reason.strip():
        raise BadAnswer("words", "refused without a reason", "Say why in a few words.")
    for job, tags in _tags(one.offer).items():
        _once(ledger, job, hand, WordRefused(row=one.toml, reason=reason.strip(), rests_on=tags))


def as_toml(row: Term | Mishearing) -> str:
    """The row as a person would write it into a pack."""
    table = "mishearing" if isinstance(row, Mishearing) else "term"
    return toml_from(table, row.model_dump(exclude_defaults=True))


def _once(ledger: Ledger, job: str, hand: Hand, body: Body) -> None:
    def bodies(entries: tuple[Entry, ...]) -> Sequence[Body]:
        return () if any(entry.body == body for entry in entries) else (body,)

    ledger.decide(job, hand, bodies)


def _tags(offer: Offer) -> Mapping[str, tuple[str, ...]]:
    jobs = dict.fromkeys(one.job for one in offer.rests_on)
    return {job: tuple(dict.fromkeys(c.tag for c in offer.rests_on if c.job == job)) for job in jobs}


def _refused(by_job: Mapping[str, Iterable[Entry]]) -> Iterator[Meaning]:
    for entries in by_job.values():
        for entry in entries:
            if isinstance(entry.body, WordRefused):
                pack = Pack.model_validate(tomllib.loads(entry.body.row))
                yield from ((t.kind, t.value or p, p.casefold()) for t in pack.term for p in t.phrases)
                yield from (("mishearing", m.said, m.heard.casefold()) for m in pack.mishearing)


def _row(offer: Offer, trade: Trade, taken: set[str]) -> Term | Mishearing:
    if offer.kind == "mishearing":
        quote = offer.rests_on[0].quote
        return Mishearing(
            said=offer.value,
            heard=offer.phrases[0],
            wrong=offer.wrong,
            example=Example(say=quote, gives=offer.value),
        )
    plain = offer.phrases == (offer.value,) and offer.value == offer.value.lower()
    row_id = _free(f"shop.{offer.kind}.{_slug(offer.value)}", taken)
    made = [
        Term(
            id=row_id,
            kind=offer.kind,
            value=None if plain else offer.value,
            phrases=offer.phrases,
            example=Example(say=say, gives=offer.value),
        )
        for say in _sentences(offer)
    ]
    return next((row for row in made if not _wrong(row, trade)), made[-1])


def _sentences(offer: Offer) -> Iterator[str]:
    """What may serve as the example: the words that were said, else the bare phrase."""
    phrase = offer.phrases[-1]
    said = (one.quote for one in offer.rests_on)
    yield from dict.fromkeys(quote for quote in said if phrase.casefold() in quote.casefold())
    yield f"Here, {phrase}."


def _wrong(row: Term | Mishearing, trade: Trade) -> list[str]:
    pack = Pack(mishearing=(row,)) if isinstance(row, Mishearing) else Pack(term=(row,))
    return list(failures(row, Trade(packs=(*trade.packs, pack))))


def _tested(one: Offered, trade: Trade) -> None:
    if wrong := _wrong(one.row, trade):
        do = "Write the row into words/shop.toml by hand, with an example that holds; or refuse it."
        raise BadSetting(f"word '{name_of(one.row)}'", wrong[0], do)


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-") or "word"


def _free(wanted: str, taken: set[str]) -> str:
    number = 2
    name = wanted
    while name in taken:
        name, number = f"{wanted}-{number}", number + 1
    return name
