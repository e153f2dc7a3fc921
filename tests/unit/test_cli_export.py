"""The command ``export``, and ``check --copy``, which needs nothing but the file."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from notepipe import cli
from notepipe.draft import Question
from notepipe.entries import JobOpened, QuestionConfirmed
from notepipe.errors import BadLedger, NotFound
from notepipe.ledger import Hand, Ledger

Run = Callable[..., Result]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Runs a command in a shop with one job of two entries."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("NOTEPIPE_SHOP", raising=False)

    def command(*words: str) -> Result:
        return CliRunner().invoke(cli.notepipe, words)

    command("start", "larkhill", "--name", "Larkhill Tramway Workshop", "--reviewer", "Ada Fenn")
    monkeypatch.chdir(tmp_path / "larkhill")
    job = JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram 7")
    ask = Question(to="shop", about="jig", text="Where is the jig?", quote="the jig")
    asked = QuestionConfirmed(recording="ab" * 32, record="q1", tag="Q01", question=ask)
    Ledger(Path("ledger.db")).append(
        "tram-7", Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00"), job, asked
    )
    return command


def test_a_job_exported_twice_is_the_same_to_the_byte_and_writes_nothing_into_its_history(run: Run) -> None:
    before = run("history", "tram-7").stdout
    assert run("export", "tram-7", "--to", "one.html").stderr == "whole job: one.html\n"
    run("export", "tram-7", "--to", "two.html")
    one = Path("one.html").read_bytes()
    assert one == Path("two.html").read_bytes() == run("export", "tram-7").stdout_bytes
    assert run("history", "tram-7").stdout == before


def test_a_copy_is_checked_anywhere_with_nothing_but_the_file(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("export", "tram-7", "--to", "../copy.html")
    monkeypatch.chdir(tmp_path)
    checked = run("check", "--copy", "copy.html")
    last = Ledger(Path("larkhill/ledger.db")).entries("tram-7")[-1].hash[:12]
    assert checked.stdout == f"tram-7: 2 entries hold, the last {last}; the pages above them say the same\n"


def changed(old: str, new: str) -> None:
    copy = Path("copy.html")
    text = copy.read_text(encoding="utf-8")
    assert old in text
    copy.write_text(text.replace(old, new), encoding="utf-8")


def test_a_changed_entry_is_named(run: Run) -> None:
    run("export", "tram-7", "--to", "copy.html")
    changed('"text":"Where is the jig?"', '"text":"Where is the jug?"')
    error = run("check", "--copy", "copy.html").exception
    assert isinstance(error, BadLedger)
    assert "job tram-7, entry 2: was changed after it was written" in str(error)


def test_a_change_above_the_entries_is_told(run: Run) -> None:
    run("export", "tram-7", "--to", "copy.html")
    changed("<p>Where is the jig?</p>", "<p>Where is the jug?</p>")
    error = run("check", "--copy", "copy.html").exception
    assert "the pages above the entries are not what is written from them" in str(error)


def test_a_copy_of_another_version_is_checked_and_its_pages_left_alone(run: Run) -> None:
    run("export", "tram-7", "--to", "copy.html")
    changed('<meta name="generator" content="notepipe ', '<meta name="generator" content="notepipe 99.')
    assert "and were not compared" in run("check", "--copy", "copy.html").stdout


@pytest.mark.parametrize(
    ("content", "told"),
    [(b"", "no copy"), (b"\xff\xfe", "no UTF-8"), (None, "can't be read")],
)
def test_what_is_no_copy_is_told_in_one_line(run: Run, content: bytes | None, told: str) -> None:
    if content is not None:
        Path("copy.html").write_bytes(content)
    error = run("check", "--copy", "copy.html").exception
    assert isinstance(error, NotFound | BadLedger)
    assert told in str(error)


def test_the_extract_leaves_the_shops_questions_out(run: Run) -> None:
    assert run("export", "tram-7", "--for-client", "--to", "extract.html").stderr == "extract: extract.html\n"
    text = Path("extract.html").read_text(encoding="utf-8")
    assert "This is an extract." in text
    assert "jig" not in text


def test_provenance_is_written_beside_or_alone(run: Run) -> None:
    alone = run("export", "tram-7", "--prov", "one.json")
    assert (alone.stdout, alone.stderr) == ("", "provenance: one.json\n")
    run("export", "tram-7", "--prov", "two.json", "--to", "whole.html")
    assert Path("one.json").read_bytes() == Path("two.json").read_bytes()
    assert set(json.loads(Path("one.json").read_text(encoding="utf-8"))) >= {"entity", "activity", "agent"}
    assert Path("whole.html").exists()


def test_a_job_that_is_not_there_and_a_folder_that_is_not_there_are_told(run: Run) -> None:
    assert isinstance(run("export", "tram-9").exception, NotFound)
    assert "is no folder to write in" in str(run("export", "tram-7", "--to", "none/x.html").exception)


def test_a_shop_may_lay_its_own_page_over_the_programs(run: Run) -> None:
    own = '{% extends "program/job.html.j2" %}\n{% block style %}body { color: navy; }{% endblock %}\n'
    Path("templates/job.html.j2").write_text(own, encoding="utf-8")
    run("export", "tram-7", "--to", "copy.html")
    assert "color: navy" in Path("copy.html").read_text(encoding="utf-8")
    assert "a page of the shop's own, and were not compared" in run("check", "--copy", "copy.html").stdout
