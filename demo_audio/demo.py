"""What `make demo` runs: three recordings become a client's update and a parts list, from nothing.

Every step is a command as a person would type it, with the real engine, in a temporary folder. The review is
played back from the answers beside the recordings; what they leave in doubt stays open.
"""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
JOB = "tram-7"
RECORDINGS = ("bench.ogg", "platform.m4a", "shopfloor.ogg")
REVIEWER = "Ruth Ainslie"
NOTEPIPE = (sys.executable, "-c", "from notepipe.cli import main; main()")


class Demo:
    """A shop's folder of its own, and the commands given in it."""

    def __init__(self, folder: Path) -> None:
        self.shop = folder / "larkhill"
        self._folder = folder

    def say(self, line: str) -> None:
        """A heading between the steps."""
        print(f"\n{line}\n{'-' * len(line)}", flush=True)

    def run(self, *words: str, fails: bool = False) -> None:
        """One command, shown as it is typed. Ends the demo where it fails and should not."""
        print(f"$ {shlex.join(['notepipe', *(word.removeprefix(f'{HERE}/') for word in words)])}", flush=True)
        where = self.shop if self.shop.is_dir() else self._folder
        code = subprocess.run([*NOTEPIPE, *words], cwd=where, check=False, env=_environment()).returncode
        if code and not fails:
            sys.exit(f"The demo stopped: that command ended with {code}.")


def _environment() -> dict[str, str]:
    """Ours, without a shop or a name that the person may have set for their own work."""
    return {name: value for name, value in os.environ.items() if name not in ("NOTEPIPE_SHOP", "NOTEPIPE_AS")}


def play(folder: Path) -> None:
    """The whole way in *folder*: start, job, take, review, papers, history."""
    demo = Demo(folder)
    demo.say("A shop's folder, and a job in it")
    demo.run("start", "larkhill", "--name", "Larkhill Tramway Workshop", "--reviewer", REVIEWER)
    client, what = "Fennimore Museum of Transport", "Tram number 7"
    demo.run("job", JOB, "--client", client, "--what", what)

    demo.say("Three recordings are kept, heard and drafted (the long step: about half a minute)")
    demo.run("take", JOB, *(str(HERE / name) for name in RECORDINGS))

    demo.say("Nothing goes out unreviewed")
    demo.run("update", JOB, fails=True)

    demo.say(f"{REVIEWER}'s review, played back; what is in doubt and not answered stays open")
    for name in RECORDINGS:
        answers = HERE / f"{Path(name).stem}.answers.toml"
        # Another machine's engine may hear a word otherwise: that answer is told, its record left open.
        demo.run("review", JOB, name, "--answers", str(answers), "--as", REVIEWER, fails=True)

    demo.say("The client's update")
    demo.run("update", JOB, "--leave-out")
    demo.say("The parts list, and the same as CSV")
    demo.run("list", JOB, "--leave-out")
    demo.run("list", JOB, "--leave-out", "--csv")
    demo.say("Who decided one of the parts, from which words, and what was put right; is the history whole?")
    demo.run("history", JOB, "--part", "004", fails=True)
    demo.run("check")


def main() -> None:
    """Play it in a folder that is gone afterwards."""
    begun_s = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="notepipe-demo-") as folder:
        play(Path(folder))
    print(f"\nDone in {time.monotonic() - begun_s:.0f} s. Nothing of it is left behind.")
    print("Your own recording next: see 'A recording of your own' in README.md.")


if __name__ == "__main__":
    main()
