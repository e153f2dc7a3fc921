"""Power gone between any two writes, and two people at once: nothing is lost, nothing is there twice.

A command runs in a process of its own, which is killed (SIGKILL, as from kill -9) at its first step towards
the disk; then once more from the start, killed at the second; and so on until it comes through. Steps are
whatever opens a file to write, makes, moves or removes one, and around each INSERT and commit of the ledger.
"""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC
from datetime import datetime as real_datetime
from itertools import count
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from notepipe import cli, jobs
from notepipe.commands import shared as cli_shared
from notepipe.entries import Entry, PartConfirmed, RecordDropped
from notepipe.ledger import Ledger
from notepipe.reading import network
from notepipe.reading.tokens import tokens_of

NOTE = """\
Tram seven, upper deck. Four a scutcheons on the doors, they're brass, polish those. Two brackets, steel, send
them to the plater and have them replated in nickel. The hand wheel is bronze, it is cracked, leave that
alone.
"""
ANSWERS = """\
[[answer]]
heard = "scutcheons"
do = "confirm"
fields = { name = "escutcheon", quantity = "4", metal = "brass", "new decision" = "polish" }
settles = ["decision", "decisions", "quantity", "metal", "finish"]

[[answer]]
heard = "brackets"
do = "split"
groups = [{ quantity = 1 }, { quantity = 1, fields = { metal = "brass" } }]
settles = ["decision", "decisions", "quantity", "metal", "finish"]

[[answer]]
heard = "hand wheel"
do = "drop"
reason = "it belongs to another car"
"""
WRITING = {"os.rename", "os.remove", "os.mkdir", "os.chmod", "os.truncate", "os.link", "os.symlink"}
SEND = ("send", "tram-7", "--to", "Tarn Plating", "--trade", "plater", "--new-vendor", "--file", "sheet.txt")
COMMANDS = {
    "take": ("take", "tram-7", "walk.txt"),
    "review": ("review", "tram-7", "--answers", "a.toml", "--as", "Ada Fenn"),
    "words": ("words", "--take", "1", "--as", "Ada Fenn"),
    "issue": ("issue", "tram-7", "--leave-out", "--file", "letter.txt"),
    "send": SEND,
    "update": ("update", "tram-7", "--leave-out", "--to", "update.txt"),
}


class FixedClock(real_datetime):
    """The same moment always, so that two runs write the same bytes."""

    @classmethod
    def now(cls, tz: Any = None) -> FixedClock:
        return cls(2026, 11, 25, 10, 0, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def stages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Path]]:
    """The shop's folder as it is before each command of a day, and "end" after the last."""
    patched = pytest.MonkeyPatch()
    patched.setattr(cli_shared, "datetime", FixedClock)
    patched.setattr(network, "is_there", lambda: False)  # The rules read faster, and start no threads.
    tokens_of("Loaded once, not in every process.")
    home = tmp_path_factory.mktemp("shops")
    at = home / "take"
    assert ran("start", str(at), "--name", "Larkhill", "--reviewer", "Ada Fenn") == 0
    (at / "walk.txt").write_text(NOTE)
    (at / "a.toml").write_text(ANSWERS)
    assert ran("job", "tram-7", "--client", "Fennimore Museum", "--what", "Tram 7", shop=at) == 0
    folders = {"take": at}
    for name, after in zip(COMMANDS, [*list(COMMANDS)[1:], "end"], strict=True):
        folders[after] = shutil.copytree(folders[name], home / after)
        assert ran(*COMMANDS[name], shop=folders[after]) == 0, name
    yield folders
    patched.undo()


def ran(*words: str, shop: Path | None = None, before: Callable[[], None] = lambda: None) -> int:
    """The exit code of a command in a process of its own, or minus the signal that ended it."""
    child = os.fork()
    if child == 0:
        _command(words, shop, before)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _command(words: Sequence[str], shop: Path | None, before: Callable[[], None]) -> None:
    """Run it as the child; what it says goes to the file "said" beside the shop's folder."""
    code = 99
    try:
        said = os.open(f"{shop}.said" if shop else os.devnull, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(said, 1)
        os.dup2(said, 2)
        sys.stdout, sys.stderr = os.fdopen(1, "w"), os.fdopen(2, "w", buffering=1)
        if shop:
            os.chdir(shop)
        before()
        try:
            cli.main(list(words))
        except SystemExit as left:
            code = int(left.code or 0)
        sys.stdout.flush()
    finally:
        os._exit(code)


def dies_at(step: int) -> Callable[[], None]:
    """Let this process be killed when it takes its *step*-th step towards the disk."""
    left = [step]
    wrote = [False]

    def one_more(*_: object) -> None:
        left[0] -= 1
        if left[0] == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def ordered(*told: Any) -> None:
        if told[2].startswith("INSERT"):
            wrote[0] = True
            one_more()

    def ended(*_: object) -> None:
        if wrote[0]:
            one_more()

    def heard(event: str, told: tuple[Any, ...]) -> None:
        flags = told[2] if event == "open" and isinstance(told[2], int) else 0
        if event in WRITING or flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            one_more()

    def begin() -> None:
        sys.addaudithook(heard)
        for event in ("before_cursor_execute", "after_cursor_execute"):
            sa.event.listen(sa.engine.Engine, event, ordered)
        sa.event.listen(sa.engine.Engine, "commit", ended)
        sa.event.listen(sa.pool.Pool, "checkin", ended)

    return begin


def kept(shop: Path) -> tuple[Entry, ...]:
    """All entries, each verified."""
    ledger = Ledger(shop / "ledger.db")
    assert [verdict.wrong for verdict in ledger.check()] == [None]
    return ledger.entries("tram-7")


def files(shop: Path) -> dict[str, bytes]:
    """Every file a person would look at; what a cut-off write left behind (.part-…) stands for nothing."""
    return {
        str(path.relative_to(shop)): path.read_bytes()
        for path in sorted(shop.rglob("*"))
        if path.is_file() and path.suffix != ".db" and not path.name.startswith((".part-", "ledger.db"))
    }


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_killed_at_any_step_leaves_a_history_that_holds_and_finishes_when_run_again(
    stages: dict[str, Path], tmp_path: Path, name: str
) -> None:
    done = [*list(COMMANDS), "end"][list(COMMANDS).index(name) + 1]
    wanted, before = kept(stages[done]), kept(stages[name])
    assert wanted[: len(before)] == before
    assert len(wanted) > len(before)
    for step in count(1):
        shop = shutil.copytree(stages[name], tmp_path / str(step))
        if ran(*COMMANDS[name], shop=shop, before=dies_at(step)) != -signal.SIGKILL:
            assert step > 5, "it was never killed between two writes: nothing was tested"
            break
        found = kept(shop)
        assert found == wanted[: len(found)], f"killed at step {step}: what is kept is not how it goes"
        assert ran("check", shop=shop) == 0, Path(f"{shop}.said").read_text()
        if found != wanted or name == "words":
            ran(*COMMANDS[name], shop=shop)
        assert kept(shop) == wanted, f"killed at step {step}: {Path(f'{shop}.said').read_text()}"
        assert files(shop) == files(stages[done]), f"killed at step {step}"
        shutil.rmtree(shop)


def test_of_two_people_who_review_the_same_draft_at_once_the_second_is_told_and_each_answer_stands_once(
    stages: dict[str, Path], tmp_path: Path
) -> None:
    shop = shutil.copytree(stages["review"], tmp_path / "shop")
    both = multiprocessing.get_context("fork").Barrier(2, timeout=20)
    keep = jobs.keep_answer

    def together(*told: Any) -> Any:
        both.wait()  # Both have the record before them, waiting, when either answers.
        return keep(*told)

    def begin() -> None:
        jobs.keep_answer = together

    running = []
    for person in ("Ada", "Joe"):
        child = os.fork()
        if child == 0:
            (tmp_path / person).symlink_to(shop)  # So that each has a "said" of his own.
            _command(COMMANDS["review"], tmp_path / person, begin)
        running.append(child)
    codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in running]
    said = [(tmp_path / f"{person}.said").read_text() for person in ("Ada", "Joe")]
    assert max(codes) <= 1, said
    done = [entry.body for entry in kept(shop) if isinstance(entry.body, PartConfirmed | RecordDropped)]
    alone = [e.body for e in kept(stages["words"]) if isinstance(e.body, PartConfirmed | RecordDropped)]
    assert done == alone, said
    told = "".join(said)
    assert told.count("settled already") == 3, said
    assert told.count("Nothing is left to review") == 2, said
