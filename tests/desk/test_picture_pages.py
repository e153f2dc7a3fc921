"""Pictures on the desk: stills to choose from, files dropped, a picture taken off, the sheet to print."""

from __future__ import annotations

import io
from collections.abc import Callable
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from notepipe.desk.desk import Desk
from notepipe.draft import Draft, Note, Part, Question, Quote
from notepipe.entries import NoteTaken, PartConfirmed
from notepipe.ledger import Hand
from notepipe.register import Picture

HAND = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
JOB = "/job/tram-7"
JSON = {"accept": "application/json"}


def picture(colour: tuple[int, int, int] = (180, 140, 60), form: str = "PNG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), colour).save(out, form)
    return out.getvalue()


def pictures(desk: Desk, tag: str = "001") -> tuple[Picture, ...]:
    return desk.job("tram-7").register.part(tag).pictures


@pytest.fixture
def film(desk: Desk, filming: Callable[..., Path], tmp_path: Path) -> str:
    """The hash of a filmed note with two parts: 001 is confirmed and named from 2 to 3, the other waits."""
    recording = desk.shop.keep(filming(tmp_path / "walk.mp4")).name[:64]
    lamp = Part(name="lamp", quotes=(Quote(text="six lamps", start_s=2.0, end_s=3.0),))
    rail = Part(name="dash rail", quotes=(Quote(text="the rail", start_s=4.0, end_s=4.5),))
    asked = Question(to="shop", about="rail", text="Which?", quote="Which?", start_s=5.0, end_s=5.5)
    note = Note(file="walk.mp4", sha256=recording, duration_s=6.0)
    draft = Draft(note=note, parts=(lamp, rail), questions=(asked,))
    desk.ledger.append(
        "tram-7",
        HAND,
        NoteTaken(recording=recording, file="walk.mp4", transcript="six lamps the rail", draft=draft),
        PartConfirmed(tag="001", part=lamp, recording=recording, record="p1"),
    )
    return recording


def test_the_page_of_a_part_offers_stills_around_the_moment_it_is_named(film, browsers):
    page = browsers().get(f"{JOB}/part/001").text
    for ms in (1000, 1750, 2500, 3250, 4000):
        assert f"/still/{film}/{ms}" in page
    assert page.count('type="radio" name="at"') == 5


def test_a_still_shows_its_second(film, browsers, number_in):
    answer = browsers().get(f"/still/{film}/3250")
    assert answer.headers["content-type"] == "image/jpeg"
    assert "private" in answer.headers["cache-control"]
    frame = np.array(Image.open(io.BytesIO(answer.content)))
    assert abs(number_in(frame) - 81) <= 1


@pytest.mark.parametrize(
    "path",
    ["{film}/x", "{film}/-5", "{film}/1e3", "{film}/999999999", "{text}/1000", "..%2fshop.toml/1", "0/1"],
)
def test_only_moments_of_films_of_the_shop_are_shown(film, recording, browsers, path):
    answer = browsers().get(f"/still/{path.format(film=film, text=recording)}", headers=JSON)
    assert answer.status_code in (400, 404)
    assert "image" not in answer.headers["content-type"]


def test_the_chosen_still_is_kept_with_its_part(desk, film, browsers):
    answer = browsers("Joe Marsh").post(
        f"{JOB}/part/001/still", data={"note": film, "at": "3.25"}, headers=JSON
    )
    assert answer.json()["said"] == "The picture is kept with 001."
    (kept,) = pictures(desk)
    assert (kept.recording, kept.at_s) == (film, 3.25)
    assert desk.ledger.entries("tram-7")[-1].who == "Joe Marsh"
    again = browsers().post(f"{JOB}/part/001/still", data={"note": film, "at": "3.25"}, headers=JSON)
    assert again.status_code == 409


@pytest.mark.parametrize("at", ["", "nan", "-1", "1e9", "99999999", "1;2"])
def test_a_moment_that_is_none_keeps_nothing(desk, film, browsers, at):
    answer = browsers().post(f"{JOB}/part/001/still", data={"note": film, "at": at}, headers=JSON)
    assert answer.status_code == 409
    assert not pictures(desk)


def test_a_record_under_review_shows_its_stills_and_keeps_one_once_it_is_confirmed(desk, film, browsers):
    browser, note = browsers(), f"{JOB}/note/{film[:16]}"
    piece = browser.get(f"{note}/stills?record=p2").text
    assert f"/still/{film}/4250" in piece
    assert "data-hold" in piece
    early = browser.post(f"{note}/still", data={"record": "p2", "at": "4.25"}, headers=JSON)
    assert early.status_code == 409
    part = Part(name="dash rail")
    desk.ledger.append("tram-7", HAND, PartConfirmed(tag="002", part=part, recording=film, record="p2"))
    assert browser.post(f"{note}/still", data={"record": "p2", "at": "4.25"}, headers=JSON).status_code == 200
    assert pictures(desk, "002")[0].at_s == 4.25


def test_a_question_and_an_unknown_record_have_no_stills_and_a_text_note_none_at_all(
    film, recording, browsers
):
    browser = browsers()
    for record in ("q1", "p9", "", "<b>"):
        answer = browser.get(f"{JOB}/note/{film[:16]}/stills", params={"record": record})
        assert (answer.status_code, answer.text) == (200, "")
    assert browser.get(f"{JOB}/note/{recording[:16]}/stills?record=p1").status_code == 204


def test_dropped_files_are_kept_and_the_bad_ones_named_each_in_a_line(desk, film, browsers):
    browser = browsers()
    files = [("files", ("../../a.png", picture(), "image/png")), ("files", ("b.jpg", b"hello", "image/jpeg"))]
    told = browser.post(f"{JOB}/part/001/pictures", files=files, headers=JSON).json()
    assert told["said"] == "1 picture kept with 001."
    assert [one["where"] for one in told["wrong"]] == ["b.jpg"]
    assert [one.file for one in pictures(desk)] == ["a.png"]
    assert {path.parent for path in desk.shop.folder.rglob("*.jpg")} == {desk.shop.pictures}


def test_one_bad_file_alone_is_a_mistake(desk, film, browsers):
    files = [("files", ("b.jpg", picture()[:50], "image/jpeg"))]
    answer = browsers().post(f"{JOB}/part/001/pictures", files=files, headers=JSON)
    assert answer.status_code == 400
    assert answer.json()["where"] == "b.jpg"
    none = browsers().post(f"{JOB}/part/001/pictures", data={}, headers=JSON)
    assert "no picture was given" in none.json()["what"]


def test_a_kept_picture_is_shown_large_and_small_and_never_as_anything_else(desk, film, browsers):
    browser = browsers()
    browser.post(f"{JOB}/part/001/pictures", files=[("files", ("a.png", picture(), "image/png"))])
    sha256 = pictures(desk)[0].sha256
    for path in (f"/picture/{sha256}", f"/picture/{sha256}/small"):
        answer = browser.get(path)
        assert answer.headers["content-type"] == "image/jpeg"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert Image.open(io.BytesIO(answer.content)).format == "JPEG"
    assert f"/picture/{sha256}/small" in browser.get(f"{JOB}/register").text
    assert f"/picture/{sha256}" in browser.get(f"{JOB}/pictures").text


@pytest.mark.parametrize("name", ["0" * 64, "shop.toml", "..%2fshop.toml", "%2e%2e", "a" * 63])
def test_no_other_file_is_shown_as_a_picture(film, browsers, name):
    assert browsers().get(f"/picture/{name}").status_code == 404


def test_pictures_are_for_who_was_let_in(desk, film, browsers):
    browser = browsers()
    browser.post(f"{JOB}/part/001/pictures", files=[("files", ("a.png", picture(), "image/png"))])
    browser.cookies.clear()
    assert browser.get(f"/picture/{pictures(desk)[0].sha256}").status_code == 401
    assert browser.get(f"/still/{film}/1000").status_code == 401


def test_a_picture_is_taken_off_with_a_reason(desk, film, browsers):
    browser = browsers()
    browser.post(f"{JOB}/part/001/pictures", files=[("files", ("a.png", picture(), "image/png"))])
    address = f"{JOB}/part/001/picture/{pictures(desk)[0].sha256}/remove"
    assert browser.post(address, data={"reason": ""}, headers=JSON).status_code == 409
    assert browser.post(address, data={"reason": "it shows 002"}, headers=JSON).status_code == 200
    assert not pictures(desk)
    assert "it shows 002" in unescape(browser.get(f"{JOB}/story").text)


def test_the_sheet_is_downloaded_as_one_file_with_the_pictures_inside(desk, film, browsers):
    browser = browsers()
    browser.post(f"{JOB}/part/001/pictures", files=[("files", ("a.png", picture(), "image/png"))])
    answer = browser.get(f"{JOB}/pictures/sheet.html")
    assert "attachment" in answer.headers["content-disposition"]
    assert answer.text.count("data:image/jpeg;base64,") == 1


def test_a_picture_lost_from_the_disk_is_told_and_the_page_still_opens(desk, film, browsers):
    browser = browsers()
    browser.post(f"{JOB}/part/001/pictures", files=[("files", ("a.png", picture(), "image/png"))])
    desk.shop.picture(pictures(desk)[0].sha256).unlink()
    assert browser.get(f"{JOB}/part/001").status_code == 200
    assert (
        browser.get(f"{JOB}/pictures/sheet.html", headers=JSON)
        .json()["do"]
        .startswith("Put the picture back")
    )
