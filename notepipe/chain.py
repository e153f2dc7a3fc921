"""The chain: how an entry is hashed, and whether the entries of a job hold, each on the one before.

The hash of an entry is SHA-256 over the RFC 8785 bytes of {job, number, at, who, body, before}.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import rfc8785

from notepipe.entries import BODIES, Entry
from notepipe.errors import CannotWrite

FIRST = "0" * 64
"""What stands before the first entry of a job."""


class Broken(Exception):
    """The first entry that does not hold, and why."""


def hash_of(columns: Mapping[str, object], body: object) -> str:
    """SHA-256, in hex, over the RFC 8785 bytes of an entry's job, number, at, who, before and *body*.

    Raises CannotWrite for a number or a text that those bytes can't hold exactly.
    """
    return hashlib.sha256(hashed_bytes(columns, body)).hexdigest()


def hashed_bytes(columns: Mapping[str, object], body: object) -> bytes:
    """The very bytes the hash of an entry is taken of (RFC 8785). Raises CannotWrite as hash_of does."""
    whole = {name: columns[name] for name in ("job", "number", "at", "who", "before")}
    return canonical({**whole, "body": body})


def hashed_text(columns: Mapping[str, Any], body: str) -> str:
    """The same as text, where *body* is what RFC 8785 makes of the body. Raises CannotWrite likewise."""
    at, before, job, who = (_text(columns[name]) for name in ("at", "before", "job", "who"))
    number = int(columns["number"])
    start, end = f'{{"at":{at},"before":{before}', f'"job":{job},"number":{number},"who":{who}}}'
    return f'{start},"body":{body},{end}'


def sha256_of_text(text: str) -> str:
    """The SHA-256 of *text* as UTF-8, in hex."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def canonical(value: Any) -> bytes:
    """*value* as RFC 8785 writes it. Raises CannotWrite for what it can't hold exactly."""
    try:
        return rfc8785.dumps(value)
    except (rfc8785.CanonicalizationError, UnicodeEncodeError) as error:
        do = "Correct that value; nothing was written."
        raise CannotWrite("ledger", f"a value that can't be kept exactly: {error}", do) from error


def holding(rows: Iterable[Mapping[str, Any]], after: Entry | None = None) -> Iterator[Entry]:
    """The entries in *rows*, as far as they hold and go on from *after*. Raises Broken at the first other."""
    number, before = (after.number, after.hash) if after else (0, FIRST)
    for row in rows:
        number += 1
        if row["number"] != number:
            raise Broken(f"entry {number}: missing")
        if row["before"] != before:
            raise Broken(f"entry {number}: does not hold the hash of the one before it")
        entry = entry_in(row)
        if entry is None:
            raise Broken(f"entry {number}: was changed after it was written (its hash does not fit)")
        yield entry
        before = entry.hash


def entry_in(row: Mapping[str, Any]) -> Entry | None:
    """The entry in *row*; None where its own hash does not fit it."""
    return _as_written(row) or _read(row)


def read_json(text: str) -> Any:
    """*text* as it was before RFC 8785 wrote it. Raises ValueError where it is no JSON."""
    return json.loads(text, parse_int=_number)


def _number(text: str) -> int | float:
    # RFC 8785 writes the float 1e16 as 10000000000000000: read back as an int it would be refused.
    return int(text) if abs(int(text)) < 2**53 else float(text)


def _as_written(row: Mapping[str, Any]) -> Entry | None:
    """The entry in *row* where its body stands there in the very bytes that were hashed; None elsewhere.

    As this program writes them it does, and need not be made canonical again: that is ten times as fast.
    """
    try:
        whole = hashed_text(row, row["body"])
        if sha256_of_text(whole) != row["hash"]:
            return None
        entry = Entry.model_validate_json(f'{whole[:-1]},"hash":"{row["hash"]}"}}')
        return entry if entry.body.kind == row["kind"] else None
    except (ValueError, TypeError, AttributeError, CannotWrite):
        return None


def _text(value: str) -> str:
    """*value* as RFC 8785 writes it."""
    plain = value.isascii() and value.isprintable() and '"' not in value and "\\" not in value
    return f'"{value}"' if plain else canonical(value).decode("utf-8")


def _read(row: Mapping[str, Any]) -> Entry | None:
    """The entry in *row*, or None where it is not what was once written.

    The hash is taken of the body as it stands there, not of the record made from it: that one may
    have learnt a field since.
    """
    try:
        body = read_json(row["body"])
        if hash_of(row, body) != row["hash"] or body["kind"] != row["kind"]:
            return None
        columns = {name: row[name] for name in ("job", "number", "at", "who", "before", "hash")}
        return Entry.model_validate({**columns, "body": BODIES.validate_python(body)})
    except (ValueError, TypeError, KeyError, AttributeError, CannotWrite):
        return None
