"""A copy of a job's history, checked with nothing but the file: every entry is in it as it was hashed.

In the page each entry is the text of ``<pre class="entry">``, exactly as its hash was taken, and the hash
itself the ``data-sha256`` of that element.
"""

from __future__ import annotations

import hashlib
from html.parser import HTMLParser

from pydantic import ValidationError

from notepipe.chain import FIRST, hashed_bytes, read_json
from notepipe.entries import BODIES, Entry
from notepipe.errors import BadLedger, CannotWrite, NotFound
from notepipe.ledger import Written
from notepipe.transcript import Frozen

_COLUMNS = {"job", "number", "at", "who", "body", "before"}


class Copy(Frozen):
    """What a copy holds: its entries up to the first that does not hold, and what is wrong with that one."""

    job: str
    shop: str
    """As the page says."""
    made_with: str
    written: tuple[Written, ...]
    wrong: str | None = None


def read_copy(where: str, page: str) -> Copy:
    """What the *page* holds, checked entry by entry. Raises NotFound where it is no copy of a job, or an
    extract without the entries.
    """
    found = _Page()
    found.feed(page)
    found.close()
    if "notepipe-extract" in found.told:
        do = "Ask the shop for the whole, or compare it with theirs."
        raise NotFound(where, "an extract for the client, without the entries: nothing to check", do)
    if not found.entries or "notepipe-entries" not in found.told:
        do = "Give the file that `notepipe export JOB --to FILE.html` wrote."
        raise NotFound(where, "no copy of a job's history", do)
    good, wrong = _checked(found.entries)
    promised = found.told["notepipe-entries"]
    if wrong is None and promised != str(len(good)):
        wrong = f"entry {len(good) + 1}: missing (the page says it holds {promised})"
    return Copy(
        job=good[0].entry.job if good else found.told.get("notepipe-job", "?"),
        shop=found.told.get("author", ""),
        made_with=found.told.get("generator", ""),
        written=tuple(good),
        wrong=wrong,
    )


def must_hold(where: str, copy: Copy) -> None:
    """Raises BadLedger, naming the first entry that does not hold."""
    if copy.wrong is not None:
        do = f"The {len(copy.written)} before it hold. Compare with another copy, or with the shop's ledger."
        raise BadLedger(where, f"job {copy.job}, {copy.wrong}", do)


def _checked(texts: list[tuple[str, str]]) -> tuple[list[Written], str | None]:
    good: list[Written] = []
    before = FIRST
    for number, (told, text) in enumerate(texts, start=1):
        entry, wrong = _entry(text, told)
        if entry is None:
            return good, f"entry {number}: {wrong}"
        if entry.number != number or (good and entry.job != good[0].entry.job):
            return good, f"entry {number}: missing (another stands in its place)"
        if entry.before != before:
            return good, f"entry {number}: does not hold the hash of the one before it"
        good.append(Written(entry=entry, text=text))
        before = entry.hash
    return good, None


def _entry(text: str, told: str) -> tuple[Entry | None, str]:
    """The entry in *text*, or None and why: it must be to the byte what the hash *told* was taken of."""
    changed = "was changed after it was written (its hash does not fit)"
    if hashlib.sha256(text.encode("utf-8")).hexdigest() != told:
        return None, changed
    try:
        whole = read_json(text)
        # The hash of the text fits; of a text that names a field twice it would say too little.
        if set(whole) != _COLUMNS or hashed_bytes(whole, whole["body"]) != text.encode("utf-8"):
            return None, "is not written as RFC 8785 asks"
        body = BODIES.validate_python(whole["body"])
    except (ValidationError, KeyError):
        return None, "is of a kind this program does not know; a newer one may"
    except (ValueError, TypeError, CannotWrite):
        return None, "is no entry"
    return Entry.model_validate({**whole, "body": body, "hash": told}), ""


class _Page(HTMLParser):
    """The entries of a page, and what its head says of it."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.entries: list[tuple[str, str]] = []
        self.told: dict[str, str] = {}
        self._text: list[str] | None = None
        self._hash = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "meta" and "name" in told:
            self.told[told["name"]] = told.get("content", "")
        elif tag == "pre" and told.get("class") == "entry":
            self._text, self._hash = [], told.get("data-sha256", "")

    def handle_data(self, data: str) -> None:
        if self._text is not None:
            self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "pre" and self._text is not None:
            self.entries.append((self._hash, "".join(self._text)))
            self._text = None
