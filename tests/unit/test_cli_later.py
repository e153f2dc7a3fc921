"""compare, join and undo at the command line, on two notes of one job."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import notepipe.reading
from notepipe import cli
from notepipe.draft import Decision, Draft, Note, Part
from notepipe.trade import Trade
from notepipe.transcript import Transcript

ADA = ("--as", "Ada Fenn")
Run = Callable[..., tuple[int, str, str]]


def stand_in(transcript: Transcript, note: Note, trade: Trade) -> Draft:
    """A bell of the metal that the text names, and a gong where it names one."""
    metal = "brass" if "brass" in transcript.text else "bronze"
    polish = Decision(action="polish", standing="decided", quote="polish the bell")
    parts = (Part(name="bell", metal=metal, decisions=(polish,)), Part(name="gong"))
    return Draft(note=note, parts=tuple(part for part in parts if part.name in transcript.text))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Commands inside a shop whose job tram-7 has the notes 1.txt, confirmed, and 2.txt, waiting."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(notepipe.reading, "read", stand_in)
    for name in ("NOTEPIPE_SHOP", "NOTEPIPE_AS"):
        monkeypatch.delenv(name, raising=False)

    def command(*words: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            cli.main(words)
        said = capsys.readouterr()
        return int(left.value.code or 0), said.out, said.err

    command("start", "larkhill", "--reviewer", "Ada Fenn")
    monkeypatch.chdir(tmp_path / "larkhill")
    command("job", "tram-7", "--client", "Fennimore Museum of Transport", "--what", "Tram 7")
    Path("1.txt").write_text("We polish the bell and there is a gong.", encoding="utf-8")
    Path("2.txt").write_text("We polish the bell, it is brass.", encoding="utf-8")
    command("take", "tram-7", "1.txt")
    command("review", "tram-7", "--all-without-a-doubt", *ADA)
    command("take", "tram-7", "2.txt")
    return command


def test_a_later_note_is_compared_with_what_is_on_file(run: Run) -> None:
    code, out, _ = run("compare", "tram-7", "2.txt")
    assert code == 0
    assert "= changes 001 bell" in out
    assert "metal: bronze → brass" in out
    rows = json.loads(run("compare", "tram-7", "2.txt", "--json")[1])
    assert rows["since"] == ["1.txt"]
    first, _ = rows["changes"]
    assert (first["part"], first["kind"], first["field"]) == ("bell", "changed", "metal")
    assert (first["was"], first["now"]) == ("bronze", "brass")


def test_what_is_settled_or_misspelt_is_told(run: Run) -> None:
    assert "nothing of it waits" in run("compare", "tram-7", "1.txt")[2]
    code, _, err = run("compare", "tram-7", "3.txt")
    assert (code, "no note '3.txt'" in err) == (1, True)


def test_a_change_is_not_confirmed_in_one_stroke_and_by_a_recorded_answer_only_where_it_says_so(
    run: Run,
) -> None:
    assert "1 record still to review" in run("review", "tram-7", "--all-without-a-doubt", *ADA)[2]
    answers = '[[answer]]\npart = "bell"\ndo = "confirm"\nonto = "new"\n'
    Path("answers.toml").write_text(answers, encoding="utf-8")
    assert "✓ 003 bell" in run("review", "tram-7", "--answers", "answers.toml", *ADA)[2]
    code, _, err = run("join", "tram-7", "003", "001", "--reason", "the same bell", *ADA)
    assert (code, "✓ joined 003 with 001" in err, "metal: brass, was bronze" in err) == (0, True, True)
    assert run("join", "tram-7", "003", "001", "--reason", "the same bell", *ADA)[0] == 1
    history = run("history", "tram-7", "--part", "003")[1]
    assert "joined 003 with 001" in history


def test_an_answer_is_taken_back_and_only_by_a_reviewer(run: Run) -> None:
    code, _, err = run("undo", "tram-7", "--as", "Joe Marsh")
    assert (code, "Joe Marsh" in err) == (1, True)
    code, _, err = run("undo", "tram-7", *ADA)
    assert (code, "p2 (002) waits again" in err) == (0, True)
    code, _, err = run("undo", "tram-7", "1", *ADA)
    assert (code, "is no answer of a review" in err) == (1, True)


def test_a_set_on_file_is_split_and_taken_together_again(run: Run) -> None:
    code, _, err = run("split", "tram-7", "002", "4", "2", *ADA)
    assert (code, "✓ 002 gong, 4" in err, "✓ 003 gong, 2 (split from 002)" in err) == (0, True, True)
    assert "6 are on file" not in run("undo", "tram-7", *ADA)[2]
    put_right = "✓ 002 gong, 6 (quantity: 6)"
    assert put_right in run("correct", "tram-7", "002", "quantity=6", *ADA)[2]
    code, _, err = run("split", "tram-7", "002", "4", "1", *ADA)
    assert (code, "4 + 1 is 5, and 6 are on file" in err) == (1, True)
