"""What a client may read of words that were spoken at the bench; the words lie in ``client_words.toml``."""

from __future__ import annotations

import re
from functools import cache

from notepipe.draft import Part
from notepipe.trade.plurals import fold
from notepipe.trade.wording import client_words, wording

LONGEST_REASON = 14
"""Words; a longer one is a story."""


def conditions(part: Part) -> tuple[str, ...]:
    """The part's conditions as a client may read them, without "it's" in front; the others are left out."""
    shortened = (_short(condition) for condition in part.condition)
    found = any(d.action == "source" and d.standing == "done" for d in part.decisions)
    return tuple(c for c in shortened if _is_condition(c, part) and not (found and is_gone(c)))


def is_gone(condition: str) -> bool:
    """Whether *condition* says that the part is not there, and so nothing of how it is."""
    return condition in client_words().gone


def reason(quote: str, part: Part) -> str | None:
    """The reason given in *quote* ("because …"), written out; None where none is fit for a client."""
    words = client_words()
    starts, ends = "|".join(words.reasons), "|".join(words.ends)
    found = re.search(rf"\b(?:{starts})\s+(.+?)(?=\s*[.,:;!?]|\s+(?:{ends})\b|$)", _plain(quote))
    if not found:
        return None
    said = _written_out(found[1])
    spoken = said.split()
    whole = 2 < len(spoken) <= LONGEST_REASON and any(word in words.verbs for word in spoken)
    return said if whole and _all_known(said, part, _known()) else None


def location(part: Part) -> str | None:
    """Where the part belongs, or None where somebody is named in it ("on Ada's bench")."""
    place = part.location
    if not place or re.search(r"[A-Z]|'s\b|\b(?:i|we|my|our|he|she|his|her|you|your)\b", place):
        return None
    return place


def _is_condition(text: str, part: Part) -> bool:
    """Whether *text* tells a state, in words a client may read, and is no scrap or way of speaking."""
    words = client_words()
    spoken = _words(text)
    if not spoken or spoken[-1] in words.never_last:
        return False
    return bool(_states().intersection(map(fold, spoken))) and _all_known(text, part, _known("reasons"))


def _all_known(text: str, part: Part, known: frozenset[str]) -> bool:
    """Whether every word of *text* is one of *known*, a number, or one of the part's own."""
    own = " ".join(filter(None, (part.name, part.metal, part.finish))).casefold().split()
    mine = {fold(word) for word in own}
    return all(
        fold(word) in known or fold(word) in mine or re.fullmatch(r"[\d/]+", word) for word in _words(text)
    )


@cache
def _states() -> frozenset[str]:
    return frozenset(fold(word) for word in client_words().words["conditions"])


@cache
def _known(*without: str) -> frozenset[str]:
    """The words a client may read, folded, less those of some groups; counts in words among them."""
    return frozenset(fold(word) for word in client_words().without(*without) | set(wording().counts))


def _words(text: str) -> list[str]:
    return re.findall(r"[^\s,;.()]+", _plain(text))


def _plain(text: str) -> str:
    return text.casefold().replace("’", "'")


def _short(condition: str) -> str:
    plain = condition.strip().rstrip(".!,;").replace("’", "'")
    openings, closings = _ways_of_speaking()
    opening = openings.match(plain)
    if opening:
        plain = plain[opening.end() :].strip()
    for closing in closings:
        plain = closing.sub("", plain)
    return plain[:1].lower() + plain[1:]


@cache
def _ways_of_speaking() -> tuple[re.Pattern[str], tuple[re.Pattern[str], ...]]:
    """ "it's …" in front, of which the first in the list counts; what may stand behind, each by itself."""
    words = client_words()
    openings = re.compile(rf"(?:{'|'.join(words.openings)})\s", re.IGNORECASE)
    return openings, tuple(re.compile(rf"\s+{closing}$", re.IGNORECASE) for closing in words.closings)


def _written_out(said: str) -> str:
    for short, full in client_words().short_forms.items():
        said = re.sub(rf"\b{short}(?![\w'])", full, said)
    return said
