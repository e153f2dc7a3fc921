"""What a shop of years costs: 100,000 entries, 10,000 parts and 1,000 notes, in one job and over many.

Each step is timed in a job of a tenth of the size and in the whole one, in the same run: ten times the
entries may cost ten times as much and no more, and an answer hardly more. The seconds are printed.

make bench
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from notepipe.entries import NoteTaken
from notepipe.jobs import as_written, keep_answer, paper_written, register_of, sittings
from notepipe.ledger import Hand, Ledger
from notepipe.papers import Letter, parts_csv, parts_list, update
from notepipe.review import Confirm

sys.path.insert(0, str(Path(__file__).parent))
from many import history, note, part

ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
LETTER = Letter(shop="Larkhill Tramway Workshop", date="25 November 2026", today="2026-11-25", leave_out=True)
TIMES = 10
SMALL_JOBS = 40
"""Beside the big one: 1,000 entries and 100 parts each."""
SLACK = 1.7
"""What memory that no longer fits the processor's own may add."""


class Steps(NamedTuple):
    """The seconds of each step in one job."""

    entries: int
    seconds: dict[str, float]


def timed(seconds: dict[str, float], step: str, do: Callable[[], Any]) -> Any:
    began = time.process_time()  # Of the processor, so that the machine's other work does not count.
    value = do()
    seconds[step] = time.process_time() - began
    return value


def new_note(parts: int) -> NoteTaken:
    """A note of 30 parts, half of them on file."""
    drafted = tuple(part(k * 97 % parts if k % 2 else parts + k) for k in range(30))
    return note(900_000, drafted)


def walked(path: Path, job: str, parts: int) -> Steps:
    """Every step of a day in the office, on the job as it stands."""
    took: dict[str, float] = {}
    fresh = Ledger(path)
    register = timed(took, "register, read and folded", lambda: register_of(fresh, job))
    entries = register.last_number
    timed(took, "register, again", lambda: register_of(fresh, job))
    taken = new_note(parts)
    timed(took, "a note taken", lambda: fresh.append(job, ADA, taken))
    (sitting,) = timed(took, "a sitting opened", lambda: sittings(register_of(fresh, job), taken.file))
    timed(took, "30 parts matched", lambda: sitting.matches)
    answer = Confirm(record="p1", onto="new")
    timed(took, "an answer kept", lambda: keep_answer(fresh, job, ADA, taken.recording, answer))
    register = register_of(fresh, job)
    timed(took, "parts list", lambda: parts_list(register, LETTER))
    timed(took, "parts list, CSV", lambda: parts_csv(register, LETTER))
    text = timed(took, "client update", lambda: update(register, LETTER))
    paper = as_written("client update", text, 0)
    timed(took, "its entry", lambda: paper_written(fresh, job, ADA, paper))
    return Steps(entries, took)


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop's ledger: one big job, one of a tenth of it, and forty small ones."""
    path = tmp_path_factory.mktemp("shop") / "ledger.db"
    ledger = Ledger(path)
    for k in range(SMALL_JOBS):
        ledger.append(f"job-{k}", ADA, *history(f"job-{k}", 100, 1_000))
    ledger.append("tenth", ADA, *history("tenth", 1_000, 10_000))
    ledger.append("whole", ADA, *history("whole", 10_000, 100_000))
    return path


def test_ten_times_the_entries_cost_ten_times_as_much_and_no_more(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    walked(path, "job-0", 100)  # So that what is loaded once is loaded.
    tenth, whole = walked(path, "tenth", 1_000), walked(path, "whole", 10_000)
    with capsys.disabled():
        print(f"\n{'one job of':32}{tenth.entries:>12,}{whole.entries:>12,} entries")
        for step, seconds in whole.seconds.items():
            print(f"{step:32}{tenth.seconds[step]:>10.3f} s{seconds:>10.3f} s")
    floor = 0.02  # Seconds below which a measurement is of the machine, not of the step.
    slower = {
        step: round(seconds / max(tenth.seconds[step], floor), 1)
        for step, seconds in whole.seconds.items()
        if seconds > TIMES * SLACK * max(tenth.seconds[step], floor)
    }
    assert slower == {}
    assert whole.seconds["an answer kept"] < whole.seconds["register, read and folded"]
    assert whole.seconds["register, again"] < whole.seconds["register, read and folded"] / 10


def test_checking_costs_by_the_entry_however_they_lie(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    alone = Ledger(tmp_path / "ledger.db")
    alone.append("tenth", ADA, *history("tenth", 1_000, 10_000))
    took: dict[str, float] = {}
    few = timed(took, "few", alone.check)
    all_ = timed(took, "all", Ledger(path).check)
    assert {verdict.wrong for verdict in (*few, *all_)} == {None}
    counted = sum(verdict.good for verdict in all_)
    assert counted >= 150_000
    with capsys.disabled():
        print(f"\ncheck of {few[0].good:,} entries {took['few']:.2f} s, of {counted:,} {took['all']:.2f} s")
    assert took["all"] / counted < SLACK * took["few"] / few[0].good


def test_all_jobs_of_the_shop_are_listed_by_the_entry_too(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    took: dict[str, float] = {}
    ledger = Ledger(path)
    few = [f"job-{k}" for k in range(10)]
    many = [job for job in ledger.jobs() if job.startswith("job-")]
    timed(took, "ten", lambda: [register_of(ledger, job) for job in few])
    timed(took, "forty", lambda: [register_of(ledger, job) for job in many])
    with capsys.disabled():
        print(f"\n10 jobs of 1,000 entries listed in {took['ten']:.2f} s, 40 in {took['forty']:.2f} s")
    assert took["forty"] < 4 * SLACK * took["ten"]
