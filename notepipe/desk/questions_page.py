"""The questions of a job: open since when, what hangs on each, its answer, and the form to write one down."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Final, NamedTuple

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from notepipe.days import days_ago
from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.guard import person_of
from notepipe.desk.listening import Quoted, quotes_of, sources_of
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted, text_in
from notepipe.desk.rows import rows_of
from notepipe.draft import Caution
from notepipe.errors import BadAnswer
from notepipe.jobs import keep_made
from notepipe.months.asking import Decides, Given, Hangs, Said, entries_for_answer, hanging
from notepipe.papers.questions import ISSUED
from notepipe.register import QuestionNow

PLACES: tuple[Place, ...] = (Place("Questions", lambda job: f"/job/{job.key}/questions"),)
MOST: Final = 20
"""So many parts, and so many decisions, are shown of one question; the others are on their own pages."""
_SETTLES: Final = ("decided", "ruled-out")


class Shown(NamedTuple):
    """A question as the page shows it."""

    now: QuestionNow
    tags: tuple[str, ...]
    """The parts it is about, while it is open; no more than MOST."""
    more_tags: int
    days: int
    letters: tuple[int, ...]
    """The numbers of the updates that asked it."""
    hangs: tuple[Hangs, ...]
    """Decisions that wait for its answer; no more than MOST."""
    more_hangs: int
    cautions: tuple[Caution, ...]
    """To be acknowledged before what hangs is settled."""
    quoted: Quoted


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/questions``, and where an answer goes."""
    sources = sources_of(desk)

    def questions(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        today = desk.clock()[:10]
        about: dict[str, list[str]] = defaultdict(list)
        for row in rows_of(job):
            for question in row.questions:
                about[question.tag].append(row.now.tag)
        shown = [_shown(job, question, about[question.tag], today) for question in job.register.questions]
        return pages.page(
            request,
            "questions.html.j2",
            job=job,
            still=[one for one in shown if one.now.answer is None],
            answered=[one for one in shown if one.now.answer is not None],
            sources=sources(job),
            today=today,
        )

    def answer(request: Request, form: FormData) -> Response:
        job, tag = desk.job(request.path_params["key"]), request.path_params["tag"]
        said, today = _said(form), date.fromisoformat(desk.clock()[:10])
        hand = desk.hand(person_of(request))
        made = keep_made(
            desk.ledger, job.name, hand, lambda register: entries_for_answer(register, tag, said, today)
        )
        told = f"{tag} is answered." if said.given else f"{len(made)} settled by the answer to {tag}."
        return done(request, f"/job/{job.key}/questions#{tag}", told)

    return [
        Route("/job/{key}/questions", questions),
        Route("/job/{key}/question/{tag}", posted(answer), methods=["POST"]),
    ]


def _shown(job: JobNow, question: QuestionNow, about: Sequence[str], today: str) -> Shown:
    register = job.register
    every = hanging(register, question)
    hangs = every[:MOST]
    must = {c.id: c for one in hangs for c in one.part.cautions if c.acknowledge}
    files = {note.recording: note.file for note in register.notes}
    return Shown(
        now=question,
        tags=tuple(about[:MOST]),
        more_tags=len(about[MOST:]),
        days=days_ago(question.first_at or question.at, date.fromisoformat(today)),
        letters=tuple(
            one.number for one in register.issued if one.paper == ISSUED and question.tag in one.asked
        ),
        hangs=hangs,
        more_hangs=len(every) - len(hangs),
        cautions=tuple(must.values()),
        quoted=quotes_of(question.question, question.recording, files)[0],
    )


def _said(form: FormData) -> Said:
    """What the form says: an answer, what it settles, or both. Raises BadAnswer where it says nothing."""
    words = text_in(form, "answer")
    given = None
    if words or "answer" in form:
        given = Given(
            answer=words,
            by=text_in(form, "by"),
            on=text_in(form, "on"),
            way=text_in(form, "way") or None,
            again="again" in form,
            all_the_same="all_the_same" in form,
        )
    settles = [
        Decides(tag=name.split("/")[1], field=f"decision {name.split('/')[2]} standing", text=str(value))
        for name, value in form.multi_items()
        if name.startswith("decides/") and name.count("/") == 2 and value in _SETTLES
    ]
    if given is None and not settles:
        raise BadAnswer("the answer", "says nothing", "Say what became of a decision that hangs on it.")
    read = tuple(str(one) for one in form.getlist("acknowledged"))
    return Said(given=given, decides=tuple(settles), acknowledged=read)
