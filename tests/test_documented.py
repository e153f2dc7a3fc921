"""What can be typed, met or written is told in README.md or DEVELOPERS.md, and what is told there exists."""

import re
import typing
from pathlib import Path

import pytest

import notepipe.errors
from notepipe import cli
from notepipe.shop import Settings
from notepipe.trade import Pack

ROOT = Path(__file__).parent.parent
README, DEVELOPERS = ROOT / "README.md", ROOT / "DEVELOPERS.md"
ERRORS = sorted(
    name
    for name, kind in vars(notepipe.errors).items()
    if isinstance(kind, type) and issubclass(kind, notepipe.errors.NotepipeError)
)
PACK_FIELDS = [
    (row, field)
    for row, rows in Pack.model_fields.items()
    for field in typing.get_args(rows.annotation)[0].model_fields
]


def told(*files: Path) -> str:
    return "\n".join(file.read_text(encoding="utf-8") for file in files)


@pytest.mark.parametrize("name", cli.notepipe.commands)
def test_every_command_stands_in_the_readme(name: str) -> None:
    assert re.search(rf"\bnotepipe {name}\b", told(README))


@pytest.mark.parametrize("name", ERRORS)
def test_every_kind_of_error_stands_in_the_documents(name: str) -> None:
    assert name in told(README, DEVELOPERS)


@pytest.mark.parametrize("name", Settings.model_fields)
def test_every_setting_of_a_shop_stands_in_the_readme(name: str) -> None:
    assert name in told(README)


@pytest.mark.parametrize(("row", "field"), PACK_FIELDS)
def test_every_field_of_a_pack_stands_in_the_documents(row: str, field: str) -> None:
    assert f"[[{row}]]" in told(README, DEVELOPERS)
    assert re.search(rf"\b{field}\b", told(README, DEVELOPERS))


def test_every_command_and_option_the_documents_name_exists() -> None:
    for line in re.findall(
        r"^(?: {4}|\$ )?(?:\$ )?notepipe ([a-z].*)$", told(README, DEVELOPERS), re.MULTILINE
    ):
        words = line.split("#")[0].split()
        assert words[0] in cli.notepipe.commands, line
        known = {opt for param in cli.notepipe.commands[words[0]].params for opt in param.opts} | {"--help"}
        assert {word.split("=")[0] for word in words if word.startswith("--")} <= known, line
