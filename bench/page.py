"""Measures the page in a real Chromium on the net loft: first paint, and from the pointer to new numbers painted; and
how a plan of 300 rooms follows the wheel.

Usage: python bench/page.py [--json] [--job FOLDER]. Every number that is waited for comes of a full coupled solve.
"""

import argparse
import json
import os
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

from wetside.jobfile.new import new_job

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
MOVES = 80
WATCH = """
window.seen = []
addEventListener('pointermove', e => { window.moved = e.timeStamp }, true)
new MutationObserver(() => {
  const from = window.moved
  requestAnimationFrame(() => {
    const c = new MessageChannel()
    c.port1.onmessage = () => window.seen.push(performance.now() - from)
    c.port2.postMessage(0)
  })
}).observe(document, {subtree: true, attributes: true, attributeFilter: ['data-answered']})
"""


@contextmanager
def at_work(job: Path) -> Iterator[tuple[str, Any]]:
    """The page's address and a tab of a browser; both end with the context."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as home:
        env = dict(os.environ, XDG_STATE_HOME=home)
        command = [sys.executable, "-m", "wetside.cli", "open", str(job), "--port", "0", "--no-browser"]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=env)
        try:
            assert server.stdout is not None
            address = server.stdout.readline().strip()
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
                page = browser.new_page(viewport={"width": 1440, "height": 900})
                page.add_init_script(WATCH)
                yield address, page
                browser.close()
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(10)


def measure(job: Path) -> dict[str, float]:
    """First paint and drag times in milliseconds."""
    with at_work(job) as (address, page):
        paints: list[float] = []
        for _ in range(5):
            page.goto(address + "draw")
            page.wait_for_selector("html[data-ready]")
            page.wait_for_function(
                "() => performance.getEntriesByName('first-contentful-paint').length > 0", timeout=5000
            )
            paints.append(page.evaluate("() => performance.getEntriesByName('first-contentful-paint')[0].startTime"))
        times = sorted(drag(page))
    return {
        "first_paint_ms": round(statistics.median(paints), 1),
        "drag_p50_ms": round(times[len(times) // 2], 1),
        "drag_p95_ms": round(times[int(len(times) * 0.95)], 1),
    }


def zoomed(folder: Path) -> dict[str, float]:
    """From frame to frame while a plan of 300 rooms is zoomed, milliseconds."""
    new_job(folder, blank=True)
    with (folder / "job.toml").open("a") as file:
        for i in range(300):
            x, y = (i % 20) * 3, (i // 20) * 4
            file.write(f'\n[[room]]\nname = "Room {i}"\nstorey = "Ground"\nrectangle = [{x}, {y}, {x + 3}, {y + 4}]\n')
    with at_work(folder) as (address, page):
        page.goto(address + "draw")
        page.wait_for_selector('[data-id="room:Room 299"]')
        frames = page.evaluate(
            """async () => {
              const sheet = document.querySelector('svg.sheet'), times = []
              let last = performance.now()
              for (let i = 0; i < 80; i++) {
                const turned = {deltaY: i % 40 < 20 ? -40 : 40, clientX: 500, clientY: 400, cancelable: true}
                sheet.dispatchEvent(new WheelEvent('wheel', turned))
                await new Promise(requestAnimationFrame)
                const now = performance.now(); times.push(now - last); last = now
              }
              return times.sort((a, b) => a - b)
            }"""
        )
    return {"zoom_300_rooms_p50_ms": round(frames[40], 1), "zoom_300_rooms_p95_ms": round(frames[76], 1)}


def drag(page: Any) -> list[float]:
    """Drag the wall between two rooms to and fro, waiting for each answer."""
    page.wait_for_selector("#foot-link .holds")
    at = page.evaluate(
        """() => {
          const b = document.querySelector('.wall-in')
          const d = b.getAttribute('d').match(/M(-?[\\d.]+) (-?[\\d.]+)L(-?[\\d.]+) (-?[\\d.]+)/).slice(1).map(Number)
          const m = b.getScreenCTM()
          const p = new DOMPoint((d[0] + d[2]) / 2, d[1] + (d[3] - d[1]) * .3).matrixTransform(m)
          return [p.x, p.y]
        }"""
    )
    page.mouse.move(*at)
    page.keyboard.down("Alt")  # no snapping: every move is a new state
    page.mouse.down()
    page.mouse.move(at[0] - 6, at[1])
    page.wait_for_timeout(400)
    page.evaluate("() => { window.seen.length = 0 }")
    for i in range(MOVES):
        way = i % 20 if (i // 20) % 2 == 0 else 20 - i % 20
        seen = page.evaluate("() => window.seen.length")
        page.mouse.move(at[0] - 14 + way * 0.6, at[1])
        page.wait_for_function(f"() => window.seen.length > {seen}", timeout=5000)
        if page.evaluate("() => document.documentElement.dataset.stale") != "no":
            raise SystemExit("a dragged state was not solved: the times would mean nothing")
    times: list[float] = page.evaluate("() => window.seen")
    page.keyboard.press("Escape")
    page.mouse.up()
    return times


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--job", type=Path, help="another job's folder; it is copied first")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        source = options.job or Path(str(files("wetside.jobfile") / "demos" / "net-loft"))
        job = Path(folder) / "job"
        shutil.copytree(source, job)
        found = measure(job) | zoomed(Path(folder) / "many")
    if options.json:
        print(json.dumps(found))
    else:
        for key, value in found.items():
            print(f"{key:22} {value:8.1f}")


if __name__ == "__main__":
    main()
