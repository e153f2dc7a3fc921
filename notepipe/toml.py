"""A TOML file becomes a checked, frozen record; a slip in it is named by file, line and field."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from notepipe.errors import BadSetting, NotFound, nearest

Model = TypeVar("Model", bound=BaseModel)


def read_toml(path: Path, model: type[Model]) -> Model:
    """The file at *path* as a *model*; tables the file leaves out take the model's defaults.

    Raises NotFound where there is no file, BadSetting for anything in it that does not fit.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise NotFound(str(path), "no such file", "Check the name, or make the file.") from None
    except UnicodeDecodeError as error:
        raise BadSetting(str(path), "not UTF-8 text", "Save it as UTF-8.") from error
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadSetting(*_syntax(path, error)) from error
    try:
        return model.model_validate(table)
    except ValidationError as error:
        raise BadSetting(*_slip(path, text, model, error)) from error


def _syntax(path: Path, error: tomllib.TOMLDecodeError) -> tuple[str, str, str]:
    line = re.search(r"line (\d+)", str(error))
    where = f"{path}:{line[1]}" if line else str(path)
    what = re.sub(r" \(at .*\)$", "", str(error))
    return where, f"no valid TOML: {what}", "Mend that line; texts stand in quotes, lists in [ ]."


def _slip(path: Path, text: str, model: type[BaseModel], error: ValidationError) -> tuple[str, str, str]:
    slips = error.errors()
    # A misspelt field is also a missing one: name the misspelling.
    first = next((s for s in slips if s["type"] == "extra_forbidden"), slips[0])
    loc = first["loc"]
    where = f"{path}:{_line_of(text, loc)}"
    place = _entry_name(loc, text)
    field = str(loc[-1]) if loc else "?"
    if first["type"] == "extra_forbidden":
        return where, f"{place}no field '{field}'", nearest(field, _fields_at(model, loc))
    if first["type"] == "missing":
        return where, f"{place}field '{field}' is missing", f"Add a line: {field} = …"
    names = ".".join(str(part) for part in loc if isinstance(part, str))
    allowed = re.findall(r"'([^']+)'", str(first.get("ctx", {}).get("expected", "")))
    given = first.get("input")
    do = nearest(str(given), allowed) if allowed else "Mend that line."
    return where, f"{place}field '{names}': {first['msg']} (it says {given!r})", do


def _line_of(text: str, loc: tuple[Any, ...]) -> int:
    """The line of the field *loc* points at, or of its table: good enough for a person to find it."""
    lines, at = text.splitlines(), 0
    for position, part in enumerate(loc):
        if isinstance(part, int):
            header = re.compile(rf"\s*\[\[\s*{re.escape(str(loc[position - 1]))}\s*\]\]")
            starts = [i for i, line in enumerate(lines) if header.match(line)]
            at = starts[part] if part < len(starts) else at
            continue
        pattern = re.compile(rf"\s*(\[+\s*)?[\"']?{re.escape(str(part))}[\"']?\s*(=|\]|\.)")
        found = next((i for i in range(at, len(lines)) if pattern.match(lines[i])), None)
        at = found if found is not None else at
    return at + 1


def _entry_name(loc: tuple[Any, ...], text: str) -> str:
    """``cue 'wont': `` where the slip is in a list of tables that have ids, else nothing."""
    if len(loc) < 2 or not isinstance(loc[1], int):
        return ""
    rows = tomllib.loads(text).get(str(loc[0]), [])
    row = rows[loc[1]] if isinstance(rows, list) and loc[1] < len(rows) else {}
    name = row.get("id") if isinstance(row, dict) else None
    return f"{loc[0]} '{name}': " if name else f"{loc[0]} {loc[1] + 1}: "


def _fields_at(model: type[BaseModel], loc: tuple[Any, ...]) -> list[str]:
    """The field names that would have been right at *loc*."""
    schema = model.model_json_schema()
    here: dict[str, Any] = schema
    for part in loc[:-1]:
        here = here["items"] if isinstance(part, int) else here.get("properties", {}).get(part, {})
        here = next((o for o in here.get("anyOf", []) if o.get("type") != "null"), here)
        if "$ref" in here:
            here = schema["$defs"][here["$ref"].rsplit("/", 1)[1]]
        if isinstance(here.get("additionalProperties"), dict) and "properties" not in here:
            here = {"properties": {}, **here}
    return list(here.get("properties", {})) or list(model.model_fields)


def toml_from(table: str, row: Mapping[str, Any]) -> str:
    """A ``[[table]]`` of texts, lists of texts and inner tables of texts, as read_toml reads it back."""
    return "\n".join([f"[[{table}]]", *(f"{name} = {_written(value)}" for name, value in row.items())]) + "\n"


def _written(value: Any) -> str:
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{name} = {_written(one)}' for name, one in value.items())} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_written, value))}]"
    # A JSON string is a TOML string too, but for DEL, which TOML wants written out.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
