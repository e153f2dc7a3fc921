"""What a reviewer must look at is raised on the field it concerns, and nowhere else."""

import pytest

from notepipe.draft import Decision, Part
from notepipe.reading.doubts import Heard, doubts_on, misheard, record_doubts, set_doubts
from notepipe.reading.marks import Fate, Group, Marks, Span, Value
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import Example, Mishearing, load_trade
from notepipe.transcript import Difference, Transcript, Word

TEXT = "Six brass bells. Polish them."
TOKENS = tokens_of(TEXT)
LEXICON = Lexicon(load_trade())


def bells() -> Group:
    group = Group("bell", [Span(0, 2)], plural=True)
    group.values += [Value("quantity", 6, Span(0, 0), "r"), Value("metal", "brass", Span(1, 1), "r")]
    group.fates.append(Fate("polish", "decided", Span(4, 4), Span(4, 5), "r"))
    return group


def doubts(**of: object) -> list[tuple[str, str | None]]:
    transcript = Transcript.model_validate({"text": TEXT, **of})
    found = doubts_on(bells(), Heard.of(transcript, TOKENS, LEXICON))
    return [(d.field, d.other) for d in found]


def test_a_note_heard_one_way_raises_no_doubt() -> None:
    assert doubts() == []


@pytest.mark.parametrize(
    ("said", "other", "field"),
    [("Six", "sixty", "quantity"), ("brass", "bronze", "metal"), ("Polish", "don't polish", "decision")],
)
def test_two_hearings_doubt_the_field_their_words_carry(said: str, other: str, field: str) -> None:
    start = TEXT.index(said)
    difference = Difference(start=start, end=start + len(said), other=other)
    assert doubts(differences=(difference,)) == [(field, other)]


def test_two_hearings_of_a_word_that_carries_nothing_raise_no_doubt() -> None:
    start = TEXT.index("them")
    assert doubts(differences=(Difference(start=start, end=start + 4, other="then"),)) == []


def test_a_badly_heard_word_is_doubted_only_where_something_rests_on_it() -> None:
    weak = {t.i: 0.1 if t.norm in ("brass", "them") else 0.9 for t in TOKENS}
    words = tuple(Word(text=t.text, at=t.at, probability=weak[t.i]) for t in TOKENS)
    assert ("metal", None) in doubts(words=words)
    assert ("quantity", None) not in doubts(words=words)


ROW = Mishearing(
    said="weld",
    heard="well",
    wrong="w",
    needs=("seam",),
    unless=("as",),
    example=Example(say="Well the seam.", gives="weld"),
)


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("We well the seam.", [(1, 1)]),
        ("We well the bell.", []),
        ("It is as well the seam holds.", []),
        ("We well all of the long seam.", []),
    ],
)
def test_a_mishearing_is_raised_where_its_words_are_near_and_none_that_rule_it_out(
    text: str, places: list[tuple[int, int]]
) -> None:
    assert misheard(ROW, tokens_of(text)) == places


@pytest.mark.parametrize(("counts", "odd"), [((2, 4), False), ((2, 3), True), ((2,), False)])
def test_a_set_that_does_not_add_up_is_doubted(counts: tuple[int, ...], odd: bool) -> None:
    whole = Group("bell", [], plural=True)
    whole.values.append(Value("quantity", 6, Span(0, 0), "r"))
    for n in counts:
        group = Group("bell", [], plural=True, set_of=whole)
        group.values.append(Value("quantity", n, Span(0, 0), "r"))
        whole.picked.append(group)
    assert bool(set_doubts(Marks([whole]))) is odd


def decided(*actions: tuple[str, str]) -> Part:
    return Part.model_validate(
        {"name": "bell", "decisions": [Decision(action=a, standing=s, quote="q") for a, s in actions]}  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    ("actions", "rules"),
    [
        ([], ["nothing decided"]),
        ([("polish", "decided")], []),
        ([("leave", "decided"), ("polish", "decided")], ["exclude each other"]),
        ([("leave", "decided"), ("polish", "considering")], []),
        ([("polish", "decided"), ("polish", "ruled-out")], ["exclude each other"]),
        ([("polish", "decided"), ("replate", "ruled-out")], []),
    ],
)
def test_decisions_that_cannot_both_stand_are_doubted(
    actions: list[tuple[str, str]], rules: list[str]
) -> None:
    assert [d.rule for d in record_doubts(decided(*actions))] == rules
