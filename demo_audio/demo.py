"""What `make demo` runs: the months of a job in a minute, from three recordings and a fourth a week later.

Every step is a command as a person would type it, with the real engine, in a temporary folder. The reviews
are played back from the answers beside the recordings; what they leave in doubt stays open. The days that a
command is given are counted back from today.
"""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from notepipe.jobs import register_of
from notepipe.ledger import Ledger
from notepipe.register import Register

HERE = Path(__file__).resolve().parent
JOB = "tram-7"
RECORDINGS = ("bench.ogg", "platform.m4a", "shopfloor.ogg")
LATER = "again.ogg"
REVIEWER = "Ruth Ainslie"
CLIENT = "Fennimore Museum of Transport"
PLATER = "Tarn Plating"
NOTEPIPE = (sys.executable, "-c", "from notepipe.cli import main; main()")


class Demo:
    """A shop's folder of its own, and the commands given in it."""

    def __init__(self, folder: Path) -> None:
        self.shop = folder / "larkhill"
        self._folder = folder

    def say(self, line: str, *more: str) -> None:
        """A heading between the steps, and why they are taken."""
        print("", line, "-" * len(line), *more, sep="\n", flush=True)

    def run(self, *words: str, fails: bool = False) -> None:
        """One command, shown as it is typed. Ends the demo where it fails and should not."""
        print(f"$ {shlex.join(['notepipe', *(word.removeprefix(f'{HERE}/') for word in words)])}", flush=True)
        where = self.shop if self.shop.is_dir() else self._folder
        code = subprocess.run([*NOTEPIPE, *words], cwd=where, check=False, env=_environment()).returncode
        print(flush=True)
        if code and not fails:
            sys.exit(f"The demo stopped: that command ended with {code}.")

    def review(self, recording: str) -> None:
        """The recorded review of a note. Where another machine hears a word otherwise, its record is left."""
        answers = HERE / f"{Path(recording).stem}.answers.toml"
        self.run("review", JOB, recording, "--answers", str(answers), "--as", REVIEWER, fails=True)

    def part(self, name: str) -> str:
        """The tag of the first part on file that is called *name*; tags move where a record was left open."""
        return next((now.tag for now in self._register.parts if now.part.name == name), name)

    def question(self, about: str) -> str:
        """The tag of the question about *about*."""
        asked = self._register.questions
        return next((now.tag for now in asked if now.question.about == about), about)

    def promise(self, who: str) -> str:
        """The number of the promise that *who* gave."""
        return next((now.noted.promise for now in self._register.promises if now.noted.who == who), who)

    @property
    def _register(self) -> Register:
        return register_of(Ledger(self.shop / "ledger.db"), JOB)


def play(folder: Path) -> None:
    """The whole way in *folder*, from an empty shop to a copy of the job that can be checked."""
    demo = Demo(folder)
    first_round(demo)
    first_letter(demo)
    out_and_back(demo)
    second_round(demo)
    office(demo)
    for_good(demo)


def first_round(demo: Demo) -> None:
    """Start, job, take, review."""
    demo.say("A shop's folder, and a job in it")
    demo.run("start", "larkhill", "--name", "Larkhill Tramway Workshop", "--reviewer", REVIEWER)
    demo.run("job", JOB, "--client", CLIENT, "--what", "Tram number 7")

    demo.say("Three recordings are kept, heard and drafted (the long step: about half a minute)")
    demo.run("take", JOB, *(str(HERE / name) for name in RECORDINGS))

    demo.say("Nothing goes out unreviewed: this one is refused")
    demo.run("update", JOB, fails=True)

    demo.say(
        f"{REVIEWER}'s review, played back", "One record she puts off: it stays open, and out of every paper."
    )
    for name in RECORDINGS:
        demo.review(name)


def first_letter(demo: Demo) -> None:
    """The parts list, the first update goes out, and what was promised in a note."""
    demo.say("The parts list, and the same as CSV for a spreadsheet")
    demo.run("list", JOB, "--leave-out")
    demo.run("list", JOB, "--leave-out", "--csv", "--to", "parts.csv")

    demo.say("The client's update, as it would read; then it goes out, and the history keeps that")
    demo.run("update", JOB, "--leave-out")
    demo.run("issue", JOB, "--leave-out", "--way", "by e-mail", "--file", "letter-1.txt")

    demo.say("A time that was promised in a note becomes a day, once somebody takes it")
    demo.run("promise", JOB, "--heard")
    demo.run("promise", JOB, "--take", "1", fails=True)


def out_and_back(demo: Demo) -> None:
    """A sheet to the plater, and what came back of it."""
    handles, rail = demo.part("seat handle"), demo.part("handrail")
    went, came = _day(15), _day(1)
    dated = f"The days are set back to {went}, so that they can return."
    demo.say("Parts go to the plater with a counted sheet", dated)
    never = f"{handles}=do not buff the stamped number away"
    sheet = ("--to", PLATER, "--trade", "plater", "--never", never, "--on", went)
    demo.run("send", JOB, handles, rail, *sheet)
    promised = ("--who", PLATER, "--words", "three weeks", "--sheet", "S01", "--said-on", went)
    demo.run("promise", JOB, handles, rail, *promised)

    demo.say("They come back, one short and one damaged: both stay in sight until they are settled")
    damage = ("--line", "2=1", "--damage", "2=a run in the chrome")
    demo.run("back", JOB, "S01", "--line", "1=5", *damage, "--on", came)
    demo.run("out", JOB)
    demo.run("settle", JOB, "S01", "2", "they took the run out here, free of charge")


def second_round(demo: Demo) -> None:
    """The client answers, and a later note is held against what is on file."""
    demo.say("The client rings: her answer is written down, and a reviewer says what it settles")
    bell, asked = demo.part("big bell"), demo.question("big bell")
    told = ("--by", "the client, Doctor Adair", "--way", "on the telephone")
    demo.run("answer", JOB, asked, "polished, please", *told, fails=True)
    settled = ("--decides", f"{bell}/1=decided", "--decides", f"{bell}/2=ruled-out")
    demo.run("answer", JOB, asked, *settled, "--as", REVIEWER, fails=True)

    demo.say(
        "A week on: another recording of the same job, held against what is on file",
        "New, the same, more, or changed, with the words of both notes; '@' may answer an open question.",
    )
    demo.run("take", JOB, str(HERE / LATER))
    demo.run("compare", JOB, LATER)
    demo.review(LATER)

    demo.say("The note explains the short count: so it is settled, and the two parts are done")
    demo.run("settle", JOB, "S01", "1", "only five ever went: counted wrong here", "--missing")
    demo.run("kept", JOB, demo.promise(PLATER), "--on", _day(1))
    for part in ("seat handle", "handrail"):
        demo.run("correct", JOB, demo.part(part), "decision 1 standing=done", "--as", REVIEWER, fails=True)


def office(demo: Demo) -> None:
    """The second letter, and what the office works from."""
    demo.say("The next update tells what has changed since the first, and asks again what is unanswered")
    demo.run("update", JOB, "--leave-out")
    demo.run("issue", JOB, "--leave-out", "--way", "by e-mail", "--file", "letter-2.txt")

    demo.say("What is to be done at the bench, by operation")
    demo.run("lists", JOB, "bench", "--leave-out")

    demo.say("What is due, how long it took before, and the same for the office's calendar")
    demo.run("promise", JOB, "--heard", LATER, "--take", "1", fails=True)
    demo.run("due", JOB)
    demo.run("calendar", JOB, "--to", "tram-7.ics")


def for_good(demo: Demo) -> None:
    """A copy of the whole job, and the history."""
    demo.say("The whole job on one page, which can be checked without this shop's folder")
    demo.run("export", JOB, "--to", "tram-7.html")
    demo.run("check", "--copy", "tram-7.html")

    demo.say("Who decided what about the seat handles, from which words, and what it was before")
    demo.run("history", JOB, "--part", demo.part("seat handle"), fails=True)

    demo.say("Is the history whole, and is every recording and letter as it was?")
    demo.run("check")


def _day(days_ago: int) -> str:
    return (date.today() - timedelta(days=days_ago)).isoformat()


def _environment() -> dict[str, str]:
    """Ours, without a shop or a name that the person may have set for their own work."""
    return {name: value for name, value in os.environ.items() if name not in ("NOTEPIPE_SHOP", "NOTEPIPE_AS")}


def main() -> None:
    """Play it in a folder that is gone afterwards."""
    begun_s = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="notepipe-demo-") as folder:
        play(Path(folder))
    print(f"Done in {time.monotonic() - begun_s:.0f} s. Nothing of it is left behind.")
    print("Your own recording next: see 'A recording of your own' in README.md.")


if __name__ == "__main__":
    main()
