"""The ledger only grows, every entry holds the one before it, and any other change is found."""

import hashlib
import sqlite3
from pathlib import Path

import pytest

from notepipe.chain import FIRST, hash_of
from notepipe.draft import Draft, Note, Part, Size
from notepipe.entries import JobOpened, NoteTaken, PaperWritten
from notepipe.errors import BadLedger, CannotWrite
from notepipe.ledger import Hand, Ledger

ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
OPENED = JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram 7")
PAPER = PaperWritten(paper="client update", sha256="ab" * 32)


def note(mm: float) -> NoteTaken:
    part = Part(name="rail", sizes=(Size(value="1", unit="in", mm=mm),))
    draft = Draft(note=Note(file="walk.m4a", sha256="cd" * 32, duration_s=97.0), parts=(part,))
    return NoteTaken(recording="cd" * 32, file="walk.m4a", transcript="the rail", draft=draft)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A ledger with three entries in job tram-7 and one in job bell."""
    ledger = Ledger(tmp_path / "ledger.db")
    ledger.append("tram-7", ADA, OPENED, note(23.8125), PAPER)
    ledger.append("bell", ADA, OPENED)
    return tmp_path / "ledger.db"


def by_hand(path: Path, *orders: str) -> None:
    connection = sqlite3.connect(path)
    for order in orders:
        connection.execute(order)
    connection.commit()
    connection.close()


def without_triggers(path: Path, order: str) -> None:
    by_hand(path, "DROP TRIGGER no_update", "DROP TRIGGER no_delete", "DROP TRIGGER only_append", order)


def test_what_was_appended_is_read_back_numbered_and_chained(path: Path) -> None:
    entries = Ledger(path).entries("tram-7")
    assert [e.body for e in entries] == [OPENED, note(23.8125), PAPER]
    assert [e.number for e in entries] == [1, 2, 3]
    assert [e.before for e in entries] == [FIRST, entries[0].hash, entries[1].hash]
    assert {(e.who, e.at) for e in entries} == {(ADA.who, ADA.at)}


def test_each_job_has_a_chain_of_its_own(path: Path) -> None:
    assert Ledger(path).jobs() == ("bell", "tram-7")
    assert Ledger(path).entries("bell")[0].before == FIRST


def test_entries_of_some_kinds_are_read_from_every_job_or_from_one(path: Path) -> None:
    ledger = Ledger(path)
    opened = ledger.of_kinds(("job-opened", "paper-written"))
    assert {job: [e.body for e in entries] for job, entries in opened.items()} == {
        "bell": [OPENED],
        "tram-7": [OPENED, PAPER],
    }
    assert set(ledger.of_kinds(("job-opened",), "bell")) == {"bell"}
    assert Ledger(None).of_kinds(("job-opened",)) == {}


def test_an_entry_of_some_kind_that_was_changed_is_named(path: Path) -> None:
    without_triggers(path, "UPDATE entries SET who = 'Joe' WHERE job = 'tram-7' AND number = 3")
    with pytest.raises(BadLedger, match="job tram-7, entry 3: was changed"):
        Ledger(path).of_kinds(("paper-written",))


def test_each_entry_comes_with_the_very_text_its_hash_was_taken_of(path: Path) -> None:
    written = Ledger(path).written("tram-7")
    assert [one.entry for one in written] == list(Ledger(path).entries("tram-7"))
    assert [hashlib.sha256(one.text.encode()).hexdigest() for one in written] == [
        one.entry.hash for one in written
    ]
    assert Ledger(None).written("x") == ()


def test_a_ledger_in_memory_does_the_same() -> None:
    ledger = Ledger(None)
    assert (ledger.jobs(), ledger.entries("x"), ledger.check()) == ((), (), ())
    ledger.append("tram-7", ADA, OPENED, PAPER)
    assert len(ledger.entries("tram-7")) == 2


def test_looking_into_a_ledger_that_is_not_there_does_not_make_it(tmp_path: Path) -> None:
    assert Ledger(tmp_path / "ledger.db").jobs() == ()
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "mm", [1.0, 23.8125, 1e16, 1e20, 1e-6, -0.0, 0.1 + 0.2, 5e-324, 1.7976931348623157e308]
)
def test_a_float_read_back_hashes_as_it_was_written(mm: float) -> None:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, OPENED, note(mm))
    assert ledger.check()[0].wrong is None
    body = ledger.entries("tram-7")[1].body
    assert isinstance(body, NoteTaken)
    assert body.draft.parts[0].sizes[0].mm == mm


def test_a_number_that_can_t_be_kept_exactly_is_refused_and_nothing_written() -> None:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, OPENED)
    with pytest.raises(CannotWrite, match="exactly"):
        ledger.append("tram-7", ADA, PAPER, PaperWritten(paper="x", sha256="y", left_out=2**60))
    assert len(ledger.entries("tram-7")) == 1


def test_a_body_whose_making_fails_leaves_nothing(path: Path) -> None:
    def fails(_: object) -> tuple[PaperWritten, ...]:
        raise BadLedger("x", "y", "z")

    with pytest.raises(BadLedger):
        Ledger(path).decide("tram-7", ADA, fails)
    assert len(Ledger(path).entries("tram-7")) == 3


@pytest.mark.parametrize(
    "order",
    [
        "UPDATE entries SET who = 'Joe'",
        "DELETE FROM entries WHERE number = 3",
        "INSERT OR REPLACE INTO entries SELECT * FROM entries WHERE number = 2",
        "INSERT INTO entries SELECT job, 9, at, who, kind, body, before, hash FROM entries WHERE number = 3",
    ],
)
def test_the_database_itself_refuses_anything_but_the_next_number(path: Path, order: str) -> None:
    with pytest.raises(sqlite3.IntegrityError):
        by_hand(path, order)
    assert all(verdict.wrong is None for verdict in Ledger(path).check())


TAMPERED = [
    ("UPDATE entries SET who = 'Joe' WHERE job = 'tram-7' AND number = 2", 1, "entry 2: was changed"),
    ("UPDATE entries SET at = '2020-01-01' WHERE job = 'tram-7' AND number = 1", 0, "entry 1: was changed"),
    (
        "UPDATE entries SET body = replace(body, '23.8125', '23.8') WHERE number = 2",
        1,
        "entry 2: was changed",
    ),
    ("UPDATE entries SET body = 'not json' WHERE job = 'tram-7' AND number = 3", 2, "entry 3: was changed"),
    ("UPDATE entries SET kind = 'job-opened' WHERE job = 'tram-7' AND number = 3", 2, "entry 3: was changed"),
    ("UPDATE entries SET hash = 'x' WHERE job = 'tram-7' AND number = 2", 1, "entry 2: was changed"),
    ("UPDATE entries SET before = 'x' WHERE job = 'tram-7' AND number = 3", 2, "entry 3: does not hold"),
    ("DELETE FROM entries WHERE job = 'tram-7' AND number = 2", 1, "entry 2: missing"),
    ("UPDATE entries SET number = 7 WHERE job = 'tram-7' AND number = 3", 2, "entry 3: missing"),
]


@pytest.mark.parametrize(("order", "good", "wrong"), TAMPERED)
def test_a_ledger_changed_by_hand_names_the_first_bad_entry(
    path: Path, order: str, good: int, wrong: str
) -> None:
    without_triggers(path, order)
    verdicts = {verdict.job: verdict for verdict in Ledger(path).check()}
    assert verdicts["tram-7"].good == good
    assert wrong in str(verdicts["tram-7"].wrong)
    assert verdicts["bell"].wrong is None
    with pytest.raises(BadLedger, match=wrong):
        Ledger(path).entries("tram-7")
    with pytest.raises(BadLedger, match=wrong):
        Ledger(path).append("tram-7", ADA, PAPER)


def test_triggers_taken_away_come_back_with_the_next_entry(path: Path) -> None:
    without_triggers(path, "SELECT 1")
    Ledger(path).append("bell", ADA, PAPER)
    with pytest.raises(sqlite3.IntegrityError):
        by_hand(path, "DELETE FROM entries")


def test_a_ledger_of_a_newer_version_is_refused(path: Path) -> None:
    by_hand(path, "UPDATE about SET version = 2")
    with pytest.raises(BadLedger, match="newer notepipe"):
        Ledger(path)


@pytest.mark.parametrize("content", [b"no database at all" * 100, b"SQLite format 3\x00" + b"\xff" * 5000])
def test_a_file_that_is_no_ledger_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "ledger.db").write_bytes(content)
    with pytest.raises(BadLedger, match="no ledger"):
        Ledger(tmp_path / "ledger.db")


def test_another_program_s_database_is_left_alone(tmp_path: Path) -> None:
    by_hand(tmp_path / "ledger.db", "CREATE TABLE shopping (what TEXT)")
    with pytest.raises(BadLedger, match="no ledger"):
        Ledger(tmp_path / "ledger.db")


def test_an_empty_file_left_by_a_first_append_cut_off_is_an_empty_ledger(tmp_path: Path) -> None:
    (tmp_path / "ledger.db").touch()
    ledger = Ledger(tmp_path / "ledger.db")
    assert ledger.jobs() == ()
    ledger.append("tram-7", ADA, OPENED)
    assert len(ledger.entries("tram-7")) == 1


def test_a_ledger_that_can_t_be_opened_or_grow_says_so(tmp_path: Path, path: Path) -> None:
    with pytest.raises(CannotWrite, match="can't be written"):
        Ledger(tmp_path / "nowhere" / "ledger.db").append("tram-7", ADA, OPENED)
    ledger = Ledger(path)
    with ledger._engine.connect() as connection:  # A page limit is the database's own full disk.
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
    big = NoteTaken(
        recording="ef" * 32, file="x", transcript="x" * 500_000, draft=Draft(note=Note(file="x", sha256=""))
    )
    import sqlalchemy

    sqlalchemy.event.listen(
        ledger._engine, "connect", lambda c, _: c.execute(f"PRAGMA max_page_count = {pages}")
    )
    with pytest.raises(CannotWrite, match="disk is full"):
        ledger.append("tram-7", ADA, big)
    assert len(Ledger(path).entries("tram-7")) == 3


def test_the_hash_is_taken_of_everything_but_itself() -> None:
    columns = {"job": "a", "number": 1, "at": "t", "who": "w", "before": FIRST, "hash": "x", "kind": "k"}
    same = hash_of(columns, {"x": 1})
    assert hash_of({**columns, "hash": "y", "kind": "z"}, {"x": 1.0}) == same
    for name in ("job", "number", "at", "who", "before"):
        assert hash_of({**columns, name: "other"}, {"x": 1}) != same
    assert hash_of(columns, {"x": 2}) != same


def test_a_ledger_somebody_else_is_writing_says_so_when_waiting_is_no_use(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("notepipe.ledger._PATIENCE_S", 0)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(CannotWrite, match="somebody else has been writing"):
        Ledger(path).append("tram-7", ADA, PAPER)
    other.execute("COMMIT")
    assert Ledger(path).append("tram-7", ADA, PAPER)[0].number == 4


def test_a_long_sitting_sees_what_somebody_else_appends(path: Path) -> None:
    mine, other = Ledger(path), Ledger(path)
    assert len(mine.entries("tram-7")) == 3
    other.append("tram-7", ADA, PAPER.model_copy(update={"paper": "parts list"}))
    assert [e.number for e in mine.entries("tram-7")] == [1, 2, 3, 4]
    mine.append("tram-7", ADA, PAPER)
    assert other.entries("tram-7") == Ledger(path).entries("tram-7")


def test_a_long_sitting_notices_that_its_last_entry_was_changed_and_check_that_any_was(path: Path) -> None:
    sitting = Ledger(path)
    sitting.entries("tram-7")
    without_triggers(path, "UPDATE entries SET who = 'Joe' WHERE job = 'tram-7' AND number = 1")
    assert sitting.check()[1].wrong == "entry 1: was changed after it was written (its hash does not fit)"
    by_hand(path, f"UPDATE entries SET hash = '{'ab' * 32}' WHERE job = 'tram-7' AND number = 3")
    with pytest.raises(BadLedger, match="entry 1: was changed"):
        sitting.entries("tram-7")
    with pytest.raises(BadLedger, match="entry 1: was changed"):
        sitting.append("tram-7", ADA, PAPER)


def test_a_ledger_put_back_from_a_copy_is_read_anew(path: Path) -> None:
    copy = path.read_bytes()
    sitting = Ledger(path)
    sitting.append("tram-7", ADA, PAPER)
    path.write_bytes(copy)
    assert len(sitting.entries("tram-7")) == 3
    sitting.append("tram-7", ADA, PAPER)
    assert Ledger(path).check()[1].good == 4


def test_a_body_written_with_other_blanks_than_ours_holds_all_the_same(path: Path) -> None:
    """Its hash is of what it says, not of how it is laid out."""
    before = Ledger(path).entries("tram-7")
    without_triggers(
        path, "UPDATE entries SET body = ' ' || replace(body, ':', ' : ') WHERE kind = 'job-opened'"
    )
    assert Ledger(path).entries("tram-7") == before
    assert Ledger(path).check()[1].wrong is None
