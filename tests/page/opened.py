"""Starting the page and a tab of a real browser, for the tests beside it."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


def demo(name: str, into: Path) -> Path:
    """A copy of a demo, to be changed."""
    target = into / name
    shutil.copytree(Path(str(files("wetside.jobfile") / "demos" / name)), target)
    return target


@dataclass
class Served:
    """A running page. `problems` collects what a browser complains of."""

    process: "subprocess.Popen[str]"
    address: str
    folder: Path
    problems: list[str] = field(default_factory=list)

    @property
    def file(self) -> Path:
        return self.folder / "job.toml"

    def stop(self) -> int:
        self.process.send_signal(signal.SIGTERM)
        code = self.process.wait(10)
        assert self.process.stdout is not None
        self.process.stdout.close()
        return code


def serve(folder: Path | None, home: Path, port: int = 0) -> Served:
    """Start the page for a job and wait until it tells its address."""
    command = [sys.executable, "-m", "wetside.cli", "open", *([str(folder)] if folder else [])]
    env = dict(os.environ, XDG_STATE_HOME=str(home / "state"))
    process = subprocess.Popen(
        [*command, "--port", str(port), "--no-browser"], stdout=subprocess.PIPE, text=True, env=env, cwd=home
    )
    assert process.stdout is not None
    address = process.stdout.readline().strip()
    assert address.startswith("http://127.0.0.1:"), process.poll()
    return Served(process, address, folder or home)


def tab(browser: Any, served: Served, path: str = "draw", **context: Any) -> Any:
    """A fresh tab that is ready to be drawn in. What it complains of goes to `served.problems`."""
    made = browser.new_context(**{"viewport": {"width": 1440, "height": 900}, **context})
    made.set_default_timeout(25000)
    page = made.new_page()
    page.on("console", lambda m: served.problems.append(f"{m.type}: {m.text}") if m.type != "info" else None)
    page.on("pageerror", lambda e: served.problems.append(f"error: {e}"))
    page.goto(served.address + path)
    if path.startswith("draw"):
        page.wait_for_selector("html[data-ready]")
        page.wait_for_selector("#foot-link .holds")
        page.evaluate("async () => { await document.fonts.ready }")
    return page


def wait_until(true: Callable[[], bool], seconds: float = 25) -> None:
    """Wait for something that happens outside the browser."""
    deadline = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.02)


def seen(served: Served) -> str:
    """Hash of the text that the server has."""
    with urllib.request.urlopen(served.address + "api/now/draw", timeout=10) as answer:
        return json.load(answer)["state"]["sha"]
