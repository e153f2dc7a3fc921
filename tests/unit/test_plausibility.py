"""The plausibility rules ask, and only ask; each is proven by its examples, and none is dead."""

import re

import pytest
from pydantic import ValidationError

from notepipe.draft import Decision, Part
from notepipe.errors import BadSetting
from notepipe.reading.plausibility import doubts_of, example_part, slips, speaks
from notepipe.trade.cautions import FACT, NO_SOURCE
from notepipe.trade.rules import RuleRow, load_rules, rules
from notepipe.trade.when import When

RULES = rules()
EXAMPLES = [(rule, part) for rule in RULES for part in rule.examples.speaks]
SILENT = [(rule, part) for rule in RULES for part in rule.examples.silent]
PLATE = Decision(action="replate", standing="decided", quote="chrome the Grilles, please")
GRILLE = Part(name="counter grille", metal="aluminium", decisions=(PLATE,))


def ids(part: Part, rows: tuple[RuleRow, ...] = RULES) -> set[str | None]:
    return {doubt.rule for doubt in doubts_of(part, rows)}


@pytest.mark.parametrize(("rule", "written"), EXAMPLES, ids=lambda v: getattr(v, "id", ""))
def test_a_rule_speaks_on_its_example_and_not_once_it_is_taken_away(rule: RuleRow, written: dict) -> None:
    part = example_part(written)
    assert rule.id in ids(part)
    assert rule.id not in ids(part, tuple(row for row in RULES if row.id != rule.id))


@pytest.mark.parametrize(("rule", "written"), SILENT, ids=lambda v: getattr(v, "id", ""))
def test_a_rule_leaves_its_other_example_alone(rule: RuleRow, written: dict) -> None:
    assert rule.id not in ids(example_part(written))


def test_every_circumstance_of_every_rule_is_needed_by_an_example() -> None:
    assert list(slips(RULES)) == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_asks_and_states_only_what_there_is_evidence_for(rule: RuleRow) -> None:
    assert rule.why.endswith("?")
    assert "should" not in (rule.fact or "").lower().split()
    if rule.evidence not in FACT:
        assert rule.fact is None
    if rule.fact:
        assert rule.source != NO_SOURCE


def test_a_doubt_names_its_rule_and_field_and_changes_nothing() -> None:
    before = GRILLE.model_dump()
    (doubt,) = doubts_of(GRILLE, RULES)
    assert (doubt.rule, doubt.field) == ("aluminium-plated", "decisions")
    assert doubt.why.startswith("Aluminium needs an immersion layer")
    assert GRILLE.model_dump() == before


@pytest.mark.parametrize(
    ("when", "holds"),
    [
        (When(part=("grille",)), True),
        (When(part=("grilles",)), True),
        (When(part=("rille",)), False),
        (When(part=("grill*",)), True),
        (When(part=("grille counter",)), False),
        (When(part=("grille",), unless_part=("counter grille",)), False),
        (When(metal=("aluminium",)), True),
        (When(metal=("brass",)), False),
        (When(action=("replate",), said=("grille",)), True),
        (When(action=("replate",), said=("grille , please",)), True),
        (When(action=("replate",), said=("grille please",)), False),
        (When(action=("polish",)), False),
        (When(action=("replate",), by=("plater",)), False),
        (When(action=("replate",), standing=("considering",)), False),
        (When(without=("replate",)), False),
        (When(lacks=("quantity", "metal")), True),
        (When(lacks=("metal",)), False),
        (When(spoken=("chrome",), unless_spoken=("please",)), False),
    ],
)
def test_a_circumstance_holds_or_not(when: When, holds: bool) -> None:
    assert speaks([when], GRILLE) is holds


def test_what_was_refused_raises_nothing() -> None:
    refused = GRILLE.model_copy(update={"decisions": (PLATE.model_copy(update={"standing": "ruled-out"}),)})
    assert doubts_of(refused, RULES) == ()


def test_words_of_two_decisions_do_not_make_one() -> None:
    """ "Strip the lamp, glue the badge": the badge is not stripped."""
    other = Decision(action="repair", standing="decided", quote="dip it in glue")
    clean = Decision(action="clean", standing="decided", quote="wash it")
    part = Part(name="badge", metal="zinc die-cast", decisions=(clean, other))
    assert "zinc-stripped" not in ids(part)


def test_a_rule_that_does_not_ask_is_refused() -> None:
    row = {**RULES[0].model_dump(), "ask": "It is steel."}
    with pytest.raises(ValidationError, match="must be a question"):
        RuleRow.model_validate(row)


def test_a_rule_that_states_what_is_only_remembered_is_refused() -> None:
    row = {**RULES[0].model_dump(), "evidence": "M"}
    with pytest.raises(ValidationError, match="evidence M is no fact"):
        RuleRow.model_validate(row)


SHOP_RULE = """
[[rule]]
id = "{id}"
field = "metal"
ask = "Is the trolley head gunmetal?"
source = "common practice, no source"
evidence = "P"
when = [{{ part = ["trolley head"] }}]
examples.speaks = [{{ name = "trolley head" }}]
examples.silent = [{{ name = "trolley" }}]
"""


def test_a_shop_s_rule_stands_beside_ours_or_in_its_place(tmp_path) -> None:
    path = tmp_path / "rules.toml"
    path.write_text(SHOP_RULE.format(id="trolley") + SHOP_RULE.format(id="aluminium-plated"))
    together = load_rules([path])
    assert len(together) == len(RULES) + 1
    assert ids(Part(name="trolley heads"), together) == {"trolley", "aluminium-plated"}
    assert "aluminium-plated" not in ids(GRILLE, together)


def test_a_slip_in_a_shop_s_rules_is_named_by_file_line_and_field(tmp_path) -> None:
    path = tmp_path / "rules.toml"
    path.write_text(SHOP_RULE.format(id="trolley").replace("ask =", "aks ="))
    with pytest.raises(
        BadSetting, match=rf"{re.escape(str(path))}:5: rule 'trolley': no field 'aks'\nDid you mean 'ask'"
    ):
        load_rules([path])
    path.write_text(SHOP_RULE.format(id="trolley") * 2)
    with pytest.raises(BadSetting, match="id 'trolley' stands there twice"):
        load_rules([path])


def test_an_example_that_comes_out_wrong_is_told(tmp_path) -> None:
    path = tmp_path / "rules.toml"
    path.write_text(
        SHOP_RULE.format(id="trolley").replace(
            'speaks = [{ name = "trolley head"', 'speaks = [{ name = "bell"'
        )
    )
    told = list(slips(row for row in load_rules([path]) if row.id == "trolley"))
    assert told == [
        "trolley: says nothing on its example 'bell'",
        "trolley: no example needs its 'when' number 1",
    ]
