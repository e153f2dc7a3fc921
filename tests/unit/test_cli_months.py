"""The commands of a job's months: questions, answers, letters that go out, closing, cautions off and on."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from notepipe import cli
from notepipe.draft import Caution, Decision, Draft, Note, Part, Question
from notepipe.entries import Body, JobOpened, NoteTaken, PartConfirmed, QuestionConfirmed
from notepipe.ledger import Hand, Ledger
from notepipe.shop import Settings, start_shop

ADA = ("--as", "Ada Fenn")
SHA = "ab" * 32
STARTED = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
LIFTING = Caution(id="lifting", text="Does it lift?", defer_to="a rigger", acknowledge=True)
RAIL = Part(
    name="dash rail",
    quantity=1,
    decisions=(
        Decision(action="straighten", standing="asking", quote="straight"),
        Decision(action="leave", standing="asking", quote="or leave it"),
    ),
    cautions=(LIFTING,),
)
DENT = Question(to="client", about="dash rail", text="Straight or left?", quote="straight")
FIND = Question(to="shop", about="lamp shade", text="Who has two shades?", quote="who has")
JOB: list[Body] = [
    JobOpened(name="tram-7", client="Fennimore Museum", what="Tram 7"),
    NoteTaken(
        recording=SHA, file="walk.txt", transcript="", draft=Draft(note=Note(file="walk.txt", sha256=SHA))
    ),
    PartConfirmed(recording=SHA, record="p1", tag="001", part=RAIL, acknowledged=("lifting",)),
    QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=DENT),
    QuestionConfirmed(recording=SHA, record="q2", tag="Q02", question=FIND),
]


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def now(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Sets the day the commands are given on."""

    def set_day(day: str) -> None:
        for module in ("shared", "questions", "standing"):
            monkeypatch.setattr(f"notepipe.commands.{module}.now", lambda: f"{day}T12:00:00+00:00")

    set_day("2026-12-03")
    return set_day


@pytest.fixture
def run(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, now: object
) -> Run:
    """Runs a command in a shop with two reviewers, where tram-7 has a part and two questions."""
    shop = start_shop(tmp_path / "larkhill", Settings(shop="Larkhill", reviewers=("Ada Fenn", "Joe Marsh")))
    monkeypatch.chdir(shop.folder)
    for name in ("NOTEPIPE_SHOP", "NOTEPIPE_AS"):
        monkeypatch.delenv(name, raising=False)
    Ledger(shop.ledger).append("tram-7", STARTED, *JOB)
    (shop.recordings / f"{SHA}.txt").write_text("", encoding="utf-8")

    def command(*words: str) -> Ran:
        with pytest.raises(SystemExit) as left:
            cli.main(words)
        said = capsys.readouterr()
        return Ran(int(left.value.code or 0), said.out, said.err)

    return command


def test_questions_are_listed_with_their_age_and_where_they_were_asked(run: Run) -> None:
    ran = run("questions", "tram-7")
    assert "Q01  to the client, about the dash rail (001): Straight or left?" in ran.out
    assert "open since 25 November 2026 (8 days); in no letter yet" in ran.out
    assert "waits for it: 001 dash rail, decision 2: leave: asking" in ran.out
    assert "2 open, 0 answered" in ran.err
    run("issue", "tram-7", *ADA)
    assert "asked in update 1 (3 December 2026)" in run("questions", "tram-7", "--open").out
    assert "Q01" not in run("questions", "tram-7", "--to", "shop").out
    assert run("questions", "tram-7", "--answered").out == ""


def test_an_answer_is_written_down_and_tells_what_hangs_on_it_with_the_command(run: Run) -> None:
    ran = run("answer", "tram-7", "Q01", "straight", "--on", "2026-12-01", "--way", "on the telephone")
    assert "Q01: answered by the client on 2026-12-01: straight" in ran.err
    assert "2 decisions still hang on Q01" in ran.err
    assert "CAUTION (to be acknowledged): Does it lift?" in ran.err
    command = (
        "notepipe answer tram-7 Q01 --decides 001/1=decided --decides 001/2=ruled-out"
        ' --acknowledge lifting --as "Ada Fenn"'
    )
    assert command in ran.err
    told = run("questions", "tram-7", "--answered").out
    assert "answered on 1 December 2026 by the client, on the telephone: “straight”" in told
    again = run("answer", "tram-7", "Q01", "left")
    assert (again.code, "was answered already, by the client on 2026-12-01: straight" in again.err) == (
        1,
        True,
    )


def test_what_it_settles_is_a_reviewers_word_in_one_stroke_with_the_answer_or_later(run: Run) -> None:
    decides = ("--decides", "001/1=decided", "--decides", "001/2=ruled-out")
    refused = run("answer", "tram-7", "Q01", "straight", *decides, "--as", "Mary", "--acknowledge", "lifting")
    assert (refused.code, "'Mary' may not review" in refused.err) == (1, True)
    unread = run("answer", "tram-7", "Q01", "straight", *decides, *ADA)
    assert (unread.code, "CAUTION: Does it lift?" in unread.err) == (1, True)
    assert "0 answered" in run("questions", "tram-7").err, "the answer went with what could not be settled"
    done = run("answer", "tram-7", "Q01", "straight", *decides, *ADA, "--acknowledge", "lifting")
    assert "decision 1 standing: was asking, now decided" in done.err
    assert "hang" not in done.err
    assert "will be straightened" in run("update", "tram-7").out
    assert "because of the answer to Q01" in run("history", "tram-7", "--question", "Q01").out
    put_right = run("answer", "tram-7", "Q01", "left", "--again")
    assert "001 was settled by the answer as it was before" in put_right.err


def test_a_question_to_the_shop_is_answered_by_whoever_writes_unless_told_otherwise(run: Run) -> None:
    assert (
        "Q02: answered by Joe Marsh" in run("answer", "tram-7", "Q02", "the one at", "--as", "Joe Marsh").err
    )


def test_neither_answer_nor_what_it_settles_is_a_command_typed_wrongly(run: Run) -> None:
    assert run("answer", "tram-7", "Q01").code == 2


def test_after_a_letter_the_next_tells_what_changed_and_asks_again(
    run: Run, now: Callable[[str], None], tmp_path: Path
) -> None:
    first = run("issue", "tram-7", "--to", "Mrs Keeble", "--way", "by e-mail", *ADA)
    assert "This is how your parts stand." in first.out
    assert "Update 1 is issued to Mrs Keeble, and kept as papers/tram-7/update-1.txt." in first.err
    now("2026-12-24")
    second = run("update", "tram-7")
    assert "Nothing has changed on your parts since our letter of 3 December 2026." in second.out
    assert "21 days ago" in second.out
    run("answer", "tram-7", "Q01", "straight, please", "--on", "2026-12-20")
    third = run("update", "tram-7")
    assert "“straight, please”" in third.out
    assert "WHAT WE NEED" not in third.out
    assert "001 dash rail still waits though Q01 was answered." in third.err
    assert "This is how your parts stand." in run("update", "tram-7", "--whole").out
    run("issue", "tram-7", "--file", "next.txt", *ADA)
    assert Path("next.txt").read_text(encoding="utf-8") == Path("papers/tram-7/update-2.txt").read_text(
        "utf-8"
    )
    listed = run("issued", "tram-7").out
    assert "3 December 2026  client update to Mrs Keeble, by e-mail, asking Q01; issued by Ada Fenn" in listed
    assert "24 December 2026  client update to Fennimore Museum; issued by Ada Fenn" in listed


def test_a_letter_that_was_only_written_is_not_issued(run: Run) -> None:
    run("update", "tram-7")
    assert "Nothing was issued yet." in run("issued", "tram-7").err
    assert "This is how your parts stand." in run("update", "tram-7").out


def test_a_letter_that_could_not_be_written_where_it_was_asked_for_is_not_issued(run: Run) -> None:
    ran = run("issue", "tram-7", "--file", "nowhere/update.txt")
    assert (ran.code, "is no folder to write in" in ran.err) == (1, True)
    assert "Nothing was issued yet." in run("issued", "tram-7").err


def test_check_finds_a_kept_letter_that_was_changed_or_is_gone(run: Run) -> None:
    run("issue", "tram-7", *ADA)
    assert "update" not in run("check").err
    kept = Path("papers/tram-7/update-1.txt")
    kept.write_text("Dear all\n", encoding="utf-8")
    changed = run("check")
    assert (changed.code, "update 1 was changed after it was issued" in changed.err) == (1, True)
    kept.unlink()
    assert "is not there" in run("check").err
    assert "(not there)" in run("issued", "tram-7").out


CLOSED = "job tram-7: was closed on 2026-12-03 by Ada Fenn: handed over"


@pytest.mark.parametrize(
    "words",
    [
        ("take", "tram-7", "more.txt"),
        ("review", "tram-7", *ADA),
        ("answer", "tram-7", "Q02", "nobody"),
        ("add", "tram-7", "bell", *ADA),
        ("correct", "tram-7", "001", "quantity=2", *ADA, "--acknowledge", "lifting"),
        ("issue", "tram-7"),
        ("close", "tram-7", "--reason", "twice"),
    ],
    ids=lambda words: words[0],
)
def test_a_closed_job_takes_nothing_more_and_says_what_to_do(run: Run, words: tuple[str, ...]) -> None:
    Path("more.txt").write_text("The bell, we'll polish that.\n", encoding="utf-8")
    closed = run("close", "tram-7", "--reason", "handed over", *ADA)
    assert "Without an answer: Q01, Q02" in closed.err
    ran = run(*words)
    assert ran.code == 1
    assert ran.err.count("Error") == 1
    assert CLOSED in ran.err
    assert "notepipe reopen tram-7 --reason WHY" in ran.err
    assert "closed: handed over" in run("jobs").out
    assert run("update", "tram-7").code == 0
    assert not Path("papers").exists()


def test_a_job_opened_again_goes_on(run: Run) -> None:
    run("close", "tram-7", "--reason", "handed over", *ADA)
    assert run("reopen", "tram-7", "--reason", "the bell came back", *ADA).code == 0
    assert run("answer", "tram-7", "Q02", "nobody").code == 0
    assert "is not closed" in run("reopen", "tram-7", "--reason", "again").err
    told = run("history", "tram-7", "--day", "2026-12-03", "--person", "Ada Fenn").out
    assert "closed the job: handed over" in told
    assert "opened the job again: the bell came back" in told
    assert "2 of 8 entries" in told


def test_a_safety_critical_caution_goes_off_by_a_reviewer_with_a_reason_and_is_told(run: Run) -> None:
    off = ("caution-off", "tram-7", "001", "lifting", "--reason", "a dummy")
    assert "may not review" in run(*off, "--as", "Mary").err
    ran = run(*off, *ADA)
    assert "! lifting is safety-critical." in ran.err
    assert "Does it lift?" not in run("update", "tram-7").out
    assert (
        "switched the caution lifting off for 001: a dummy" in run("history", "tram-7", "--part", "001").out
    )
    assert run("correct", "tram-7", "001", "quantity=2", *ADA).code == 0
    assert run("caution-on", "tram-7", "001", "lifting", "--reason", "it lifts", *ADA).code == 0
    assert "Does it lift?" in run("update", "tram-7").out
