"""The house keeps its shape: imports go one way, each library has one owner, ``--help`` is light."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import notepipe

PACKAGE = Path(notepipe.__file__).parent
# A module may import what stands before it, and its own package. The steps of the way of a note, in order,
# each with the modules it is made of.
STEPS = (
    "errors days bulk toml shop trade",
    "promises recording pictures transcript",
    "windows agreement captions weights whisper hearing",
    "working_days draft reading",
    "errands entries closing changing later sitting review chain ledger register recalling folding copies",
    "adding months papers",
    "stills picturing prov_json provenance showing matched heard_promises agenda telling joining undoing",
    "choosing enquiries story exporting issuing pairs sheet_lines sheets booking sending part_page jobs",
    "learning accepting attaching taking answers terminal player",
    "desk commands cli",
)
LINE = [module for step in STEPS for module in step.split()]
OWNERS = {
    "av": ("recording",),
    "faster_whisper": ("hearing", "whisper", "windows", "weights"),
    "ctranslate2": ("hearing", "whisper"),
    "PIL": ("pictures",),
    "pillow_heif": ("pictures",),
    "spacy": ("reading",),
    "onnxruntime": ("reading",),
    "tokenizers": ("reading",),
    "dateutil": ("reading",),
    "holidays": ("working_days",),
    "icalendar": ("papers",),
    "iso4217": ("months",),
    "sqlalchemy": ("ledger",),
    "sqlite3": ("ledger",),
    "rfc8785": ("chain",),
    "jinja2": ("papers", "desk"),
    "starlette": ("desk",),
    "uvicorn": ("desk",),
    "click": ("cli", "commands"),
}
HEAVY = (
    "spacy",
    "onnxruntime",
    "faster_whisper",
    "ctranslate2",
    "sqlalchemy",
    "av",
    "numpy",
    "jinja2",
    "holidays",
    "icalendar",
    "iso4217",
    "pint",
    "PIL",
    "starlette",
    "uvicorn",
)
FILES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")


def step(path: Path) -> str:
    """The place of a file in the line: its own name, or that of its package."""
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def imported(path: Path) -> Iterator[str]:
    """The full names of the modules a file imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module == "notepipe":
            yield from (f"notepipe.{alias.name}" for alias in node.names if alias.name != "__version__")
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: imports are written in full"
            yield str(node.module)


def called(path: Path) -> Iterator[str]:
    """Whatever a file calls, as it is written: ``print``, ``datetime.now``."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func)


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_imports_only_what_stands_before_it(path: Path) -> None:
    mine = step(path)
    assert mine in LINE, f"{mine} has no place in the line yet: give it one, in this test"
    for name in imported(path):
        if name.startswith("notepipe."):
            other = name.split(".")[1]
            assert other == mine or LINE.index(other) < LINE.index(mine), f"{mine} imports {other}"


@pytest.mark.parametrize("library", OWNERS)
def test_each_library_has_one_owner(library: str) -> None:
    users = {step(path) for path in FILES if library in {name.split(".")[0] for name in imported(path)}}
    assert users <= set(OWNERS[library])


def test_every_place_in_the_line_is_taken() -> None:
    assert {step(path) for path in FILES} == set(LINE)


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_the_command_line_prints_exits_or_reads_the_clock(path: Path) -> None:
    if step(path) not in ("cli", "commands"):
        clock = {"datetime.now", "datetime.utcnow", "date.today", "time.time", "time.monotonic"}
        assert not {"print", "input", "sys.exit", "exit", *clock} & set(called(path))


@pytest.mark.parametrize("words", [["--help"], ["draft", "--help"], ["review", "--help"], ["--version"]])
def test_help_loads_none_of_the_big_libraries(words: list[str]) -> None:
    code = (
        "import sys\nfrom notepipe.cli import main\n"
        f"try:\n    main({words!r})\n"
        f"except SystemExit as left:\n    assert not left.code\n"
        f"print([m for m in {HEAVY!r} if m in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"
