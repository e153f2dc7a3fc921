"""A job of an invented tramway workshop, for every test that needs a register."""

from collections.abc import Callable

import pytest

from notepipe.draft import Draft, Note, Part, Question
from notepipe.papers import Letter
from notepipe.register import NoteNow, PartNow, QuestionNow, Register

SHA = "ab" * 32
AT = "2026-11-25T10:00:00+00:00"
Registered = Callable[..., Register]


@pytest.fixture
def registered() -> Registered:
    """A register that holds *parts* and *questions* as confirmed, and *waiting* parts nobody has reviewed."""

    def build(*parts: Part, questions: tuple[Question, ...] = (), waiting: int = 0) -> Register:
        drafted = (*parts, *(Part(name="step") for _ in range(waiting)))
        reviewed = [f"p{i + 1}" for i in range(len(parts))] + [f"q{i + 1}" for i in range(len(questions))]
        note = NoteNow(
            recording=SHA,
            file="walk.m4a",
            transcript="two lamps",
            taken_at=AT,
            draft=Draft(note=Note(file="walk.m4a", sha256=SHA), parts=drafted, questions=questions),
            reviewed=frozenset(reviewed),
        )
        return Register(
            job="car-14",
            client="Fennimore Museum of Transport",
            what="Tramcar 14, brass and plated fittings",
            opened_at=AT,
            notes=(note,),
            parts=tuple(_part(number, part) for number, part in enumerate(parts, start=1)),
            questions=tuple(
                _question(number, question) for number, question in enumerate(questions, start=1)
            ),
            last_hash="3f9a2c81d0b4" + "0" * 52,
            last_number=12,
        )

    return build


@pytest.fixture
def letter() -> Letter:
    """The shop's paper of one fixed day."""
    return Letter(shop="Larkhill Tramway Workshop", date="25 November 2026")


def _part(number: int, part: Part) -> PartNow:
    return PartNow(tag=f"{number:03}", part=part, by="Ada", at=AT, recording=SHA, record=f"p{number}")


def _question(number: int, question: Question) -> QuestionNow:
    tag = f"Q{number:02}"
    return QuestionNow(tag=tag, question=question, by="Ada", at=AT, recording=SHA, record=f"q{number}")
