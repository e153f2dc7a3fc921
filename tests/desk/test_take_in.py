"""Recordings dropped onto the page: kept, taken in one at a time, nothing left of what was cut off."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from notepipe.desk.app import application
from notepipe.desk.desk import Desk
from notepipe.desk.incoming import Card, Incoming
from notepipe.desk.names import safe_name
from notepipe.entries import JobClosed
from notepipe.ledger import Hand, Ledger

HAND = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
PLACE = "/job/tram-7/take-in"
JSON = {"accept": "application/json"}
WORDS = b"Two window rails, brass. Polish the window rails.\n"


def settled(browser, most_s: float = 60.0) -> list[dict[str, object]]:
    """How every recording stands once none of them waits or is heard any more."""
    until = time.monotonic() + most_s
    while time.monotonic() < until:
        told = browser.get(f"{PLACE}/progress").json()
        if not told["at_work"]:
            return list(told["coming"])
        time.sleep(0.05)
    raise AssertionError(told)


def send(browser, name: str, content: bytes):
    return browser.post(PLACE, params={"name": name}, content=content, headers=JSON)


def left(desk: Desk) -> list[Path]:
    return sorted(desk.shop.incoming.rglob("*")) if desk.shop.incoming.exists() else []


def test_a_dropped_recording_becomes_a_note_of_the_job_by_who_dropped_it(desk, browsers):
    browser = browsers("Joe Marsh")
    assert send(browser, "rails.txt", WORDS).status_code == 201
    (coming,) = settled(browser)
    assert coming["state"] == "done"
    assert "to review" in str(coming["said"])
    entry = desk.ledger.entries("tram-7")[-1]
    assert (entry.body.file, entry.who) == ("rails.txt", "Joe Marsh")
    assert desk.shop.recording(entry.body.recording).read_bytes() == WORDS
    assert left(desk) == []
    assert "rails.txt" in browser.get(PLACE).text


def test_the_same_recording_is_not_taken_twice(desk, browsers):
    browser = browsers()
    for name in ("rails.txt", "again.txt"):
        send(browser, name, WORDS)
    said = [str(one["said"]) for one in settled(browser)]
    assert any("not taken twice" in line for line in said)
    assert len(desk.job("tram-7").register.notes) == 2


@pytest.mark.parametrize(
    ("name", "content", "what"),
    [
        ("walk.m4a", b"hello", "text, not sound"),
        ("walk.mp4", bytes(500), "neither"),
        ("a.txt", b"\xff\xfe\xff", ""),
    ],
)
def test_what_is_no_recording_gets_one_clear_line_and_the_next_is_taken_all_the_same(
    desk, browsers, name, content, what
):
    browser = browsers()
    send(browser, name, content)
    send(browser, "rails.txt", WORDS)
    bad, good = settled(browser)
    assert bad["state"] == "failed"
    assert what in bad["wrong"]["what"]  # type: ignore[index]
    assert str(desk.shop.folder) not in bad["wrong"]["where"]  # type: ignore[index]
    assert good["state"] == "done"


def test_one_that_failed_is_thrown_away_or_tried_again(desk, browsers):
    browser = browsers()
    send(browser, "walk.m4a", b"hello")
    (bad,) = settled(browser)
    browser.post(f"{PLACE}/{bad['name']}/go-on")
    assert settled(browser)[0]["state"] == "failed"
    browser.post(f"{PLACE}/{bad['name']}/away")
    assert settled(browser) == []
    assert left(desk) == []
    assert browser.post(f"{PLACE}/{bad['name']}/away", headers=JSON).status_code == 404


def test_an_empty_file_is_refused_at_once_and_leaves_nothing(desk, browsers):
    answer = send(browsers(), "walk.m4a", b"")
    assert answer.status_code == 400
    assert "empty" in answer.json()["what"]
    assert left(desk) == []


def test_one_that_came_only_in_part_leaves_nothing(desk, browsers):
    answer = browsers().post(
        PLACE, params={"name": "w.txt"}, content=WORDS, headers={**JSON, "content-length": "900"}
    )
    assert answer.status_code == 400
    assert "only in part" in answer.json()["what"]
    assert left(desk) == []


def test_one_that_is_too_large_is_refused_before_it_is_sent_or_while_it_comes(desk, browsers, monkeypatch):
    monkeypatch.setattr("notepipe.desk.incoming.LARGEST_BYTES", 20)
    browser = browsers()
    assert "larger" in send(browser, "w.txt", WORDS).json()["what"]

    def pieces():
        yield from (b"12345678", b"12345678", b"12345678")

    assert (
        "larger"
        in browser.post(PLACE, params={"name": "w.txt"}, content=pieces(), headers=JSON).json()["what"]
    )
    assert left(desk) == []


def test_a_disk_without_room_is_told_before_anything_is_sent(desk, browsers, monkeypatch):
    monkeypatch.setattr("notepipe.desk.incoming._SPARE_BYTES", 1 << 62)
    answer = send(browsers(), "w.txt", WORDS)
    assert (answer.status_code, "room" in answer.json()["what"]) == (409, True)


def test_a_closed_job_takes_nothing_in(desk, browsers):
    desk.ledger.append("tram-7", HAND, JobClosed(reason="handed over"))
    answer = send(browsers(), "w.txt", WORDS)
    assert answer.status_code == 409
    assert "closed" in answer.json()["what"]
    assert left(desk) == []
    assert browsers().get(PLACE).status_code == 200


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("walk.m4a", "walk.m4a"),
        ("Rundgang Büro 3.m4a", "Rundgang Büro 3.m4a"),
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\x\\walk.mp4", "walk.mp4"),
        ("..", "file"),
        ("", "file"),
        (".htaccess", "htaccess"),
        ("a\x00b\nc.txt", "abc.txt"),
        ("\u202e4pm.klaw.txt", "4pm.klaw.txt"),
        ("<img src=x>.txt", "img src=x.txt"),
        ("CON.txt", "file-CON.txt"),
        ("card.json", "card.json"),
        ("x" * 300 + ".m4a", "x" * 150 + ".m4a"),
    ],
)
def test_of_a_name_that_was_sent_only_what_any_disk_can_have_is_left(name: str, safe: str):
    assert safe_name(name) == safe


@pytest.mark.parametrize(
    "name", ["../../shop.toml", "/etc/passwd", "..\\..\\shop.toml", "\x00", "card.json", "a/../../b.txt"]
)
def test_no_name_leads_out_of_the_folder(desk, browsers, name):
    before = (desk.shop.folder / "shop.toml").read_bytes()
    browser = browsers()
    send(browser, name, WORDS)
    settled(browser)
    assert (desk.shop.folder / "shop.toml").read_bytes() == before
    inside = {"shop.toml", "ledger.db", "recordings", "transcripts", "words", "templates", "incoming"}
    assert {path.name for path in desk.shop.folder.iterdir()} <= inside


def test_what_an_earlier_desk_left_is_offered_and_taken_in_when_a_person_says_so(desk, browsers):
    """As it lies there after the desk was killed: one whole with its card, one cut off without."""
    whole, cut = desk.shop.incoming / ("a" * 16), desk.shop.incoming / ("b" * 16)
    for place in (whole, cut):
        place.mkdir(parents=True)
        (place / "rails.txt").write_bytes(WORDS)
    card = Card(job="tram-7", person="Joe Marsh", file="rails.txt")
    (whole / "card.json").write_text(card.model_dump_json(), encoding="utf-8")
    browser = browsers()
    assert [one["state"] for one in settled(browser)] == ["left"]
    assert "before the desk was closed" in browser.get(PLACE).text
    assert len(desk.job("tram-7").register.notes) == 1
    browser.post(f"{PLACE}/{'a' * 16}/go-on")
    assert settled(browser)[0]["state"] == "done"
    assert not whole.exists()
    assert cut.exists()  # It may be on its way to another desk of the shop.


@pytest.mark.parametrize("file", ["../../shop.toml", "gone.txt", "/etc/passwd"])
def test_a_card_that_points_elsewhere_is_not_believed(desk, file):
    place = desk.shop.incoming / ("a" * 16)
    place.mkdir(parents=True)
    (place / "card.json").write_text(
        Card(job="tram-7", person="x", file=file).model_dump_json(), encoding="utf-8"
    )
    assert Incoming(desk).all_of("tram-7") == ()


def test_a_fault_of_the_program_ends_nothing_but_that_one(desk, browsers, monkeypatch, caplog):
    def broken(*_: object) -> None:
        raise RuntimeError("a bug")

    browser = browsers()
    with monkeypatch.context() as patched:
        patched.setattr("notepipe.taking._read", broken)
        send(browser, "one.txt", WORDS)
        (bad,) = settled(browser)
    assert "fault of the program" in bad["wrong"]["what"]  # type: ignore[index]
    assert "a bug" in caplog.text
    send(browser, "two.txt", WORDS)
    assert settled(browser)[-1]["state"] == "done"


def test_how_far_the_hearing_is_can_be_asked_while_it_goes_on(desk, browsers, monkeypatch):
    """The page is left and opened again in the middle: it is told the same."""
    import threading

    go, there = threading.Event(), threading.Event()

    def slow(self: object, path: Path, hand: Hand, hearing: object, progress: Callable[..., None]):
        progress(30.0, 120.0, "hearing")
        there.set()
        go.wait(20)
        raise RuntimeError("enough")

    monkeypatch.setattr("notepipe.taking.Desk.take", slow)
    browser = browsers()
    send(browser, "one.txt", WORDS)
    send(browser, "two.txt", WORDS + b"More.")
    assert there.wait(20)
    first, second = browser.get(f"{PLACE}/progress").json()["coming"]
    assert (first["state"], first["doing"], first["percent"]) == ("hearing", "hearing", 25)
    assert second["state"] == "waiting"
    assert "25 %" in browser.get(PLACE).text
    assert browser.post(f"{PLACE}/{first['name']}/away", headers=JSON).status_code == 409
    assert browser.post(f"{PLACE}/{second['name']}/away", headers=JSON).status_code == 200
    go.set()
    settled(browser)


def test_two_desks_of_one_shop_take_the_same_recording_in_once(desk, browsers):
    other = Desk(desk.shop, Ledger(desk.shop.ledger), desk.clock, person="Joe Marsh", port=7407)
    from starlette.testclient import TestClient

    home = "http://127.0.0.1:7407"
    second = TestClient(application(other), base_url=home, headers={"origin": home})
    second.get("/enter", params={"token": other.token}, follow_redirects=False)
    first = browsers()
    send(first, "a.txt", WORDS)
    send(second, "b.txt", WORDS)
    settled(first)
    settled(second)
    assert len(desk.job("tram-7").register.notes) == 2
