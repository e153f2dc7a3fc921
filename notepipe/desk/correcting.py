"""A part put right on its own page, through the very code that the command goes through."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from notepipe.changing import size_in_words
from notepipe.desk.desk import Desk
from notepipe.desk.guard import person_of
from notepipe.desk.rendering import Pages, Place
from notepipe.desk.replies import done, posted, text_in
from notepipe.draft import Part
from notepipe.entries import Body
from notepipe.errors import BadAnswer
from notepipe.jobs import put_right
from notepipe.review import Standing, correction, withdrawal

PLACES: tuple[Place, ...] = ()


def routes(desk: Desk, pages: Pages) -> Sequence[BaseRoute]:
    """Where a part that is put right, or taken off the register, goes."""

    def correct(request: Request, form: FormData) -> Response:
        job, tag = desk.job(request.path_params["key"]), request.path_params["tag"]
        typed = {name[4:]: text_in(form, name) for name in form if name.startswith("now/")}
        was = {name[4:]: text_in(form, name) for name in form if name.startswith("was/")}
        changes = {field: text for field, text in typed.items() if text != was.get(field, "")}
        if not changes:
            raise BadAnswer(tag, "nothing was changed", "Change a field, or leave it as it is.")
        read = tuple(str(one) for one in form.getlist("acknowledged"))

        def make(standing: Standing) -> Body:
            _refuse_stale(tag, standing, {field: was.get(field, "") for field in changes})
            return correction(standing, changes, read)

        put_right(desk.ledger, job.name, desk.hand(person_of(request)), tag, make)
        return done(request, f"/job/{job.key}/part/{tag}", f"{tag} is put right: {', '.join(changes)}.")

    def drop(request: Request, form: FormData) -> Response:
        job, tag = desk.job(request.path_params["key"]), request.path_params["tag"]
        job.register.part(tag)
        why = text_in(form, "reason")
        if not why:
            raise BadAnswer(tag, "no reason given", "Say why in a few words.")
        hand = desk.hand(person_of(request))
        put_right(desk.ledger, job.name, hand, tag, lambda standing: withdrawal(standing, why))
        return done(request, f"/job/{job.key}/register", f"{tag} stands no longer.")

    place = "/job/{key}/part/{tag}"
    return [
        Route(f"{place}/correct", posted(correct), methods=["POST"]),
        Route(f"{place}/drop", posted(drop), methods=["POST"]),
    ]


def fields_of(part: Part) -> dict[str, str]:
    """Every field of a part that can be put right, with its text as a person would type it."""
    plain = {
        "name": part.name,
        "quantity": "" if part.quantity is None else str(part.quantity),
        "metal": part.metal or "",
        "finish": part.finish or "",
        "location": part.location or "",
        "condition": "; ".join(part.condition),
    }
    sizes = {f"size {n}": size_in_words(size) for n, size in enumerate(part.sizes, start=1)}
    fates = {
        f"decision {n} {field}": value or ""
        for n, one in enumerate(part.decisions, start=1)
        for field, value in (
            ("action", one.action),
            ("to finish", one.to_finish),
            ("by", one.by),
            ("standing", one.standing),
        )
    }
    return {**plain, **sizes, **fates, "new size": "", "new decision": ""}


def _refuse_stale(tag: str, standing: Standing, was: dict[str, str]) -> None:
    """Two people at one part: who typed over what is no longer there is told. Raises BadAnswer."""
    if not isinstance(standing.value, Part):
        raise BadAnswer(tag, "is a question", "Put it right in a terminal: notepipe correct")
    now = fields_of(standing.value)
    for field, before in was.items():
        if now.get(field, "") != before:
            what = f"somebody put {field} right meanwhile: it is now '{now.get(field, '')}'"
            raise BadAnswer(tag, what, "Load the page again, and look whether yours is still needed.")
