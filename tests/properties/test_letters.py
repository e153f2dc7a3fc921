"""Whatever a job holds: a letter sent twice unchanged says so, and a question is asked until answered."""

from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.draft import Decision, Draft, Note, Part, Question
from notepipe.entries import (
    Body,
    JobOpened,
    NoteTaken,
    PaperIssued,
    PartConfirmed,
    QuestionAnswered,
    QuestionConfirmed,
)
from notepipe.folding import fold
from notepipe.issuing import asked_in, stood_when_issued
from notepipe.ledger import Hand, Ledger
from notepipe.papers import Letter, update
from notepipe.papers.questions import ISSUED, asked_of_client
from notepipe.papers.since import Since
from notepipe.papers.update import update_view

SHA = "ab" * 32
ADA = Hand(who="Ada Fenn", at="2026-12-03T10:00:00+00:00")
START = (
    JobOpened(name="tram-7", client="Fennimore Museum", what="Tram 7"),
    NoteTaken(
        recording=SHA, file="walk.txt", transcript="", draft=Draft(note=Note(file="walk.txt", sha256=SHA))
    ),
)
NAMES = st.sampled_from(["bell", "dash rail", "grab rail", "carriage lamp", "gong"])
decisions = st.builds(
    Decision,
    action=st.sampled_from(["polish", "replate", "leave", "source", "scrap", "make"]),
    standing=st.sampled_from(["decided", "considering", "asking", "ruled-out", "done"]),
    by=st.sampled_from([None, "plater", "in-house"]),
    quote=st.sampled_from(["", "polish it", "because it is cracked"]),
)
parts = st.builds(
    PartConfirmed,
    recording=st.just(SHA),
    record=st.just("p1"),
    tag=st.sampled_from(["001", "002", "003"]),
    part=st.builds(
        Part,
        name=NAMES,
        quantity=st.none() | st.integers(1, 20),
        metal=st.sampled_from([None, "brass", "steel"]),
        decisions=st.lists(decisions, max_size=3).map(tuple),
    ),
)
questions = st.builds(
    QuestionConfirmed,
    recording=st.just(SHA),
    record=st.just("q1"),
    tag=st.sampled_from(["Q01", "Q02"]),
    question=st.builds(
        Question,
        to=st.sampled_from(["client", "shop"]),
        about=NAMES,
        text=st.just("Which?"),
        quote=st.just("which"),
    ),
)
answers = st.builds(
    QuestionAnswered,
    tag=st.sampled_from(["Q01", "Q02"]),
    answer=st.just("the first"),
    by=st.sampled_from(["client", "Joe Marsh"]),
    on=st.just("2026-12-03"),
)
histories = st.lists(st.one_of(parts, questions, answers), max_size=10)
LETTER = Letter(shop="Larkhill Tramway Workshop", date="24 December 2026", today="2026-12-24")


def after(ledger: Ledger, bodies: list[Body]) -> Letter:
    """*bodies* go into the job; the letter of the day after them."""
    ledger.append("tram-7", ADA, *bodies)
    return LETTER.model_copy(update={"since": stood_when_issued(ledger.entries("tram-7"))})


def gone_out(ledger: Ledger) -> None:
    now = fold(ledger.entries("tram-7"))
    number = 1 + len(now.issued)
    body = PaperIssued(
        paper=ISSUED, number=number, sha256="", to="F", up_to=now.last_number, asked=asked_in(now)
    )
    ledger.append("tram-7", ADA, body)


def opened(bodies: list[Body]) -> Ledger:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, *START, *bodies)
    return ledger


@settings(deadline=None)
@given(histories)
def test_what_went_out_and_did_not_change_is_said_not_to_have_changed(history: list[Body]) -> None:
    ledger = opened(history)
    gone_out(ledger)
    text = " ".join(update(fold(ledger.entries("tram-7")), after(ledger, [])).split())
    assert "Nothing has changed on your parts since our letter of 3 December 2026." in text


@settings(deadline=None)
@given(histories, histories)
def test_every_open_question_is_in_every_letter_until_it_is_answered(
    history: list[Body], more: list[Body]
) -> None:
    ledger = opened(history)
    for bodies in ([], more, []):
        letter = after(ledger, bodies)
        now = fold(ledger.entries("tram-7"))
        asked = {one.question for one in update_view(now, letter).questions if one.question}
        assert asked == {q.tag for q in now.open_questions if q.question.to == "client"}
        gone_out(ledger)


@settings(deadline=None)
@given(histories, histories)
def test_every_part_stands_once_in_a_later_letter_as_new_changed_or_unchanged(
    history: list[Body], more: list[Body]
) -> None:
    ledger = opened(history)
    before = {part.tag for part in fold(ledger.entries("tram-7")).parts}
    gone_out(ledger)
    letter = after(ledger, more)
    now = fold(ledger.entries("tram-7"))
    since = update_view(now, letter).since
    assert isinstance(since, Since)
    unchanged = [line.tag for section in since.unchanged for line in section.lines]
    tags = [line.tag for line in (*since.new, *since.changed)] + unchanged
    assert sorted(tags) == sorted(part.tag for part in now.parts)
    assert {line.tag for line in since.new} == {part.tag for part in now.parts} - before
    assert all(line.before and line.before != line.text for line in since.changed)


@settings(deadline=None)
@given(histories, histories)
def test_a_question_is_as_old_as_the_first_letter_that_asked_it(
    history: list[Body], more: list[Body]
) -> None:
    ledger = opened(history)
    first = set(asked_in(fold(ledger.entries("tram-7"))))
    gone_out(ledger)
    letter = after(ledger, more)
    now = fold(ledger.entries("tram-7"))
    for one in update_view(now, letter).questions:
        if one.question:
            assert bool(one.first) == (one.question in first)
    assert len(asked_of_client(now)) == len(update_view(now, letter).questions)
