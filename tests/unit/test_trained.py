"""The trained reader's marks of plain sentences (with models/reader)."""

import pytest

from notepipe.reading.marks import Fate, Group, Marks, Span, Value
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.reading.trained import _hardly_said, mark_by_training
from notepipe.trade import load_trade

LEXICON = Lexicon(load_trade())


def marked(text: str) -> Marks:
    return mark_by_training(tokens_of(text), LEXICON)


def fates(marks: Marks) -> set[tuple[str, str, str]]:
    return {(g.name, f.action, f.standing) for g in marks.groups for f in g.fates}


@pytest.mark.parametrize(
    ("text", "fate"),
    [
        ("The bell wants polishing, we'll do that here.", ("bell", "polish", "decided")),
        ("The door handles, we won't be plating those.", ("door handle", "replate", "ruled-out")),
        (
            "The headlamp rim, might straighten that if it'll go.",
            ("headlamp rim", "straighten", "considering"),
        ),
    ],
)
def test_a_plain_sentence_is_read_for_what_it_says(text: str, fate: tuple[str, str, str]) -> None:
    assert fate in fates(marked(text))


def test_values_go_to_the_part_they_are_said_of() -> None:
    marks = marked("Coat hooks, six of them, brass, polish those. The lamp rim's steel, straighten that.")
    said = {g.name: (g.value("quantity"), g.value("metal")) for g in marks.groups}
    assert said["coat hook"] == (6, "brass")
    assert said["lamp rim"][1] == "steel"


def test_a_set_is_split_into_groups_with_counts_of_their_own() -> None:
    marks = marked(
        "Six coat hooks, brass. Four of them get polished. The other two are snapped, so scrap those."
    )
    counts = {(g.value("quantity"), f.action) for g in marks.groups for f in g.fates}
    assert {(4, "polish"), (2, "scrap")} <= counts


def test_every_mark_lies_within_the_note_and_says_how_likely_it_is() -> None:
    text = "The gauge glass, that's cracked. Ask the client for the old one. Brass bezel, polish it."
    size = len(tokens_of(text))
    marks = marked(text)
    spans = [v.span for g in marks.groups for v in g.values]
    spans += [s for g in marks.groups for f in g.fates for s in (f.span, f.clause)]
    assert spans
    assert all(0 <= s.first <= s.last < size for s in spans)
    signs = [m.signs for g in marks.groups for m in (*g.values, *g.fates)]
    assert all(s and all(0 <= p <= 1 for p in (s.said, s.stands, s.linked, s.rival)) for s in signs)
    assert all(0 <= g.likely <= 1 for g in marks.groups)


def test_small_talk_is_no_part() -> None:
    assert fates(marked("Kettle's on, and it's been a long old week, hasn't it.")) == set()


@pytest.mark.parametrize(
    ("likely", "values", "stands"),
    [(0.95, 1, True), (0.95, 0, False), (0.5, 1, False), (0.5, 2, True)],
)
def test_a_thing_of_which_next_to_nothing_is_said_is_no_record(
    likely: float, values: int, stands: bool
) -> None:
    group = Group("table", [Span(0, 0)], plural=False, likely=likely)
    group.values += [Value("metal", "oak", Span(i, i), "r") for i in range(values)]
    assert _hardly_said(group) is not stands


def test_a_thing_with_a_decision_is_a_record_however_unlikely() -> None:
    group = Group("table", [Span(0, 0)], plural=False, likely=0.1)
    group.fates.append(Fate("polish", "decided", Span(1, 1), Span(1, 2), "r"))
    assert not _hardly_said(group)
