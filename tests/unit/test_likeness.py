"""Two names are of one part where they say the same, or one only leaves words out."""

import pytest

from notepipe.draft import Part
from notepipe.later.likeness import NEARLY, SAME, likeness, named, names_of, number_words
from notepipe.trade.alike import AlikeExample, AsksRow, ReplyRow, UnchangedRow, alike


@pytest.mark.parametrize("example", alike().example, ids=lambda e: f"{e.one}, {e.other}")
def test_every_example_of_the_pack_comes_out_as_it_says(example: AlikeExample) -> None:
    one, other = named(example.one), named(example.other)
    assert one is not None
    assert other is not None
    like = {True: "same", False: "no"}[likeness(one, other) >= SAME]
    assert example.alike == ("nearly" if NEARLY <= likeness(one, other) < SAME else like)
    assert likeness(one, other) == likeness(other, one)


@pytest.mark.parametrize("row", [*alike().reply, *alike().asks], ids=lambda row: row.id)
def test_every_reply_and_every_way_to_ask_is_heard_in_its_example(row: ReplyRow | AsksRow) -> None:
    heard = row.speaks(row.example.say) if isinstance(row, ReplyRow) else row.asks(row.example.say)
    assert heard == row.example.gives
    assert not (row.speaks("The bell.") if isinstance(row, ReplyRow) else row.asks("The bell."))


@pytest.mark.parametrize("row", alike().unchanged, ids=lambda row: row.id)
def test_what_says_that_a_part_stays_is_cut_out_of_its_example(row: UnchangedRow) -> None:
    assert row.without(row.example.say) is not None
    assert row.without("The bell is cracked.") is None


@pytest.mark.parametrize(
    ("speech", "names"),
    [
        ("Twenty-two of them", ["lamp"]),
        ("the other four", ["lamp"]),
        ("the big round cover off the top gear", ["lamp", "cover"]),
        ("a load of its bars missing", ["lamp", "bar"]),
        ("what Len calls the cheese", ["lamp", "cheese"]),
        ("two of the lamps", ["lamp"]),
    ],
)
def test_what_a_part_was_called_is_found_in_the_words_it_was_spoken_of(speech: str, names: list[str]) -> None:
    found = names_of(Part(name="lamp", heard_as=(speech,)))
    assert list(dict.fromkeys(name.head for name in found)) == names


def test_words_that_say_where_do_not_make_the_name_but_tell_it_apart() -> None:
    board, mirror = named("rounding board"), named("Mirrors off the rounding boards")
    assert board is not None
    assert mirror is not None
    assert (mirror.head, likeness(board, mirror)) == ("mirror", 0.0)


def test_numbers_are_known_by_their_words() -> None:
    assert [number_words(n) for n in (7, 12, 19, 40, 46, 120)] == [
        ("seven",),
        ("twelve",),
        ("nineteen",),
        ("forty",),
        ("forty", "six"),
        (),
    ]


@pytest.mark.parametrize(
    ("one", "other", "like"),
    [
        ("handbrake lever", "hand brake lever", 1.0),
        ("lampholder", "lamp holder", 1.0),
        ("handbrake lever", "foot brake lever", NEARLY),
    ],
)
def test_words_run_together_are_those_apart(one: str, other: str, like: float) -> None:
    mine, yours = named(one), named(other)
    assert mine is not None
    assert yours is not None
    assert likeness(mine, yours) == likeness(yours, mine)
    assert likeness(mine, yours) == like if like == 1.0 else likeness(mine, yours) <= like
