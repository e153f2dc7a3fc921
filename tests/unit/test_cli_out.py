"""The commands of parts that go out and come back, and of what is noted of a part; on a job kept by hand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from notepipe import cli
from notepipe.draft import Decision, Draft, Note, Part
from notepipe.entries import JobOpened, NoteTaken, PartConfirmed
from notepipe.errors import NotepipeError
from notepipe.ledger import Hand, Ledger
from notepipe.shop import Settings, start_shop

Run = Callable[..., Result]
STARTED = Hand(who="Ada Fenn", at="2026-11-20T10:00:00+00:00")
SHA = "ab" * 32
REPLATE = Decision(action="replate", standing="decided", by="plater", to_finish="nickel", quote="x")
REPLACE = Decision(action="replace", standing="decided", quote="x")


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    monkeypatch.delenv("NOTEPIPE_SHOP", raising=False)
    monkeypatch.setenv("NOTEPIPE_AS", "Ada Fenn")
    for module in ("shared", "out", "lists"):
        monkeypatch.setattr(f"notepipe.commands.{module}.now", lambda: "2026-11-25T10:00:00+00:00")
    folder = tmp_path / "larkhill"
    start_shop(folder, Settings(shop="Larkhill Tramway Workshop", reviewers=("Ada Fenn",), currency="GBP"))
    monkeypatch.chdir(folder)
    ledger = Ledger(folder / "ledger.db")
    for job in ("tram-7", "tram-9"):
        draft = Draft(note=Note(file="walk.txt", sha256=SHA))
        ledger.append(
            job,
            STARTED,
            JobOpened(name=job, client="Fennimore Museum", what="Tram 7"),
            NoteTaken(recording=SHA, file="walk.txt", transcript="", draft=draft),
            *(
                PartConfirmed(recording=SHA, record=f"p{number}", tag=f"{number:03}", part=part)
                for number, part in enumerate(
                    (
                        Part(name="seat handle", quantity=6, decisions=(REPLATE,)),
                        Part(name="handrail", quantity=1, decisions=(REPLATE,)),
                        Part(name="step plate", quantity=2, decisions=(REPLACE,)),
                    ),
                    start=1,
                )
            ),
        )

    def command(*words: str) -> Result:
        return CliRunner().invoke(cli.notepipe, words)

    return command


def ok(result: Result) -> Result:
    assert result.exit_code == 0, result.exception
    return result


def test_a_sheet_goes_out_is_kept_and_printed_again_to_the_byte(run: Run) -> None:
    tried = ok(run("send", "tram-7", "--to", "Tarn Plating", "--try"))
    assert "Nothing is sent yet" in tried.stderr
    assert not Path("papers").exists()
    gone = ok(run("send", "tram-7", "--to", "Tarn Plating", "--file", "sheet.txt"))
    assert gone.stderr.endswith(
        "Sheet S01: 7 pieces to Tarn Plating (plater), kept as papers/tram-7/sheet-S01.txt.\n"
    )
    assert Path("sheet.txt").read_text(encoding="utf-8") == tried.stdout
    assert ok(run("sheet", "tram-7", "S01")).stdout_bytes == Path("sheet.txt").read_bytes()
    assert ok(run("sheet", "tram-7")).stdout == (
        "S01  2026-11-25  Tarn Plating (plater), 7 pieces, 7 still out\n"
    )
    assert "sent 7 pieces to Tarn Plating with sheet S01" in run("history", "tram-7", "--part", "001").stdout


def test_a_sheet_that_was_changed_is_told(run: Run) -> None:
    run("send", "tram-7", "--to", "Tarn Plating")
    kept = Path("papers/tram-7/sheet-S01.txt")
    kept.write_text("otherwise", encoding="utf-8")
    assert "was changed after it was sent to Tarn Plating" in str(run("sheet", "tram-7", "S01").exception)
    assert "sheet S01 was changed" in run("check").stderr
    kept.unlink()
    assert "is not there" in str(run("sheet", "tram-7", "S01").exception)
    assert "sheet S01, sent to Tarn Plating on 2026-11-25, is not there" in run("check").stderr


def test_a_sheet_that_cannot_be_written_does_not_go(run: Run) -> None:
    result = run("send", "tram-7", "--to", "Tarn Plating", "--file", "nowhere/sheet.txt")
    assert isinstance(result.exception, NotepipeError)
    assert "No sheet went out yet" in run("sheet", "tram-7").stderr


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("send", "tram-7", "--to", "Tarn Platting"), "Did you mean 'Tarn Plating'? If it is another one"),
        (("send", "tram-7", "001", "--to", "Tarn Plating"), "is out already"),
        (("send", "tram-7", "003", "--to", "Tarn Plating"), "nothing is decided for the plater"),
        (("send", "tram-8", "--to", "Tarn Plating"), "no such job"),
        (("back", "tram-7", "S01", "--line", "1=7"), "7 came back, and 6 went out"),
        (("back", "tram-7", "S01", "--line", "one=7"), "'one' is no line of a sheet"),
        (("back", "tram-7", "S02", "--all"), "no sheet 'S02'"),
        (("back", "tram-7", "S01", "--all", "--on", "2026-11-24"), "it only went on 2026-11-25"),
        (("back", "tram-7", "S01", "--all", "--done", "--as", "Joe"), "'Joe' may not review"),
        (("settle", "tram-7", "S01", "4", "credited"), "no line 4"),
        (("original", "tram-7", "001", "kept"), "it has no original"),
        (("original", "tram-7", "003"), "where is the original?"),
        (("original", "tram-7", "003", "keept"), "Did you mean 'kept'?"),
        (("condition", "tram-7", "009", "back", "bright"), "no part '009'"),
        (("price", "tram-7", "--release", "M01", "--as", "Joe"), "'Joe' may not review"),
        (("price", "tram-7", "001", "180", "GPB", "--for", "x"), "no currency 'GPB'"),
        (("part", "tram-7", "009"), "no part '009'"),
    ],
)
def test_a_slip_is_told_and_nothing_is_kept(run: Run, words: tuple[str, ...], told: str) -> None:
    ok(run("send", "tram-7", "--to", "Tarn Plating"))
    before = run("history", "tram-7").stdout
    result = run(*words)
    assert isinstance(result.exception, NotepipeError)
    assert told in str(result.exception)
    assert run("history", "tram-7").stdout == before


@pytest.mark.parametrize(
    "words",
    [
        ("back", "tram-7", "S01"),
        ("out",),
        ("out", "tram-7", "--all"),
        ("price", "tram-7", "001"),
        ("price", "tram-7", "001", "--release", "M01"),
        ("lists", "tram-7", "shopping"),
        ("send", "tram-7"),
    ],
)
def test_words_that_do_not_go_together_are_told(run: Run, words: tuple[str, ...]) -> None:
    assert run(*words).exit_code == 2


def test_a_name_nearly_known_from_another_job_is_asked_about_or_meant(run: Run) -> None:
    run("send", "tram-9", "--to", "Tarn Plating")
    assert "Did you mean 'Tarn Plating'?" in str(run("send", "tram-7", "--to", "Tarn Platting").exception)
    gone = ok(run("send", "tram-7", "--to", "Tarn Platting", "--new-vendor"))
    assert "to Tarn Platting (plater)" in gone.stderr


def test_what_came_back_short_stays_in_sight_and_is_settled(run: Run) -> None:
    run("send", "tram-7", "--to", "Tarn Plating", "--trade", "plater")
    back = ok(run("back", "tram-7", "S01", "--line", "1=5", "--finish", "1=chromed", "--remark", "by van"))
    assert "5 of 6, 1 still out; came back chromed, wanted nickel-plated" in back.stderr
    assert 'notepipe settle tram-7 S01 1 "how"' in back.stderr
    ok(run("out", "tram-7", "--to", "out.txt"))
    assert "came back chromed" in Path("out.txt").read_text(encoding="utf-8")
    settled = ok(run("settle", "tram-7", "S01", "1", "replated free"))
    assert "1 piece of it still out. If they won't come either: --missing" in settled.stderr
    ok(run("settle", "tram-7", "S01", "1", "lost, paid for"))
    done = ok(run("back", "tram-7", "S01", "--all"))
    assert 'To mark it done: notepipe correct tram-7 002 "decision 1 standing=done"' in done.stderr
    ok(run("correct", "tram-7", "002", "decision 1 standing=done"))
    assert "Nothing is out, and nothing is open." in run("out", "--all").stdout
    assert (
        "settled line 1 of sheet S01: lost, paid for (1 piece will not come)"
        in run("history", "tram-7", "--part", "001").stdout
    )


def test_pieces_that_a_later_count_left_out_are_not_taken_off_what_is_here(run: Run) -> None:
    run("send", "tram-7", "--to", "Tarn Plating")
    run("back", "tram-7", "S01", "--line", "1=5")
    ok(run("settle", "tram-7", "S01", "1", "only five ever went", "--missing"))
    assert "5 of 6 here" in run("part", "tram-7", "001").stdout
    ok(run("correct", "tram-7", "001", "quantity=5"))
    assert "5 of 5 here" in run("part", "tram-7", "001").stdout


def test_a_reviewer_marks_done_in_the_same_stroke(run: Run) -> None:
    run("send", "tram-7", "--to", "Tarn Plating")
    early = ok(run("back", "tram-7", "S01", "--line", "1=1", "--done"))
    assert "Nothing is marked done" in early.stderr
    done = ok(run("back", "tram-7", "S01", "--all", "--done"))
    assert "✓ 001 seat handle: decision 1 standing done" in done.stderr
    assert "To mark it done" not in done.stderr
    assert "replate to nickel, plater: done" in run("part", "tram-7", "001").stdout


def test_what_is_out_of_every_job(run: Run) -> None:
    run("send", "tram-7", "--to", "Tarn Plating")
    run("send", "tram-9", "001", "--to", "Tarn Plating", "--trade", "plater")
    told = ok(run("out", "--all", "--csv")).stdout
    assert [line.split(",")[:2] for line in told.splitlines()[1:]] == [
        ["001", "tram-7"],
        ["002", "tram-7"],
        ["001", "tram-9"],
    ]


def test_originals_are_listed_until_they_are_somewhere(run: Run) -> None:
    assert ok(run("original", "tram-7")).stdout == "003  step plate, 2 of 2\n"
    ok(run("original", "tram-7", "003", "kept", "--count", "2", "--remark", "by the door"))
    assert "Every original is accounted for" in run("original", "tram-7").stderr
    assert "2 of the originals: kept, by the door" in run("part", "tram-7", "003").stdout


def test_a_price_is_noted_listed_and_released(run: Run) -> None:
    ok(run("price", "tram-7", "001", "1,180", "--for", "replating", "--words", "call it twelve hundred"))
    assert "M01  001  1180 GBP for replating, inside the shop" in ok(run("price", "tram-7")).stdout
    assert "1,180" not in run("update", "tram-7").stdout
    ok(run("price", "tram-7", "--release", "M01"))
    assert "£1,180" in run("update", "tram-7").stdout
    assert "released to the client" in run("part", "tram-7", "001").stdout


def test_conditions_are_on_the_part_s_page(run: Run) -> None:
    ok(run("condition", "tram-7", "001", "on arrival", "pitted; two dents"))
    ok(run("condition", "tram-7", "001", "back", "bright", "--from", "Tarn Plating", "--on", "2026-11-24"))
    page = run("part", "tram-7", "001").stdout
    assert "back from Tarn Plating  24 November 2026: bright" in page
    assert "on arrival              25 November 2026: pitted; two dents" in page


@pytest.mark.parametrize("which", ["bench", "buying", "looking-for", "out"])
def test_every_list_is_written_as_text_and_csv(run: Run, which: str) -> None:
    assert "Larkhill Tramway Workshop" in ok(run("lists", "tram-7", which)).stdout
    ok(run("lists", "tram-7", which, "--csv", "--to", "list.csv"))
    assert "tag,job," in Path("list.csv").read_text(encoding="utf-8")
    assert f"wrote the paper '{which.replace('-', ' ')} list (CSV)'" in run("history", "tram-7").stdout


def test_closing_a_job_names_what_is_out_and_unaccounted_for(run: Run) -> None:
    run("send", "tram-7", "--to", "Tarn Plating")
    told = ok(run("close", "tram-7", "--reason", "handed over")).stderr
    assert "Still out, or to be settled: S01" in told
    assert "Originals nobody has accounted for: 003" in told
    assert "was closed on" in str(run("back", "tram-7", "S01", "--all").exception)
