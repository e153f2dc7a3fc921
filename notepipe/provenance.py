"""Where everything in a job comes from, in the terms of W3C PROV (PROV-DM and PROV-O, 30 April 2013).

Agents are the people, the shop, the vendors and the program; every entry is an activity; recordings,
transcripts, drafts, words, each standing of a part or question, answers, sheets, promises and papers are
entities. What was put right is a revision of what stood before, which stays. Words are quotations of their
recording, with a W3C Media Fragment for the seconds.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from typing import Any
from urllib.parse import quote

import notepipe
from notepipe.draft import Part, Question
from notepipe.entries import (
    Entry,
    JobOpened,
    NoteTaken,
    PaperIssued,
    PaperWritten,
    PartConfirmed,
    PartsJoined,
    QuestionAnswered,
    QuestionConfirmed,
    RecordDropped,
    RecordReopened,
)
from notepipe.errands import PromiseNoted, PromiseSettled, SheetBack, SheetSent, SheetSettled
from notepipe.papers.sources import source
from notepipe.prov_json import ProvDocument, Value, address, name

_OURS = "urn:uuid:7c0f7c0e-2f5f-5c0b-9f0e-5a1d8f0f6b7e#"
"""The name of the words for kinds: ``np:Part``."""
_REVISION = {"prov:type": name("prov:Revision")}
_QUOTATION = {"prov:type": name("prov:Quotation")}


def provenance(entries: Sequence[Entry], shop: str) -> str:
    """The provenance of the job of *entries* as PROV-JSON; the same entries give the same bytes."""
    first = uuid.uuid5(uuid.NAMESPACE_OID, entries[0].hash)
    told = _Told(ProvDocument({"job": f"urn:uuid:{first}#", "np": _OURS}), shop)
    for entry in entries:
        told.tell(entry)
    return told.document.text()


class _Told:
    """The document while the entries are gone through, and what stands meanwhile."""

    def __init__(self, document: ProvDocument, shop: str) -> None:
        self.document = document
        self.shop = document.agent("job:shop", {"prov:type": name("prov:Organization"), "prov:label": shop})
        software: dict[str, Value] = {
            "prov:type": name("prov:SoftwareAgent"),
            "prov:label": f"notepipe {notepipe.__version__}",
        }
        self.program = document.agent("job:program", software)
        document.relate("actedOnBehalfOf", self.program, self.shop)
        self.agents: dict[str, str] = {}
        self.stands: dict[str, str] = {}
        """Tag, or name of a sheet or promise → the entity that stands for it."""
        self.counts: dict[str, int] = {}
        self.files: dict[str, str] = {}
        """Recording → its file's name."""

    def tell(self, entry: Entry) -> None:
        activity = self.document.activity(
            f"job:entry-{entry.number}",
            entry.at,
            {"prov:type": name(f"np:{entry.body.kind}"), "np:hash": entry.hash},
        )
        person = self.person(entry.who)
        confirms = isinstance(entry.body, PartConfirmed | QuestionConfirmed | RecordDropped)
        role = {"prov:role": "reviewer" if confirms else "writer"}
        self.document.relate("wasAssociatedWith", activity, person, role)
        step = _STEPS.get(type(entry.body))
        if step is not None:
            step(self, activity, person, entry.body)
        else:
            self.used(activity, getattr(entry.body, "tag", None))

    def person(self, who: str, kind: str = "prov:Person") -> str:
        """The agent of that name; one who writes entries acts for the shop."""
        if who not in self.agents:
            agent = self.document.agent(
                f"job:agent-{len(self.agents) + 1}", {"prov:type": name(kind), "prov:label": who}
            )
            self.agents[who] = agent
            if kind == "prov:Person":
                self.document.relate("actedOnBehalfOf", agent, self.shop)
        return self.agents[who]

    def made(self, activity: str, qualified: str, kind: str, label: str, **more: Value) -> str:
        """A new entity of *kind* that *activity* made."""
        told: dict[str, Value] = {"prov:type": name(f"np:{kind}"), "prov:label": label}
        told |= {f"np:{key}": value for key, value in more.items()}
        entity = self.document.entity(qualified, told)
        self.document.relate("wasGeneratedBy", entity, activity)
        return entity

    def revised(self, activity: str, tag: str, kind: str, label: str, **more: Value) -> str:
        """The new standing of *tag*: a revision of the one before, and one of the same thing."""
        local = quote(tag, safe="")
        thing = self.document.entity(f"job:{local}", {"prov:type": name(f"np:{kind}")})
        self.counts[tag] = self.counts.get(tag, 0) + 1
        entity = self.made(activity, f"job:{local}-{self.counts[tag]}", kind, label, **more)
        self.document.relate("specializationOf", entity, thing)
        if tag in self.stands:
            self.document.relate("wasDerivedFrom", entity, self.stands[tag], _REVISION)
        self.stands[tag] = entity
        return entity

    def used(self, activity: str, *tags: str | None) -> None:
        for tag in tags:
            if tag is not None and tag in self.stands:
                self.document.relate("used", activity, self.stands[tag])

    def ended(self, activity: str, *tags: str | None) -> None:
        """What stood under *tags* stands no longer."""
        for tag in tags:
            if tag is not None and tag in self.stands:
                self.document.relate("wasInvalidatedBy", self.stands.pop(tag), activity)

    def words(self, entity: str, recording: str, record: Part | Question) -> None:
        """The words *entity* rests on, each a quotation of the recording with its seconds."""
        if recording not in self.files:
            return
        if isinstance(record, Part):
            spoken = [(q.text, q.recording, q.start_s, q.end_s) for q in record.quotes]
            spoken += [(d.quote, d.recording, d.start_s, d.end_s) for d in record.decisions if d.quote]
        else:
            spoken = [(record.quote, None, record.start_s, record.end_s)] if record.quote else []
        for number, (text, earlier, start_s, end_s) in enumerate(dict.fromkeys(spoken), start=1):
            # What an earlier note said of the part is heard in that one.
            heard = earlier if earlier in self.files else recording
            link = source(self.files[heard], start_s, end_s)
            told: dict[str, Value] = {"prov:type": name("np:Words"), "prov:value": text}
            words = self.document.entity(f"{entity}-words-{number}", {**told, "prov:location": address(link)})
            self.document.relate("wasDerivedFrom", words, _recording(heard), _QUOTATION)
            self.document.relate("wasDerivedFrom", entity, words)


def _opened(told: _Told, activity: str, _: str, body: JobOpened) -> None:
    client = told.person(body.client, "prov:Agent")
    told.made(activity, "job:job", "Job", body.what)
    told.document.relate("wasAssociatedWith", activity, client, {"prov:role": "client"})


def _note(told: _Told, activity: str, person: str, body: NoteTaken) -> None:
    document, key = told.document, body.recording[:16]
    told.files[body.recording] = body.file
    label: dict[str, Value] = {"prov:label": body.file, "np:sha256": body.recording}
    recording = document.entity(_recording(body.recording), {"prov:type": name("np:Recording"), **label})
    document.relate("used", activity, recording, {"prov:role": "recording"})
    document.relate("wasAssociatedWith", activity, told.program, {"prov:role": "program"})
    heard = body.draft.note.heard_with or "read as text"
    transcript = told.made(activity, f"job:transcript-{key}", "Transcript", f"{body.file}, {heard}")
    draft = told.made(activity, f"job:draft-{key}", "Draft", f"draft of {body.file}")
    document.relate("wasDerivedFrom", transcript, recording)
    document.relate("wasDerivedFrom", draft, transcript)
    document.relate("wasAttributedTo", draft, told.program)


def _part(told: _Told, activity: str, person: str, body: PartConfirmed) -> None:
    before = told.stands.get(body.split_from or "") if body.split_from != body.tag else None
    entity = told.revised(activity, body.tag, "Part", body.part.name)
    if before is not None:
        told.document.relate("wasDerivedFrom", entity, before)
    _confirmed(told, activity, person, entity, body)
    told.words(entity, body.recording, body.part)
    told.used(activity, f"{body.because}-answer")


def _question(told: _Told, activity: str, person: str, body: QuestionConfirmed) -> None:
    entity = told.revised(activity, body.tag, "Question", body.question.text)
    _confirmed(told, activity, person, entity, body)
    told.words(entity, body.recording, body.question)


def _confirmed(
    told: _Told, activity: str, person: str, entity: str, body: PartConfirmed | QuestionConfirmed
) -> None:
    told.document.relate("wasAttributedTo", entity, person)
    if body.recording in told.files:
        draft = f"job:draft-{body.recording[:16]}"
        told.document.relate("used", activity, draft, {"prov:role": "draft"})
        told.document.relate("wasDerivedFrom", entity, draft)


def _answered(told: _Told, activity: str, _: str, body: QuestionAnswered) -> None:
    told.used(activity, body.tag)
    question = told.stands.get(body.tag)
    entity = told.revised(activity, f"{body.tag}-answer", "Answer", body.answer, on=body.on)
    told.document.relate("wasAttributedTo", entity, told.person(body.by, "prov:Agent"))
    if question is not None:
        told.document.relate("wasDerivedFrom", entity, question)
    if body.recording in told.files and body.quote:
        link = address(source(told.files[body.recording], body.start_s, body.end_s))
        told.document.entity(entity, {"prov:location": link})
        told.document.relate("wasDerivedFrom", entity, _recording(body.recording), _QUOTATION)


def _written(told: _Told, activity: str, _: str, body: PaperWritten) -> None:
    paper = told.made(activity, f"{activity}-paper", "Paper", body.paper, sha256=body.sha256)
    told.document.relate("wasAttributedTo", paper, told.shop)


def _issued(told: _Told, activity: str, _: str, body: PaperIssued) -> None:
    label = f"{body.paper} no. {body.number}"
    paper = told.made(activity, f"{activity}-paper", "Paper", label, sha256=body.sha256, to=body.to)
    told.document.relate("wasAttributedTo", paper, told.shop)
    stand = told.document.entity(f"{activity}-stand", {"prov:type": name("prov:Collection")})
    for entity in told.stands.values():
        told.document.relate("hadMember", stand, entity)
    told.document.relate("used", activity, stand)
    told.document.relate("wasDerivedFrom", paper, stand)


def _sent(told: _Told, activity: str, _: str, body: SheetSent) -> None:
    told.used(activity, *dict.fromkeys(line.tag for line in body.lines))
    told.revised(activity, body.sheet, "Sheet", f"sheet {body.sheet}", on=body.on)
    vendor = told.person(body.vendor, "prov:Organization")
    told.document.relate("wasAssociatedWith", activity, vendor, {"prov:role": "vendor"})


def _back(told: _Told, activity: str, _: str, body: SheetBack | SheetSettled) -> None:
    told.used(activity, body.sheet)


def _promise(told: _Told, activity: str, _: str, body: PromiseNoted) -> None:
    told.used(activity, *body.tags, body.sheet)
    entity = told.revised(activity, body.promise, "Promise", body.words, due=body.due, said_on=body.said_on)
    told.document.relate("wasAttributedTo", entity, told.person(body.who, "prov:Agent"))
    if body.recording in told.files:
        link = address(source(told.files[body.recording], body.start_s, body.end_s))
        told.document.entity(entity, {"prov:location": link})
        told.document.relate("wasDerivedFrom", entity, _recording(body.recording), _QUOTATION)


def _promise_settled(told: _Told, activity: str, _: str, body: PromiseSettled) -> None:
    told.used(activity, body.promise)


def _dropped(told: _Told, activity: str, _: str, body: RecordDropped) -> None:
    told.ended(activity, body.tag)


def _reopened(told: _Told, activity: str, _: str, body: RecordReopened) -> None:
    told.ended(activity, *body.tags)


def _joined(told: _Told, activity: str, _: str, body: PartsJoined) -> None:
    told.used(activity, body.into)
    told.ended(activity, body.tag)


def _recording(sha256: str) -> str:
    return f"job:recording-{sha256[:16]}"


_Step = Callable[[_Told, str, str, Any], None]
_STEPS: dict[type, _Step] = {
    JobOpened: _opened,
    NoteTaken: _note,
    PartConfirmed: _part,
    QuestionConfirmed: _question,
    QuestionAnswered: _answered,
    PaperWritten: _written,
    PaperIssued: _issued,
    SheetSent: _sent,
    SheetBack: _back,
    SheetSettled: _back,
    PromiseNoted: _promise,
    PromiseSettled: _promise_settled,
    RecordDropped: _dropped,
    RecordReopened: _reopened,
    PartsJoined: _joined,
}
