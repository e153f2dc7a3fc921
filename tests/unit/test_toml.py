"""A slip in a TOML file is named by file, line and field, with the nearest right word."""

from pathlib import Path

import pytest
from pydantic import BaseModel, ConfigDict

from notepipe.errors import BadSetting, NotFound
from notepipe.toml import read_toml


class Cue(BaseModel):
    model_config = ConfigDict(extra="forbid")
    id: str
    sets: str
    reach: int = 1


class Pack(BaseModel):
    model_config = ConfigDict(extra="forbid")
    cue: list[Cue] = []


def pack(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return path


CASES = [
    (
        '[[cue]]\nid = "a"\nsets = "x"\n\n[[cue]]\nid = "wont"\nset = "x"\n',
        ":7", "cue 'wont': no field 'set'", "Did you mean 'sets'?",
    ),
    ('[[cue]]\nid = "a"\n', ":1", "cue 'a': field 'sets' is missing", "Add a line: sets = …"),
    ('[[cue]]\nid = "a\n', ":2", "no valid TOML", "Mend that line"),
    ('[[cue]]\nid = "a"\nsets = "b"\nreach = "far"\n', ":4", "cue 'a': field 'cue.reach'", "Mend that line."),
    ('[[cues]]\nid = "a"\n', ":1", "no field 'cues'", "Did you mean 'cue'?"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "what", "do"), CASES)
def test_a_slip_is_named(tmp_path: Path, text: str, line: str, what: str, do: str) -> None:
    with pytest.raises(BadSetting) as caught:
        read_toml(pack(tmp_path, text), Pack)
    assert caught.value.where.endswith(line)
    assert what in caught.value.what
    assert do in caught.value.do


def test_a_right_file_is_read(tmp_path: Path) -> None:
    assert read_toml(pack(tmp_path, '[[cue]]\nid = "a"\nsets = "b"\n'), Pack).cue[0].sets == "b"


def test_no_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="no such file"):
        read_toml(tmp_path / "none.toml", Pack)
