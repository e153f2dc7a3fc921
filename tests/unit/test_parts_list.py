"""The parts list: every confirmed part, in step, fitted to the paper, harmless in a spreadsheet."""

import csv
import io

import pytest

from notepipe.draft import Decision, Part, Quote, Size
from notepipe.errors import NotReviewed
from notepipe.papers import parts_csv, parts_list
from notepipe.papers.cells import state

HOOKS = Part(
    name="coat hook",
    quantity=8,
    metal="bronze",
    condition=("two are bent",),
    sizes=(Size(feature="length", value="4 1/2", unit="in", mm=114.3),),
    decisions=(
        Decision(action="clean", standing="done", by="in-house", quote="stripped", start_s=12.4, end_s=17.9),
        Decision(action="replate", standing="decided", by="plater", to_finish="nickel", quote="nickel"),
    ),
    quotes=(Quote(text="eight coat hooks", start_s=3.0, end_s=7.0),),
)
SCREWS = Part(
    name="screw", decisions=(Decision(action="buy", standing="decided", to_metal="brass", quote="b"),)
)

TABLE = """\
Larkhill Tramway Workshop
25 November 2026

Parts list of job car-14: Tramcar 14, brass and plated fittings
For Fennimore Museum of Transport

tag part      count metal  finish condition    size            decision          who      standing state
--- --------- ----- ------ ------ ------------ --------------- ----------------- -------- -------- ---------
001 coat hook 8     bronze        two are bent length 4 1/2 in clean             in-house done     part done
                                                               replate to nickel plater   decided
002 screw                                                      buy in brass      not said decided  to do

2 lines, 8 pieces, and one line without a count
Record 3f9a2c81d0b4
"""

SHORT = """\
tag part      count metal  finish size            state
--- --------- ----- ------ ------ --------------- ---------
001 coat hook 8     bronze        length 4 1/2 in part done
     condition: two are bent
     done: clean, in-house
     decided: replate to nickel, plater

002 screw                                         to do
     decided: buy in brass
"""

PLAIN = """\
001  8 × coat hook, bronze, length
     4 1/2 in: part done
     condition: two are bent
     done: clean, in-house
     decided: replate to nickel, plater

002  screw: to do
     decided: buy in brass
"""


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_on_wide_paper_it_is_one_table(registered, letter):
    wide = letter.model_copy(update={"width": 120})
    assert parts_list(registered(HOOKS, SCREWS), wide) == TABLE


@pytest.mark.parametrize(("width", "table"), [(72, SHORT), (40, PLAIN)])
def test_on_narrow_paper_the_decisions_stand_under_their_part(registered, letter, width, table):
    text = parts_list(registered(HOOKS, SCREWS), letter.model_copy(update={"width": width}))
    assert table in text
    assert max(map(len, text.splitlines())) <= width


def test_without_any_part_it_says_so(registered, letter):
    assert "There are no confirmed parts yet." in parts_list(registered(), letter)
    assert len(rows_of(parts_csv(registered(), letter))) == 0


def test_in_csv_a_part_is_one_row_so_that_counts_add_up_and_decisions_stand_in_step(registered, letter):
    hooks, screws = rows_of(parts_csv(registered(HOOKS, SCREWS), letter))
    assert hooks == {
        "tag": "001",
        "part": "coat hook",
        "count": "8",
        "metal": "bronze",
        "finish": "",
        "condition": "two are bent",
        "size": "length 4 1/2 in",
        "decision": "clean; replate to nickel",
        "who": "in-house; plater",
        "standing": "done; decided",
        "state": "part done",
        "source": "walk.m4a#t=12.4,17.9; walk.m4a#t=3,7",
    }
    assert (screws["count"], screws["who"], screws["source"]) == ("", "not said", "walk.m4a")


@pytest.mark.parametrize("name", ["=1+1", "+44 20", "-2 hooks", "@SUM(A1)", " =1+1", "＝1+1"])
def test_what_was_spoken_can_not_run_in_a_spreadsheet(registered, letter, name):
    (row,) = rows_of(parts_csv(registered(HOOKS.model_copy(update={"name": name})), letter))
    assert row["part"].startswith("'")


def test_records_that_wait_stop_it_or_are_counted_as_left_out(registered, letter):
    register = registered(HOOKS, waiting=1)
    told = letter.model_copy(update={"leave_out": True})
    for paper in (parts_list, parts_csv):
        with pytest.raises(NotReviewed):
            paper(register, letter)
    assert "Left out: 1 record nobody has reviewed yet" in parts_list(register, told)
    assert rows_of(parts_csv(register, told))[-1]["part"] == "left out: 1 record not reviewed"


@pytest.mark.parametrize(
    ("standings", "where"),
    [
        ((), "nothing decided"),
        (("decided",), "to do"),
        (("done", "decided"), "part done"),
        (("done",), "done"),
        (("done", "ruled-out"), "done"),
        (("ruled-out",), "left as is"),
        (("considering",), "open"),
        (("decided", "asking"), "waits for client"),
    ],
)
def test_the_state_says_what_lies_ahead(standings, where):
    decisions = tuple(Decision(action="buff", standing=s, quote="") for s in standings)
    assert state(Part(name="hook", decisions=decisions)) == where


def test_what_is_hunted_for_is_looked_for_until_it_is_found():
    hunted = Decision(action="source", standing="decided", quote="")
    assert state(Part(name="cap", decisions=(hunted,))) == "looked for"
    assert state(Part(name="cap", decisions=(hunted.model_copy(update={"standing": "done"}),))) == "done"


def test_words_of_an_earlier_note_are_found_in_the_recording_they_were_said_in(registered, letter):
    earlier = Quote(text="eight hooks", start_s=64.0, end_s=66.0, recording="cd" * 32)
    part = HOOKS.model_copy(update={"quotes": (*HOOKS.quotes, earlier)})
    now = registered(part)
    note = now.notes[0].model_copy(update={"recording": "cd" * 32, "file": "first.m4a"})
    (row,) = rows_of(parts_csv(now.model_copy(update={"notes": (*now.notes, note)}), letter))
    assert row["source"] == "walk.m4a#t=12.4,17.9; walk.m4a#t=3,7; first.m4a#t=64,66"
