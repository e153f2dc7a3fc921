"""A shop of an invented tramway workshop with one drafted note, its desk, and browsers that were let in."""

from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from notepipe.desk.app import application
from notepipe.desk.desk import Desk
from notepipe.draft import Caution, Decision, Doubt, Draft, Note, Part, Question, Quote
from notepipe.entries import JobOpened, NoteTaken
from notepipe.ledger import Hand, Ledger
from notepipe.shop import Settings, Shop, start_shop

AT = "2026-11-25T10:00:00+00:00"
HOME = "http://127.0.0.1:7407"
SAID = "Six lamps, brass. Replate the lamps. The dash rail is bent. Straighten it or leave it?"
NOTE = "note.txt"
Browsers = Callable[..., TestClient]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return start_shop(
        tmp_path / "larkhill",
        Settings(shop="Larkhill Tramway Workshop", reviewers=("Ada Fenn", "Joe Marsh")),
    )


@pytest.fixture
def draft() -> Draft:
    """Two parts, the first with a doubt, the second with a caution to acknowledge; a question."""
    lamp = Part(
        name="lamp",
        heard_as=("six lamps",),
        quantity=6,
        metal="brass",
        decisions=(Decision(action="replate", standing="decided", quote="Replate the lamps"),),
        quotes=(Quote(text="Six lamps, brass"),),
        doubts=(Doubt(field="metal", why="heard badly", other="bronze"),),
    )
    rail = Part(
        name="dash rail",
        condition=("bent",),
        quotes=(Quote(text="The dash rail is bent"),),
        cautions=(Caution(id="lifting", text="Does it lift?", defer_to="a rigger", acknowledge=True),),
    )
    question = Question(
        to="client", about="dash rail", text="Straighten it or leave it?", quote="Straighten it or leave it?"
    )
    return Draft(
        note=Note(file=NOTE, sha256=""), parts=(lamp, rail, Part(name="step")), questions=(question,)
    )


@pytest.fixture
def recording(shop: Shop, tmp_path: Path) -> str:
    """The hash of the note, kept in the shop."""
    (tmp_path / NOTE).write_text(SAID, encoding="utf-8")
    return shop.keep(tmp_path / NOTE).name[:64]


@pytest.fixture
def desk(shop: Shop, recording: str, draft: Draft) -> Desk:
    """The desk of the shop, with the job ``tram-7`` and its one note."""
    ledger = Ledger(shop.ledger)
    hand = Hand(who="Ada Fenn", at=AT)
    ledger.append(
        "tram-7",
        hand,
        JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram number 7"),
        NoteTaken(recording=recording, file=NOTE, transcript=SAID, draft=draft),
    )
    return Desk(shop, ledger, lambda: AT, port=7407)


@pytest.fixture
def browsers(desk: Desk) -> Browsers:
    """Makes a browser that was let in; *person* sits before it (None: nobody yet)."""
    app = application(desk)

    def browser(person: str | None = "Ada Fenn") -> TestClient:
        client = TestClient(app, base_url=HOME, headers={"origin": HOME})
        client.get("/enter", params={"token": desk.token}, follow_redirects=False)
        if person is not None:
            client.post("/who", data={"person": person}, follow_redirects=False)
        return client

    return browser
