"""The Draw place: the plan of each storey, the rooms ledger and the rules."""

from typing import Any

from wetside.basis.quantity import System
from wetside.jobfile.schema import TABLES
from wetside.page.desk import MOST_LIVE, screen_of
from wetside.page.doc import Doc, Reading
from wetside.page.places import Place
from wetside.sheets.drawn import drawn, drawn_ports, drawn_runs, drawn_supports, drawn_tubes
from wetside.sheets.said import as_data


def data(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """What is written, so that it can be drawn and changed, and what follows from it."""
    return {
        "drawn": as_data(drawn(now.tables, now.system)),
        "tables": _plain({t: now.tables.get(t) for t in TABLES if t in now.tables}),
        "ports": as_data(drawn_ports(now.study)) if now.study is not None else [],
        "runs": as_data(drawn_runs(now.study)) if now.study is not None else [],
        "supports": as_data(drawn_supports(now.study, found=now.whole and now.sound)) if now.study is not None else [],
        "tubes_known": [t.name for t in now.study.design.tubes] if now.study is not None else [],
        "items_known": [i.name for i in now.study.design.items] if now.study is not None else [],
        "rooms": as_data(seen.rooms) if (seen := screen_of(now, system)) is not None else [],
        "rules": as_data(seen.rules) if seen is not None else [],
        "tubes": as_data(drawn_tubes(now.shown)) if now.shown is not None else [],
    }


def live(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Only what follows; no tubes where they lie as they did."""
    shown, seen = now.shown, screen_of(now, system, MOST_LIVE)
    if shown is None or seen is None:
        return {"rooms": [], "tubes": []}
    was = doc.now.shown
    still = was is not None and was is not shown and shown.pipework is was.pipework
    return {"rooms": as_data(seen.rooms), "tubes": None if still else as_data(drawn_tubes(shown))}


def _plain(value: Any) -> Any:
    """Dates as text, all else as it is."""
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}  # pyright: ignore[reportUnknownVariableType,reportUnknownArgumentType]
    if isinstance(value, list):
        return [_plain(v) for v in value]  # pyright: ignore[reportUnknownVariableType]
    return value if value is None or isinstance(value, str | int | float | bool) else str(value)


DRAW = Place(key="draw", title="Draw", module="draw.js", data=data, live=live)
