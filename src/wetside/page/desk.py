"""What the server holds: the open job, the tabs that look at it, the folder that new jobs go into."""

import asyncio
import contextlib
import re
import secrets
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool

from wetside.basis.errors import JobProblem, Mistake
from wetside.basis.quantity import Kind, System, show
from wetside.basis.rules import Finding
from wetside.jobfile.files import problem
from wetside.jobfile.new import demos, new_job
from wetside.jobfile.save import KEPT, Edit
from wetside.page.doc import Doc, Reading
from wetside.page.recent import recent, remember
from wetside.sheets.said import as_data
from wetside.sheets.screen import Screen, screen
from wetside.study.study import Study

WATCH_S = 0.25
MOST_LIVE = 40
"""Rules that are sent of a change that is only tried."""
FOLDER_NAME = re.compile(r"^[^\W_][\w .,'()-]{0,59}$")
"""A plain name: no path, no dot at its beginning."""

BLANK_US = (
    ("climate", "", "outside", 23), ("climate", "", "mean", 50), ("storey", "Ground", "height", 8),
)  # fmt: skip
"""The bare numbers of a blank job in a US job's units."""

Note = tuple[int, str] | None
"""A revision and the tab that made it; nothing at the end."""


@dataclass(slots=True)
class Desk:
    """The one job that is open in this program, if any."""

    home: Path
    doc: Doc | None = None
    boot: str = field(default_factory=lambda: secrets.token_hex(6))
    tabs: set["asyncio.Queue[Note]"] = field(default_factory=set["asyncio.Queue[Note]"])
    loop: asyncio.AbstractEventLoop | None = None

    def open(self, where: Path) -> Doc:
        """Open a job; it becomes the one that every tab sees.

        :raises JobProblem: there is no such job
        """
        doc = Doc(where)
        doc.on_change = self.tell
        self.doc = doc
        remember(doc.path)
        self.tell(doc.now.rev, "")
        return doc

    def start(self, name: str, like: str, units: str = "metric") -> Doc:
        """A new job in a folder of its own, under the folder that the program was started in.

        :param like: a demo, or empty for a blank job
        :param units: of a blank job: "metric" or "us"
        :raises JobProblem: the name is none, or taken
        """
        if not FOLDER_NAME.match(name) or name.rstrip(". ") != name:
            raise problem(name[:60], "it is no name for a folder", "use letters, digits and spaces")
        folder = self.home / name
        new_job(folder, like or None, blank=not like)
        if not like:
            edit = Edit(folder)
            edit.set("job", "", "name", name)
            if units == System.US.value:
                edit.set("job", "", "units", units)
                for table, entry, field, value in BLANK_US:
                    edit.set(table, entry, field, value)
            edit.save()
            (folder / f"job.toml{KEPT}").unlink(missing_ok=True)
        return self.open(folder)

    def try_out(self, demo: str) -> Doc:
        """A copy of a demo, in a folder of its own.

        :raises JobProblem: there is no such demo
        """
        if demo not in demos():
            raise problem(demo[:60], "there is no such demo", ", ".join(demos()))
        for number in range(1, 100):
            name = demo if number == 1 else f"{demo} {number}"
            if not (self.home / name).exists():
                return self.start(name, demo)
        raise problem(demo, "there are a hundred copies of it", "open one of them")

    def tell(self, rev: int, tab: str) -> None:
        """Let every tab know of a revision. May be called from any thread."""
        if self.loop is None:
            return
        with contextlib.suppress(RuntimeError):
            self.loop.call_soon_threadsafe(self._put, (rev, tab))

    def goodbye(self) -> None:
        """Let every tab know that the program ends."""
        if self.loop is not None:
            self.loop.call_soon_threadsafe(self._put, None)

    def _put(self, note: Note) -> None:
        for tab in list(self.tabs):
            tab.put_nowait(note)

    async def watch(self) -> None:
        """Look for changes that an editor made, for as long as the program runs."""
        while True:
            await asyncio.sleep(WATCH_S)
            if self.doc is not None:
                with contextlib.suppress(OSError, JobProblem):
                    await run_in_threadpool(self.doc.look)


_made: list[tuple[Study, tuple[Finding, ...], System, int | None, Screen]] = []


def screen_of(now: Reading, system: System, most: int | None = None) -> Screen | None:
    """Ledger, rules, storeys and foot strip, made once; nothing while nothing was worked out yet.

    :param most: rules to list; all of them when not said
    """
    if now.shown is None:
        return None
    for study, findings, units, listed, made in _made:
        if study is now.shown and findings is now.findings and units is system and listed == most:
            return made
    made = screen(now.shown, system, now.findings, most)
    _made.append((now.shown, now.findings, system, most, made))
    del _made[:-8]
    return made


def state(desk: Desk, doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """What every place needs to know of the job."""
    undo, redo = doc.steps()
    found = summary(now, system)
    units = {"length": 0.3048 if now.system is System.US else 1.0, "size": 0.0254 if now.system is System.US else 1e-3}
    return {
        "boot": desk.boot,
        "rev": now.rev,
        "sha": now.sha,
        "job": _job_name(now, doc),
        "file": doc.path.name,
        "folder": doc.folder.name,
        "written": now.system.value,
        "shown": system.value,
        "units": units,
        "undo": undo,
        "redo": redo,
        "mistakes": [told(m) for m in now.mistakes[:60]],
        "no_solution": now.no_solution,
        "stale": not now.sound,
        "ms": round(now.seconds * 1000),
        "whole": now.whole,
        **found,
    }


def summary(now: Reading, system: System, most: int | None = None) -> dict[str, Any]:
    """Counts of verdicts, storeys with their worst, and the foot strip; of the last good state while there is none."""
    seen = screen_of(now, system, most)
    if seen is None:
        return {"counts": {}, "foot": None, "storeys": _bare_storeys(now)}
    return {"counts": seen.counts, "foot": as_data(seen.foot), "storeys": as_data(seen.storeys)}


def _bare_storeys(now: Reading) -> list[dict[str, Any]]:
    from wetside.sheets.drawn import drawn

    none = show(0.0, Kind.POWER, now.system)
    return [{"name": s.name, "need": none, "verdicts": []} for s in drawn(now.tables, now.system).storeys]


def _job_name(now: Reading, doc: Doc) -> str:
    job = now.tables.get("job")
    name = job.get("name") if isinstance(job, dict) else None  # pyright: ignore[reportUnknownMemberType,reportUnknownVariableType]
    return name if isinstance(name, str) and name else doc.folder.name


def told(m: Mistake) -> dict[str, Any]:
    """A mistake as the page shows it."""
    return {
        "file": m.file, "line": m.line, "path": m.path, "wrong": m.wrong, "remedy": m.remedy,
        "table": m.place.kind, "name": m.place.name, "field": m.place.field, "index": m.place.index,
    }  # fmt: skip


def jobs(desk: Desk) -> dict[str, Any]:
    """What the start page offers."""
    return {
        "home": str(desk.home),
        "demos": [{"name": d, "title": DEMOS.get(d, d)} for d in demos()],
        "recent": [{"index": i, "name": p.parent.name, "path": str(p)} for i, p in enumerate(recent())],
        "open": desk.doc.folder.name if desk.doc else "",
    }


DEMOS = {
    "net-loft": "Net loft: three storeys on a quay, two circuits on closely spaced tees",
    "net-loft-mended": "Net loft, mended: the same with every rule held",
    "schoolhouse": "Schoolhouse: one storey in feet and inches, old column radiators",
    "schoolhouse-mended": "Schoolhouse, mended: the same with every rule held",
}
