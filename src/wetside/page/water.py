"""The place that shows the water at work, and tries weather and settings while they are dragged."""

import json
from functools import lru_cache
from typing import Any, cast

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from wetside.basis.errors import JobProblem, NoSolution
from wetside.basis.quantity import System
from wetside.page.doc import Doc, Reading
from wetside.page.places import Place
from wetside.sheets.said import as_data
from wetside.sheets.space import space_sheet, symbols
from wetside.sheets.water import knobs, trial_of, water_sheet
from wetside.sheets.water_why import explain_water
from wetside.study.study import Study

MOST_SETTINGS = 500


@lru_cache(maxsize=4)
def _space(study: Study, system: System) -> dict[str, Any]:
    return as_data(space_sheet(study, system, fitted=False))


def data(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """The design as it settles, and what can be tried."""
    shown = now.shown
    found: dict[str, Any] = {"space": None, "water": None, "knobs": [], "symbols": symbols(), "boilers": {}}
    if shown is None or not shown.design.runs:
        return found
    return found | {
        "space": _space(shown, system),
        "knobs": as_data(knobs(shown, system)),
        "boilers": {str(b.get("name")): b.get("circulator") for b in now.tables.get("boiler", ())},
        **_worked(shown, {}, system),
    }


def live(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Settings are tried by an address of their own: weather is nothing that the job holds."""
    return {}


def _worked(study: Study, settings: dict[str, float], system: System, *, charts: bool = True) -> dict[str, Any]:
    try:
        found = water_sheet(study, trial_of(settings, study, system), system, charts=charts)
        return {"water": as_data(found), "wrong": ""}
    except JobProblem as bad:
        return {"water": None, "wrong": " ".join(f"{m.wrong}; {m.remedy}." for m in bad.mistakes[:3])}
    except NoSolution as stuck:
        return {"water": None, "wrong": f"The water does not settle: {stuck.cause or stuck}"}


async def _asked(request: Request) -> tuple[Doc | None, dict[str, Any] | None, dict[str, float]]:
    """The document, what was sent, and the settings in it, in the units shown."""
    doc: Doc | None = request.app.state.desk.doc
    try:
        sent: Any = json.loads(await request.body())
    except (ValueError, RecursionError):
        sent = None
    whole = cast("dict[str, Any]", sent) if isinstance(sent, dict) else None
    given: Any = whole.get("settings") if whole is not None else None
    if not isinstance(given, dict) or len(cast("dict[str, Any]", given)) > MOST_SETTINGS:
        return doc, None, {}
    settings = {
        k: float(v)
        for k, v in cast("dict[str, object]", given).items()
        if isinstance(v, int | float) and not isinstance(v, bool) and -1e6 < v < 1e6
    }
    return doc, whole, settings


async def trial(request: Request) -> Response:
    """What would follow of settings: ``{"settings": {KEY: number}, "charts": false}``; numbers alone are sooner."""
    from wetside.page.app import shown as units

    doc, sent, settings = await _asked(request)
    if doc is None:
        return JSONResponse({"gone": True}, 404)
    if sent is None:
        return JSONResponse({"wrong": "settings are numbers by their keys"}, 400)
    study = doc.now.shown
    if study is None:
        return JSONResponse({"water": None, "wrong": "nothing can be worked out until the mistakes are mended"})
    charts, system = sent.get("charts") is not False, units(request, doc)
    return JSONResponse(await run_in_threadpool(_worked, study, settings, system, charts=charts))


def _why(study: Study, settings: dict[str, float], of: str, system: System) -> dict[str, Any]:
    try:
        return as_data(explain_water(study, trial_of(settings, study, system), of, system))
    except (JobProblem, NoSolution):
        return {"title": "", "steps": []}


async def why(request: Request) -> Response:
    """How a number came about in the state that is tried: ``{"settings": …, "of": "room:Hall"}``."""
    from wetside.page.app import shown as units

    doc, sent, settings = await _asked(request)
    study = None if doc is None else doc.now.shown
    if doc is None or study is None:
        return JSONResponse({"gone": True}, 404)
    of = None if sent is None else sent.get("of")
    if not isinstance(of, str) or len(of) > 300:
        return JSONResponse({"wrong": "of says what"}, 400)
    return JSONResponse(await run_in_threadpool(_why, study, settings, of, units(request, doc)))


WATER = Place(
    key="water", title="Water", module="water.js", data=data, live=live,
    routes=(
        Route("/api/water/try", trial, methods=["POST"]),
        Route("/api/water/why", why, methods=["POST"]),
    ),
)  # fmt: skip
