"""A whole job leaves the program: as the page anybody can read and check, or as an extract for the client."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.copies import Copy
from notepipe.folding import fold
from notepipe.ledger import Written
from notepipe.papers.letter import Letter
from notepipe.papers.whole import Deed, extract, whole
from notepipe.story import told
from notepipe.telling import tags_of


def page_of(written: Sequence[Written], letter: Letter) -> str:
    """The whole job, with every entry as it was hashed. Raises BadTemplate for a broken template."""
    entries = [one.entry for one in written]
    deeds = [
        Deed(did=did, told=under, tags=tags_of(entry.body))
        for entry, (did, under) in zip(entries, told(entries), strict=True)
    ]
    return whole(fold(entries), written, deeds, letter)


def extract_of(written: Sequence[Written], letter: Letter) -> str:
    """The extract for the client. Raises BadTemplate for a broken template."""
    return extract(fold(one.entry for one in written), written, letter)


def says_the_same(copy: Copy, page: str) -> bool:
    """Whether everything in *page* is what this program writes of the entries in it."""
    return page_of(copy.written, Letter(shop=copy.shop, date="")) == page
