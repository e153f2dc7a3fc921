"""The papers of a job, shown word for word as they would be written, to be downloaded or issued."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import BaseRoute, Route

from notepipe import papers
from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.guard import person_of
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted, text_in
from notepipe.errors import BadAnswer, NotepipeError, NotFound, NotReviewed
from notepipe.issuing import Recipient, issue, stood_when_issued
from notepipe.jobs import as_written, paper_written
from notepipe.papers.bench_list import bench_csv, bench_list
from notepipe.papers.buying_list import buying_csv, buying_list
from notepipe.papers.letter import Letter, left_out, letter_for
from notepipe.papers.looking_for import looking_csv, looking_for
from notepipe.papers.parts_out import parts_out, parts_out_csv
from notepipe.papers.questions import ISSUED
from notepipe.register import Register
from notepipe.sending import kept_text

PLACES: tuple[Place, ...] = (Place("Papers", lambda job: f"/job/{job.key}/papers"),)
Write = Callable[[Register, Letter], str]


class Paper(NamedTuple):
    """A paper the desk can show: the name in its address, its title, and how it is written."""

    name: str
    title: str
    written_as: str
    """What the history calls it."""
    write: Write
    about: str
    ending: str = "txt"
    kind: str = "text/plain"
    since: bool = False
    """Whether it tells only what changed since the last one issued."""


_CSV: Final = ("csv", "text/csv")
PAPERS: Final = (
    Paper(
        "update", "Client update", "client update", papers.update,
        "What the client reads: what is to be done, what is asked, what has changed since the last one.",
        since=True,
    ),
    Paper(
        "whole-update", "Client update, the whole", "client update", papers.update,
        "All that stands, also where an update was issued before.",
    ),
    Paper("list", "Parts list", "parts list", papers.parts_list, "Every confirmed part, a line each."),
    Paper("bench", "Bench list", "bench list", bench_list, "What is done here, by operation."),
    Paper("buying", "Buying list", "buying list", buying_list, "What is to be bought."),
    Paper(
        "looking-for", "Looking-for list", "looking for list", looking_for,
        "What is hunted for, and where was looked.",
    ),
    Paper(
        "out", "Out of the house", "out list", lambda register, letter: parts_out((register,), letter),
        "What is out with whom.",
    ),
    Paper("list-csv", "Parts list", "parts list (CSV)", papers.parts_csv, "", *_CSV),
    Paper("bench-csv", "Bench list", "bench list (CSV)", bench_csv, "", *_CSV),
    Paper("buying-csv", "Buying list", "buying list (CSV)", buying_csv, "", *_CSV),
    Paper("looking-for-csv", "Looking-for list", "looking for list (CSV)", looking_csv, "", *_CSV),
    Paper(
        "out-csv", "Out of the house", "out list (CSV)",
        lambda register, letter: parts_out_csv((register,), letter), "", *_CSV,
    ),
)  # fmt: skip


class Preview(NamedTuple):
    """A paper as it would be written now, or why it would not."""

    text: str
    mistake: NotepipeError | None
    """Records that wait: it is written without them, when a person says so."""
    widest: int
    left_out: int

    @property
    def sha256(self) -> str:
        """Of the text: what is issued must be what was read."""
        return hashlib.sha256(self.text.encode("utf-8")).hexdigest()


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/papers``, each paper below it, its file, and issuing the update."""
    room = _Room(desk, pages)
    return [
        Route("/job/{key}/papers", room.all),
        Route("/job/{key}/papers/issued/{number:int}", room.issued),
        Route("/job/{key}/papers/sheet/{sheet}", room.sheet),
        Route("/job/{key}/papers/{name}", room.one),
        Route("/job/{key}/papers/{name}/file", posted(room.file), methods=["POST"]),
        Route("/job/{key}/papers/{name}/issue", posted(room.issue), methods=["POST"]),
    ]


class _Room:
    """The endpoints."""

    def __init__(self, desk: Desk, pages: Pages) -> None:
        self._desk = desk
        self._pages = pages

    def all(self, request: Request) -> Response:
        job = self._desk.job(request.path_params["key"])
        return self._pages.page(request, "papers.html.j2", job=job, papers=PAPERS, update=ISSUED)

    def one(self, request: Request) -> Response:
        job, paper = self._found(request)
        shown = self._preview(job, paper)
        return self._pages.page(
            request,
            "paper.html.j2",
            job=job,
            paper=paper,
            shown=shown,
            width=self._desk.shop.settings.paper_width,
            may_issue=paper.written_as == ISSUED,
            last=next((one for one in reversed(job.register.issued) if one.paper == ISSUED), None),
        )

    def file(self, request: Request, form: FormData) -> Response:
        """The paper as a file; that it was written stands in the history, as with the command."""
        job, paper = self._found(request)
        register, leave_out = job.register, "leave_out" in form
        text = self._text(job, paper, leave_out=leave_out)
        hand = self._desk.hand(person_of(request))
        told = as_written(paper.written_as, text, register.waiting)
        paper_written(self._desk.ledger, job.name, hand, told)
        name = f'attachment; filename="{job.key}-{paper.name}.{paper.ending}"'
        # newline="" everywhere: CSV has its own ends of line (RFC 4180).
        return Response(text.encode("utf-8"), media_type=paper.kind, headers={"content-disposition": name})

    def issue(self, request: Request, form: FormData) -> Response:
        """The update goes out: the very text that was read, or nothing."""
        job, paper = self._found(request)
        if paper.written_as != ISSUED:
            raise NotFound(paper.title, "is not issued", "Download it, and send it as you like.")
        letter = self._letter(leave_out="leave_out" in form)
        read = text_in(form, "read")

        def write(now: Register, since: Register | None) -> str:
            text = paper.write(now, letter.model_copy(update={"since": since if paper.since else None}))
            if hashlib.sha256(text.encode("utf-8")).hexdigest() != read:
                what = "has changed since you read it"
                raise BadAnswer(paper.title, what, "Load the page again, read it, and issue it then.")
            return text

        recipient = Recipient(to=text_in(form, "to") or job.register.client, way=text_in(form, "way") or None)
        hand = self._desk.hand(person_of(request))
        issued = issue(self._desk.ledger, job.name, hand, recipient, write, self._desk.shop)
        said = f"Update {issued.body.number} is issued to {recipient.to}."
        return done(request, f"/job/{job.key}/papers/issued/{issued.body.number}", said)

    def issued(self, request: Request) -> Response:
        """An issued update as it went out, word for word."""
        job, number = self._desk.job(request.path_params["key"]), request.path_params["number"]
        one = next((i for i in job.register.issued if (i.paper, i.number) == (ISSUED, number)), None)
        path = self._desk.shop.issued(job.name, number)
        if one is None or not path.is_file():
            do = "Run: notepipe check" if one else "Go back to the papers and choose one that is there."
            raise NotFound(f"job {job.name}", f"update {number} is not there", do)
        if "file" in request.query_params:
            name = f'attachment; filename="{job.key}-update-{number}.txt"'
            return PlainTextResponse(path.read_bytes(), headers={"content-disposition": name})
        text = path.read_bytes().decode("utf-8", "replace")
        title = f"Update {number}"
        told = f"issued to {one.to} on {one.at[:10]} by {one.by}{f', {one.way}' if one.way else ''}"
        return self._pages.page(request, "kept_paper.html.j2", job=job, title=title, told=told, text=text)

    def sheet(self, request: Request) -> Response:
        """A sheet that went out with parts, byte for byte."""
        job = self._desk.job(request.path_params["key"])
        sheet = job.register.sheet(request.path_params["sheet"])
        text = kept_text(self._desk.shop, job.register, sheet.sent.sheet)
        if "file" in request.query_params:
            name = f'attachment; filename="{job.key}-{sheet.sent.sheet}.txt"'
            return PlainTextResponse(text, headers={"content-disposition": name})
        title = f"Sheet {sheet.sent.sheet}"
        told = f"went to {sheet.sent.vendor} on {sheet.sent.on}, written by {sheet.by}"
        return self._pages.page(request, "kept_paper.html.j2", job=job, title=title, told=told, text=text)

    def _found(self, request: Request) -> tuple[JobNow, Paper]:
        name = request.path_params["name"]
        paper = next((paper for paper in PAPERS if paper.name == name), None)
        if paper is None:
            raise NotFound("the desk", "no such paper", "Go back to the papers and choose one.")
        return self._desk.job(request.path_params["key"]), paper

    def _preview(self, job: JobNow, paper: Paper) -> Preview:
        mistake: NotepipeError | None = None
        try:
            text = self._text(job, paper, leave_out=False)
        except NotReviewed as error:
            text, mistake = self._text(job, paper, leave_out=True), error
        widest = max((len(line) for line in text.splitlines()), default=0)
        return Preview(text, mistake, widest, job.register.waiting)

    def _text(self, job: JobNow, paper: Paper, *, leave_out: bool) -> str:
        letter = self._letter(leave_out=leave_out)
        if paper.since:
            letter = letter.model_copy(update={"since": stood_when_issued(job.entries)})
        left_out(job.register, letter)
        return paper.write(job.register, letter)

    def _letter(self, *, leave_out: bool) -> Letter:
        return letter_for(self._desk.shop, self._desk.trade, self._desk.clock()[:10], leave_out=leave_out)
