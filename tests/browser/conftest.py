"""The desk as a process of its own, and a real Chromium before it.

The shop is made once: the demo's bench recording, kept as it is, under a draft that is written here, so that no
test waits for the hearing or depends on the reader. Each test has a job of its own in that shop.
"""

import io
import os
import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from notepipe.draft import Caution, Decision, Doubt, Draft, Note, Part, Question, Quote, Size
from notepipe.entries import (
    Body,
    JobOpened,
    NoteTaken,
    PartConfirmed,
    PictureAttached,
    QuestionConfirmed,
)
from notepipe.errands import ConditionNoted, PriceNoted, PromiseNoted, SheetLine, SheetSent
from notepipe.ledger import Hand, Ledger
from notepipe.shop import Settings, Shop, start_shop
from notepipe.transcript import Difference, Transcript, Word

CHROMIUM = "/usr/bin/chromium"
DEMO = Path(__file__).parents[2] / "demo_audio"
BENCH = "bench.ogg"
LINES_S = (
    (0.82, 6.18),
    (7.1, 20.06),
    (20.96, 29.12),
    (30.02, 39.06),
    (39.96, 41.72),
    (42.6, 48.76),
    (49.66, 56.5),
    (57.44, 61.06),
    (61.98, 66.4),
)
"""When each line of bench.txt is spoken: between the silences of 0.6 s that stand between the lines."""
AT = "2026-11-25T10:00:00+00:00"
HAND = Hand(who="Ada Fenn", at=AT)
WIDE = {"width": 1400, "height": 950}
_RUN = (sys.executable, "-c", "from notepipe.cli import main; main()")


def timed_words() -> Transcript:
    """The words of the bench note, each with seconds; within a line by the letters before it."""
    text, words = "", []
    for line, (start_s, end_s) in zip(
        (DEMO / "bench.txt").read_text(encoding="utf-8").splitlines(), LINES_S, strict=True
    ):
        a_letter = (end_s - start_s) / len(line)
        for match in re.finditer(r"\S+", line):
            words.append(
                Word(
                    text=match[0],
                    at=len(text) + match.start(),
                    start_s=round(start_s + match.start() * a_letter, 2),
                    end_s=round(start_s + match.end() * a_letter, 2),
                    probability=0.4 if match[0] == "rechromed," else 0.9,
                )
            )
        text += f"{line}\n"
    plater = text.index("plater")
    other = Difference(start=plater, end=plater + len("plater"), other="later")
    return Transcript(text=text, words=tuple(words), differences=(other,), duration_s=66.7)


HEARD = timed_words()


def _said(words: str) -> dict[str, Any]:
    start = HEARD.text.index(words)
    start_s, end_s = HEARD.seconds(start, start + len(words))
    return {"start_s": start_s, "end_s": end_s}


def quoted(words: str) -> Quote:
    return Quote(text=words, **_said(words))


def decided(action: str, words: str, standing: str = "decided", **more: Any) -> Decision:
    made = {"action": action, "standing": standing, "quote": words, **_said(words), **more}
    return Decision.model_validate(made)


def bench_draft(recording: str) -> Draft:
    """A set to split; a metal in doubt; a caution to acknowledge; plain ones; a question."""
    handles = Part(
        name="seat handle",
        heard_as=("eight seat handles",),
        quantity=8,
        metal="brass",
        sizes=(Size(feature="length", value="5 1/2", unit="in", mm=139.7),),
        decisions=(
            decided(
                "replate",
                "Six of them are going to the plater to be replated in nickel",
                by="plater",
                to_finish="nickel",
            ),
        ),
        quotes=(quoted("We have eight seat handles, brass, five and a half inches long"),),
    )
    lever = Part(
        name="bell lever",
        heard_as=("the bell lever",),
        metal="steel",
        decisions=(decided("polish", "We'll polish that here, in house", by="in house"),),
        quotes=(quoted("Next is the bell lever. That's steel."),),
        doubts=(Doubt(field="metal", why="taken back a moment later", other="bronze"),),
    )
    rail = Part(
        name="window rail",
        heard_as=("The window rail",),
        quantity=1,
        metal="brass",
        condition=("bent in the middle",),
        decisions=(decided("straighten", "we'll straighten it first"),),
        quotes=(quoted("It has a bend in the middle"),),
        cautions=(
            Caution(
                id="straighten-brass",
                text="Has it been straightened before?",
                defer_to="the bench",
                acknowledge=True,
            ),
        ),
    )
    bracket = Part(
        name="lamp bracket",
        heard_as=("Two lamp brackets",),
        quantity=2,
        metal="cast iron",
        decisions=(
            decided("replate", "We won't be plating those", "ruled-out"),
            decided("coat", "They just get cleaned and painted black", to_finish="black"),
        ),
        quotes=(quoted("Two lamp brackets, cast iron"),),
    )
    brake = Part(
        name="hand brake lever",
        heard_as=("The hand brake lever",),
        quantity=1,
        metal="steel",
        finish="chrome",
        decisions=(decided("replate", "I'm thinking of having it rechromed", "considering"),),
        quotes=(quoted("The hand brake lever is steel, with worn chrome"),),
    )
    kettle = Part(name="kettle", heard_as=("The kettle",), quotes=(quoted("The kettle's on"),))
    thread = "I need to find out what thread the seat bolts are"
    question = Question(
        to="shop", about="seat bolt", text="What thread are the seat bolts?", quote=thread, **_said(thread)
    )
    note = Note(file=BENCH, sha256=recording, duration_s=66.7)
    return Draft(note=note, parts=(handles, lever, rail, bracket, brake, kettle), questions=(question,))


class Job:
    """A job of the shop, as it stands in the ledger and where it stands on the desk."""

    def __init__(self, ledger: Path, name: str, recording: str) -> None:
        self.name = name
        self.recording = recording
        self.place = f"/job/{name}"
        self.note = f"{self.place}/note/{recording[:16]}"
        self._ledger = ledger

    def bodies(self, kind: str) -> list[Any]:
        """What stands there of that kind, the oldest first."""
        return [e.body for e in Ledger(self._ledger).entries(self.name) if e.body.kind == kind]

    def append(self, *bodies: Body) -> None:
        Ledger(self._ledger).append(self.name, HAND, *bodies)


class Desk:
    """The program, run as a person runs it."""

    def __init__(self, shop: Shop) -> None:
        with closing(socket.socket()) as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._shop = shop
        self._process: subprocess.Popen[str] | None = None
        self.home = f"http://127.0.0.1:{self.port}"
        self.way_in = ""

    def open(self) -> None:
        """Start it, and wait for the address it prints."""
        bare = {n: v for n, v in os.environ.items() if n not in ("NOTEPIPE_SHOP", "NOTEPIPE_AS")}
        command = [*_RUN, "desk", "--no-browser", "--port", str(self.port)]
        self._process = subprocess.Popen(
            command, cwd=self._shop.folder, env=bare, stderr=subprocess.PIPE, text=True
        )
        assert self._process.stderr
        said = ""
        for line in self._process.stderr:
            said += line
            if found := re.search(r"http://\S+", line):
                self.way_in = found[0]
                return
        raise AssertionError(said)

    def kill(self) -> None:
        """As the power does."""
        if self._process:
            self._process.kill()
            self._process.communicate()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Debian's Chromium, driven by Playwright."""
    driver = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser")
    path = shutil.which("chromium") or CHROMIUM
    if not Path(path).exists():
        pytest.skip(f"no {CHROMIUM} on this machine (Debian's package chromium): nothing to look with")
    with driver.sync_playwright() as playwright:
        flags = [
            "--no-sandbox",  # Chromium has none where it is root, as in CI.
            "--autoplay-policy=no-user-gesture-required",
            "--mute-audio",
            "--host-resolver-rules=MAP other.example 127.0.0.1",
        ]
        browser = playwright.chromium.launch(executable_path=path, args=flags)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """The shop, with the bench recording and its words kept."""
    settings = Settings(shop="Larkhill Tramway Workshop", reviewers=("Ada Fenn", "Joe Marsh"))
    shop = start_shop(tmp_path_factory.mktemp("desk") / "larkhill", settings)
    recording = shop.keep(DEMO / BENCH).name[:64]
    shop.transcripts.mkdir(exist_ok=True)
    (shop.transcripts / f"{recording}.base.json").write_text(HEARD.model_dump_json(), encoding="utf-8")
    return shop


@pytest.fixture(scope="session")
def desk(shop: Shop, chromium: Any) -> Iterator[Desk]:
    """The desk of the shop, open for all tests."""
    desk = Desk(shop)
    desk.open()
    yield desk
    desk.kill()


@pytest.fixture
def own_desk(shop: Shop, chromium: Any) -> Iterator[Desk]:
    """Another desk of the same shop, to be killed."""
    desk = Desk(shop)
    desk.open()
    yield desk
    desk.kill()


_numbers = iter(range(1, 1000))


@pytest.fixture
def jobs(shop: Shop) -> Callable[..., Job]:
    """Makes a job with the bench note under review, after *before*; *change* puts its draft otherwise."""
    bench = next(shop.recordings.glob("*.ogg")).name[:64]

    def make(
        *before: Body,
        change: Callable[[Draft], Draft] = lambda draft: draft,
        recording: str = bench,
        file: str = BENCH,
    ) -> Job:
        name = f"tram-{next(_numbers)}"
        draft = change(bench_draft(recording))
        opened = JobOpened(name=name, client="Fennimore Museum of Transport", what="Tram number 7")
        taken = NoteTaken(recording=recording, file=file, transcript=HEARD.text, draft=draft)
        Ledger(shop.ledger).append(name, HAND, opened, *before, taken)
        return Job(shop.ledger, name, recording)

    return make


def picture_in(shop: Shop) -> str:
    """The hash of a picture kept in *shop*."""
    out = io.BytesIO()
    Image.new("RGB", (300, 200), (180, 140, 60)).save(out, "JPEG")
    return shop.keep_picture(out.getvalue())


def months(recording: str, picture: str) -> tuple[Body, ...]:
    """What happens to a job: parts and a question confirmed, some out, a promise late, a price, a picture."""
    draft = bench_draft(recording)
    lamp = draft.parts[3].model_copy(update={"condition": ("worn",)})
    rail = draft.parts[2]
    asked = draft.questions[0].model_copy(
        update={"to": "client", "about": "window rail", "text": "Straighten it?"}
    )
    line = SheetLine(line=1, tag="001", name="lamp bracket", count=2, wanted="painted black")
    said = {"who": "Tarn Plating", "words": "by Monday", "said_on": "2026-11-20"}
    price = {"amount": "180", "currency": "GBP", "what_for": "painting", "words": "one eighty"}
    return (
        PartConfirmed(recording=recording, record="p4", tag="001", part=lamp),
        PartConfirmed(
            recording=recording, record="p3", tag="002", part=rail, acknowledged=("straighten-brass",)
        ),
        QuestionConfirmed(recording=recording, record="q1", tag="Q01", question=asked),
        SheetSent(
            sheet="S01", vendor="Tarn Plating", trade="painter", lines=(line,), pieces=2, on="2026-11-20"
        ),
        PromiseNoted(promise="D01", what="lamp bracket", tags=("001",), due="2026-11-23", **said),
        ConditionNoted(tag="001", moment="on arrival", condition=("one dented",), on="2026-11-19"),
        PriceNoted(price="M01", tag="001", **price),
        PictureAttached(tag="001", sha256=picture, file="bracket.jpg"),
    )


@pytest.fixture
def full(jobs: Callable[..., Job], shop: Shop) -> Job:
    """A job some months on, with something on each of its pages."""
    job = jobs()
    job.append(*months(job.recording, picture_in(shop)))
    return job


@pytest.fixture
def job(jobs: Callable[..., Job]) -> Job:
    return jobs()


@pytest.fixture
def browsers(chromium: Any, desk: Desk) -> Iterator[Callable[..., Any]]:
    """Makes a browser of its own that was let in, and in which *person* sits down.

    Whatever else a test looks at: no script of the desk may fail, and none may run that isn't the desk's.
    """
    wrong: list[str] = []
    contexts = []

    def heard(message: Any) -> None:
        # That another site may not frame the desk is refused as it should be.
        if "Content Security Policy" in message.text and "frame-ancestors" not in message.text:
            wrong.append(message.text)

    def browser(person: str = "Ada Fenn", to: str = "", way_in: str = "", **more: Any) -> Any:
        context = chromium.new_context(**{"viewport": WIDE, "base_url": desk.home, **more})
        context.set_default_timeout(10_000)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", heard)
        page.goto(way_in or desk.way_in)
        page.get_by_role("button", name=person).click()
        if to:
            page.goto(to)
        return page

    yield browser
    for context in contexts:
        context.close()
    assert wrong == []
