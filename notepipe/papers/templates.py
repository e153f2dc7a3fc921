"""The papers' templates: Jinja2, the shop's own laid over the program's by the same name.

A shop's template may also build on the program's: ``{% extends "program/update.txt.j2" %}``.
"""

from __future__ import annotations

import re
import traceback
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jinja2 import (
    ChoiceLoader,
    FileSystemLoader,
    PrefixLoader,
    StrictUndefined,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
)
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup
from pydantic import BaseModel

import notepipe
from notepipe.errors import BadTemplate, nearest
from notepipe.papers.layout import HARD_BLANK, wrapped
from notepipe.papers.letter import Letter


def program_templates() -> Path:
    """Where the program's own templates lie: in the package once installed, beside it in a checkout."""
    package = Path(notepipe.__file__).parent
    inside = package / "templates"
    return inside if inside.is_dir() else package.parent / "templates"


def rendered(name: str, view: BaseModel, letter: Letter) -> str:
    """The template *name* filled from the fields of *view*, lines ending in a newline.

    Raises BadTemplate where the template is missing, is no Jinja2, or names what *view* hasn't got.
    """
    values = {field: getattr(view, field) for field in type(view).model_fields}
    environment = _environment(letter)
    try:
        return environment.get_template(name).render(values).replace(HARD_BLANK, " ")
    except TemplateNotFound as error:
        do = nearest(str(error.name), environment.list_templates())
        raise BadTemplate(_place(error, name), f"no template '{error.name}'", do) from error
    except TemplateSyntaxError as error:
        raise BadTemplate(*_syntax(error, environment)) from error
    except TemplateError as error:
        raise BadTemplate(*_undefined(error, name, view)) from error
    except UnicodeDecodeError as error:
        raise BadTemplate(name, "not UTF-8 text", "Save the template as UTF-8.") from error
    except (TypeError, ValueError, ArithmeticError) as error:
        if not _in_template(error):
            raise
        raise BadTemplate(_place(error, name), str(error), "Mend that line of the template.") from error


def _environment(letter: Letter) -> ImmutableSandboxedEnvironment:
    ours = FileSystemLoader(program_templates())
    own = [FileSystemLoader(letter.templates)] if letter.templates else []
    environment = ImmutableSandboxedEnvironment(
        loader=ChoiceLoader([*own, ours, PrefixLoader({"program": ours})]),
        undefined=StrictUndefined,
        autoescape=_is_page,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )

    def wrap(text: str, first: str = "", rest: str | None = None) -> str:
        return wrapped(text, letter.width, first, rest)

    environment.filters["wrapped"] = wrap
    environment.filters["exactly"] = exactly
    return environment


def exactly(text: str) -> Markup:
    """*text* as HTML that every reader turns back into the very same letters.

    A hard blank stands as its number, since ``rendered`` would make a plain one of it.
    """
    for letter, told in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), (HARD_BLANK, "&#160;")):
        text = text.replace(letter, told)
    return Markup(text)


def _is_page(name: str | None) -> bool:
    """Whether a template makes HTML, in which every word is escaped; plain text is never shown as HTML."""
    return name is not None and name.endswith(".html.j2")


def _syntax(error: TemplateSyntaxError, environment: ImmutableSandboxedEnvironment) -> tuple[str, str, str]:
    where = f"{error.filename or error.name}:{error.lineno}"
    what = (error.message or "no valid template").rstrip(".")
    unknown = re.match(r"No (filter|test) named '(.+)'", what)
    if unknown:
        known = environment.filters if unknown[1] == "filter" else environment.tests
        return where, f"no {unknown[1]} '{unknown[2]}'", nearest(unknown[2], known)
    return where, what, "Mend that line; {{ name }} and {% if … %} … {% endif %} come in pairs."


def _undefined(error: TemplateError, name: str, view: BaseModel) -> tuple[str, str, str]:
    message = error.message or str(error)
    missing = re.search(r"(?:no attribute |^)'([^']+)'(?: is undefined)?$", message)
    if missing is None:
        return _place(error, name), message, "Mend that line of the template."
    do = nearest(missing[1], _names(type(view).model_json_schema()))
    return _place(error, name), f"nothing here is named '{missing[1]}'", do


def _names(schema: Mapping[str, Any]) -> set[str]:
    """Every name a template may use: the view's fields and those of the records in it."""
    records = [schema, *schema.get("$defs", {}).values()]
    return {field for record in records for field in record.get("properties", {})}


def _place(error: Exception, name: str) -> str:
    lines = [f for f in traceback.extract_tb(error.__traceback__) if f.filename.endswith(".j2")]
    return f"{lines[-1].filename}:{lines[-1].lineno}" if lines else name


def _in_template(error: Exception) -> bool:
    """Whether the template's own line went wrong, not the program beneath it."""
    frames = traceback.extract_tb(error.__traceback__)
    return bool(frames) and frames[-1].filename.endswith(".j2")
