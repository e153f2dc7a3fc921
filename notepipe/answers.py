"""A recorded review: answers kept in a TOML file, played back through the same review as a person's.

    [[answer]]
    part = "coat hook"                  # the part's name, or: question = "dash rail" (what it is about)
    heard = "eight coat hooks"          # some of its words, where the name alone is not enough
    do = "confirm"                      # confirm, split, drop, put off, confirm all without a doubt
    fields = { quantity = "8" }         # what is put right
    settles = ["metal"]                 # doubts that are right as they stand
    onto = "004"                        # the part on file it speaks of, or "new"; else as it was matched
    answers = { Q01 = "burgundy" }      # open questions it answers; "" keeps the words that were said

A record with a doubt that its answer neither puts right nor settles is left open.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, model_validator

from notepipe.draft import Part, Question
from notepipe.entries import Body
from notepipe.errors import BadAnswer, NotepipeError, NotFound
from notepipe.review import (
    NEW,
    Answer,
    Confirm,
    ConfirmAll,
    Drop,
    Group,
    PutOff,
    Sitting,
    Split,
    match_doubt,
    open_doubts,
)
from notepipe.toml import read_toml


class Recorded(BaseModel):
    """One answer, and how to find the record it is for."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    part: str | None = None
    question: str | None = None
    heard: str | None = None
    note: str | None = None
    """The file the note came under, where the job has the same words in several."""
    do: Literal["confirm", "split", "drop", "put off", "confirm all without a doubt"]
    fields: dict[str, str] = {}
    settles: tuple[str, ...] = ()
    groups: tuple[Group, ...] = ()
    uneven: bool = False
    acknowledged: tuple[str, ...] = ()
    reason: str | None = None
    onto: str | None = None
    answers: dict[str, str] = {}

    @model_validator(mode="after")
    def _names_something(self) -> Recorded:
        if self.do != "confirm all without a doubt" and not (self.part or self.question or self.heard):
            raise ValueError("names no part, no question and no words heard")
        return self

    @property
    def what(self) -> str:
        """The record it is for, in words."""
        name = self.part or (f"question about {self.question}" if self.question else "")
        return f"{name} “{self.heard}”".strip() if self.heard else name


class RecordedReview(BaseModel):
    """The answers of one sitting, in their order."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    answer: tuple[Recorded, ...]


def read_answers(path: Path) -> tuple[Recorded, ...]:
    """The answers in the file at *path*. Raises NotFound, or BadSetting naming line and field of a slip."""
    return read_toml(path, RecordedReview).answer


def found(sittings: Sequence[Sitting], recorded: Recorded) -> tuple[Sitting, str]:
    """The one waiting record that *recorded* is for, and its note.

    Raises NotFound where there is none, BadAnswer where there are several.
    """
    fitting = [
        (sitting, name)
        for sitting in sittings
        if recorded.note in (None, sitting.file)
        for name in sitting.waiting()
        if _fits(sitting.record(name), recorded)
    ]
    if not fitting:
        do = "It was heard otherwise, or is settled already; see the draft."
        raise NotFound(recorded.what, "no record waits that this answer is for", do)
    if len(fitting) > 1:
        names = ", ".join(f"{sitting.file} {name}" for sitting, name in fitting)
        raise BadAnswer(recorded.what, f"fits {names}", "Add some of the words: heard = …")
    return fitting[0]


def answer_to(sitting: Sitting, name: str, recorded: Recorded) -> Answer:
    """*recorded* as the answer to the record *name*.

    Raises BadAnswer where the record has a doubt that it does not answer.
    """
    if recorded.do == "drop":
        return Drop(record=name, reason=recorded.reason or "")
    if recorded.do == "put off":
        return PutOff(record=name, reason=recorded.reason)
    spoken_of = {*recorded.settles, *recorded.fields, *(f for g in recorded.groups for f in g.fields)}
    if recorded.groups:
        spoken_of.add("quantity")
    onto = recorded.onto or _as_matched(sitting, name, recorded)
    where = match_doubt(sitting, name) if onto is None else None
    if left := (*((where,) if where else ()), *open_doubts(sitting.record(name), spoken_of)):
        what = f"left open, in doubt: {'; '.join(f'{doubt.field}: {doubt.why}' for doubt in left)}"
        raise BadAnswer(f"{recorded.what} ({sitting.file} {name})", what, "Review it by hand.")
    if recorded.do == "split":
        return Split(
            record=name,
            groups=recorded.groups,
            acknowledged=recorded.acknowledged,
            uneven=recorded.uneven,
            onto=onto,
        )
    return Confirm(
        record=name,
        fields=recorded.fields,
        acknowledged=recorded.acknowledged,
        onto=onto,
        answers=recorded.answers,
    )


def _as_matched(sitting: Sitting, name: str, recorded: Recorded) -> str | None:
    """The tag that was proposed in doubt, where the answer settles that as it stands."""
    match = sitting.match(name)
    if match is None or match.doubt is None or "match" not in recorded.settles:
        return None
    return match.tag or NEW


def _fits(record: Part | Question, recorded: Recorded) -> bool:
    if isinstance(record, Part):
        name, wanted, other = record.name, recorded.part, recorded.question
        words = [*record.heard_as, *(q.text for q in record.quotes), *(d.quote for d in record.decisions)]
    else:
        name, wanted, other = record.about, recorded.question, recorded.part
        words = [record.quote, record.text]
    if other is not None or (wanted is not None and wanted.casefold() != name.casefold()):
        return False
    return recorded.heard is None or any(_plain(recorded.heard) in _plain(text) for text in words)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


class Told(NamedTuple):
    """What one answer led to: entries, or why none (open: in doubt; missed: no such record)."""

    bodies: tuple[Body, ...]
    error: NotepipeError | None = None


def play_back(
    recorded: Sequence[Recorded],
    sittings: Callable[[], Sequence[Sitting]],
    keep: Callable[[Sitting, Answer], tuple[Body, ...]],
) -> Iterator[Told]:
    """Give every recorded answer in turn; one that fails is told, and the rest go on.

    *sittings* are the notes as they stand at the moment, *keep* appends what an answer makes.
    """
    for one in recorded:
        try:
            if one.do == "confirm all without a doubt":
                chosen = [s for s in sittings() if one.note in (None, s.file)]
                yield Told(tuple(body for sitting in chosen for body in keep(sitting, ConfirmAll())))
            else:
                sitting, name = found(sittings(), one)
                yield Told(keep(sitting, answer_to(sitting, name, one)))
        except (NotFound, BadAnswer) as error:
            yield Told((), error)
