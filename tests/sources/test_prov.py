"""Provenance against W3C PROV, read by the ``prov`` library, which had no hand in writing it.

- PROV-JSON: W3C Member Submission, 24 April 2013.
- PROV-DM: W3C Recommendation, 30 April 2013: Revision (5.2.2), Quotation (5.2.3), Delegation (5.3.4), roles.
- PROV-CONSTRAINTS: W3C Recommendation, 30 April 2013: 6.1 (unique generation and invalidation), 6.2 (order).
- Media Fragments URI 1.0 (basic): W3C Recommendation, 25 September 2012, ``#t=12.4,17.9``.
"""

from __future__ import annotations

import io
import json
import re
from collections import Counter
from datetime import datetime
from typing import Any

import pytest
from prov.model import (
    ProvAssociation,
    ProvDerivation,
    ProvDocument,
    ProvElement,
    ProvGeneration,
    ProvInvalidation,
    ProvRelation,
)

from notepipe.draft import Decision, Draft, Note, Part, Question, Quote
from notepipe.entries import (
    Body,
    JobOpened,
    NoteTaken,
    PaperIssued,
    PaperWritten,
    PartConfirmed,
    PartsJoined,
    QuestionAnswered,
    QuestionConfirmed,
    RecordDropped,
)
from notepipe.errands import LineBack, PromiseNoted, PromiseSettled, SheetBack, SheetLine, SheetSent
from notepipe.ledger import Hand, Ledger
from notepipe.provenance import provenance

SHA = "ab" * 32
LAMP = Part(
    name="lamp",
    quotes=(Quote(text="two lamps", start_s=12.4, end_s=17.9),),
    decisions=(
        Decision(action="replate", standing="decided", quote="to the plater", start_s=18.0, end_s=19.5),
    ),
)
BRASS = LAMP.model_copy(update={"metal": "brass"})
ASK = Question(
    to="client", about="lamp", text="Brass or nickel?", quote="ask about nickel", start_s=20.0, end_s=22.0
)
LINE = SheetLine(line=1, tag="001", name="lamp", count=2)
PROMISED = PromiseNoted(
    promise="D01", who="Tarn Plating", what="lamp", tags=("001",), words="two weeks", said_on="2026-11-25",
    due="2026-12-09", recording=SHA, start_s=23.0, end_s=24.0,
)  # fmt: skip
LIFE: tuple[Body, ...] = (
    JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram 7"),
    NoteTaken(
        recording=SHA, file="walk #2.m4a", transcript="two lamps",
        draft=Draft(note=Note(file="walk #2.m4a", sha256=SHA, heard_with="whisper base int8"), parts=(LAMP,)),
    ),
    PartConfirmed(recording=SHA, record="p1", tag="001", part=LAMP),
    PartConfirmed(recording=SHA, record="p1", tag="002", part=LAMP, split_from="001"),
    QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=ASK),
    PaperWritten(paper="client update", sha256="cd" * 32),
    PaperIssued(paper="client update", number=1, sha256="cd" * 32, to="Dr Adair", up_to=5, asked=("Q01",)),
    QuestionAnswered(tag="Q01", answer="nickel", by="Dr Adair", on="2026-12-01"),
    PartConfirmed(recording=SHA, record="p1", tag="001", part=BRASS, because="Q01"),
    SheetSent(sheet="S01", vendor="Tarn Plating", trade="plater", lines=(LINE,), pieces=2, on="2026-12-02"),
    PROMISED,
    PROMISED.model_copy(update={"due": "2026-12-16"}),
    SheetBack(sheet="S01", lines=(LineBack(line=1, count=2),), on="2026-12-15"),
    PromiseSettled(promise="D01", on="2026-12-15"),
    PartsJoined(tag="002", into="001", reason="the same lamps"),
    RecordDropped(recording=SHA, record="p1", tag="001", reason="sold"),
)  # fmt: skip


@pytest.fixture(scope="module")
def ledger() -> Ledger:
    ledger = Ledger(None)
    for number, body in enumerate(LIFE):
        ledger.append("tram-7", Hand(who="Ada Fenn", at=f"2026-11-25T10:{number:02d}:00+00:00"), body)
    return ledger


@pytest.fixture(scope="module")
def text(ledger: Ledger) -> str:
    return provenance(ledger.entries("tram-7"), "Larkhill Tramway Workshop")


@pytest.fixture(scope="module")
def document(text: str) -> ProvDocument:
    read = ProvDocument.deserialize(io.StringIO(text), format="json")
    assert isinstance(read, ProvDocument)
    return read


def ends(relation: ProvRelation) -> list[str]:
    return [str(value) for _, value in relation.formal_attributes if value is not None]


def of(document: ProvDocument, kind: type) -> list[Any]:
    return list(document.get_records(kind))


def test_both_ends_of_every_relation_are_told(document: ProvDocument) -> None:
    known = {str(record.identifier) for record in of(document, ProvElement)}
    for relation in of(document, ProvRelation):
        told = [end for end in ends(relation) if not re.match(r"\d{4}-", end)]
        assert len(told) >= 2
        assert set(told) <= known


def test_the_document_reads_back_as_the_very_same(document: ProvDocument) -> None:
    again = ProvDocument.deserialize(io.StringIO(document.serialize(format="json")), format="json")
    assert again == document


def test_every_entry_is_an_activity_at_its_time_with_its_hash_and_its_person(
    document: ProvDocument, ledger: Ledger
) -> None:
    for entry in ledger.entries("tram-7"):
        (activity,) = document.get_record(f"job:entry-{entry.number}")
        assert activity.get_startTime() == activity.get_endTime() == datetime.fromisoformat(entry.at)
        assert entry.hash in {str(value) for _, value in activity.extra_attributes}
    people = {ends(a)[0]: a for a in of(document, ProvAssociation) if ends(a)[1] == "job:agent-1"}
    assert len(people) == len(LIFE)


def test_an_entity_is_generated_once_and_stands_no_longer_only_after(document: ProvDocument) -> None:
    """PROV-CONSTRAINTS, constraints 24, 25 and 36."""
    made = [ends(generation) for generation in of(document, ProvGeneration)]
    assert max(Counter(entity for entity, *_ in made).values()) == 1
    when = {entity: int(activity.rsplit("-", 1)[1]) for entity, activity, *_ in made}
    over = [ends(invalidation) for invalidation in of(document, ProvInvalidation)]
    assert {entity for entity, *_ in over} == {"job:001-2", "job:002-1"}
    assert all(int(activity.rsplit("-", 1)[1]) > when[entity] for entity, activity, *_ in over)


def test_nothing_is_derived_from_itself_however_far_round(document: ProvDocument) -> None:
    from_what: dict[str, set[str]] = {}
    for derivation in of(document, ProvDerivation):
        one, other, *_ = ends(derivation)
        from_what.setdefault(one, set()).add(other)

    def before(entity: str, seen: frozenset[str]) -> None:
        assert entity not in seen
        for other in from_what.get(entity, ()):
            before(other, seen | {entity})

    for entity in from_what:
        before(entity, frozenset())


def typed(document: ProvDocument, kind: str) -> set[tuple[str, str]]:
    found = (
        d for d in of(document, ProvDerivation) if kind in {str(value) for value in d.get_asserted_types()}
    )
    return {(ends(d)[0], ends(d)[1]) for d in found}


def test_what_was_put_right_is_a_revision_of_what_stood_before(document: ProvDocument) -> None:
    assert typed(document, "prov:Revision") == {("job:001-2", "job:001-1"), ("job:D01-2", "job:D01-1")}


def test_a_recording_becomes_a_transcript_a_draft_and_a_decision_of_a_named_reviewer(
    document: ProvDocument,
) -> None:
    chain = {(ends(d)[0], ends(d)[1]) for d in of(document, ProvDerivation)}
    key = SHA[:16]
    assert (f"job:transcript-{key}", f"job:recording-{key}") in chain
    assert (f"job:draft-{key}", f"job:transcript-{key}") in chain
    assert ("job:001-1", f"job:draft-{key}") in chain
    roles = {
        (ends(a)[0], ends(a)[1]): {str(v) for k, v in a.extra_attributes if str(k) == "prov:role"}
        for a in of(document, ProvAssociation)
    }
    assert roles["job:entry-3", "job:agent-1"] == {"reviewer"}
    assert roles["job:entry-2", "job:program"] == {"program"}


def test_every_quotation_links_to_its_seconds_by_a_media_fragment(document: ProvDocument) -> None:
    quoted = {one for one, _ in typed(document, "prov:Quotation")}
    links = set()
    for entity in quoted:
        (record,) = document.get_record(entity)
        links |= {str(value) for key, value in record.extra_attributes if str(key) == "prov:location"}
    assert "walk%20%232.m4a#t=12.4,17.9" in links
    for link in links:
        start, end = re.fullmatch(r"[^#]+#t=(\d+(?:\.\d+)?),(\d+(?:\.\d+)?)", link).groups()  # type: ignore[union-attr]
        assert float(start) < float(end)


def test_a_letter_was_made_from_what_stood_when_it_was_issued(document: ProvDocument) -> None:
    members = {tuple(ends(r)) for r in document.get_records() if r.get_type().localpart == "Membership"}
    assert members == {("job:entry-7-stand", f"job:{tag}-1") for tag in ("001", "002", "Q01")}


def test_the_answer_is_used_where_a_decision_is_taken_because_of_it(text: str) -> None:
    used = {(u["prov:activity"], u["prov:entity"]) for u in json.loads(text)["used"].values()}
    assert ("job:entry-9", "job:Q01-answer-1") in used


def test_the_same_job_gives_the_same_bytes(ledger: Ledger, text: str) -> None:
    assert provenance(ledger.entries("tram-7"), "Larkhill Tramway Workshop") == text


def test_what_somebody_typed_never_becomes_part_of_a_name() -> None:
    ledger, hand = Ledger(None), Hand(who='job:x "y"\n{}', at="2026-11-25T10:00:00+00:00")
    ledger.append("a b:c", hand, JobOpened(name="a b:c", client="Ward, {x}: #1", what="é\u202e"))
    text = provenance(ledger.entries("a b:c"), "Shop: #1")
    read = ProvDocument.deserialize(io.StringIO(text), format="json")
    names = {str(record.identifier) for record in of(read, ProvElement)}
    assert names == {"job:shop", "job:program", "job:agent-1", "job:agent-2", "job:entry-1", "job:job"}


def test_words_of_an_earlier_note_are_quoted_from_that_recording() -> None:
    first = "cd" * 32
    quotes = (*LAMP.quotes, Quote(text="six of them", start_s=61.0, end_s=62.0, recording=first))
    taken = LIFE[1]
    assert isinstance(taken, NoteTaken)
    ledger = Ledger(None)
    for number, body in enumerate(
        (
            LIFE[0],
            taken.model_copy(update={"recording": first, "file": "first.m4a"}),
            taken,
            PartConfirmed(
                recording=SHA, record="p1", tag="001", part=LAMP.model_copy(update={"quotes": quotes})
            ),
        )
    ):
        ledger.append("tram-7", Hand(who="Ada Fenn", at=f"2026-11-25T10:{number:02d}:00+00:00"), body)
    told = provenance(ledger.entries("tram-7"), "Larkhill Tramway Workshop")
    assert "first.m4a#t=61,62" in told
    assert "walk%20%232.m4a#t=12.4,17.9" in told
    assert "walk%20%232.m4a#t=61,62" not in told
