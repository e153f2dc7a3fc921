"""The cautions: shown where a part and its work call for one, worded by the evidence, with whom to ask."""

import re

import pytest
from pydantic import ValidationError

from notepipe.draft import Decision, Part
from notepipe.errors import BadSetting
from notepipe.reading.plausibility import cautions_of, example_part, slips
from notepipe.trade import load_trade
from notepipe.trade.cautions import FACT, NO_SOURCE, CautionRow, cautions, inside_only, load_cautions

ROWS = cautions()
SPEAKS = [(row, part) for row in ROWS for part in row.examples.speaks]
SILENT = [(row, part) for row in ROWS for part in row.examples.silent]


def ids(part: Part, rows: tuple[CautionRow, ...] = ROWS) -> set[str]:
    return {caution.id for caution in cautions_of(part, rows)}


@pytest.mark.parametrize(("row", "written"), SPEAKS, ids=lambda v: getattr(v, "id", ""))
def test_a_caution_is_shown_on_its_example_and_not_once_it_is_taken_away(
    row: CautionRow, written: dict
) -> None:
    part = example_part(written)
    assert row.id in ids(part)
    assert row.id not in ids(part, tuple(other for other in ROWS if other.id != row.id))


@pytest.mark.parametrize(("row", "written"), SILENT, ids=lambda v: getattr(v, "id", ""))
def test_a_caution_leaves_its_other_example_alone(row: CautionRow, written: dict) -> None:
    assert row.id not in ids(example_part(written))


def test_every_circumstance_of_every_caution_is_needed_by_an_example() -> None:
    assert list(slips(ROWS)) == []


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_a_caution_states_only_what_there_is_evidence_for_and_says_whom_to_ask(row: CautionRow) -> None:
    assert row.text.endswith("?") or row.evidence in FACT
    assert row.source != NO_SOURCE or row.evidence not in FACT
    assert row.defer_to
    assert not row.defer_to.endswith(".")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_a_caution_gives_one_sentence_no_limit_value_and_no_advice_on_gloves(row: CautionRow) -> None:
    assert re.search(r"[.?!] [A-Z]", row.text) is None
    assert re.search(r"\d+(?:\.\d+)?\s*(?:µg|mg|%|°C|hours?|cu ft|cm)\b", row.text) is None
    assert "glove" not in row.text


@pytest.mark.parametrize(
    ("name", "action"),
    [
        ("lifting eye", "replate"),
        ("drag link", "straighten"),
        ("fuel tank", "repair"),
        ("brake lever", "replate"),
        ("safety valve", "repair"),
        ("stern light lens", "make"),
        ("chandelier", "polish"),
        ("gas bracket", "repair"),
    ],
)
def test_safety_critical_parts_want_acknowledging_and_stand_in_the_letter(name: str, action: str) -> None:
    part = Part(
        name=name,
        decisions=(Decision.model_validate({"action": action, "standing": "decided", "quote": ""}),),
    )
    acknowledged = {caution.id for caution in cautions_of(part, ROWS) if caution.acknowledge}
    assert acknowledged
    assert not acknowledged & inside_only(ROWS)


def test_work_in_the_shop_is_no_business_of_the_client_s() -> None:
    assert {"wheel-dust", "chromium", "blasting", "oily-rags"} <= inside_only(ROWS)


def test_no_work_no_caution() -> None:
    left = Decision(action="leave", standing="decided", quote="leave the lifting eyes")
    refused = Decision(action="replate", standing="ruled-out", quote="no plating the lifting eyes")
    assert cautions_of(Part(name="lifting eye", decisions=(left, refused)), ROWS) == ()


def test_a_memory_stated_as_a_fact_is_refused() -> None:
    row = next(row for row in ROWS if row.evidence == "M").model_dump()
    with pytest.raises(ValidationError, match="'text' must ask"):
        CautionRow.model_validate({**row, "text": "It explodes."})


def test_a_fact_without_its_source_is_refused() -> None:
    row = next(row for row in ROWS if row.evidence == "V").model_dump()
    with pytest.raises(ValidationError, match="a fact needs its source"):
        CautionRow.model_validate({**row, "source": NO_SOURCE})


SHOP_FILE = """
[[term]]
id = "trolley-head"
kind = "part"
phrases = ["trolley head"]
example = { say = "The trolley head wants polishing." }

[[caution]]
id = "ladder"
text = "Who holds the ladder?"
defer_to = "the foreman"
source = "common practice, no source"
evidence = "P"
when = [{ part = ["ladder"] }]
examples = { speaks = [{ name = "ladder" }], silent = [{ name = "lamp" }] }

[[rule]]
id = "trolley"
field = "metal"
ask = "Is it the old one?"
source = "common practice, no source"
evidence = "P"
when = [{ part = ["trolley head"] }]
examples = { speaks = [{ name = "trolley head" }], silent = [{ name = "lamp" }] }
"""


def test_a_shop_s_one_file_holds_words_rules_and_cautions(tmp_path) -> None:
    (tmp_path / "shop.toml").write_text(SHOP_FILE)
    trade = load_trade([tmp_path])
    assert "trolley-head" in [term.id for term in trade.terms]
    assert (trade.cautions[-1].id, trade.rules[-1].id) == ("ladder", "trolley")


def test_a_slip_in_any_table_of_a_shop_s_file_is_told(tmp_path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(SHOP_FILE.replace("[[rule]]", "[[rul]]"))
    with pytest.raises(BadSetting, match="Did you mean 'rule'"):
        load_trade([path])
    path.write_text(SHOP_FILE.replace("ask =", "aks ="))
    with pytest.raises(BadSetting, match="Did you mean 'ask'"):
        load_trade([path])


def test_a_caution_without_a_circumstance_or_an_example_is_refused(tmp_path) -> None:
    text = """
[[caution]]
id = "ladder"
text = "Who holds the ladder?"
defer_to = "the foreman"
source = "common practice, no source"
evidence = "P"
when = [{}]
examples = { speaks = [{ name = "ladder" }], silent = [{ name = "lamp" }] }
"""
    path = tmp_path / "cautions.toml"
    path.write_text(text)
    with pytest.raises(BadSetting, match="it is empty and would always hold"):
        load_cautions([path])
    path.write_text(
        text.replace("when = [{}]", 'when = [{ part = ["ladder"] }]').replace('{ name = "lamp" }', "")
    )
    with pytest.raises(BadSetting, match="one example at least of each"):
        load_cautions([path])
    path.write_text(text.replace("when = [{}]", 'when = [{ part = ["ladder"] }]'))
    assert ids(Part(name="roof ladder"), load_cautions([path])) == {"ladder"}
