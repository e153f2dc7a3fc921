"""CSV by RFC 4180, in which nothing that was spoken can run as a formula."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterable, Sequence

STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""A spreadsheet may run a cell that begins so (OWASP, CSV injection)."""


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """*rows* as CSV: lines end in CRLF, a cell is quoted where it has to be, its own quotes doubled.

    Raises ValueError where the rows are not all of one length.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    length = None
    for row in rows:
        if length is not None and len(row) != length:
            raise ValueError(f"a row of {len(row)} cells among rows of {length}")
        length = len(row)
        writer.writerow([harmless(cell) for cell in row])
    return text.getvalue()


def harmless(cell: str) -> str:
    """*cell*, an apostrophe in front where a spreadsheet might run it; wide forms and blanks hide nothing."""
    plain = unicodedata.normalize("NFKC", cell).lstrip(" ")
    return f"'{cell}" if plain.startswith(STARTS_A_FORMULA) else cell
