"""The commands ``promise``, ``kept``, ``due`` and ``calendar``, on a text note read by the rules."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import notepipe.commands.due
import notepipe.reading
from notepipe import cli
from notepipe.draft import Decision, Draft, Note, Part
from notepipe.errors import NotepipeError
from notepipe.trade import Trade
from notepipe.transcript import Transcript

Run = Callable[..., Result]
SAID = "Two lamps, those go to the plater, two weeks. The kettle is on. They want the step for the gala."


def stand_in(transcript: Transcript, note: Note, trade: Trade) -> Draft:
    replate = Decision(action="replate", standing="decided", by="plater", quote="those go to the plater")
    return Draft(note=note, parts=(Part(name="lamp", quantity=2, decisions=(replate,)),))


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("NOTEPIPE_SHOP", raising=False)
    monkeypatch.setenv("NOTEPIPE_AS", "Ada Fenn")
    monkeypatch.setattr(notepipe.reading, "read", stand_in)
    for module in (notepipe.commands.due, cli.hand_of.__globals__ and notepipe.commands.shared):
        monkeypatch.setattr(module, "now", lambda: "2026-11-25T10:00:00+00:00")

    def command(*words: str) -> Result:
        return CliRunner().invoke(cli.notepipe, words)

    command("start", "larkhill", "--name", "Larkhill Tramway Workshop", "--reviewer", "Ada Fenn")
    monkeypatch.chdir(tmp_path / "larkhill")
    Path("walk.txt").write_text(SAID, encoding="utf-8")
    command("job", "tram-7", "--client", "Fennimore Museum of Transport", "--what", "Tram 7")
    command("take", "tram-7", "walk.txt")
    command("review", "tram-7", "--all-without-a-doubt")
    return command


def test_what_was_heard_is_listed_and_noted_only_where_a_person_takes_it(run: Run) -> None:
    listed = run("promise", "tram-7", "--heard")
    assert "  1  Wed 9 December 2026  plater: lamp (001)" in listed.stdout
    assert "  2  no day  nobody named" in listed.stdout
    assert "nothing\n" in run("due", "tram-7").stdout.lower()
    taken = run("promise", "tram-7", "--take", "1")
    assert taken.stderr == "D01 plater: lamp (001), due Wed 9 December 2026\n"
    assert "noted already, as D01" in run("promise", "tram-7", "--heard", "walk.txt").stdout
    assert "tram-7 D01  plater: lamp (001)" in run("due", "tram-7").stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("promise", "tram-7", "--take", "9"), "no promise 9 was heard"),
        (("promise", "tram-7", "--take", "2"), "nobody was named"),
        (("promise", "tram-7", "--take", "2", "--who", "Ward"), "no day can be worked out of it"),
        (("promise", "tram-7", "--who", "Ward"), "a promise without a day"),
        (("promise", "tram-7", "--who", "Ward", "--words", "soon"), "no day can be worked out of “soon”"),
        (("promise", "tram-7", "--who", "Ward", "--words", "six to eight weeks"), "a range was said"),
        (("promise", "tram-7", "--who", "Ward", "--due", "2026-11-24"), "before the day it was promised"),
        (("promise", "tram-7", "099", "--who", "Ward", "--due", "2026-12-24"), "no part '099'"),
        (("promise", "tram-9", "--who", "Ward", "--due", "2026-12-24"), "no such job"),
        (("kept", "tram-7", "D04"), "no promise 'D04'"),
        (("due", "tram-7", "--on", "tomorrow"), "'tomorrow' is no date"),
    ],
)
def test_a_slip_is_told_and_nothing_is_noted(run: Run, words: tuple[str, ...], told: str) -> None:
    before = run("history", "tram-7").stdout
    result = run(*words)
    assert isinstance(result.exception, NotepipeError)
    assert told in str(result.exception)
    assert run("history", "tram-7").stdout == before


@pytest.mark.parametrize(
    "words",
    [
        ("due",),
        ("due", "tram-7", "--all"),
        ("calendar",),
        ("promise", "tram-7"),
        ("promise", "tram-7", "001", "--heard"),
    ],
)
def test_words_that_do_not_go_together_are_told(run: Run, words: tuple[str, ...]) -> None:
    assert run(*words).exit_code == 2


def test_a_vendor_misspelt_is_told_and_one_known_is_written_as_before(run: Run) -> None:
    run("promise", "tram-7", "--who", "Tarn Plating", "--words", "two weeks", "--what", "the sample")
    slip = ("promise", "tram-7", "--who", "Tarn Platting", "--words", "three weeks", "--what", "the key")
    assert "Did you mean 'Tarn Plating'?" in str(run(*slip).exception)
    assert run(*slip, "--new-vendor").stderr.startswith("D02 Tarn Platting: the key")
    again = run("promise", "tram-7", "--who", "tarn plating", "--words", "a month", "--what", "the box")
    assert again.stderr.startswith("D03 Tarn Plating: the box")


def test_the_day_is_worked_out_of_the_words(run: Run) -> None:
    noted = run("promise", "tram-7", "001", "--who", "Tarn Plating", "--words", "ten working days")
    assert noted.stderr == "D01 Tarn Plating: lamp (001), due Wed 9 December 2026\n"


def test_a_promise_moves_is_kept_and_tells_how_late(run: Run) -> None:
    told = ("promise", "tram-7", "001", "--who", "Tarn Plating", "--said-on", "2026-11-02")
    run(*told, "--due", "2026-11-16", "--past", "--words", "two weeks")
    moved = run(*told, "--due", "2026-11-29")
    assert moved.stderr.startswith(
        "D01 Tarn Plating: lamp (001), due Sun 29 November 2026, moved from 2026-11-16"
    )
    assert "That is a day off: Sunday." in moved.stderr
    kept = run("kept", "tram-7", "D01", "--on", "2026-11-24", "--remark", "by van")
    assert "kept on Tue 24 November 2026, 5 days early" in kept.stderr
    listed = run("due", "--all").stdout
    assert "Tarn Plating: once, 22 for 14 days promised, 8 later than promised" in listed


def test_the_calendar_is_written_the_same_twice(run: Run) -> None:
    run("promise", "tram-7", "--take", "1")
    run("calendar", "tram-7", "--to", "one.ics")
    run("calendar", "--all", "--to", "two.ics")
    one = Path("one.ics").read_bytes()
    assert one == Path("two.ics").read_bytes() == run("calendar", "tram-7").stdout_bytes
    assert b"SUMMARY:plater: lamp\r\n" in one


def test_a_country_nobody_knows_is_a_slip_in_the_settings(run: Run) -> None:
    settings = Path("shop.toml")
    settings.write_text(
        settings.read_text(encoding="utf-8").replace('country = ""', 'country = "XX"'), encoding="utf-8"
    )
    assert "no days off are known for country 'XX'" in str(run("due", "tram-7").exception)
