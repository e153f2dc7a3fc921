"""The server answers on this machine alone, ends at once on Ctrl-C, and the command says what to open."""

import os
import re
import signal
import socket
import subprocess
import sys
import threading
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from notepipe import cli
from notepipe.desk.desk import Desk
from notepipe.desk.presence import Presence, Seen
from notepipe.desk.serving import HOST, address, bound
from notepipe.errors import CannotWrite


def test_it_listens_on_this_machine_alone() -> None:
    with bound(None) as listening:
        assert listening.getsockname()[0] == HOST == "127.0.0.1"


def test_a_port_that_is_taken_is_told() -> None:
    with socket.socket() as other:
        other.bind((HOST, 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(CannotWrite, match="is taken"):
            bound(port)


def test_the_address_holds_the_token_and_where_to_go(desk: Desk) -> None:
    way_in = f"http://127.0.0.1:7407/enter?token={desk.token}"
    assert address(desk, "tram-7") == f"{way_in}&to=/job/tram-7/review"
    assert address(desk, None) == way_in


def test_each_run_has_a_token_of_its_own(desk: Desk) -> None:
    other = Desk(desk.shop, desk.ledger, desk.clock)
    assert other.token != desk.token
    assert len(desk.token) >= 40


def test_the_command_serves_until_ctrl_c_and_leaves_cleanly(desk: Desk) -> None:
    code = "from notepipe.cli import main; main(['desk', 'tram-7', '--no-browser', '--as', 'Ada Fenn'])"
    environment = {**os.environ, "NOTEPIPE_SHOP": str(desk.shop.folder)}
    ran = subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.PIPE, text=True, env=environment)
    assert ran.stderr is not None
    guard = threading.Timer(60, ran.kill)
    guard.start()
    try:
        where = re.search(r"http://\S+", ran.stderr.readline())
        assert where is not None
        opened = urllib.request.build_opener(urllib.request.HTTPCookieProcessor()).open(where[0])
        assert "note.txt" in opened.read().decode()
        with pytest.raises(urllib.error.HTTPError, match="401"):
            urllib.request.urlopen(where[0].split("/enter")[0])
        ran.send_signal(signal.SIGINT)
        _, said = ran.communicate()
    finally:
        guard.cancel()
    assert ran.returncode == 0
    assert said.endswith("The desk is closed.\n")
    assert "Traceback" not in said


@pytest.mark.parametrize(
    ("words", "told"),
    [(["desk", "tram-8"], "no such job"), (["desk", "--as", "Mallory"], "may not review")],
)
def test_a_slip_is_told_before_anything_opens(
    desk: Desk, words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main([*words, "--shop", str(desk.shop.folder)])
    assert left.value.code == 1
    assert told in capsys.readouterr().err


def test_who_says_nothing_for_a_while_is_gone() -> None:
    times = iter(f"2026-11-25T10:00:{s:02d}+00:00" for s in (0, 2, 20))
    presence = Presence(lambda: next(times))
    assert presence.here("note", "ada", Seen("Ada Fenn", "p1")) == ()
    assert presence.here("note", "joe", Seen("Joe Marsh", "p2")) == (Seen("Ada Fenn", "p1"),)
    assert presence.here("note", "joe", Seen("Joe Marsh", "p2")) == ()


def test_who_is_on_another_note_is_not_told() -> None:
    presence = Presence(lambda: "2026-11-25T10:00:00+00:00")
    presence.here("one", "ada", Seen("Ada Fenn", "p1"))
    assert presence.here("other", "joe", Seen("Joe Marsh", "p1")) == ()


def test_everything_the_pages_need_is_in_the_package() -> None:
    here = Path(cli.__file__).parent
    told = (here.parent / "pyproject.toml").read_text(encoding="utf-8")
    assert '"notepipe.desk"' in told
    for file in [*(here / "desk/pages").iterdir(), *(here / "desk/assets").iterdir()]:
        assert file.suffix in (".j2", ".css", ".js", ".svg"), file
        outside = re.findall(r"https?://[^\s\"'<>]+", file.read_text("utf-8"))
        assert [place for place in outside if place != "http://www.w3.org/2000/svg"] == []
