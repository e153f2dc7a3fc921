"""The first page: each job with what waits, what is due and what is out; and a job opened."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from notepipe.desk.desk import Desk, JobNow, job_key
from notepipe.desk.due_page import working_days
from notepipe.desk.guard import person_of
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted, text_in
from notepipe.entries import JobOpened
from notepipe.errors import BadAnswer
from notepipe.jobs import open_job
from notepipe.months.due import DueLine, due
from notepipe.months.outside import open_lines

PLACES: tuple[Place, ...] = ()


class Stands(NamedTuple):
    """A job on the first page."""

    job: JobNow
    overdue: tuple[DueLine, ...]
    this_week: tuple[DueLine, ...]
    out: int
    """Pieces that are out of the house."""
    unsettled: int
    """Lines of sheets on which something that came back was wrong."""

    @property
    def pressing(self) -> tuple[bool, int, int]:
        """What presses most stands first; closed jobs last."""
        register = self.job.register
        return (register.closed is not None, -len(self.overdue), -register.waiting)


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/``, and where a job is opened."""

    def first(request: Request) -> Response:
        jobs = [desk.job_named(name) for name in desk.ledger.jobs()]
        shown = sorted(_stands(desk, jobs), key=lambda one: one.pressing)
        return pages.page(request, "first.html.j2", jobs=shown)

    def opened(request: Request, form: FormData) -> Response:
        name, client, what = (text_in(form, field) for field in ("name", "client", "what"))
        for field, text in (("a name", name), ("a client", client), ("what it is", what)):
            if not text or not text.isprintable():
                raise BadAnswer("the new job", f"has not {field}, on one line", "Fill it in.")
        hand = desk.hand(person_of(request))
        open_job(desk.ledger, hand, JobOpened(name=name, client=client, what=what))
        return done(request, f"/job/{job_key(name)}/take-in", f"Job {name} is open.")

    return [Route("/", first), Route("/jobs", posted(opened), methods=["POST"])]


def _stands(desk: Desk, jobs: Sequence[JobNow]) -> list[Stands]:
    today = date.fromisoformat(desk.clock()[:10])
    found = due([job.register for job in jobs], today, working_days(desk))
    told = []
    for job in jobs:
        lines = open_lines(job.register)
        told.append(
            Stands(
                job=job,
                overdue=tuple(line for line in found.overdue if line.job == job.name),
                this_week=tuple(line for line in found.this_week if line.job == job.name),
                out=sum(line.missing for line in lines),
                unsettled=sum(line.remarked for line in lines),
            )
        )
    return told
