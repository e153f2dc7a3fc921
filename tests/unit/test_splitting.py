"""A set that only the rules split is split, with a doubt; what the trained reader split stays as it is."""

import pytest

from notepipe.draft import Draft, Note
from notepipe.reading import read
from notepipe.reading.marks import Fate, Group, Marks, Span, Value
from notepipe.reading.splitting import SHORT, split_sets
from notepipe.trade import load_trade
from notepipe.transcript import Transcript


def drafted(text: str) -> Draft:
    return read(Transcript(text=text), Note(file="note.txt", sha256="0" * 64), load_trade())


def fate(action: str, at: int) -> Fate:
    return Fate(action, "decided", Span(at, at), Span(at, at), "rule")


def hooks() -> tuple[Marks, Marks]:
    """Six hooks as the trained reader (one group, two fates) and as the rules (two picks) mark them."""
    one = Group(
        "hook", [Span(1, 1)], plural=True, own=Span(1, 1), fates=[fate("polish", 6), fate("scrap", 12)]
    )
    whole = Group("hook", [Span(1, 1)], plural=True)
    for first, count, said in ((4, 4, fate("polish", 6)), (9, 2, fate("scrap", 12))):
        value = Value("quantity", count, Span(first, first), "count")
        pick = Group("hook", [Span(first, first)], plural=True, set_of=whole, values=[value], fates=[said])
        whole.picked.append(pick)
    return Marks([one]), Marks([whole, *whole.picked])


def test_a_plain_short_note_gives_a_record_for_each_group() -> None:
    parts = drafted(
        "Six coat hooks, brass. Four of them get polished. The other two are snapped, so scrap those."
    ).parts
    assert [(p.quantity, [d.action for d in p.decisions]) for p in parts] == [(4, ["polish"]), (2, ["scrap"])]
    assert all(p.metal == "brass" for p in parts)


@pytest.mark.parametrize(
    ("said", "groups"),
    [
        (
            "We have eight seat handles, brass. Six go to the plater for nickel. The other two are cracked, "
            "so the foundry is casting new ones.",
            [(6, ["replate"]), (2, ["make"])],
        ),
        (
            "Four door handles, steel. None of those are getting plated, just wax them.",
            [(4, ["replate", "coat"])],
        ),
    ],
)
def test_a_set_is_not_a_record_beside_its_groups(said: str, groups: list[tuple[int, list[str]]]) -> None:
    parts = drafted(said).parts
    assert [(p.quantity, [d.action for d in p.decisions]) for p in parts] == groups


def test_each_group_keeps_the_fates_said_of_it_with_a_doubt() -> None:
    groups = split_sets(*hooks(), length=20).groups
    assert [(g.value("quantity"), [f.action for f in g.fates]) for g in groups] == [
        (4, ["polish"]),
        (2, ["scrap"]),
    ]
    assert not any(f.sure for g in groups for f in g.fates)


def test_a_long_note_is_left_to_the_trained_reader() -> None:
    trained, rules = hooks()
    assert split_sets(trained, rules, length=SHORT + 1) is trained


def test_a_set_the_trained_reader_split_stays_as_it_is() -> None:
    trained, rules = hooks()
    other = Group("hook", [Span(9, 9)], plural=True, own=Span(9, 9), fates=[fate("scrap", 12)])
    trained.groups.append(other)
    assert split_sets(trained, rules, length=20).groups == trained.groups
