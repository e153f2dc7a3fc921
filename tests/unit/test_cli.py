"""The commands on text notes: results on standard output, talk on standard error, one line for a mistake."""

import json
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

import notepipe.reading
from notepipe import cli
from notepipe.draft import Decision, Doubt, Draft, Note, Part, Question, Quote
from notepipe.trade import Trade
from notepipe.transcript import Transcript

ADA = ("--as", "Ada Fenn")


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str


Run = Callable[..., Ran]


def stand_in(transcript: Transcript, note: Note, trade: Trade) -> Draft:
    """A reading that finds a bell, three lamps in doubt and a question in any text that names them."""
    text = transcript.text
    bell = Part(
        name="bell", quantity=1, metal="bronze", quotes=(Quote(text="the bell"),),
        decisions=(Decision(action="polish", standing="decided", quote="the bell", rule="decided.will"),),
    )  # fmt: skip
    lamp = Part(name="lamp", quantity=3, doubts=(Doubt(field="quantity", why="three or free"),))
    asked = Question(to="client", about="lamp", text="Which colour?", quote="which colour")
    return Draft(
        note=note,
        parts=tuple(part for part in (bell, lamp) if part.name in text),
        questions=(asked,) if "colour" in text else (),
    )


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Runs a command in an empty folder, with a stand-in for the reading and no shop around."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(notepipe.reading, "read", stand_in)
    for name in ("NOTEPIPE_SHOP", "NOTEPIPE_AS"):
        monkeypatch.delenv(name, raising=False)

    def command(*words: str, typed: Sequence[str] = ()) -> Ran:
        lines = iter(f"{line}\n" for line in typed)
        monkeypatch.setattr("sys.stdin.readline", lambda: next(lines, ""), raising=False)
        with pytest.raises(SystemExit) as left:
            cli.main(words)
        said = capsys.readouterr()
        return Ran(int(left.value.code or 0), said.out, said.err)

    return command


@pytest.fixture
def shop(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with the job tram-7 and the note walk.txt beside it, everything run inside its folder."""
    run(
        "start",
        "larkhill",
        "--name",
        "Larkhill Tramway Workshop",
        "--reviewer",
        "Ada Fenn",
        "--reviewer",
        "Joe",
    )
    monkeypatch.chdir(tmp_path / "larkhill")
    run("job", "tram-7", "--client", "Fennimore Museum", "--what", "Tram 7")
    (tmp_path / "walk.txt").write_text("the bell, three lamps, which colour\n", encoding="utf-8")
    (tmp_path / "more.txt").write_text("another bell\n", encoding="utf-8")
    return tmp_path


@pytest.fixture
def taken(run: Run, shop: Path) -> Path:
    assert run("take", "tram-7", str(shop / "walk.txt")).code == 0
    return shop


def test_the_way_from_a_folder_to_both_papers(run: Run, taken: Path) -> None:
    assert run("review", "tram-7", *ADA, "--all-without-a-doubt").code == 0
    assert run("review", "tram-7", *ADA, typed=["y"]).err.endswith("Nothing is left to review.\n")
    assert "bell" in run("update", "tram-7").out
    assert "001" in run("list", "tram-7").out
    assert run("list", "tram-7", "--csv").out.startswith("tag,")
    told = run("history", "tram-7").out
    assert "Ada Fenn confirmed 002 lamp" in told
    assert "wrote the paper 'client update'" in told
    assert run("check").code == 0


def test_a_draft_needs_no_shop_and_json_is_the_format_and_nothing_else(run: Run, tmp_path: Path) -> None:
    (tmp_path / "walk.txt").write_text("the bell", encoding="utf-8")
    ran = run("draft", "--json", "walk.txt")
    assert (ran.code, ran.err) == (0, "")
    draft = json.loads(ran.out)
    assert draft["format"] == "notepipe.draft/1"
    assert Draft.model_validate(draft).parts[0].name == "bell"
    assert not list(tmp_path.glob("*.db"))


def test_several_drafts_as_json_are_one_a_line_and_a_failing_one_is_named(run: Run, tmp_path: Path) -> None:
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text("the bell", encoding="utf-8")
    ran = run("draft", "--json", "a.txt", "gone.txt", "b.txt")
    assert [json.loads(line)["note"]["file"] for line in ran.out.splitlines()] == ["a.txt", "b.txt"]
    assert (ran.code, "Error: gone.txt: no such file" in ran.err) == (1, True)


def test_why_names_the_rules(run: Run, tmp_path: Path) -> None:
    (tmp_path / "walk.txt").write_text("the bell", encoding="utf-8")
    assert "[decided.will]" in run("draft", "--why", "walk.txt").out
    assert "[decided.will]" not in run("draft", "walk.txt").out


def test_a_draft_inside_a_shop_reads_with_the_shop_s_own_words(
    run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []

    def reading(transcript: Transcript, note: Note, trade: Trade) -> Draft:
        seen.extend(term.id for term in trade.terms)
        return stand_in(transcript, note, trade)

    row = '[[term]]\nid = "zz-own"\nkind = "part"\nphrases = ["zz"]\nexample = { say = "a zz" }\n'
    (shop / "larkhill" / "words" / "shop.toml").write_text(row, encoding="utf-8")
    monkeypatch.setattr(notepipe.reading, "read", reading)
    run("draft", str(shop / "walk.txt"))
    assert "zz-own" in seen


def test_taking_names_the_failing_files_and_goes_on_with_the_rest(run: Run, shop: Path) -> None:
    (shop / "bill.pdf").write_bytes(b"%PDF-1.7 no sound at all")
    ran = run("take", "tram-7", str(shop / "gone.txt"), str(shop / "bill.pdf"), str(shop / "walk.txt"))
    assert ran.code == 1
    assert "gone.txt: no such file" in ran.err
    assert "bill.pdf: neither sound, video nor text" in ran.err
    assert "walk.txt: 2 parts, 1 question to review" in ran.err
    assert "Traceback" not in ran.err


def test_what_can_t_be_used_is_not_kept(run: Run, shop: Path) -> None:
    (shop / "bill.pdf").write_bytes(b"%PDF-1.7 no sound at all")
    run("take", "tram-7", str(shop / "bill.pdf"))
    assert not list((shop / "larkhill" / "recordings").iterdir())


def test_the_same_recording_is_told_and_not_taken_twice_under_whatever_name(run: Run, taken: Path) -> None:
    (taken / "copy.txt").write_bytes((taken / "walk.txt").read_bytes())
    ran = run("take", "tram-7", str(taken / "copy.txt"), str(taken / "more.txt"))
    assert (ran.code, "copy.txt: in the job already, as walk.txt (entry 2)" in ran.err) == (0, True)
    assert "2 notes" in run("jobs").out


def test_a_job_misspelt_is_named_with_the_nearest(run: Run, taken: Path) -> None:
    orders = (
        ("take", "tram-8", "x"),
        ("review", "tram-8", *ADA),
        ("history", "tram-8"),
        ("update", "tram-8"),
        ("list", "tram-8"),
        ("correct", "tram-8", "1", "to=x", *ADA),
    )
    for words in orders:
        ran = run(*words)
        assert (ran.code, ran.err.splitlines()[-2:]) == (
            1, ["Error: tram-8: no such job", "Did you mean 'tram-7'?"],
        ), words  # fmt: skip


def test_a_job_is_opened_once(run: Run, shop: Path) -> None:
    ran = run("job", "tram-7", "--client", "Another", "--what", "else")
    assert (ran.code, "is open already, for Fennimore Museum" in ran.err) == (1, True)


def test_a_review_is_found_by_the_name_of_its_note(run: Run, taken: Path) -> None:
    assert "tram-7: 3 records still to review." in run("review", "walk.txt", *ADA, typed=["q"]).err


def test_only_listed_people_review_and_someone_must(run: Run, taken: Path) -> None:
    assert "'Bo' may not review" in run("review", "tram-7", "--as", "Bo").err
    assert "who is reviewing?" in run("review", "tram-7").err
    assert run("review", "tram-7", "--as", "joe", typed=["y"]).code == 0
    assert "Joe confirmed 001 bell" in run("history", "tram-7").out


def test_a_review_stopped_goes_on_later_where_it_was(run: Run, taken: Path) -> None:
    run("review", "tram-7", *ADA, typed=["y", "q"])
    assert "1 of 2" in run("review", "tram-7", *ADA, typed=["q"]).err


def test_a_recorded_review_leaves_doubts_open_and_tells_what_fits_nothing(run: Run, taken: Path) -> None:
    answers = taken / "answers.toml"
    answers.write_text(
        '[[answer]]\npart = "bell"\ndo = "confirm"\nfields = { metal = "brass" }\n'
        '[[answer]]\npart = "lamp"\ndo = "confirm"\n'
        '[[answer]]\ndo = "confirm all without a doubt"\n',
        encoding="utf-8",
    )
    ran = run("review", "tram-7", *ADA, "--answers", str(answers))
    assert "left open, in doubt: quantity: three or free" in ran.err
    assert (ran.code, "tram-7: 1 record still to review." in ran.err) == (0, True)
    assert run("review", "tram-7", *ADA, "--answers", str(answers)).code == 1
    told = run("history", "tram-7").out
    assert "metal: was bronze, now brass" in told
    assert "confirmed Q01 question to the client with all records without a doubt" in told


def test_a_slip_in_a_file_of_answers_is_named_by_line(run: Run, taken: Path) -> None:
    (taken / "answers.toml").write_text('[[answer]]\nprat = "bell"\ndo = "confirm"\n', encoding="utf-8")
    ran = run("review", "tram-7", *ADA, "--answers", str(taken / "answers.toml"))
    assert (ran.code, "answers.toml:2: answer 1: no field 'prat'" in ran.err) == (1, True)


def test_what_was_confirmed_is_put_right_or_taken_back_and_the_history_keeps_both(
    run: Run, taken: Path
) -> None:
    run("review", "tram-7", *ADA, "--all-without-a-doubt")
    assert run("correct", "tram-7", "001", "metal=brass", "new size=3 in", *ADA).code == 0
    assert "metal: was bronze, now brass" in run("history", "tram-7", "--part", "001").out
    assert run("correct", "tram-7", "Q01", "--drop", "asked before", *ADA).code == 0
    assert "dropped Q01: asked before" in run("history", "tram-7").out
    assert run("correct", "tram-7", "001", *ADA).code == 2
    assert "Did you mean 'metal'" in run("correct", "tram-7", "001", "metl=x", *ADA).err


def test_a_part_that_was_said_and_not_understood_is_added_by_hand(run: Run, taken: Path) -> None:
    run("review", "tram-7", *ADA, "--all-without-a-doubt")
    words = ("metal=steel", "new decision=replate", "--said", "three lamps")
    ran = run("add", "tram-7", "hatch", *words, *ADA)
    assert ran.err == "✓ 002 hatch\n"
    told = run("history", "tram-7", "--part", "002").out
    assert "Ada Fenn added 002 hatch by hand" in told
    assert "from walk.txt “three lamps”" in told
    assert "hatch" in run("list", "tram-7", "--leave-out").out
    assert "1 record to review" in run("jobs").out
    assert run("correct", "tram-7", "002", "metal=brass", *ADA).code == 0
    assert run("check").code == 0


def test_a_part_added_by_hand_rests_on_words_of_its_note_or_none(run: Run, taken: Path) -> None:
    ran = run("add", "tram-7", "lid", "--said", "four lids", *ADA)
    assert (ran.code, "'four lids' is not in what was heard" in ran.err) == (1, True)
    run("take", "tram-7", str(taken / "more.txt"))
    assert "Give --from and one of: walk.txt, more.txt" in run("add", "tram-7", "lid", *ADA).err
    assert run("add", "tram-7", "lid", "--from", "more.txt", *ADA).code == 0
    assert run("add", "tram-7", "lid", "--from", "more.txt", "metal", *ADA).code == 2
    assert "lid" in run("list", "tram-7", "--leave-out").out


def test_a_paper_waits_for_the_review_or_says_what_it_leaves_out(run: Run, taken: Path) -> None:
    for paper in ("update", "list"):
        ran = run(paper, "tram-7")
        assert (ran.code, ran.out, "not reviewed" in ran.err) == (1, "", True)
        assert run(paper, "tram-7", "--leave-out").code == 0
    assert "3 unreviewed records left out" in run("history", "tram-7").out


def test_the_same_paper_written_twice_is_the_same_and_one_entry(run: Run, taken: Path) -> None:
    first = run("update", "tram-7", "--leave-out")
    assert run("update", "tram-7", "--leave-out", "--to", str(taken / "u.txt")).out == ""
    assert (taken / "u.txt").read_text(encoding="utf-8") == first.out
    assert run("history", "tram-7").out.count("wrote the paper") == 1


def test_the_hash_on_a_letter_finds_its_entry(run: Run, taken: Path) -> None:
    run("review", "tram-7", *ADA, "--all-without-a-doubt")
    foot = run("update", "tram-7", "--leave-out").out.split()[-1]
    assert f"{foot}: job tram-7, entry 4" in run("check", "--letter", foot).out
    assert "no entry has this hash" in run("check", "--letter", "0123456789ab").err


def test_a_ledger_changed_by_hand_is_found_by_every_command(run: Run, taken: Path) -> None:
    import sqlite3

    connection = sqlite3.connect(taken / "larkhill" / "ledger.db")
    connection.execute("DROP TRIGGER no_update")
    connection.execute("UPDATE entries SET who = 'Joe' WHERE number = 2")
    connection.commit()
    for words in (("check",), ("history", "tram-7"), ("update", "tram-7"), ("review", "tram-7", *ADA)):
        ran = run(*words)
        assert (ran.code, "entry 2: was changed" in ran.err, "Traceback" in ran.err) == (1, True, False), (
            words
        )


def test_a_recording_changed_or_gone_is_found_by_check(run: Run, taken: Path) -> None:
    (kept,) = (taken / "larkhill" / "recordings").iterdir()
    kept.chmod(0o644)
    kept.write_text("something else", encoding="utf-8")
    assert "the recording was changed" in run("check").err
    kept.unlink()
    ran = run("check")
    assert (ran.code, "is not there" in ran.err) == (1, True)


@pytest.mark.parametrize(
    ("file", "text", "told"),
    [
        (
            "shop.toml",
            'shop = "x"\npaper_witdh = 7\n',
            "shop.toml:2: no field 'paper_witdh'\nDid you mean 'paper_",
        ),
        (
            "words/shop.toml",
            '[[cue]]\nid = "wont"\nset = "x"\n',
            "shop.toml:3: cue 'wont': no field 'set'\nDid you",
        ),
    ],
)
def test_a_broken_file_of_the_shop_is_named_by_file_line_and_field(
    run: Run, taken: Path, file: str, text: str, told: str
) -> None:
    (taken / "larkhill" / file).write_text(text, encoding="utf-8")
    ran = run("take", "tram-7", str(taken / "more.txt"))
    assert (ran.code, told in ran.err) == (1, True), ran.err


def test_no_shop_says_how_to_make_one(run: Run) -> None:
    ran = run("jobs")
    assert (ran.code, "notepipe start FOLDER" in ran.err) == (1, True)


def test_the_shop_is_given_by_option_or_environment(
    run: Run, taken: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(taken)
    assert "tram-7" in run("jobs", "--shop", "larkhill").out
    monkeypatch.setenv("NOTEPIPE_SHOP", "larkhill")
    assert "tram-7" in run("jobs").out


def test_a_paper_for_a_folder_that_is_not_there_is_not_written(run: Run, taken: Path) -> None:
    ran = run("list", "tram-7", "--leave-out", "--to", "nowhere/list.txt")
    assert (ran.code, "no folder to write in" in ran.err) == (1, True)
    assert "wrote the paper" not in run("history", "tram-7").out


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full: Linux only")
def test_standard_output_on_a_full_disk_is_one_clear_line(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        code = "from notepipe.cli import main; main(['models'])"
        kept = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
        ran = subprocess.run(
            [sys.executable, "-c", code], stdout=full, stderr=subprocess.PIPE, text=True, env=kept
        )
    assert ran.returncode == 1
    assert ran.stderr.startswith("Error: standard output: the disk is full\n")


def test_stopping_from_the_keyboard_is_one_line(
    run: Run, taken: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> Draft:
        raise KeyboardInterrupt

    monkeypatch.setattr(notepipe.reading, "read", stopped)
    ran = run("take", "tram-7", str(taken / "more.txt"))
    assert (ran.code, ran.err.strip()) == (130, "Stopped; what was finished is kept.")
    assert "1 note" in run("jobs").out


def test_a_bug_keeps_its_traceback(run: Run, taken: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(notepipe.reading, "read", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        cli.main(["draft", str(taken / "walk.txt")])


def test_every_command_s_help_has_an_example(run: Run) -> None:
    for name in cli.notepipe.commands:
        assert f"notepipe {name}" in run(name, "--help").out.partition("Example")[2], name


def test_wrong_words_are_told_with_the_way_to_help(run: Run) -> None:
    ran = run("revue")
    assert (ran.code, "No such command 'revue'" in ran.err) == (2, True)


def test_progress_is_one_line_every_ten_seconds_where_nobody_watches(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from notepipe.commands.shared import Progress

    now_s = 100.0
    monkeypatch.setattr("time.monotonic", lambda: now_s)
    progress = Progress("walk.m4a")
    for now_s in (100.5, 103.0, 104.0, 114.0):
        progress(now_s - 100, 20, "hearing")
    progress.close()
    assert capsys.readouterr().err == "walk.m4a: hearing, 15 %\nwalk.m4a: hearing, 70 %\n"
