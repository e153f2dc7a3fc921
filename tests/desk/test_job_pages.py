"""The pages of a job: register, part, questions, papers, due, story; and a job opened on the first page."""

from __future__ import annotations

import re
from html import unescape

import pytest

from notepipe import papers
from notepipe.desk.desk import Desk
from notepipe.desk.rows import Sought, chosen, rows
from notepipe.draft import Caution, Decision, Part, Question, Quote
from notepipe.entries import PartConfirmed, PictureAttached, QuestionConfirmed
from notepipe.errands import (
    ConditionNoted,
    PriceNoted,
    PromiseNoted,
    SheetLine,
    SheetSent,
)
from notepipe.ledger import Hand
from notepipe.papers.letter import letter_for

AT = "2026-11-25T10:00:00+00:00"
HAND = Hand(who="Ada Fenn", at=AT)
JOB = "/job/tram-7"
JSON = {"accept": "application/json"}
SHEETS = ("update", "whole-update", "list", "bench", "buying", "looking-for", "out", "list-csv", "out-csv")
PAGES = (
    "register",
    "send",
    "questions",
    "due",
    "papers",
    "pictures",
    "story",
    "take-in",
    "part/001",
    *(f"papers/{name}" for name in SHEETS),
)
HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ 7*7 }}",
    "\u202egnp.exe",
    "' onclick='x",
)


def decision(action: str, standing: str = "decided", **more: str) -> Decision:
    return Decision(action=action, standing=standing, quote=f"{action} it", **more)  # type: ignore[arg-type]


@pytest.fixture
def job(desk: Desk, recording: str) -> Desk:
    """Lamps that are out with a promise, a rail a question hangs on, a step to be bought."""
    place = {"recording": recording, "record": "p1"}
    lamp = Part(
        name="lamp",
        quantity=6,
        metal="brass",
        finish="nickel plate",
        condition=("worn",),
        decisions=(decision("replate", to_finish="nickel", by="plater"),),
        quotes=(Quote(text="Six lamps, brass", start_s=1.0, end_s=2.0),),
    )
    caution = Caution(id="lifting", text="Does it lift?", defer_to="a rigger", acknowledge=True)
    rail = Part(
        name="dash rail",
        decisions=(decision("straighten", "asking"), decision("leave", "asking")),
        cautions=(caution,),
    )
    step = Part(name="step", decisions=(decision("buy", by="foundry"),))
    asked = Question(to="client", about="dash rail", text="Straighten it or leave it?", quote="Straighten it")
    line = SheetLine(line=1, tag="001", name="lamp", count=6, wanted="replate to nickel")
    desk.ledger.append(
        "tram-7",
        HAND,
        PartConfirmed(tag="001", part=lamp, **place),
        PartConfirmed(tag="002", part=rail, recording=recording, record="p2"),
        PartConfirmed(tag="003", part=step, recording=recording, record="p3"),
        QuestionConfirmed(tag="Q01", question=asked, recording=recording, record="q1"),
        SheetSent(
            sheet="S01", vendor="Tarn Plating", trade="plater", lines=(line,), pieces=6, on="2026-11-20"
        ),
        PromiseNoted(
            promise="D01",
            who="Tarn Plating",
            what="lamp",
            tags=("001",),
            words="by Monday",
            said_on="2026-11-20",
            due="2026-11-23",
        ),
        ConditionNoted(
            tag="001", moment="back", by_whom="Tarn Plating", condition=("one dented",), on="2026-11-24"
        ),
        PriceNoted(
            price="M01", tag="001", amount="180", currency="GBP", what_for="plating", words="one eighty"
        ),
        PictureAttached(tag="001", sha256="a" * 64, file="lamp.jpg"),
    )
    return desk


def tags(html: str) -> list[str]:
    return re.findall(r'class="row" data-tag="(\w+)"', html)


@pytest.mark.parametrize("page", PAGES)
def test_every_page_of_the_job_opens_with_one_heading_and_no_script_or_style_of_its_own(job, browsers, page):
    answer = browsers().get(f"{JOB}/{page}")
    assert answer.status_code == 200
    assert answer.text.count("<h1") == 1
    assert not re.search(r"<style|\sstyle=|\son\w+=|<script>", answer.text)


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("", ["001", "002", "003"]),
        ("where=out", ["001"]),
        ("where=due", ["001"]),
        ("where=asked", ["002"]),
        ("standing=asking", ["002"]),
        ("action=buy", ["003"]),
        ("by=plater", ["001"]),
        ("action=replate&by=foundry", []),
        ("words=BRASS+lamp", ["001"]),
        ("words=002", ["002"]),
        ("words=nobody", []),
        ("words=dented", []),
    ],
)
def test_the_register_shows_what_is_looked_for_and_nothing_else(job, browsers, asked, found):
    assert tags(browsers().get(f"{JOB}/register?{asked}").text) == found


def test_a_row_tells_where_the_part_is_what_is_late_and_what_is_asked(job, browsers):
    page = unescape(browsers().get(f"{JOB}/register").text)
    assert "6 out: <bdi>Tarn Plating</bdi>" in page
    assert "late, due 2026-11-23 (D01)" in page
    assert "Q01 open" in page


def test_the_page_of_a_part_has_all_that_stands_of_it_and_marks_prices_as_inside_the_shop(job, browsers):
    page = unescape(browsers().get(f"{JOB}/part/001").text)
    for told in (
        "brass",
        "nickel",
        "one dented",
        "Back from <bdi>Tarn Plating",
        "by Monday",
        "6 still out",
        "not for the client",
        "Six lamps, brass",
        "confirmed 001 lamp",
        "inside the shop",
    ):
        assert told in page
    assert "dash rail" not in page


def test_no_client_paper_on_the_desk_tells_a_price(job, browsers):
    for name in ("update", "whole-update", "list", "list-csv"):
        assert "180" not in browsers().get(f"{JOB}/papers/{name}").text


@pytest.mark.parametrize("tag", ["099", "Q01", "..", "%2e%2e", "001%00", "<b>"])
def test_a_part_that_is_not_there_is_told(job, browsers, tag):
    assert browsers().get(f"{JOB}/part/{tag}").status_code == 404


def test_a_paper_is_shown_letter_for_letter_as_it_would_be_written_and_nothing_is_noted(job, browsers):
    before = len(job.ledger.entries("tram-7"))
    register = job.job("tram-7").register
    letter = letter_for(job.shop, job.trade, AT[:10], leave_out=True)
    shown = re.search(r"<pre[^>]*>(.*?)</pre>", browsers().get(f"{JOB}/papers/list").text, re.DOTALL)
    assert shown is not None
    assert unescape(shown[1]) == papers.parts_list(register, letter)
    assert len(job.ledger.entries("tram-7")) == before


def test_a_paper_downloaded_is_the_one_shown_and_stands_in_the_history(job, browsers):
    browser = browsers()
    answer = browser.post(f"{JOB}/papers/list-csv/file", data={})
    assert answer.text.startswith("tag,")
    assert "\r\n" in answer.text
    assert 'filename="tram-7-list-csv.csv"' in answer.headers["content-disposition"]
    assert job.ledger.entries("tram-7")[-1].body.kind == "paper-written"


def test_an_update_is_issued_as_it_was_read_and_kept_word_for_word(job, browsers):
    browser = browsers()
    page = browser.get(f"{JOB}/papers/update").text
    read = re.search(r'name="read" value="(\w+)"', page)
    assert read is not None
    sent = {"read": read[1], "to": "Fennimore Museum", "way": "by e-mail"}
    answer = browser.post(f"{JOB}/papers/update/issue", data=sent, headers={"accept": "application/json"})
    assert answer.json()["to"] == f"{JOB}/papers/issued/1"
    kept = job.shop.issued("tram-7", 1).read_text(encoding="utf-8")
    assert unescape(re.search(r"<pre[^>]*>(.*?)</pre>", page, re.DOTALL)[1]) == kept  # type: ignore[index]
    assert browser.get(f"{JOB}/papers/issued/1?file").text == kept
    assert job.ledger.entries("tram-7")[-1].who == "Ada Fenn"


def test_an_update_that_changed_since_it_was_read_is_not_issued(job, browsers, recording):
    browser = browsers()
    read = re.search(r'name="read" value="(\w+)"', browser.get(f"{JOB}/papers/update").text)[1]  # type: ignore[index]
    job.ledger.append(
        "tram-7",
        HAND,
        PartConfirmed(tag="004", part=Part(name="bell"), recording=recording, record="added-1"),
    )
    answer = browser.post(
        f"{JOB}/papers/update/issue", data={"read": read}, headers={"accept": "application/json"}
    )
    assert answer.status_code == 409
    assert "since you read it" in answer.json()["what"]
    assert not job.shop.issued("tram-7", 1).exists()


def test_a_sheet_goes_out_as_it_was_read_once_and_is_kept_word_for_word(job, browsers):
    browser = browsers()
    asked = {"vendor": "Larkhill Foundry", "trade": "foundry", "tags": "003", "on": "2026-11-25"}
    job.ledger.append(
        "tram-7",
        HAND,
        PartConfirmed(
            tag="003",
            part=Part(name="step", quantity=2, decisions=(decision("repair", by="foundry"),)),
            recording=job.job("tram-7").register.notes[0].recording,
            record="p3",
        ),
    )
    page = browser.get(f"{JOB}/send", params=asked).text
    assert "<pre" in page, re.findall(r'class="mistake">(.*)</p>', page)
    text = unescape(re.search(r"<pre[^>]*>(.*?)</pre>", page, re.DOTALL)[1])  # type: ignore[index]
    read = re.search(r'name="read" value="(\w+)"', page)[1]  # type: ignore[index]
    other = browser.post(f"{JOB}/send", data={**asked, "reference": "Q-118", "read": read}, headers=JSON)
    assert other.status_code == 409
    assert browser.post(f"{JOB}/send", data={**asked, "read": read}, headers=JSON).status_code == 200
    assert browser.get(f"{JOB}/papers/sheet/S02?file").text == text
    again = browser.post(f"{JOB}/send", data={**asked, "read": read}, headers=JSON)
    assert again.status_code == 409
    assert len(job.job("tram-7").register.sheets) == 2


def test_a_sheet_that_can_not_be_made_is_told_on_its_page(job, browsers):
    answer = browsers().get(f"{JOB}/send", params={"vendor": "Larkhill Foundry", "tags": "099"})
    assert answer.status_code == 200
    assert 'class="mistake"' in answer.text
    assert 'name="read"' not in answer.text


def test_an_answer_is_written_down_and_settles_what_the_reviewer_says(job, browsers):
    browser = browsers("Joe Marsh")
    sent = {
        "answer": "straighten it",
        "by": "the client",
        "on": "2026-11-25",
        "way": "on the telephone",
        "decides/002/1": "decided",
        "decides/002/2": "ruled-out",
    }
    refused = browser.post(f"{JOB}/question/Q01", data=sent, headers={"accept": "application/json"})
    assert refused.status_code == 409
    assert "CAUTION" in refused.json()["what"]
    assert job.job("tram-7").register.question("Q01").answer is None  # Nothing of it was kept.
    told = browser.post(f"{JOB}/question/Q01", data={**sent, "acknowledged": "lifting"})
    assert told.status_code == 200
    register = job.job("tram-7").register
    assert register.question("Q01").answer.written_by == "Joe Marsh"
    assert [d.standing for d in register.part("002").part.decisions] == ["decided", "ruled-out"]
    assert "Q01" not in browser.get(f"{JOB}/register?where=asked").text


@pytest.mark.parametrize(
    ("sent", "what"),
    [
        ({"answer": "", "by": "the client", "on": "2026-11-25"}, "no answer"),
        ({"answer": "yes", "by": "", "on": "2026-11-25"}, "nobody"),
        ({"answer": "yes", "by": "x", "on": "2027-01-01"}, "to come"),
        ({"answer": "yes", "by": "x", "on": "soon"}, "no date"),
        ({"decides/002/1": "decided"}, "no answer yet"),
        ({"decides/002/1": "scrap it"}, "nothing"),
        ({}, "nothing"),
    ],
)
def test_an_answer_that_makes_no_sense_gets_one_line_and_keeps_nothing(job, browsers, sent, what):
    before = len(job.ledger.entries("tram-7"))
    answer = browsers().post(f"{JOB}/question/Q01", data=sent, headers={"accept": "application/json"})
    assert answer.status_code == 409
    assert what in answer.json()["what"]
    assert len(job.ledger.entries("tram-7")) == before


def test_a_part_is_put_right_on_its_page_and_what_it_was_stays_in_the_story(job, browsers):
    browser = browsers()
    sent = {
        "was/metal": "brass",
        "now/metal": "bronze",
        "was/finish": "nickel plate",
        "now/finish": "nickel plate",
    }
    assert browser.post(f"{JOB}/part/001/correct", data=sent).status_code == 200
    page = unescape(browser.get(f"{JOB}/part/001").text)
    assert job.job("tram-7").register.part("001").part.metal == "bronze"
    assert "metal: was brass, now bronze" in page


def test_of_two_people_who_put_the_same_field_right_the_second_is_told(job, browsers):
    first, second = browsers("Ada Fenn"), browsers("Joe Marsh")
    first.post(f"{JOB}/part/001/correct", data={"was/metal": "brass", "now/metal": "bronze"})
    answer = second.post(
        f"{JOB}/part/001/correct",
        data={"was/metal": "brass", "now/metal": "steel"},
        headers={"accept": "application/json"},
    )
    assert answer.status_code == 409
    assert "bronze" in answer.json()["what"]
    assert job.job("tram-7").register.part("001").part.metal == "bronze"


def test_a_caution_has_to_be_acknowledged_before_its_part_is_put_right(job, browsers):
    browser = browsers()
    sent = {"was/metal": "", "now/metal": "steel"}
    assert browser.post(f"{JOB}/part/002/correct", data=sent).status_code == 409
    assert (
        browser.post(f"{JOB}/part/002/correct", data={**sent, "acknowledged": "lifting"}).status_code == 200
    )


def test_a_promise_is_kept_at_a_stroke_and_no_longer_waited_for(job, browsers):
    browser = browsers()
    assert "2 days late" in unescape(browser.get(f"{JOB}/due").text)
    browser.post(f"{JOB}/due/D01", data={"how": "kept", "on": "2026-11-25", "remark": "by their van"})
    assert job.job("tram-7").register.promise("D01").how == "kept"
    assert "by their van" in browser.get(f"{JOB}/due").text
    assert tags(browser.get(f"{JOB}/register?where=due").text) == []


def test_the_story_is_told_by_person_and_day_and_a_day_without_anything_gets_a_line(job, browsers):
    browser = browsers()
    assert "confirmed 002 dash rail" in browser.get(f"{JOB}/story?tag=002").text
    nothing = browser.get(f"{JOB}/story?day=2020-01-01")
    assert nothing.status_code == 200
    assert "nothing happened on 2020-01-01" in nothing.text


def test_the_first_page_tells_what_waits_is_late_and_out_in_each_job(job, browsers):
    page = unescape(browsers().get("/").text)
    for told in ("1 overdue", "6 pieces out", "1 open question", "3 parts confirmed"):
        assert told in page


def test_a_job_is_opened_on_the_first_page_once(job, browsers):
    browser = browsers()
    sent = {"name": "bus 12/a", "client": "Fennimore Museum", "what": "Bus"}
    answer = browser.post("/jobs", data=sent, headers={"accept": "application/json"})
    assert answer.status_code == 200
    assert browser.get(answer.json()["to"]).status_code == 200
    assert browser.post("/jobs", data=sent, headers={"accept": "application/json"}).status_code == 409
    for wrong in ({"name": ""}, {"name": "a\nb"}, {"client": " "}, {"what": ""}):
        refused = browser.post("/jobs", data={**sent, **wrong}, headers={"accept": "application/json"})
        assert refused.status_code == 409
    assert job.ledger.jobs() == ("bus 12/a", "tram-7")


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_that_was_said_or_named_becomes_part_of_a_page(job, browsers, recording, text):
    part = Part(
        name=text,
        metal=text,
        condition=(text,),
        quotes=(Quote(text=text),),
        decisions=(decision("polish", by=text),),
    )
    asked = Question(to="client", about=text, text=text, quote=text)
    job.ledger.append(
        "tram-7",
        HAND,
        PartConfirmed(tag="004", part=part, recording=recording, record="added-1"),
        QuestionConfirmed(tag="Q02", question=asked, recording=recording, record="q2"),
        PromiseNoted(
            promise="D02",
            who=text,
            what=text,
            tags=("004",),
            words=text,
            said_on="2026-11-20",
            due="2026-12-01",
        ),
        PictureAttached(tag="004", sha256="b" * 64, file=text),
    )
    browser = browsers()
    for page in (*PAGES, "part/004", f"register?words={text}", f"story?person={text}"):
        html = browser.get(f"{JOB}/{page}").text
        assert "<script>alert" not in html
        assert "<img src=x" not in html
        assert "' onclick='x" not in html
        assert "49" not in re.findall(r"<bdi>(.*?)</bdi>", html)
        for place in re.finditer("\u202e", html):
            before = html[: place.start()]
            in_bdi = before.rfind("<bdi>") > before.rfind("</bdi>")
            in_paper = before.rfind("<pre dir=") > before.rfind("</pre>")
            assert in_bdi or in_paper or before[-1] in "\u2068=" or before[-7:] == 'value="', page


@pytest.fixture
def large(desk: Desk, recording: str) -> Desk:
    """2,000 parts and 60 questions."""
    names = ("lamp", "dash rail", "seat handle", "window catch", "bell lever")
    parts = [
        PartConfirmed(
            tag=f"{n:03d}",
            recording=recording,
            record=f"added-{n}",
            part=Part(
                name=f"{names[n % 5]} {n % 37}",
                metal="brass",
                decisions=(decision("polish", "asking" if n % 9 == 0 else "decided"),),
            ),
        )
        for n in range(1, 2_001)
    ]
    questions = [
        QuestionConfirmed(
            tag=f"Q{n:02d}",
            recording=recording,
            record=f"q{n}",
            question=Question(to="client", about=f"lamp {n}", text="Which?", quote="Which?"),
        )
        for n in range(1, 61)
    ]
    desk.ledger.append("tram-7", HAND, *parts, *questions)
    return desk


def test_a_register_of_2000_parts_comes_in_pieces_of_a_hundred_and_each_part_once(large, browsers):
    browser = browsers()
    page = browser.get(f"{JOB}/register").text
    found, further = tags(page), re.search(r'href="([^"]+)" data-more', page)
    assert len(found) == 100
    while further:
        piece = browser.get(unescape(further[1]).replace("/register?", "/register/rows?")).text
        found += tags(piece)
        further = re.search(r'href="([^"]+)" data-more', piece)
    assert found == [part.tag for part in sorted(large.job("tram-7").register.parts, key=lambda p: p.tag)]


def test_rows_are_worked_out_once_for_each_state_of_the_job(large, recording):
    one = large.job("tram-7")
    assert len(rows(one.register)) == 2_000
    assert len(chosen(rows(one.register), Sought(standing="asking"))) == 222
