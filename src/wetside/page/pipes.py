"""The place that shows the pipework in space and edits its runs, move by move."""

from functools import lru_cache
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from wetside.basis.errors import JobProblem, WetsideError
from wetside.basis.quantity import System
from wetside.page.assembly import answer, offered
from wetside.page.doc import Doc, Reading
from wetside.page.places import Place
from wetside.sheets.bench import bench_sheet
from wetside.sheets.draw.screen import SCREEN
from wetside.sheets.drawings import bench_pictures
from wetside.sheets.said import as_data
from wetside.sheets.space import space_sheet, symbols
from wetside.study.study import Study


def data(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """The pipework as far as it can be laid, and the runs as they are written, which may be ahead of it."""
    shown = now.study if _laid(now.study) else now.shown
    found: dict[str, Any] = {
        "space": None,
        "written": [_row(r) for r in now.tables.get("run", ())],
        "supports": [str(r.get("name", "")) for r in now.tables.get("support", ())],
        "symbols": symbols(),
        "tubes_known": [],
        "items_known": [],
        "assembly": None,
    }
    if shown is None:
        return found
    return found | {
        "space": as_data(space_sheet(shown, system)),
        "whole": now.whole,
        "assembly": offered(shown),
        "tubes_known": [t.name for t in shown.design.tubes],
        "items_known": [i.name for i in shown.design.items],
    }


def _laid(study: Study | None) -> bool:
    """Whether its runs can be laid, even if something is not joined yet: that is when branches are drawn."""
    if study is None:
        return False
    try:
        _ = study.rooms, study.pipework
    except JobProblem:
        return False
    return True


def _row(run: dict[str, Any]) -> dict[str, Any]:
    """A run as it is written: only what the place edits."""
    moves = run.get("moves")
    return {
        "name": str(run.get("name", "")),
        "start": str(run.get("start", "")),
        "end": str(run.get("end", "")),
        "tube": str(run.get("tube", "")),
        "moves": [str(m) for m in moves] if isinstance(moves, list) else [],  # pyright: ignore[reportUnknownVariableType,reportUnknownArgumentType]
    }


def live(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Nothing is dragged here."""
    return {}


@lru_cache(maxsize=2)
def _benches(study: Study) -> list[dict[str, Any]]:
    drawn = {p.file: p for p in bench_pictures(study, SCREEN)}
    found: list[dict[str, Any]] = []
    for assembly, picture in zip(bench_sheet(study).assemblies, drawn.values(), strict=True):
        found.append({"title": picture.title, "svg": picture.svg, **as_data(assembly)})
    return found


async def bench(request: Request) -> Response:
    """The bench sheet of every assembly, with its drawing."""
    doc: Doc | None = request.app.state.desk.doc
    study = None if doc is None else doc.now.shown
    if study is None:
        return JSONResponse({"gone": True}, 404)
    try:
        return JSONResponse({"assemblies": await run_in_threadpool(_benches, study)})
    except WetsideError as bad:
        return JSONResponse({"wrong": str(bad)}, 422)


PIPES = Place(
    key="pipes", title="Pipes in 3-D", module="pipes.js", data=data, live=live,
    routes=(
        Route("/api/pipes/bench", bench),
        Route("/api/pipes/assembly", answer, methods=["POST"]),
    ),
)  # fmt: skip
