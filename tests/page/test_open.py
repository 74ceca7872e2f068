"""`wetside open`: tells its address, ends at once, and takes up again where it was."""

import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from opened import demo, serve, tab, wait_until


def get(address: str) -> str:
    with urllib.request.urlopen(address, timeout=10) as answer:
        return answer.read().decode()


@pytest.mark.parametrize("sign", [signal.SIGTERM, signal.SIGINT])
def test_it_ends_at_once(tmp_path: Path, sign: signal.Signals) -> None:
    served = serve(demo("net-loft", tmp_path), tmp_path)
    assert "Net loft" in get(served.address + "draw")
    began = time.monotonic()
    served.process.send_signal(sign)
    code = served.process.wait(10)
    took = time.monotonic() - began
    served.stop()
    assert code == 0
    assert took < 1.0  # 0.1 to 0.3 s on a machine that does nothing else


def test_it_ends_at_once_with_tabs_open(tmp_path: Path, browser: object) -> None:
    served = serve(demo("net-loft", tmp_path), tmp_path)
    tabs = [tab(browser, served) for _ in range(3)]
    began = time.monotonic()
    assert served.stop() == 0
    assert time.monotonic() - began < 1.0
    tabs[0].wait_for_selector("#foot-link .not-known")
    for t in tabs:
        t.context.close()


def test_it_listens_on_this_machine_only(tmp_path: Path) -> None:
    served = serve(None, tmp_path)
    try:
        port = int(served.address.rstrip("/").rpartition(":")[2])
        own = socket.gethostbyname(socket.gethostname())
        if not own.startswith("127."):
            with socket.socket() as s:
                s.settimeout(2)
                assert s.connect_ex((own, port)) != 0
    finally:
        served.stop()


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        s.listen()
        done = subprocess.run(
            [sys.executable, "-m", "wetside.cli", "open", "--port", str(s.getsockname()[1]), "--no-browser"],
            capture_output=True, text=True, cwd=tmp_path, check=False, timeout=30,
        )  # fmt: skip
    assert done.returncode != 0
    assert "in use" in done.stderr and "Traceback" not in done.stderr


def test_no_such_job(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "wetside.cli", "open", "nowhere", "--no-browser"],
        capture_output=True, text=True, cwd=tmp_path, check=False, timeout=30,
    )  # fmt: skip
    assert "no such file" in done.stderr and "Traceback" not in done.stderr


def test_without_a_job_it_offers_demos_a_new_one_and_recent_ones(tmp_path: Path, browser: object) -> None:
    served = serve(None, tmp_path)
    try:
        page = tab(browser, served, "")
        page.get_by_role("button", name="net-loft Net loft: three storeys").click()
        page.wait_for_selector("html[data-ready]")
        assert (tmp_path / "net-loft" / "job.toml").is_file()
        page.goto(served.address + "start")
        page.get_by_label("Folder").fill("Mill Lane")
        page.get_by_role("button", name="Start drawing").click()
        page.wait_for_selector("html[data-ready]")
        assert page.get_by_text("No room yet").is_visible()
        page.goto(served.address + "start")
        page.get_by_role("button", name="net-loft " + str(tmp_path)).click()
        page.wait_for_selector('[data-id="room:Workshop"]')
        page.goto(served.address + "start")
        page.get_by_label("Folder").fill("Mill Lane")
        page.get_by_role("button", name="Start drawing").click()
        page.wait_for_function("() => document.getElementById('wrong').textContent.includes('not empty')")
        page.context.close()
    finally:
        served.stop()
    assert [p for p in served.problems if "422" not in p] == []


def test_a_restart_in_mid_edit_loses_nothing(tmp_path: Path, browser: object) -> None:
    folder = demo("net-loft", tmp_path)
    served = serve(folder, tmp_path)
    page = tab(browser, served)
    box = page.locator('tr[data-room="Hall"] input')
    box.fill("19")
    box.press("Enter")
    page.wait_for_function("() => document.getElementById('foot-saved').textContent.includes('revision 2')")
    port = int(served.address.rstrip("/").rpartition(":")[2])
    served.stop()
    page.wait_for_selector("#foot-link .not-known")
    again = serve(folder, tmp_path, port)
    try:
        page.wait_for_selector("#foot-link .holds")
        box = page.locator('tr[data-room="Utility"] input')
        box.fill("17")
        box.press("Enter")
        wait_until(lambda: "inside = 17" in again.file.read_text())
        assert "inside = 19" in again.file.read_text()
    finally:
        page.context.close()
        again.stop()
