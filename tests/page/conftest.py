"""One server and one browser for a whole file of tests; every test gets a fresh tab."""

import hashlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from opened import CHROMIUM, FLAGS, Served, demo, seen, serve, tab, wait_until


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The net loft, open."""
    home = tmp_path_factory.mktemp("page")
    running = serve(demo("net-loft", home), home)
    yield running
    if running.process.poll() is None:
        running.stop()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api")
    if not Path(CHROMIUM).exists():
        pytest.fail("Chromium is missing. Remedy: sudo apt install chromium")
    with sync_api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield started
        started.close()


@pytest.fixture
def fresh(served: Served) -> Iterator[None]:
    """The job as it was before each test, and known to the server as that: what comes late disturbs the next one."""
    text = served.file.read_text()
    yield
    if served.file.read_text() != text:
        served.file.write_text(text)
    wait_until(lambda: seen(served) == hashlib.sha256(text.encode()).hexdigest())


@pytest.fixture
def page(browser: Any, served: Served) -> Iterator[Any]:
    """The Draw place in a tab of its own; the console must stay clean."""
    served.problems.clear()
    made = tab(browser, served)
    yield made
    made.context.close()
    assert served.problems == []
