"""The desk's pages: Jinja2, everything escaped, what is missing a bug and not an empty place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from notepipe.desk.desk import Desk, JobNow
from notepipe.desk.guard import person_of
from notepipe.showing import clock, count, span

HERE = Path(__file__).parent
ASSETS = HERE / "assets"


class Place(NamedTuple):
    """A page of a job that the head of every page of that job leads to."""

    title: str
    address: Callable[[JobNow], str]


def apart(text: str) -> str:
    """*text* in marks that keep its direction to itself (Unicode FSI, PDI): for where no bdi can be."""
    return f"\u2068{text}\u2069"


class Pages:
    """Fills the templates of ``pages/``. *places* stand in the head of every page of a job, in this order."""

    def __init__(self, desk: Desk, places: tuple[Place, ...]) -> None:
        self._desk = desk
        self._places = places
        self._environment = Environment(
            loader=FileSystemLoader(HERE / "pages"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.filters |= {"clock": clock, "apart": apart}
        self._environment.globals |= {"count": count, "span": span}

    def text(self, template: str, **values: Any) -> Markup:
        """The template filled, as a piece of a page: what came from outside is escaped in it already."""
        return Markup(self._environment.get_template(template).render(values))

    def page(
        self, request: Request, template: str, *, job: JobNow | None = None, status: int = 200, **values: Any
    ) -> HTMLResponse:
        """A whole page, built on ``base.html.j2``; of a *job* its name and places stand in the head."""
        sitter = getattr(request.state, "sitter", None)
        whole = {
            "shop": self._desk.shop.settings.shop,
            "person": sitter and sitter.person and person_of(request),
            "run": self._desk.run,
            "job": job,
            "here": request.url.path,
            "places": [(place.title, place.address(job)) for place in self._places] if job else [],
        }
        return HTMLResponse(self.text(template, **whole, **values), status)
