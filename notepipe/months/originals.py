"""What became of the originals of replaced parts; how parts were found at the moments of their stay. Pure."""

from __future__ import annotations

from datetime import date

from notepipe.days import day_past
from notepipe.errands import ConditionNoted, Moment, Whereabouts, WhereaboutsNoted
from notepipe.errors import BadAnswer
from notepipe.register import PartNow, Register
from notepipe.trade.operations import operations
from notepipe.transcript import Frozen

_STAYS: Whereabouts = "kept"
"""What is kept may be returned or scrapped later; the others are where they end."""


class Found(Frozen):
    """What a person says of a part's condition at a moment of its stay."""

    moment: str
    condition: str
    """Pieces divided by semicolons."""
    on: str
    """ISO 8601."""
    by_whom: str | None = None


def leaves_original(now: PartNow) -> bool:
    """Whether an old part is left over: it is replaced, made new or scrapped, decided or done."""
    return any(
        decision.standing in ("decided", "done") and operations().of(decision.action).leaves_original
        for decision in now.part.decisions
    )


def whereabouts_now(now: PartNow) -> dict[Whereabouts, int | None]:
    """Where the originals are: how many at each place; None: all of them, of a set nobody has counted."""
    places: dict[Whereabouts, int | None] = {}
    for noted in now.whereabouts:
        count = noted.count if noted.count is not None else now.part.quantity
        if noted.count is None or count is None:
            places = {noted.where: count}
            continue
        free = _free(now, places)
        moved = 0 if noted.where == _STAYS or free is None else max(0, count - free)
        kept = places.get(_STAYS)
        if moved and kept is not None:
            places[_STAYS] = kept - moved
        places[noted.where] = count + (places.get(noted.where) or 0)
    return {where: count for where, count in places.items() if count != 0}


def unaccounted(now: PartNow) -> int | None:
    """How many originals nobody has said anything of; None: all of a set without a count."""
    places = whereabouts_now(now)
    return _free(now, places) if places else now.part.quantity


def originals_open(register: Register) -> tuple[PartNow, ...]:
    """The parts whose originals' whereabouts are not, or not wholly, known."""
    return tuple(now for now in register.parts if leaves_original(now) and unaccounted(now) != 0)


def original_noted(
    register: Register, tag: str, where: Whereabouts, count: int | None, remark: str | None
) -> WhereaboutsNoted:
    """The entry for what became of the original of *tag*, or of *count* of the set.

    Raises NotFound for no such part, BadAnswer where more would be somewhere than there are, and where
    nothing of it is replaced.
    """
    now = register.part(tag)
    place = f"{tag} {now.part.name}"
    if not leaves_original(now):
        do = f'Decide that first: notepipe correct {register.job} {tag} "new decision=replace"'
        raise BadAnswer(place, "is not replaced, made new or scrapped: it has no original", do)
    if count is not None:
        _countable(now, place, where, count)
    return WhereaboutsNoted(tag=tag, where=where, count=count, remark=(remark or "").strip() or None)


def condition_noted(register: Register, tag: str, found: Found, today: date) -> ConditionNoted:
    """The entry for how *tag* was found. Raises NotFound for no such part, BadAnswer for a moment there is
    not, nothing said, a day still to come, and somebody it is back from where it is not back.
    """
    now = register.part(tag)
    place = f"{tag} {now.part.name}"
    moments: tuple[Moment, ...] = ("on arrival", "back", "handed over")
    moment = next((one for one in moments if one == " ".join(found.moment.casefold().split())), None)
    if moment is None:
        do = f"One of: {', '.join(moments)}."
        raise BadAnswer(place, f"no moment '{found.moment}'", do)
    if found.by_whom and moment != "back":
        raise BadAnswer(place, f"{moment}, and from {found.by_whom}?", "Leave --from out, or say: back")
    pieces = tuple(piece.strip() for piece in found.condition.split(";") if piece.strip())
    if not pieces:
        raise BadAnswer(place, "no condition given", 'Say it in a few words: "pitted; two dents"')
    day = day_past(place, found.on, today)
    whom = (found.by_whom or "").strip() or None
    return ConditionNoted(tag=tag, moment=moment, by_whom=whom, condition=pieces, on=day.isoformat())


def _free(now: PartNow, places: dict[Whereabouts, int | None]) -> int | None:
    if now.part.quantity is None or None in places.values():
        return 0 if None in places.values() else None
    return max(0, now.part.quantity - sum(count or 0 for count in places.values()))


def _countable(now: PartNow, place: str, where: Whereabouts, count: int) -> None:
    if count < 1:
        raise BadAnswer(place, f"{count} of them are {where}", "Give a count of 1 or more, or none for all.")
    if now.part.quantity is None:
        return
    places = whereabouts_now(now)
    kept = 0 if where == _STAYS else places.get(_STAYS) or 0
    room = (_free(now, places) or 0) + kept
    if count > room:
        told = ", ".join(f"{number} {other}" for other, number in places.items()) or "none accounted for"
        what = f"{count} can't be {where}: of {now.part.quantity}, {told}"
        raise BadAnswer(place, what, "Count again; without --count it is said of all of them anew.")
