"""Every history folds in pieces as in one and verifies as written, and two writers lose nothing."""

import subprocess
import sys
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.chain import FIRST, canonical, hashed_bytes, hashed_text
from notepipe.draft import Draft, Note, Part, Question, Size
from notepipe.entries import (
    Body,
    Entry,
    JobOpened,
    NoteTaken,
    PaperWritten,
    PartConfirmed,
    QuestionConfirmed,
    RecordDropped,
    RecordPutOff,
)
from notepipe.folding import fold, laid
from notepipe.ledger import Hand, Ledger
from notepipe.recalling import recalled

OPENED = JobOpened(name="tram-7", client="Fennimore Museum", what="Tram 7")
ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
NOTES = ("aa" * 32, "bb" * 32)

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
numbers = st.floats(allow_nan=False, allow_infinity=False) | st.none()
sizes = st.builds(Size, value=texts, unit=texts, mm=numbers)
parts = st.builds(Part, name=texts, quantity=st.integers(1, 9999) | st.none(), sizes=st.tuples(sizes))
questions = st.builds(
    Question, to=st.sampled_from(["client", "shop"]), about=texts, text=texts, quote=texts, start_s=numbers
)
recordings = st.sampled_from(NOTES)
drafts = st.builds(
    Draft,
    note=st.builds(Note, file=texts, sha256=recordings, duration_s=numbers),
    parts=st.lists(parts, max_size=3).map(tuple),
    questions=st.lists(questions, max_size=2).map(tuple),
)
records = st.sampled_from(["p1", "p2", "p3"])
tags = st.sampled_from(["001", "002", "003"])
bodies: st.SearchStrategy[Body] = st.one_of(
    st.builds(NoteTaken, recording=recordings, file=texts, transcript=texts, draft=drafts),
    st.builds(PartConfirmed, recording=recordings, record=records, tag=tags, part=parts),
    st.builds(
        QuestionConfirmed, recording=recordings, record=st.just("q1"), tag=st.just("Q01"), question=questions
    ),
    st.builds(RecordDropped, recording=recordings, record=records, reason=texts, tag=tags | st.none()),
    st.builds(RecordPutOff, recording=recordings, record=records, reason=texts),
    st.builds(PaperWritten, paper=texts, sha256=texts, left_out=st.integers(0, 99)),
)
histories = st.lists(bodies, max_size=8)


def kept(history: list[Body]) -> tuple[Ledger, tuple[Entry, ...]]:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, OPENED)
    for body in history:
        ledger.append("tram-7", ADA, body)
    return ledger, ledger.entries("tram-7")


@given(histories, st.integers(1, 9))
@settings(deadline=None, max_examples=60)
def test_a_history_folds_in_two_pieces_as_it_folds_in_one(history: list[Body], cut: int) -> None:
    _, entries = kept(history)
    assert fold(entries) == fold(entries[cut:], onto=fold(entries[:cut]))


@given(histories)
@settings(deadline=None, max_examples=60)
def test_any_history_reads_back_as_written_and_its_chain_holds(history: list[Body]) -> None:
    ledger, entries = kept(history)
    assert [entry.body for entry in entries] == [OPENED, *history]
    assert [entry.before for entry in entries] == [FIRST, *(entry.hash for entry in entries[:-1])]
    (verdict,) = ledger.check()
    assert (verdict.wrong, verdict.good, verdict.last_hash) == (None, len(entries), entries[-1].hash)


@given(texts, texts, texts, histories)
@settings(deadline=None, max_examples=40)
def test_an_entry_is_hashed_the_same_from_its_record_and_from_the_text_it_is_kept_as(
    job: str, at: str, who: str, history: list[Body]
) -> None:
    for body in history:
        columns = {"job": job, "number": 1, "at": at, "who": who, "before": FIRST}
        record = body.model_dump(mode="json")
        text = hashed_text(columns, canonical(record).decode("utf-8"))
        assert text.encode("utf-8") == hashed_bytes(columns, record)


@given(histories)
@settings(deadline=None, max_examples=20)
def test_a_long_sitting_reads_and_folds_what_a_fresh_one_does(history: list[Body]) -> None:
    ledger, _ = kept(history)
    for body in history:
        ledger.append("tram-7", ADA, body)
        again = tuple(entry.model_copy() for entry in ledger.entries("tram-7"))
        assert ledger.entries("tram-7") == again
        assert recalled(ledger.entries("tram-7"), laid, short=0) == laid(again, None)


@given(histories)
@settings(deadline=None, max_examples=20)
def test_one_append_of_many_is_the_same_history_as_many_appends(history: list[Body]) -> None:
    at_once = Ledger(None)
    at_once.append("tram-7", ADA, OPENED, *history)
    assert at_once.entries("tram-7") == kept(history)[1]


WRITER = """
import sys
from pathlib import Path
from notepipe.entries import PaperWritten
from notepipe.ledger import Hand, Ledger
from notepipe.recalling import recalled
path, who = Path(sys.argv[1]), sys.argv[2]
for number in range(20):
    hand = Hand(who=who, at="2026-11-25T10:00:00+00:00")
    Ledger(path).append("tram-7", hand, PaperWritten(paper=str(number), sha256=who))
"""


def started(code: str, path: Path, who: str = "") -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-c", code, str(path), who])


def test_two_writers_at_once_lose_nothing_and_the_chain_holds(tmp_path: Path) -> None:
    path = tmp_path / "ledger.db"
    Ledger(path).append("tram-7", ADA, OPENED)
    writers = [started(WRITER, path, who) for who in ("Ada", "Joe")]
    assert [writer.wait() for writer in writers] == [0, 0]
    papers = [entry.body for entry in Ledger(path).entries("tram-7")[1:]]
    for who in ("Ada", "Joe"):
        mine = [body.paper for body in papers if isinstance(body, PaperWritten) and body.sha256 == who]
        assert mine == [str(number) for number in range(20)]


KILLED = """
import os, sys
from pathlib import Path
from notepipe import ledger
from notepipe.entries import PaperWritten
one = ledger.Ledger(Path(sys.argv[1]))
first = one.entries("tram-7")[0]
hand = ledger.Hand(who="Ada", at="2026-11-25T10:00:00+00:00")
with one._writing() as connection:
    connection.exec_driver_sql("PRAGMA cache_size = 5")  # So that pages reach the disk before the end.
    row = ledger._row("tram-7", hand, 2, PaperWritten(paper="x" * 3_000_000, sha256="y"), first.hash)
    connection.execute(ledger._entries.insert(), row)
    os._exit(9)  # As from kill -9: nothing is rolled back, nothing closed.
"""


def test_a_writer_killed_in_the_middle_of_an_append_leaves_the_ledger_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "ledger.db"
    Ledger(path).append("tram-7", ADA, OPENED)
    before = path.stat().st_size
    assert started(KILLED, path).wait() == 9
    assert path.stat().st_size > before, "the torn pages never reached the disk: nothing was tested"
    assert [entry.number for entry in Ledger(path).entries("tram-7")] == [1]
    Ledger(path).append("tram-7", ADA, PaperWritten(paper="x", sha256="y"))
    assert Ledger(path).check()[0].good == 2
