"""Whatever is said, a draft quotes the note and no more, and talk beside the work changes nothing in it."""

from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.draft import Draft, Note
from notepipe.reading import read
from notepipe.reading.measures import measures_in, spoken, to_mm
from notepipe.reading.numbers import numbers_in
from notepipe.reading.tokens import tokens_of
from notepipe.trade import Trade, load_trade
from notepipe.transcript import Transcript

NOTE = Note(file="walk.txt", sha256="ab" * 32)
TRADE = load_trade()
FEW = settings(max_examples=40, deadline=None)

NAMED = (
    "The bell is solid brass.",
    "Six coat hooks in worn nickel.",
    "Four door handles, die-cast.",
    "The gong is 6 1/2 inches across.",
    "Three brackets, mild steel.",
)
PICKED = (
    "Two of them are bent.",
    "The other one is cracked.",
    "The rest are fine.",
    "One of them is missing.",
)
FATED = (
    "We'll polish those.",
    "They won't be plated.",
    "Straighten it, and then it goes to the plater for nickel.",
    "Should we replace it?",
    "I might lacquer them.",
    "Please let us know about that.",
)
TALK = ("It is raining again.", "My sister rang on Sunday.", "Lovely weather for ducks.", "I am hungry.")
ANYTHING = st.text(
    st.sampled_from("abc ABC .,;?!-'’\"½5/8\n–é") | st.characters(exclude_categories=["Cs"]), max_size=60
)

sentences = st.lists(st.sampled_from([*NAMED, *PICKED, *FATED]), min_size=1, max_size=7).map(" ".join)


def drafted(text: str, trade: Trade = TRADE) -> Draft:
    return read(Transcript(text=text), NOTE, trade, rules_alone=True)


def quotes(draft: Draft) -> list[str]:
    parts = [
        q
        for p in draft.parts
        for q in (*p.heard_as, *(d.quote for d in p.decisions), *(q.text for q in p.quotes))
    ]
    return [*parts, *(q.quote for q in draft.questions)]


def stands_in(quote: str, text: str) -> bool:
    """As whole words: nothing of a word is left over at either end."""
    places = [i for i in range(len(text)) if text.startswith(quote, i)]
    return any(
        not (text[i - 1 : i].isalnum() and quote[0].isalnum())
        and not (text[i + len(quote) : i + len(quote) + 1].isalnum() and quote[-1].isalnum())
        for i in places
    )


@FEW
@given(sentences | st.tuples(sentences, ANYTHING).map("\n".join))
def test_every_quote_stands_in_the_note_as_whole_words(text: str) -> None:
    assert [q for q in quotes(drafted(text)) if not q or not stands_in(q, text)] == []


def test_the_notes_of_that_test_have_quotes() -> None:
    assert len(quotes(drafted(" ".join([*NAMED, *FATED])))) > 8


sizes = st.tuples(st.integers(0, 40), st.sampled_from([0, 1, 2, 3, 4, 5, 6, 7])).filter(any)


@FEW
@given(sizes)
def test_a_size_in_inches_is_written_and_read_back_as_it_was(size: tuple[int, int]) -> None:
    value = Fraction(size[0]) + Fraction(size[1], 8)
    tokens = tokens_of(f"The rod is {spoken(value, 'in')} inches across.")
    (measure,) = measures_in(tokens, numbers_in(tokens))
    assert (measure.value, measure.unit) == (value, "in")
    assert Fraction(str(to_mm(value, "in"))) / Fraction("25.4") == value


@FEW
@given(st.integers(1, 5000), st.sampled_from(["mm", "cm", "m"]))
def test_a_metric_size_is_written_and_read_back_as_it_was(tenths: int, unit: str) -> None:
    value = Fraction(tenths, 10)
    tokens = tokens_of(f"The rod is {spoken(value, unit)} {unit} across.")
    (measure,) = measures_in(tokens, numbers_in(tokens))
    assert (measure.value, measure.unit) == (value, unit)
    assert Fraction(str(to_mm(value, unit))) == value * {"mm": 1, "cm": 10, "m": 1000}[unit]


@FEW
@given(sentences, st.lists(st.sampled_from(TALK), min_size=1, max_size=3).map(" ".join))
def test_talk_at_the_end_changes_nothing(text: str, talk: str) -> None:
    assert drafted(f"{text} {talk}") == drafted(text)


@cache
def turned() -> Trade:
    """The packs in the opposite order."""
    return Trade(packs=tuple(reversed(TRADE.packs)), rules=TRADE.rules, cautions=TRADE.cautions)


@FEW
@given(sentences)
def test_the_order_of_the_packs_changes_no_value(text: str) -> None:
    def values(draft: Draft) -> list[object]:
        return [(p.name, p.quantity, p.metal, p.finish, p.sizes, p.location) for p in draft.parts]

    assert values(drafted(text, turned())) == values(drafted(text))


@pytest.mark.parametrize("text", ["", " ", "\n\n", ".", "?!", "–", "5/8", "it", "the other two"])
def test_a_note_that_names_nothing_has_no_parts(text: str) -> None:
    assert drafted(text).parts == ()
