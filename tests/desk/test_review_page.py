"""The review in a browser: every answer, undo, two people at once, and nothing but the review's own rules."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from notepipe.desk.desk import Desk
from notepipe.draft import Decision, Draft, Note, Part, Quote
from notepipe.entries import NoteTaken, PartConfirmed, RecordDropped, RecordReopened
from notepipe.ledger import Hand
from notepipe.register import Register

JSON = {"accept": "application/json"}
Browsers = Callable[..., TestClient]
AT = "2026-11-25T10:00:00+00:00"


@pytest.fixture
def note(recording: str) -> str:
    return f"/job/tram-7/note/{recording[:16]}"


@pytest.fixture
def give(browsers: Browsers, note: str) -> Callable[..., Any]:
    """Sends an answer and gives back what came of it, with the status."""
    browser = browsers()

    def send(what: str = "answer", /, **told: object) -> Any:
        return browser.post(f"{note}/{what}", json=told, headers=JSON)

    return send


def now(desk: Desk) -> Register:
    return desk.job("tram-7").register


def test_the_page_shows_the_first_waiting_record_the_list_and_the_words(browsers, note: str) -> None:
    text = browsers().get(note).text
    assert 'data-record="p1"' in text
    assert 'data-open="q1"' in text
    assert 'data-of="p1"' in text
    assert "0 of 4" in text
    assert "heard badly" in text


def test_a_record_is_confirmed_with_what_was_put_right(give, desk: Desk) -> None:
    answer = give(do="confirm", record="p1", fields={"metal": "bronze", "decision 1 by": "plater"})
    assert answer.status_code == 200
    assert answer.json()["said"] == ["✓ 001 lamp, 6"]
    part = now(desk).part("001")
    assert (part.part.metal, part.part.decisions[0].by, part.by) == ("bronze", "plater", "Ada Fenn")


def test_an_answer_says_how_the_list_stands_then(give) -> None:
    told = give(do="confirm", record="p1").json()
    assert told["waiting"] == ["p2", "p3", "q1"]
    assert "1 of 4" in told["list"]
    assert told["last"] == 3
    assert told["news"] == []


def test_a_caution_has_to_be_acknowledged_first(give, desk: Desk) -> None:
    refused = give(do="confirm", record="p2")
    assert refused.status_code == 409
    assert refused.json()["what"] == "caution not acknowledged: lifting"
    assert give(do="confirm", record="p2", acknowledged=["lifting"]).status_code == 200
    body = desk.job("tram-7").entries[-1].body
    assert isinstance(body, PartConfirmed)
    assert body.acknowledged == ("lifting",)


def test_the_cautions_of_a_part_as_it_would_be_confirmed_are_shown(give) -> None:
    shown = give("cautions", do="confirm", record="p2", acknowledged=["lifting"])
    assert 'data-acknowledge="lifting" checked' in shown.text


def test_a_set_is_split_into_groups(give, desk: Desk) -> None:
    groups = [{"quantity": 4, "fields": {}}, {"quantity": 2, "fields": {"decision 1 standing": "ruled-out"}}]
    assert give(do="split", record="p1", groups=groups).status_code == 200
    assert [(p.part.quantity, p.part.decisions[0].standing) for p in now(desk).parts] == [
        (4, "decided"),
        (2, "ruled-out"),
    ]


def test_groups_that_do_not_add_up_need_the_persons_word(give) -> None:
    groups = [{"quantity": 4}, {"quantity": 3}]
    assert give(do="split", record="p1", groups=groups).json()["what"] == "4 + 3 is 7, and 6 were heard"
    assert give(do="split", record="p1", groups=groups, uneven=True).status_code == 200


def test_a_record_is_dropped_only_with_a_reason(give, desk: Desk) -> None:
    assert give(do="drop", record="p3", reason=" ").status_code == 409
    assert give(do="drop", record="p3", reason="it was a shadow").status_code == 200
    assert isinstance(desk.job("tram-7").entries[-1].body, RecordDropped)


def test_a_record_put_off_stays_open(give, desk: Desk, browsers, note: str) -> None:
    told = give(do="put off", record="p3", reason="asking Joe").json()
    assert "p3" in told["waiting"]
    assert 'data-state="put off"' in told["list"]
    assert "Ada Fenn put it off: asking Joe" in browsers().get(f"{note}/card?record=p3").text


def test_all_without_a_doubt_says_how_many_and_takes_no_other(give, browsers, note: str, desk: Desk) -> None:
    assert 'data-plain="2"' in browsers().get(note).text
    told = give(do="confirm all without a doubt").json()
    assert told["waiting"] == ["p1", "p2"]
    assert [part.part.name for part in now(desk).parts] == ["step"]


def test_a_question_is_confirmed_in_other_words(give, desk: Desk) -> None:
    assert give(do="confirm", record="q1", fields={"text": "Straighten it?"}).status_code == 200
    assert now(desk).question("Q01").question.text == "Straighten it?"


def test_undo_is_an_entry_of_its_own_and_the_record_waits_again(give, desk: Desk) -> None:
    give(do="confirm", record="p1")
    told = give("undo").json()
    assert told["opened"] == ["p1"]
    assert "p1" in told["waiting"]
    entries = desk.job("tram-7").entries
    assert isinstance(entries[-1].body, RecordReopened)
    assert isinstance(entries[-2].body, PartConfirmed)


def test_undo_takes_back_ones_own_last_answer_not_anothers(browsers, note: str, desk: Desk) -> None:
    ada, joe = browsers(), browsers("Joe Marsh")
    ada.post(f"{note}/answer", json={"do": "confirm", "record": "p1"})
    joe.post(f"{note}/answer", json={"do": "confirm", "record": "p3"})
    assert ada.post(f"{note}/undo", json={}).json()["opened"] == ["p1"]
    assert ada.post(f"{note}/undo", json={}, headers=JSON).json()["what"] == "no answer of yours to take back"
    assert [part.part.name for part in now(desk).parts] == ["step"]


def test_a_settled_record_says_who_settled_it_and_can_be_taken_back_by_its_entry(
    give, browsers, note
) -> None:
    give(do="confirm", record="p1")
    card = browsers("Joe Marsh").get(f"{note}/card?record=p1").text
    assert "Ada Fenn confirmed it as 001 at 10:00" in card
    assert 'data-entry="3"' in card
    assert give("undo", entry=3).json()["opened"] == ["p1"]


def test_an_entry_that_is_no_answer_is_not_taken_back(give) -> None:
    assert give("undo", entry=1).status_code == 409
    assert give("undo", entry=99).status_code == 404
    assert give("undo", entry="x").status_code == 409


def test_the_second_to_answer_a_record_gets_one_clear_line(browsers, note: str, desk: Desk) -> None:
    ada, joe = browsers(), browsers("Joe Marsh")
    ada.post(f"{note}/answer", json={"do": "confirm", "record": "p1"})
    late = joe.post(
        f"{note}/answer", json={"do": "drop", "record": "p1", "reason": "no part"}, headers=JSON
    ).json()
    assert late["what"] == "is settled already: Ada Fenn confirmed it as 001 at 10:00"
    assert late["do"].startswith("Nothing of yours was kept.")
    assert len(desk.job("tram-7").entries) == 3


def test_two_at_once_see_each_other_and_each_others_entries(browsers, note: str) -> None:
    ada, joe = browsers(), browsers("Joe Marsh")
    assert ada.get(f"{note}/now?record=p1&since=2").json()["others"] == []
    told = joe.get(f"{note}/now?record=p3&since=2").json()
    assert told["others"] == [{"person": "Ada Fenn", "record": "p1"}]
    assert "list" not in told
    ada.post(f"{note}/answer", json={"do": "confirm", "record": "p1"})
    told = joe.get(f"{note}/now?record=p3&since=2").json()
    assert told["news"] == ["Ada Fenn confirmed 001 lamp, new"] or told["news"] == [
        "Ada Fenn confirmed 001 lamp"
    ]
    assert told["waiting"] == ["p2", "p3", "q1"]


def test_an_entry_from_the_terminal_is_picked_up_as_well(
    browsers, note: str, desk: Desk, recording: str
) -> None:
    from notepipe.jobs import keep_answer
    from notepipe.review import Drop

    browser = browsers()
    browser.get(note)
    hand = Hand(who="Joe Marsh", at=AT)
    keep_answer(desk.ledger, "tram-7", hand, recording, Drop(record="p3", reason="a shadow"))
    assert browser.get(f"{note}/now?record=p1&since=2").json()["news"] == ["Joe Marsh dropped p3: a shadow"]


def test_a_part_that_is_missing_is_added_by_hand(give, desk: Desk) -> None:
    told = give("add", name="sand box lid", fields={"quantity": "2"}, said="six lamps")
    assert told.status_code == 200
    assert now(desk).part("001").part.quotes[0].text == "Six lamps"
    assert 'data-open="added-1"' in told.json()["list"]


def test_a_part_without_a_name_is_not_added(give) -> None:
    assert give("add", name=" ").status_code == 409


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"do": "confirm"},
        {"do": "delete", "record": "p1"},
        {"do": "confirm", "record": "p1", "who": "Joe Marsh"},
        {"do": "confirm", "record": "p99"},
        {"do": "confirm", "record": "p1", "fields": {"weight": "2"}},
        {"do": "confirm", "record": "p1", "fields": {"quantity": "many"}},
    ],
)
def test_an_answer_that_makes_no_sense_is_told_and_keeps_nothing(give, desk: Desk, told) -> None:
    answer = give(**told)
    assert answer.status_code == 409
    assert set(answer.json()) == {"where", "what", "do"}
    assert len(desk.job("tram-7").entries) == 2


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b"\xff", b'{"do": "drop", "record": "p1"' + b" " * 200_000]
)
def test_what_is_no_json_or_too_long_is_refused(browsers, note: str, body: bytes) -> None:
    assert browsers().post(f"{note}/answer", content=body, headers=JSON).status_code == 409


def test_the_hand_is_that_of_whoever_sits_there_whatever_the_page_says(
    browsers, note: str, desk: Desk
) -> None:
    browsers("Joe Marsh").post(f"{note}/answer", json={"do": "confirm", "record": "p1"})
    assert desk.job("tram-7").entries[-1].who == "Joe Marsh"


def test_a_closed_job_takes_no_answer(give, desk: Desk) -> None:
    from notepipe.entries import JobClosed

    desk.ledger.append("tram-7", Hand(who="Ada Fenn", at=AT), JobClosed(reason="handed over"))
    answer = give(do="confirm", record="p1")
    assert answer.status_code == 409
    assert "was closed" in answer.json()["what"]


@pytest.mark.parametrize(
    "path",
    [
        "/job/tram-8/review",
        "/job/tram-7/note/0000000000000000",
        "/job/tram-7/note/..%2f..%2fledger.db",
        "/job/tram-7/note/%2e%2e",
        "/job/..%2f..%2fetc/review",
        "/job/%00/review",
    ],
)
def test_what_is_not_there_is_told_and_nothing_else_shown(browsers, path: str) -> None:
    assert browsers().get(path, headers=JSON).status_code == 404


# A later note, against what is on file


@pytest.fixture
def later(desk: Desk, give, browsers) -> str:
    """The address of a second note that speaks of the lamps again, the first being reviewed."""
    give(do="confirm", record="p1", fields={"location": "saloon"})
    give(do="confirm all without a doubt")
    lamp = Part(
        name="lamp",
        quantity=6,
        metal="steel",
        decisions=(Decision(action="polish", standing="decided", quote="polish them"),),
        quotes=(Quote(text="six lamps, they are steel"),),
    )
    sha = "cd" * 32
    draft = Draft(note=Note(file="walk-2.m4a", sha256=sha), parts=(lamp,))
    taken = NoteTaken(recording=sha, file="walk-2.m4a", transcript="", draft=draft)
    desk.ledger.append("tram-7", Hand(who="Ada Fenn", at=AT), taken)
    return f"/job/tram-7/note/{sha[:16]}"


def test_a_change_is_shown_as_was_and_now_with_both_quotes(browsers, later: str) -> None:
    card = browsers().get(f"{later}/card?record=p1").text
    assert "changes 001 lamp" in card
    assert 'data-change="metal"' in card
    assert "Six lamps, brass" in card
    assert "six lamps, they are steel" in card
    assert 'data-onto="001"' in card


def test_a_change_is_confirmed_onto_the_part_on_file(browsers, later: str, desk: Desk) -> None:
    browsers().post(f"{later}/answer", json={"do": "confirm", "record": "p1", "onto": "001"})
    part = now(desk).part("001")
    assert (part.part.metal, part.part.location, part.against) == ("steel", "saloon", "changes")


def test_it_may_be_laid_on_another_one_or_be_new(browsers, later: str, desk: Desk) -> None:
    browser = browsers()
    assert "is step, 002" in browser.get(f"{later}/card?record=p1&onto=002").text
    assert 'data-onto="new"' in browser.get(f"{later}/card?record=p1&onto=new").text
    browser.post(f"{later}/answer", json={"do": "confirm", "record": "p1", "onto": "new"})
    assert now(desk).part("003").part.name == "lamp"


def test_the_parts_on_file_are_found_by_name_place_and_tag(browsers, later: str) -> None:
    browser = browsers()
    assert 'value="001"' in browser.get(f"{later}/on-file?words=LAMP saloon").text
    assert 'value="002"' in browser.get(f"{later}/on-file?words=002").text
    assert 'value="001"' not in browser.get(f"{later}/on-file?words=002").text
    assert "None is called so" in browser.get(f"{later}/on-file?words=zz").text
