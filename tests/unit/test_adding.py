"""A part added by hand takes the next tag and place of its note, and no caution is passed over."""

import pytest

from notepipe.adding import Added, addition
from notepipe.draft import Draft, Note, Part
from notepipe.entries import PartConfirmed
from notepipe.errors import BadAnswer
from notepipe.review import Sitting
from notepipe.trade.cautions import CautionRow
from notepipe.trade.when import Examples, When

HOIST = CautionRow(
    id="hoist",
    text="Does it carry people?",
    defer_to="the examiner",
    source="common practice, no source",
    evidence="P",
    acknowledge=True,
    when=(When(part=("hook",)),),
    examples=Examples(speaks=({"name": "hook"},), silent=({"name": "bell"},)),
)
NOTE = Note(file="walk.m4a", sha256="ab" * 32)
TABLE = Sitting(
    recording="ab" * 32,
    file="walk.m4a",
    draft=Draft(note=NOTE, parts=(Part(name="bell"),)),
    reviewed=frozenset({"p1", "added-1"}),
    next_part=3,
)


def body_of(added: Added) -> PartConfirmed:
    body = addition(TABLE, "Both  the hooks\nneed plating.", added, (HOIST,))
    assert isinstance(body, PartConfirmed)
    return body


def test_it_takes_the_next_tag_and_the_next_place_among_those_added() -> None:
    body = body_of(Added(name="bell", fields={"quantity": "2"}))
    assert (body.tag, body.record, body.how) == ("003", "added-2", "added by hand")
    assert (body.part.quantity, body.changes) == (2, ())


def test_its_words_stand_as_in_the_transcript_also_beneath_its_decisions() -> None:
    said = Added(name="lamp", fields={"new decision": "replate"}, said="both the HOOKS need")
    part = body_of(said).part
    assert part.quotes[0].text == part.decisions[0].quote == "Both  the hooks\nneed"


def test_a_caution_is_read_before_it_is_added_and_stands_beside_it() -> None:
    with pytest.raises(BadAnswer, match=r"Does it carry people.*\n.*--acknowledge hoist"):
        body_of(Added(name="hook"))
    body = body_of(Added(name="hook", acknowledged=("hoist",)))
    assert (body.acknowledged, body.part.cautions[0].id) == (("hoist",), "hoist")


@pytest.mark.parametrize(
    ("added", "told"),
    [
        (Added(name=" "), "name can't be empty"),
        (Added(name="bell", fields={"metl": "brass"}), "Did you mean 'metal'"),
        (Added(name="bell", said="brass hooks"), "'brass hooks' is not in what was heard"),
        (Added(name="bell", said=" "), "is not in what was heard"),
    ],
)
def test_a_slip_is_told(added: Added, told: str) -> None:
    with pytest.raises(BadAnswer, match=told):
        body_of(added)
