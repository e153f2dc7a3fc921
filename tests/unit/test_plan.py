"""What a client reads of one part: counts, plurals, order of work and whose it is; nothing guessed."""

import pytest

from notepipe.draft import Decision, Part, Size
from notepipe.papers.plan import place, sentences


def decision(action: str, standing: str = "decided", **rest: str) -> Decision:
    return Decision.model_validate({"action": action, "standing": standing, "quote": "", **rest})


def size(value: str, unit: str | None, feature: str | None = None) -> Size:
    return Size(feature=feature, value=value, unit=unit, mm=None)


STRIP = decision("clean", by="in-house", quote="those get stripped here")
REPLATE = decision("replate", by="plater", to_finish="nickel", quote="then they go for nickel")

# (the part, its section, what the letter says of it)
TOLD = [
    (
        Part(
            name="carriage lamp",
            quantity=2,
            metal="brass",
            finish="nickel",
            condition=("worn",),
            sizes=(size("14 1/2", "in", "across"),),
            decisions=(STRIP, REPLATE),
        ),
        "plater",
        "Two carriage lamps (brass, nickel-plated, worn), 14 1/2 in across, will be stripped here, then"
        " replated in nickel by the plater.",
    ),
    # Said the other way round: the order of talk is no order of work.
    (
        Part(name="lever", quantity=1, finish="nickel", decisions=(REPLATE, decision("straighten"))),
        "plater",
        "One lever (nickel-plated) will be replated in nickel by the plater and straightened.",
    ),
    # Nobody said the dial had been plated before.
    (
        Part(name="dial", quantity=1, decisions=(decision("replate", to_finish="silver plate"),)),
        "plater",
        "One dial will be plated in silver.",
    ),
    (
        Part(name="dial", decisions=(decision("replate", by="in-house", quote="we replate that here"),)),
        "here",
        "The dial will be replated here.",
    ),
    (
        Part(name="rail", decisions=(decision("clean", by="plater"), decision("polish", by="in-house"))),
        "plater",
        "The rail will be cleaned by the plater, then polished here.",
    ),
    (
        Part(name="coat hook", heard_as=("the hooks",), decisions=(decision("buff", by="in-house"),)),
        "here",
        "The coat hooks will be buffed here.",
    ),
    (
        Part(name="gauge", quantity=1, decisions=(decision("repair", by="gauge repairer"),)),
        "trades",
        "One gauge will be repaired by the gauge repairer.",
    ),
    # A person's name stays in the shop.
    (
        Part(name="gauge", quantity=1, decisions=(decision("repair", by="Dale"),)),
        "trades",
        "One gauge will be repaired.",
    ),
    (
        Part(name="hinge leaf", quantity=13, decisions=(decision("replace", to_metal="aluminium"),)),
        "new",
        "13 hinge leaves will be replaced with aluminium ones.",
    ),
    (
        Part(name="knob", quantity=1, decisions=(decision("replace", to_metal="aluminium"),)),
        "new",
        "One knob will be replaced with an aluminium one.",
    ),
    (
        Part(
            name="pawl",
            quantity=2,
            decisions=(decision("make", by="foundry", to_metal="bronze", quote="cast"),),
        ),
        "trades",
        "Two pawls will be cast new in bronze by the foundry.",
    ),
    (
        Part(name="washer", quantity=36, sizes=(size("3/4", "in"),), decisions=(decision("buy"),)),
        "new",
        "36 washers, 3/4 in, will be bought.",
    ),
    # Two decisions in the same words are one.
    (
        Part(
            name="arm",
            quantity=1,
            decisions=(
                decision("repair", by="in-house", quote="braze it"),
                decision("repair", by="in-house", quote="yes, braze it here"),
            ),
        ),
        "here",
        "One arm will be brazed here.",
    ),
    (
        Part(
            name="button",
            quantity=2,
            decisions=(decision("make", by="turner", to_metal="horn"), decision("replace")),
        ),
        "trades",
        "Two buttons will be made new in horn by the turner.",
    ),
    # The new one is not what is scrapped.
    (
        Part(name="knob", quantity=3, decisions=(decision("replace"), decision("scrap"))),
        "new",
        "Three knobs will be replaced. The old ones will be scrapped.",
    ),
    (Part(name="knob", quantity=1, decisions=(decision("scrap"),)), "scrapped", "One knob will be scrapped."),
    (
        Part(
            name="letter N",
            quantity=1,
            sizes=(size("2", "in", "diameter"),),
            decisions=(
                decision("make", by="turner", quote="turn one up"),
                decision("coat", by="sign painter"),
            ),
        ),
        "trades",
        "One letter N, 2 in diameter, will be turned new by the turner, then coated by the sign painter.",
    ),
    (
        Part(
            name="gong",
            quantity=1,
            metal="bronze",
            decisions=(
                decision("leave", quote="leave it because it's original, Joe"),
                decision("polish", "ruled-out"),
            ),
        ),
        "left",
        "One gong (bronze) will be left as it is, because it is original. It will not be polished.",
    ),
    (
        Part(name="bell push", quantity=3, decisions=(decision("leave", quote="because nobody's paying"),)),
        "left",
        "Three bell pushes will be left as they are.",
    ),
    (
        Part(name="net", quantity=2, decisions=(decision("source"),)),
        "sought",
        "Two nets are still being looked for.",
    ),
    (
        Part(name="cap", quantity=1, decisions=(decision("replace"), decision("source"))),
        "sought",
        "One cap will be replaced. It is still without a replacement, which we are looking for.",
    ),
    (
        Part(name="cap", quantity=1, decisions=(decision("source", "done"),)),
        "done",
        "One cap has already been found.",
    ),
    (
        Part(
            name="post",
            quantity=2,
            decisions=(decision("straighten", "done", by="in-house"), decision("buff")),
        ),
        "here",
        "Two posts have already been straightened here. They will be buffed.",
    ),
    # Without the comma the foundry would do both.
    (
        Part(
            name="arm",
            quantity=1,
            decisions=(
                decision("repair", "considering", quote="braze it"),
                decision("make", "considering", by="foundry"),
            ),
        ),
        "considering",
        "One arm may yet be brazed, or made new by the foundry.",
    ),
    (
        Part(name="vent", quantity=2, decisions=(decision("clean", "asking"), decision("leave", "asking"))),
        "asking",
        "Two vents may be cleaned or left as they are, as you decide.",
    ),
    (Part(name="fare box", quantity=1), "open", "One fare box: nothing has been decided yet."),
    (
        Part(name="frame", quantity=1, sizes=(size("18", "in", "width"),)),
        "open",
        "One frame, 18 in wide: nothing has been decided yet.",
    ),
    (
        Part(
            name="bar", quantity=1, decisions=(decision("replate", "ruled-out", quote="we won't chrome it"),)
        ),
        "left",
        "One bar will not be plated.",
    ),
    (
        Part(
            name="cover",
            quantity=1,
            decisions=(decision("coat", by="powder coater", to_finish="black powder coat"),),
        ),
        "trades",
        "One cover will be powder-coated black by the powder coater.",
    ),
    (
        Part(
            name="rose", quantity=1, decisions=(decision("coat", to_finish="lacquer", quote="re-lacquered"),)
        ),
        "here",
        "One rose will be re-lacquered.",
    ),
    (
        Part(name="rose", quantity=1, decisions=(decision("coat", to_finish="shellac"),)),
        "here",
        "One rose will be finished in shellac.",
    ),
    (
        Part(name="rose", quantity=1, decisions=(decision("buff", to_finish="satin"),)),
        "here",
        "One rose will be buffed to a satin finish.",
    ),
]


@pytest.mark.parametrize(("part", "section", "text"), TOLD, ids=[text[:40] for _, _, text in TOLD])
def test_a_part_stands_in_one_section_and_is_told_in_whole_sentences(
    part: Part, section: str, text: str
) -> None:
    assert place(part) == section
    assert sentences(part, None).replace("\N{NO-BREAK SPACE}", " ") == text


def test_a_part_that_waits_for_the_client_names_the_question() -> None:
    part = Part(name="vent", quantity=2, decisions=(decision("clean", "asking"),))
    assert sentences(part, 3).endswith("may be cleaned, as you decide (question 3 below).")


def test_sizes_stand_with_their_feature_and_one_without_a_unit_stays_out() -> None:
    part = Part(
        name="frame",
        quantity=2,
        sizes=(size("2 6", "ft in", "width"), size("18", "in", "height"), size("5", None, "length")),
    )
    text = sentences(part, None).replace("\N{NO-BREAK SPACE}", " ")
    assert text.startswith("Two frames, 2 ft 6 in wide and 18 in high:")


def test_two_bare_sizes_are_one_by_the_other() -> None:
    part = Part(name="tray", quantity=1, sizes=(size("610", "mm"), size("230", "mm")))
    assert "610 mm × 230 mm" in sentences(part, None).replace("\N{NO-BREAK SPACE}", " ")


def test_several_verbs_of_one_action_are_not_chosen_from() -> None:
    """ "Blasted, not soaked" must not come out as soaked."""
    one = Part(name="step", quantity=1, decisions=(decision("clean", quote="get it blasted"),))
    two = Part(name="step", quantity=1, decisions=(decision("clean", quote="blasted, not soaked"),))
    assert "will be blasted." in sentences(one, None)
    assert "will be cleaned." in sentences(two, None)
