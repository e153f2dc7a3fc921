"""The ledger: entries are appended, each holding the hash of the one before, and never changed.

The only file with SQL; ``chain.py`` has the hashes. One table, one transaction an append;
triggers refuse everything else.

SQLite keeps its plain rollback journal, not the write-ahead log: the ledger is then one file between
writes, whole when somebody copies it to a stick, and safe on a network share, where the log is not.
With ``synchronous = EXTRA`` an append that returned is on the disk, whatever happens next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from notepipe.bulk import set_aside, without_collecting
from notepipe.chain import (
    FIRST,
    Broken,
    canonical,
    entry_in,
    hashed_bytes,
    hashed_text,
    holding,
    read_json,
    sha256_of_text,
)
from notepipe.closing import refuse_where_closed
from notepipe.entries import Body, Entry
from notepipe.errors import BadLedger, CannotWrite, NotepipeError
from notepipe.transcript import Frozen

VERSION = 1

_meta = sa.MetaData()
_about = sa.Table("about", _meta, sa.Column("version", sa.Integer, nullable=False))
_entries = sa.Table(
    "entries",
    _meta,
    sa.Column("job", sa.Text, primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("at", sa.Text, nullable=False),
    sa.Column("who", sa.Text, nullable=False),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("body", sa.Text, nullable=False),
    sa.Column("before", sa.Text, nullable=False),
    sa.Column("hash", sa.Text, nullable=False),
)
# The third is for INSERT OR REPLACE, which takes the old row away without asking the second.
_TRIGGERS = {
    "no_update": "UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'never changed'); END",
    "no_delete": "DELETE ON entries BEGIN SELECT RAISE(ABORT, 'never deleted'); END",
    "only_append": "INSERT ON entries WHEN NEW.number IS NOT 1 + COALESCE("
    "(SELECT MAX(number) FROM entries WHERE job = NEW.job), 0)"
    " BEGIN SELECT RAISE(ABORT, 'only the next number'); END",
}
_PATIENCE_S = 30
_REMEMBERED = 8
"""Jobs whose entries are kept in memory, so that a long sitting reads only what was appended since."""


class Hand(Frozen):
    """Whose hand writes an entry, and when (RFC 3339 with offset)."""

    who: str
    at: str


class Written(Frozen):
    """An entry, and the text its hash was taken of: an older program may have known fewer fields."""

    entry: Entry
    text: str


class Verdict(Frozen):
    """What checking found of one job: how many entries hold, and what is wrong with the next."""

    job: str
    good: int
    last_hash: str
    wrong: str | None = None


class Ledger:
    """The ledger in the file at *path* (None: in memory). It is made when the first entry is appended.

    Raises BadLedger where the file is no ledger, or a newer one than this program knows.
    """

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._where = path.name if path else "ledger"
        address = sa.URL.create("sqlite", database=str(path) if path else None)
        pool = sa.NullPool if path else sa.StaticPool
        self._engine = sa.create_engine(
            address, poolclass=pool, connect_args={"timeout": _PATIENCE_S, "check_same_thread": False}
        )
        self._remembered: dict[str, tuple[Entry, ...]] = {}
        sa.event.listen(self._engine, "connect", _settings)
        sa.event.listen(self._engine, "begin", _begin)
        self._is_there()

    def append(self, job: str, hand: Hand, *bodies: Body) -> tuple[Entry, ...]:
        """Append *bodies* to *job*, all or none; what is kept, with numbers and hashes.

        Raises CannotWrite (full disk, locked for long), BadLedger (what is there does not hold).
        """
        return self.decide(job, hand, lambda _: bodies)

    def decide(
        self, job: str, hand: Hand, bodies: Callable[[tuple[Entry, ...]], Sequence[Body]]
    ) -> tuple[Entry, ...]:
        """Append what *bodies* makes of the job's entries as they stand while nobody else can write.

        Two people who answer the same record at once thus can't both have it. Raises CannotWrite where the
        job is closed.
        """
        with self._writing() as connection:
            self._make(connection)
            entries = self._entries(connection, job)
            wanted = bodies(entries)
            refuse_where_closed(entries, wanted)
            made: list[Entry] = []
            rows: list[dict[str, Any]] = []
            before = entries[-1].hash if entries else FIRST
            for number, body in enumerate(wanted, start=len(entries) + 1):
                rows.append(_row(job, hand, number, body, before))
                made.append(Entry(**{name: rows[-1][name] for name in _COLUMNS}, body=body))
                before = made[-1].hash
            if rows:
                connection.execute(_entries.insert(), rows)
        self._remember(job, (*entries, *made))
        return tuple(made)

    def entries(self, job: str) -> tuple[Entry, ...]:
        """All entries of *job*, first to last; none for a job that isn't there.

        The first time all of them are verified, later those that were appended since (``check`` goes through
        all of them each time). Raises BadLedger, naming the first bad entry, where they do not hold.
        """
        if not self._is_there():
            return ()
        with self._reading() as connection:
            entries = self._entries(connection, job)
        self._remember(job, entries)
        return entries

    def written(self, job: str) -> tuple[Written, ...]:
        """All entries of *job* with the text each hash was taken of. Raises BadLedger as entries does."""
        if not self._is_there():
            return ()
        with self._reading() as connection:
            rows = list(_rows(connection, job))
        return tuple(
            Written(entry=entry, text=hashed_bytes(row, read_json(row["body"])).decode("utf-8"))
            for entry, row in zip(_sound(self._where, job, rows), rows, strict=True)
        )

    def of_kinds(self, kinds: Sequence[str], job: str | None = None) -> dict[str, tuple[Entry, ...]]:
        """The entries of these *kinds* by job (of one *job* alone where it is given), for what goes through
        all jobs at once: each is held against its own hash, the chain of a job is not.

        Raises BadLedger, naming the first that does not hold.
        """
        if not self._is_there():
            return {}
        wanted = sa.select(_entries).where(_entries.c.kind.in_(kinds))
        if job is not None:
            wanted = wanted.where(_entries.c.job == job)
        found: dict[str, list[Entry]] = {}
        with self._reading() as connection, without_collecting():
            for row in connection.execute(wanted.order_by(_entries.c.job, _entries.c.number)):
                entry = entry_in(row._asdict())
                if entry is None:
                    what = f"job {row.job}, entry {row.number}: was changed after it was written"
                    raise BadLedger(self._where, what, "Put back the last copy that holds.")
                found.setdefault(entry.job, []).append(entry)
        return {name: tuple(entries) for name, entries in found.items()}

    def jobs(self) -> tuple[str, ...]:
        """The names of all jobs, in the order of the alphabet."""
        if not self._is_there():
            return ()
        with self._reading() as connection:
            return tuple(connection.scalars(sa.select(_entries.c.job).distinct().order_by(_entries.c.job)))

    def check(self) -> tuple[Verdict, ...]:
        """A verdict for each job, going on past a bad one."""
        if not self._is_there():
            return ()
        verdicts = []
        for job in self.jobs():
            with self._reading() as connection:
                verdicts.append(_verdict(job, _rows(connection, job)))
        return tuple(verdicts)

    def _entries(self, connection: sa.Connection, job: str) -> tuple[Entry, ...]:
        """What is remembered of *job* and what stands behind it; all of it anew where that does not fit."""
        known = self._remembered.get(job, ())
        rows = _rows(connection, job, known[-1].number if known else 1)
        if known:
            last = next(rows, None)
            if last is None or (last["number"], last["hash"]) != (known[-1].number, known[-1].hash):
                known, rows = (), _rows(connection, job)
        return (*known, *_sound(self._where, job, rows, known[-1] if known else None))

    def _remember(self, job: str, entries: tuple[Entry, ...]) -> None:
        self._remembered.pop(job, None)
        self._remembered[job] = entries
        while len(self._remembered) > _REMEMBERED:
            self._remembered.pop(next(iter(self._remembered)), None)

    def _is_there(self) -> bool:
        if self._path is not None and not self._path.exists():
            return False  # Looking into it would make it.
        with self._reading() as connection:
            return self._known(connection)

    def _known(self, connection: sa.Connection) -> bool:
        """Whether entries are kept there. An empty file is none: a first append cut off leaves one."""
        if not (tables := sa.inspect(connection).get_table_names()):
            return False
        if "about" not in tables or "entries" not in tables:
            raise BadLedger(self._where, "no ledger of notepipe's", "Put back the last copy that holds.")
        version = connection.scalar(sa.select(_about.c.version))
        if version is None or version > VERSION:
            what = f"written by a newer notepipe (form {version}; this one knows {VERSION})"
            raise BadLedger(self._where, what, "Bring notepipe up to date: pip install --upgrade notepipe")
        return True

    def _make(self, connection: sa.Connection) -> None:
        if not self._known(connection):
            _meta.create_all(connection)
            connection.execute(_about.insert().values(version=VERSION))
        for name, trigger in _TRIGGERS.items():  # Also where somebody took one away.
            connection.exec_driver_sql(f"CREATE TRIGGER IF NOT EXISTS {name} BEFORE {trigger}")

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with self._named_errors(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """One transaction that holds the only right to write from its first moment."""
        with self._named_errors(), self._engine.connect() as connection:
            connection = connection.execution_options(writes=True)
            with connection.begin():
                yield connection

    @contextmanager
    def _named_errors(self) -> Iterator[None]:
        try:
            yield
        except sa.exc.DBAPIError as error:
            raise _named(self._where, str(error.orig)) from error


def _settings(connection: Any, _: object) -> None:
    connection.isolation_level = (
        None  # Else the driver begins by itself, late and without the right to write.
    )
    connection.execute("PRAGMA synchronous = EXTRA")


def _begin(connection: sa.Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _rows(connection: sa.Connection, job: str, since: int = 1) -> Iterator[dict[str, Any]]:
    chosen = sa.select(_entries).where(_entries.c.job == job, _entries.c.number >= since)
    for row in connection.execute(chosen.order_by(_entries.c.number)):
        yield row._asdict()


_COLUMNS = ("job", "number", "at", "who", "before", "hash")


def _row(job: str, hand: Hand, number: int, body: Body, before: str) -> dict[str, Any]:
    columns = {"job": job, "number": number, "at": hand.at, "who": hand.who, "before": before}
    text = canonical(body.model_dump(mode="json")).decode("utf-8")
    return {**columns, "kind": body.kind, "body": text, "hash": sha256_of_text(hashed_text(columns, text))}


def _sound(
    where: str, job: str, rows: Iterable[dict[str, Any]], after: Entry | None = None
) -> tuple[Entry, ...]:
    try:
        with without_collecting():
            entries = tuple(holding(rows, after))
    except Broken as broken:
        do = "Put back the last copy that holds; `notepipe check` says how far this one does."
        raise BadLedger(where, f"job {job}, {broken}", do) from None
    set_aside(len(entries))
    return entries


def _verdict(job: str, rows: Iterable[dict[str, Any]]) -> Verdict:
    good, last, wrong = 0, FIRST, None
    try:
        for entry in holding(rows):
            good, last = entry.number, entry.hash
    except Broken as broken:
        wrong = str(broken)
    return Verdict(job=job, good=good, last_hash=last, wrong=wrong)


def _named(where: str, message: str) -> NotepipeError:
    """The database's own complaint as one of ours."""
    if "full" in message:
        return CannotWrite(where, "the disk is full", "Make room and run it again; nothing was lost.")
    if "locked" in message:
        do = "Run it again when the other one is done."
        return CannotWrite(where, f"somebody else has been writing for {_PATIENCE_S} s", do)
    if "readonly" in message or "unable to open" in message:
        return CannotWrite(where, "can't be written", "Ask whoever owns it for leave, or choose another.")
    if "disk I/O" in message:
        return CannotWrite(
            where, "the disk could not be read or written", "Look at the disk, then run it again."
        )
    return BadLedger(where, f"no ledger of notepipe's ({message})", "Put back the last copy that holds.")
