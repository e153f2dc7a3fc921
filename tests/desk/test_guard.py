"""Only a browser of this machine that has shown this run's token is answered."""

import pytest
from starlette.testclient import TestClient

from notepipe.desk.app import application
from notepipe.desk.desk import Desk

HOME = "http://127.0.0.1:7407"


@pytest.fixture
def stranger(desk: Desk) -> TestClient:
    return TestClient(application(desk), base_url=HOME, follow_redirects=False)


@pytest.mark.parametrize("path", ["/", "/who", "/job/tram-7/review", "/nowhere"])
def test_without_the_token_nothing_is_shown(stranger: TestClient, path: str) -> None:
    answer = stranger.get(path)
    assert answer.status_code == 401
    assert "tram" not in answer.text.lower()


@pytest.mark.parametrize("token", ["", "x", "ä", "%00"])
def test_a_wrong_token_is_refused_and_gives_no_seat(stranger: TestClient, token: str) -> None:
    answer = stranger.get("/enter", params={"token": token})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_the_token_is_exchanged_for_a_cookie_no_script_can_read_and_leaves_the_address(
    stranger: TestClient, desk: Desk
) -> None:
    answer = stranger.get("/enter", params={"token": desk.token, "to": "/job/tram-7/review"})
    assert answer.status_code == 303
    assert answer.headers["location"] == "/job/tram-7/review"
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert desk.token.lower() not in cookie


@pytest.mark.parametrize(
    "to", ["//evil.example", "http://evil.example/", "/\\evil.example", "javascript:alert(1)"]
)
def test_the_way_in_leads_to_no_other_site(stranger: TestClient, desk: Desk, to: str) -> None:
    answer = stranger.get("/enter", params={"token": desk.token, "to": to})
    assert answer.headers["location"] == "/"


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:7407", "127.0.0.1", "127.0.0.1:80", "[::1]:7407", ""]
)
def test_a_foreign_host_is_refused_also_with_the_cookie(browsers, host: str) -> None:
    assert browsers().get("/", headers={"host": host}).status_code == 403


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "https://127.0.0.1:7407", "http://127.0.0.1:7408", "null"]
)
def test_a_foreign_origin_is_refused(browsers, origin: str) -> None:
    browser = browsers(None)
    answer = browser.post("/who", data={"person": "Ada Fenn"}, headers={"origin": origin})
    assert answer.status_code == 403
    assert browser.get("/", headers={"origin": origin}).status_code == 403
    assert browser.get("/", follow_redirects=False).headers["location"] == "/who"


def test_a_change_that_does_not_say_which_page_sent_it_is_refused(browsers) -> None:
    browser = browsers(None)
    del browser.headers["origin"]
    assert browser.post("/who", data={"person": "Ada Fenn"}).status_code == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_a_browser_sent_by_another_site_is_refused(browsers, site: str) -> None:
    assert browsers().get("/", headers={"sec-fetch-site": site}).status_code == 403


@pytest.mark.parametrize("path", ["/", "/assets/desk.css", "/enter", "/nowhere", "/job/tram-7/review"])
def test_every_answer_says_that_only_our_own_scripts_and_styles_count(browsers, path: str) -> None:
    headers = browsers().get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "script-src 'self';" in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"


def test_no_page_is_kept_by_the_browser(browsers) -> None:
    assert browsers().get("/").headers["cache-control"] == "no-store"


def test_pages_hold_neither_script_nor_style_of_their_own(browsers) -> None:
    text = browsers().get("/job/tram-7/review").text
    assert "<style" not in text
    assert " style=" not in text
    assert "<script>" not in text
    assert " onclick" not in text


@pytest.mark.parametrize(
    "path",
    [
        "/assets/../desk.py",
        "/assets/%2e%2e/desk.py",
        "/assets/..%2fdesk.py",
        "/assets//etc/passwd",
        "/assets/",
    ],
)
def test_nothing_but_the_assets_is_under_assets(stranger: TestClient, path: str) -> None:
    answer = stranger.get(path)
    assert answer.status_code in (401, 404)
    assert "import" not in answer.text


def test_only_who_is_listed_may_sit_down(browsers) -> None:
    browser = browsers(None)
    answer = browser.post("/who", data={"person": "Mallory"})
    assert answer.status_code == 404
    assert "may not review" in answer.text
    assert browser.get("/", follow_redirects=False).headers["location"] == "/who"


def test_nobody_changes_anything_before_a_person_was_chosen(browsers) -> None:
    assert browsers(None).post("/job/tram-7/note/abc/answer", json={}).status_code == 403


def test_a_browser_that_was_let_in_keeps_its_seat_when_it_comes_again(browsers, desk: Desk) -> None:
    browser = browsers("Joe Marsh")
    again = browser.get("/enter", params={"token": desk.token}, follow_redirects=False)
    assert "set-cookie" not in again.headers
    assert "Joe Marsh" in browser.get("/").text


def test_what_another_program_wrote_is_seen_at_once(desk: Desk) -> None:
    from notepipe.entries import JobClosed
    from notepipe.ledger import Hand

    before = desk.job("tram-7")
    assert desk.job("tram-7") is before
    desk.ledger.append(
        "tram-7", Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00"), JobClosed(reason="done")
    )
    assert desk.job("tram-7").register.closed == "done"
