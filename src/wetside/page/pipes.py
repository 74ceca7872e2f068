"""The place that shows the pipework in space and edits its runs, move by move."""

from typing import Any

from wetside.basis.quantity import System
from wetside.page.doc import Doc, Reading
from wetside.page.places import Place
from wetside.sheets.said import as_data
from wetside.sheets.space import space_sheet, symbols


def data(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """The pipework of the study shown, and the runs as they are written, which may be ahead of it."""
    shown = now.shown
    found: dict[str, Any] = {
        "space": None,
        "written": [_row(r) for r in now.tables.get("run", ())],
        "supports": [str(r.get("name", "")) for r in now.tables.get("support", ())],
        "symbols": symbols(),
        "tubes_known": [],
        "items_known": [],
    }
    if shown is None:
        return found
    return found | {
        "space": as_data(space_sheet(shown, system)),
        "whole": now.whole,
        "tubes_known": [t.name for t in shown.design.tubes],
        "items_known": [i.name for i in shown.design.items],
    }


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


PIPES = Place(key="pipes", title="Pipes in 3-D", module="pipes.js", data=data, live=live)
