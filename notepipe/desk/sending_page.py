"""A sheet made on the desk: shown word for word as it would go, and sent at one stroke when it was read."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.guard import person_of
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted
from notepipe.errands import SheetSent
from notepipe.errors import BadAnswer, NotepipeError
from notepipe.months.vendors import KINDS, known_vendors, vendor_named
from notepipe.pairs import counts_of, pairs_of
from notepipe.papers.letter import letter_for
from notepipe.papers.out_sheet import out_sheet
from notepipe.register import Register
from notepipe.sending import Gone, Make, Write, send, tried
from notepipe.sheets import Packed, Parcel, packed

PLACES: tuple[Place, ...] = ()
FIELDS = ("vendor", "trade", "tags", "reference", "on", "new", "counts", "never")


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """``/job/KEY/send``: what goes to whom, the sheet as it would be, and sending it."""

    def page(request: Request) -> Response:
        job = desk.job(request.path_params["key"])
        asked = {name: request.query_params.get(name, "").strip()[:500] for name in FIELDS}
        gone: Gone | None = None
        mistake: NotepipeError | None = None
        if asked["vendor"]:
            try:
                gone = tried(job.register, _make(desk, asked), _write(desk))
            except NotepipeError as error:
                mistake = error
        return pages.page(
            request,
            "send.html.j2",
            job=job,
            asked=asked,
            gone=gone,
            mistake=mistake,
            vendors=tuple(_known(desk)),
            today=desk.clock()[:10],
        )

    def go(request: Request, form: FormData) -> Response:
        job: JobNow = desk.job(request.path_params["key"])
        told = {name: str(form.get(name, "")).strip() for name in FIELDS}
        read, write = str(form.get("read", "")), _write(desk)

        def as_read(sent: SheetSent, stands: Register) -> str:
            text = write(sent, stands)
            if hashlib.sha256(text.encode("utf-8")).hexdigest() != read:
                what = "has changed since you read it"
                raise BadAnswer(
                    f"sheet {sent.sheet}", what, "Load the page again, read it, and send it then."
                )
            return text

        hand = desk.hand(person_of(request))
        gone = send(desk.ledger, job.name, hand, _make(desk, told), as_read, desk.shop)
        said = f"Sheet {gone.sent.sheet}: {gone.sent.pieces} pieces to {gone.sent.vendor}."
        return done(request, f"/job/{job.key}/papers/sheet/{gone.sent.sheet}", said)

    return [
        Route("/job/{key}/send", page, methods=["GET"]),
        Route("/job/{key}/send", posted(go), methods=["POST"]),
    ]


def _make(desk: Desk, told: Mapping[str, str]) -> Make:
    known = _known(desk)
    today = date.fromisoformat(desk.clock()[:10])
    vendor = vendor_named(told["vendor"], known, new=bool(told["new"]))
    parcel = Parcel(
        vendor=vendor,
        on=told["on"] or today.isoformat(),
        trade=told["trade"] or None,
        usual=known.get(vendor),
        tags=tuple(told["tags"].replace(",", " ").split()),
        reference=told["reference"] or None,
        counts=counts_of("how many", tuple(told["counts"].replace(",", " ").split())),
        never=pairs_of(
            "what must not be done", tuple(filter(None, map(str.strip, told["never"].split(";"))))
        ),
    )

    def make(stands: Register) -> Packed:
        return packed(stands, parcel, today, desk.trade.cautions)

    return make


def _write(desk: Desk) -> Write:
    letter = letter_for(desk.shop, desk.trade, desk.clock()[:10], leave_out=True)

    def write(sent: SheetSent, stands: Register) -> str:
        return out_sheet(sent, stands, letter)

    return write


def _known(desk: Desk) -> dict[str, str | None]:
    """The vendors the shop has dealt with, in whichever job."""
    found = desk.ledger.of_kinds(KINDS)
    return known_vendors(entry.body for entries in found.values() for entry in entries)
