"""The server: bound to this machine alone, on the usual port where that is free, ended by Ctrl-C."""

from __future__ import annotations

import socket
from collections.abc import Callable
from contextlib import suppress
from typing import Final

import uvicorn

from notepipe.desk.app import application
from notepipe.desk.desk import Desk
from notepipe.errors import CannotWrite

HOST: Final = "127.0.0.1"
USUAL: Final = 7407
"""The same each time, so that a page left open finds the desk again when it is started anew."""


def bound(port: int | None) -> socket.socket:
    """A socket on *port*; None: on the usual one, or any where that is taken. Raises CannotWrite."""
    for wanted in (USUAL, 0) if port is None else (port,):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        # A port just left by another run would be refused for a minute without this.
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((HOST, wanted))
        except (OSError, OverflowError):
            listening.close()
            continue
        return listening
    raise CannotWrite(f"port {port}", "is taken on this machine", "Give another with --port, or none.")


def address(desk: Desk, job: str | None) -> str:
    """What to open in a browser: the token is in it, keep it to yourself."""
    to = f"&to=/job/{job}/review" if job else ""
    return f"http://{HOST}:{desk.port}/enter?token={desk.token}{to}"


def serve(desk: Desk, listening: socket.socket, ready: Callable[[], None]) -> None:
    """Serve until Ctrl-C; *ready* is called once when the desk answers."""
    config = uvicorn.Config(
        application(desk),
        log_level="error",
        access_log=False,
        server_header=False,
        date_header=False,
        lifespan="off",
        timeout_graceful_shutdown=1,
    )
    with suppress(KeyboardInterrupt):  # Raised once more when all requests are answered.
        _Server(config, ready).run(sockets=[listening])


class _Server(uvicorn.Server):
    """Says when it is ready."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to answer, then say so."""
        await super().startup(sockets)
        if self.started:
            self._ready()
