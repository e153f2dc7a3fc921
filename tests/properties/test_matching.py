"""Whatever is on file and whatever is said: matching is settled, loses nothing, and knows its own again."""

from __future__ import annotations

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.draft import Decision, Draft, Note, Part, Size
from notepipe.later.matching import OnFile, held_against
from notepipe.later.merging import Layer, laid_over
from notepipe.review import Confirm, Sitting, entries_for
from notepipe.trade.row import ActionName

OLD, NEW = "11" * 32, "22" * 32
NAMES = ("lamp", "bow lamp", "stern lamp", "lamp bracket", "hinge", "door hinge", "coat hook", "grab rail")
ACTIONS: tuple[ActionName, ...] = ("replate", "polish", "coat", "make", "buy", "source", "leave", "repair")

decisions = st.builds(
    Decision,
    action=st.sampled_from(ACTIONS),
    standing=st.sampled_from(("decided", "considering", "asking", "ruled-out", "done")),
    by=st.sampled_from((None, "plater", "in-house")),
    to_finish=st.sampled_from((None, "nickel", "black paint")),
    quote=st.sampled_from(("", "they get polished", "he wants those done")),
)
sizes = st.builds(Size, feature=st.sampled_from((None, "length")), value=st.just("8"), unit=st.just("mm"),
                  mm=st.sampled_from((8.0, 8.4, 40.0)))  # fmt: skip
parts = st.builds(
    Part,
    name=st.sampled_from(NAMES),
    quantity=st.sampled_from((None, 1, 2, 6)),
    metal=st.sampled_from((None, "brass", "steel")),
    finish=st.sampled_from((None, "nickel")),
    condition=st.lists(st.sampled_from(("bent", "cracked", "not cracked")), max_size=2, unique=True).map(
        tuple
    ),
    sizes=st.lists(sizes, max_size=2, unique_by=lambda s: (s.feature, s.mm)).map(tuple),
    decisions=st.lists(decisions, max_size=3, unique_by=lambda d: d.action).map(tuple),
)
many = st.lists(parts, max_size=6).map(tuple)


def draft(said: tuple[Part, ...]) -> Draft:
    return Draft(note=Note(file="2.txt", sha256=NEW), parts=said)


def filed(rows: tuple[Part, ...]) -> list[OnFile]:
    return [OnFile(tag=f"{n:03d}", part=part, recording=OLD) for n, part in enumerate(rows, start=1)]


@given(many, many, st.randoms(use_true_random=False))
@settings(max_examples=150)
def test_the_order_of_what_is_on_file_makes_no_difference(
    rows: tuple[Part, ...], said: tuple[Part, ...], chance: random.Random
) -> None:
    in_order, shuffled = filed(rows), filed(rows)
    chance.shuffle(shuffled)
    assert held_against(draft(said), in_order) == held_against(draft(said), shuffled)


@given(many, many)
@settings(max_examples=150)
def test_no_part_on_file_is_taken_twice(rows: tuple[Part, ...], said: tuple[Part, ...]) -> None:
    tags = [match.tag for match in held_against(draft(said), filed(rows)) if match.tag is not None]
    assert len(tags) == len(set(tags))


@given(many)
@settings(max_examples=150)
def test_a_draft_confirmed_and_read_again_says_only_the_same(said: tuple[Part, ...]) -> None:
    for match, part in zip(held_against(draft(said), filed(said)), said, strict=True):
        assert match.tag is not None
        assert match.against == "says the same", (match.differences, part)


@given(parts, parts)
@settings(max_examples=300)
def test_laying_one_over_the_other_loses_no_decision_and_said_again_changes_nothing(
    on_file: Part, said: Part
) -> None:
    merged = laid_over(Layer(on_file, OLD), Layer(said, NEW))
    stands = {decision.action for decision in merged.part.decisions}
    gone = {d.was_decision.action for d in merged.differences if d.was_decision and d.kind != "says the same"}
    assert {decision.action for decision in on_file.decisions} <= stands | gone
    told = {d.now_decision.action for d in merged.differences if d.now_decision}
    # A new one is a new one, made or bought; and a word that was read twice is one plan.
    plain = {decision.action for decision in said.decisions if not decision.quote}
    assert plain <= told | {"make", "buy"}
    assert set(on_file.condition) <= set(merged.part.condition)
    again = laid_over(Layer(merged.part, NEW), Layer(said, NEW))
    assert again.changes == ()


@given(many, many)
@settings(max_examples=60)
def test_every_record_without_a_doubt_can_be_confirmed_and_any_other_is_refused(
    rows: tuple[Part, ...], said: tuple[Part, ...]
) -> None:
    sitting = Sitting(
        recording=NEW, file="2.txt", draft=draft(said), on_file=tuple(filed(rows)), next_part=90
    )
    for number, match in enumerate(sitting.matches, start=1):
        answer = Confirm(record=f"p{number}", onto=None if match.doubt is None else (match.tag or "new"))
        (body,) = entries_for(sitting, answer)
        assert getattr(body, "tag", None) in {match.tag, "090"}
