"""A recorded review finds its records by name and words, and never settles a doubt it does not speak of."""

from collections.abc import Callable
from pathlib import Path

import pytest

from notepipe.answers import Recorded, answer_to, found, play_back, read_answers
from notepipe.draft import Doubt, Draft, Note, Part, Question, Quote
from notepipe.entries import Body, RecordDropped
from notepipe.errors import BadAnswer, BadSetting, NotFound
from notepipe.review import Answer, Confirm, ConfirmAll, Drop, Group, PutOff, Sitting, Split, entries_for

COUNT = Doubt(field="quantity", why="heard two ways: 8 / a")
POLES = tuple(
    Part(name="pole", quantity=n, heard_as=(words,), quotes=(Quote(text=words),))
    for n, words in ((22, "Twenty-two of them"), (5, "Five have got dents in"))
)
BELL = Part(name="bell", doubts=(COUNT,))
COLOUR = Question(to="client", about="rod", text="Cream or red?", quote="please confirm the colour")


def sitting(file: str = "walk.m4a", *, settled: frozenset[str] = frozenset()) -> Sitting:
    draft = Draft(note=Note(file=file, sha256="ab" * 32), parts=(*POLES, BELL), questions=(COLOUR,))
    return Sitting(recording="ab" * 32, file=file, draft=draft, reviewed=settled)


def recorded(**fields: object) -> Recorded:
    return Recorded.model_validate({"do": "confirm", **fields})


def test_a_record_is_found_by_its_name_and_the_words_heard() -> None:
    assert found([sitting()], recorded(part="Pole", heard="five  have"))[1] == "p2"
    assert found([sitting()], recorded(heard="got dents"))[1] == "p2"
    assert found([sitting()], recorded(part="bell"))[1] == "p3"
    assert found([sitting()], recorded(question="rod"))[1] == "q1"


def test_a_name_that_fits_several_records_is_told_and_words_decide() -> None:
    with pytest.raises(BadAnswer, match=r"walk\.m4a p1, walk\.m4a p2"):
        found([sitting()], recorded(part="pole"))
    both = [sitting(), sitting("walk-2.m4a")]
    assert found(both, recorded(part="bell", note="walk-2.m4a"))[0].file == "walk-2.m4a"


@pytest.mark.parametrize("wrong", [{"part": "rod"}, {"question": "bell"}, {"part": "bell", "heard": "five"}])
def test_an_answer_for_no_record_is_told(wrong: dict[str, str]) -> None:
    with pytest.raises(NotFound):
        found([sitting()], recorded(**wrong))


def test_a_settled_record_is_not_found_again() -> None:
    with pytest.raises(NotFound):
        found([sitting(settled=frozenset({"p3"}))], recorded(part="bell"))


def test_a_doubt_not_spoken_of_leaves_the_record_open() -> None:
    with pytest.raises(BadAnswer, match="in doubt: quantity: heard two ways"):
        answer_to(sitting(), "p3", recorded(part="bell", fields={"metal": "brass"}))
    assert answer_to(sitting(), "p3", recorded(part="bell", settles=["quantity"])) == Confirm(record="p3")
    fields = {"quantity": "8"}
    assert answer_to(sitting(), "p3", recorded(part="bell", fields=fields)) == Confirm(
        record="p3", fields=fields
    )


def test_every_kind_of_answer_can_be_recorded() -> None:
    groups = (Group(quantity=3), Group(quantity=2))
    kinds: list[tuple[dict[str, object], Answer]] = [
        ({"do": "drop", "reason": "no part"}, Drop(record="p3", reason="no part")),
        ({"do": "put off", "reason": "count it"}, PutOff(record="p3", reason="count it")),
        ({"do": "split", "groups": groups}, Split(record="p3", groups=groups)),
    ]
    for fields, answer in kinds:
        assert answer_to(sitting(), "p3", recorded(part="bell", **fields)) == answer


def test_the_rest_is_played_back_where_one_answer_fails() -> None:
    kept: list[Answer] = []

    def keep(table: Sitting, answer: Answer) -> tuple[Body, ...]:
        kept.append(answer)
        return entries_for(table, answer)

    answers = [recorded(part="rod"), recorded(part="bell", do="drop", reason="a gong")]
    answers.append(Recorded(do="confirm all without a doubt"))
    outcomes = list(play_back(answers, lambda: [sitting()], keep))
    assert [type(outcome.error) for outcome in outcomes] == [NotFound, type(None), type(None)]
    assert isinstance(outcomes[1].bodies[0], RecordDropped)
    assert kept == [Drop(record="p3", reason="a gong"), ConfirmAll()]


def test_the_file_of_answers_is_checked_by_line_and_field(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    write: Callable[[str], int] = lambda text: path.write_text(text, encoding="utf-8")  # noqa: E731
    write('[[answer]]\npart = "bell"\ndo = "confirm"\nfields = { quantity = "8" }\n')
    assert read_answers(path) == (recorded(part="bell", fields={"quantity": "8"}),)
    write('[[answer]]\npart = "bell"\ndo = "conform"\n')
    with pytest.raises(BadSetting, match="Did you mean 'confirm'"):
        read_answers(path)
    write('[[answer]]\ndo = "confirm"\n')
    with pytest.raises(BadSetting, match="names no part"):
        read_answers(path)
