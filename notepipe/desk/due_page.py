"""What was promised for a job: overdue, this week, later; kept at a stroke; and how long it took before."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from notepipe.agenda import record_lines
from notepipe.desk.desk import Desk
from notepipe.desk.guard import person_of
from notepipe.desk.listening import sources_of
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted, text_in
from notepipe.errands import PromiseSettled
from notepipe.jobs import keep_made
from notepipe.months.due import due, records
from notepipe.months.promising import kept
from notepipe.papers.calendar import calendar
from notepipe.working_days import WorkingDays

PLACES: tuple[Place, ...] = (Place("Due", lambda job: f"/job/{job.key}/due"),)


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/due``, its calendar, and where a promise is said to be kept."""
    sources = sources_of(desk)

    def page(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        history = [desk.job_named(name).register for name in desk.ledger.jobs()]
        today = date.fromisoformat(desk.clock()[:10])
        found = due([job.register], today, working_days(desk), history)
        return pages.page(
            request,
            "due.html.j2",
            job=job,
            groups=(("Overdue", found.overdue), ("This week", found.this_week), ("Later", found.later)),
            settled=[p for p in reversed(job.register.promises) if p.settled_on is not None],
            records=list(record_lines(tuple(records(history).values())))[1:],
            in_words=desk.shop.settings.date_in_words,
            day=date.fromisoformat,
            sources=sources(job),
            today=today.isoformat(),
        )

    def settle(request: Request, form: FormData) -> Response:
        job, name = desk.job(request.path_params["key"]), request.path_params["name"]
        today = date.fromisoformat(desk.clock()[:10])
        told = PromiseSettled(
            promise=name,
            on=text_in(form, "on") or today.isoformat(),
            how="given up" if text_in(form, "how") == "given up" else "kept",
            remark=text_in(form, "remark") or None,
        )
        hand = desk.hand(person_of(request))
        keep_made(desk.ledger, job.name, hand, lambda register: (kept(register, name, told, today),))
        return done(request, f"/job/{job.key}/due", f"{name}: {told.how}.")

    def as_calendar(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        name = f'attachment; filename="{job.key}.ics"'
        written = calendar([job.register], working_days(desk), "events")
        return Response(written, media_type="text/calendar", headers={"content-disposition": name})

    return [
        Route("/job/{key}/due", page),
        Route("/job/{key}/due/{name}", posted(settle), methods=["POST"]),
        Route("/job/{key}/due.ics", as_calendar),
    ]


def working_days(desk: Desk) -> WorkingDays:
    """The days the shop works. Raises BadSetting for a country nobody knows."""
    return WorkingDays(desk.shop.settings.country, desk.shop.settings.country_part)
