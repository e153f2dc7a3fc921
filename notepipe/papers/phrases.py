"""A part named in a sentence: ``Two carriage lamps (brass, nickel-plated, worn), 14 1/2 in across,``."""

from __future__ import annotations

import re
from collections.abc import Mapping

from notepipe.changing import size_in_words
from notepipe.draft import Part, Size
from notepipe.papers.fit import conditions, location
from notepipe.papers.layout import HARD_BLANK, hold, plain
from notepipe.trade.plurals import head_word, plural
from notepipe.trade.wording import wording


def is_many(part: Part) -> bool:
    """Whether verbs about *part* take the plural; where no count was spoken, as it was heard."""
    if part.quantity is not None:
        return part.quantity != 1
    head, heads = head_word(part.name), head_word(plural(part.name))
    heard = {word for text in part.heard_as for word in re.findall(r"[\w'-]+", text.casefold())}
    return heads in heard and (heads != head)


def counted(part: Part) -> str:
    """``Two carriage lamps``, ``36 cup washers``; ``The hinges`` where no count was spoken."""
    name = plural(part.name) if is_many(part) else part.name
    if part.quantity is None:
        return f"The {name}"
    counts = wording().counts
    number = counts[part.quantity] if part.quantity < len(counts) else str(part.quantity)
    return f"{number.capitalize()}{HARD_BLANK}{name}"


def subject(part: Part) -> str:
    """The part with what tells it from its neighbours, fit for a client."""
    about = ", ".join(filter(None, (part.metal, finish_it_has(part), *conditions(part))))
    brackets = "; ".join(filter(None, (location(part), about)))
    text = counted(part) + (f" ({brackets})" if brackets else "")
    measures = sizes(part)
    return f"{text}, {measures}," if measures else text


def finish_it_has(part: Part) -> str | None:
    """``nickel-plated`` for nickel, ``bare`` for bare."""
    return finish_named(part.finish) if part.finish else None


def finish_named(finish: str) -> str:
    """``nickel-plated`` for nickel; *finish* itself where there is no other word for it."""
    return finished(finish, wording().has_finish) or finish


def finished(finish: str, words: Mapping[str, str]) -> str | None:
    """*finish* in *words*, a colour set behind it: ``painted black`` for black paint; None where unknown."""
    if finish in words:
        return words[finish]
    for kind in wording().coloured:
        if finish.endswith(f" {kind}") and kind in words:
            return f"{words[kind]} {finish.removesuffix(kind).strip()}"
    return None


def sizes(part: Part) -> str:
    """``22 in wide and 31 1/2 in high``, ``610 mm × 230 mm``; a size without a unit is left out."""
    known = [size for size in part.sizes if size.unit]
    bare = " × ".join(measure(size) for size in known if not size.feature)
    named = [_with_feature(size) for size in known if size.feature]
    together = [*([bare] if bare else []), *named]
    return " and ".join([", ".join(together[:-1]), together[-1]] if len(together) > 1 else together)


def measure(size: Size) -> str:
    """``14 1/2 in``, ``2 ft 6 in``, never torn apart; the bare value where the unit is unknown."""
    return hold(plain(size_in_words(size.model_copy(update={"feature": None}))))


def _with_feature(size: Size) -> str:
    pattern = wording().feature.get(size.feature or "", f"{{size}} {size.feature}")
    return pattern.replace("{size}", measure(size))
