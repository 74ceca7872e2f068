"""Starts and stops the page: bound to this machine alone, ended at once when it is told to."""

import asyncio
import contextlib
import gc
import signal
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path
from types import FrameType

import uvicorn

from wetside.page.app import make_app
from wetside.page.desk import Desk

USUAL_PORT = 8742
LOOPBACK = "127.0.0.1"


class Server(uvicorn.Server):
    """Tells every tab before it goes, so that nothing waits for an open socket."""

    def __init__(self, config: uvicorn.Config, desk: Desk, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self.desk, self.ready = desk, ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets=sockets)
        if self.started:
            self.ready()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        self.desk.goodbye()
        super().handle_exit(sig, frame)


def bind(port: int | None) -> socket.socket:
    """A socket of this machine alone.

    :param port: the port asked for; the usual one, or any free one, when none is
    :raises OSError: the port asked for is taken
    """
    for wanted in (port,) if port is not None else (USUAL_PORT, 0):
        bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            bound.bind((LOOPBACK, wanted))
        except OSError:
            bound.close()
            if wanted == 0 or port is not None:
                raise
            continue
        return bound
    raise AssertionError("a free port is always found")


def _heard(_signal: int, _frame: object) -> None:
    """A signal that needs no answer."""


def serve(job: Path | None, port: int | None, *, browser: bool, say: Callable[[str], None]) -> None:
    """Show a job until the program is told to end.

    :param job: folder or file; the page offers demos, new and recent jobs without one
    :raises JobProblem: there is no such job
    :raises OSError: the port is taken
    """
    desk = Desk(home=Path.cwd())
    if job is not None:
        desk.open(job)
    bound = bind(port)
    number = bound.getsockname()[1]
    address = f"http://{LOOPBACK}:{number}/"
    hosts = frozenset({f"{LOOPBACK}:{number}", f"localhost:{number}"})
    config = uvicorn.Config(
        make_app(desk, hosts), log_level="warning", access_log=False, server_header=False, ws="websockets-sansio",
        ws_per_message_deflate=False, ws_max_size=1_000_000, timeout_graceful_shutdown=1, lifespan="on",
        limit_concurrency=100,
    )  # fmt: skip

    def ready() -> None:
        say(address)
        if browser:
            asyncio.get_running_loop().run_in_executor(None, webbrowser.open, address)

    # what was loaded stays: looking through it for garbage again and again would only make drags stutter
    gc.enable()
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 50, 100)
    # the server ends by itself and then raises what ended it again: that is no failure
    signal.signal(signal.SIGTERM, _heard)
    with bound, contextlib.suppress(KeyboardInterrupt):
        asyncio.run(Server(config, desk, ready).serve(sockets=[bound]))
