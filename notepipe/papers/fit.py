"""What a client may read of words that were spoken at the bench; the words lie in ``client_words.toml``."""

from __future__ import annotations

import re

from notepipe.draft import Part
from notepipe.trade.plurals import fold
from notepipe.trade.wording import client_words, wording

LONGEST_REASON = 14
"""Words; a longer one is a story."""


def conditions(part: Part) -> tuple[str, ...]:
    """The part's conditions in words a client may read, without "it's" in front; the others are left out."""
    shortened = (_without_opening(condition) for condition in part.condition)
    return tuple(c for c in shortened if c and may_read(c, part))


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
    return said if whole and may_read(said, part) else None


def location(part: Part) -> str | None:
    """Where the part belongs, or None where somebody is named in it ("on Ada's bench")."""
    place = part.location
    if not place or re.search(r"[A-Z]|'s\b|\b(?:i|we|my|our|he|she|his|her|you|your)\b", place):
        return None
    return place


def may_read(text: str, part: Part) -> bool:
    """Whether every word of *text* is one a client may read, a number, or one of the part's own."""
    own = " ".join(filter(None, (part.name, part.metal, part.finish)))
    known = client_words().allowed | set(wording().counts) | set(own.casefold().split())
    folded = {fold(word) for word in known}
    words = re.findall(r"[^\s,;.()]+", _plain(text))
    return bool(words) and all(fold(w) in folded or re.fullmatch(r"[\d/]+", w) for w in words)


def _plain(text: str) -> str:
    return text.casefold().replace("’", "'")


def _without_opening(condition: str) -> str:
    plain = condition.strip().rstrip(".!,;").replace("’", "'")
    for opening in client_words().openings:
        if re.match(rf"{opening}\s", plain, re.IGNORECASE):
            plain = plain[len(opening) :].strip()
            break
    return plain if plain.isupper() else plain[:1].lower() + plain[1:]


def _written_out(said: str) -> str:
    for short, full in client_words().short_forms.items():
        said = re.sub(rf"\b{short}(?![\w'])", full, said)
    return said
