"""Marks become parts: sets split, shared values handed down, every part quoted with the words it rests on."""

from notepipe.draft import Part
from notepipe.reading.gather import Gatherer
from notepipe.reading.marks import Asked, Fate, Group, Marks, Span, Value
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.trade import Trade
from notepipe.transcript import Transcript, Word

TEXT = "Six brass brackets. Two are bent, scrap those."
TOKENS = tokens_of(TEXT)
SIX, BRASS, BRACKETS, TWO, SCRAP = (Span(i, i) for i in (0, 1, 2, 4, 8))
SCRAP_THOSE = Span(8, 10)


def gatherer(transcript: Transcript | None = None) -> Gatherer:
    return Gatherer(transcript or Transcript(text=TEXT), TOKENS, Lexicon(Trade(packs=())))


def brackets(*, fate: bool = True) -> tuple[Group, Group]:
    """Six brackets of brass, and two picked out of them."""
    whole = Group("bracket", [Span(0, 2)], plural=True)
    whole.values += [Value("quantity", 6, SIX, "r"), Value("metal", "brass", BRASS, "r")]
    two = Group("bracket", [TWO], plural=True, set_of=whole)
    two.values.append(Value("quantity", 2, TWO, "r"))
    if fate:
        two.fates.append(Fate("scrap", "decided", SCRAP, SCRAP_THOSE, "r"))
    whole.picked.append(two)
    return whole, two


def parts(*groups: Group) -> tuple[Part, ...]:
    return gatherer().parts(Marks(list(groups)))


def test_a_picked_group_has_its_own_count_and_its_set_s_metal() -> None:
    (part,) = parts(*brackets())
    assert (part.name, part.quantity, part.metal) == ("bracket", 2, "brass")


def test_a_set_that_was_split_is_no_line_of_its_own() -> None:
    """Six brackets and two brackets on one list would be eight."""
    whole, two = brackets()
    assert [p.quantity for p in parts(whole)] == [2] or [p.quantity for p in parts(whole, two)] == [2]


def test_a_thing_only_named_is_no_line() -> None:
    assert parts(Group("bracket", [BRACKETS], plural=True)) == ()


def test_a_decision_is_quoted_without_the_stop_behind_it() -> None:
    (part,) = parts(*brackets())
    assert [d.quote for d in part.decisions] == ["scrap those"]
    assert part.heard_as == ("Six brass brackets", "Two")


def test_a_part_with_no_decision_is_doubted() -> None:
    (part,) = parts(*brackets(fate=False))
    assert [d.rule for d in part.doubts] == ["nothing decided"]


def test_a_mark_that_is_not_sure_becomes_a_doubt_on_its_field() -> None:
    group = Group("bracket", [BRACKETS], plural=True)
    group.values.append(Value("quantity", 6, SIX, "r", sure=False, why="it may belong to another part"))
    group.fates.append(Fate("scrap", "decided", SCRAP, SCRAP_THOSE, "r"))
    (part,) = parts(group)
    assert [(d.field, d.why) for d in part.doubts] == [("quantity", "it may belong to another part")]


def test_the_seconds_of_a_quote_are_those_of_its_words() -> None:
    words = tuple(
        Word(text=w, at=TEXT.index(w), start_s=float(i), end_s=i + 0.5) for i, w in enumerate(TEXT.split())
    )
    (part,) = gatherer(Transcript(text=TEXT, words=words)).parts(Marks(list(brackets())))
    (decision,) = part.decisions
    assert (decision.start_s, decision.end_s) == (6.0, 7.5)


def test_a_question_is_asked_in_the_words_it_was_said() -> None:
    whole, _ = brackets()
    asked = Asked("client", whole, "bracket", SCRAP_THOSE, "r")
    (question,) = gatherer().questions(Marks([], [asked]))
    assert (question.to, question.about, question.quote) == ("client", "bracket", "scrap those")
    assert question.text.lower().startswith("scrap those")


def test_a_question_does_not_trail_off() -> None:
    text = "And would they like it, because, so."
    tokens = tokens_of(text)
    asked = Asked("client", None, "bell", Span(0, tokens[-1].i), "r")
    (question,) = Gatherer(Transcript(text=text), tokens, Lexicon(Trade(packs=()))).questions(
        Marks([], [asked])
    )
    assert (question.text, question.quote) == ("Would they like it.", text.rstrip("."))


def test_a_quote_never_ends_within_a_word() -> None:
    text = "The bell don't ring, the lamp's lens won't either."
    tokens = tokens_of(text)
    words = Gatherer(Transcript(text=text), tokens, Lexicon(Trade(packs=()))).words
    spans = [Span(a.i, b.i) for a in tokens for b in tokens if a.i <= b.i and a.is_word and b.is_word]
    assert all(
        f" {words(span)} ".replace(",", "") in f" {text} ".replace(",", "").replace(".", "") for span in spans
    )
