"""The place for buying and cutting: the cut plan, the list for the counter and its files."""

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from wetside.basis.quantity import System
from wetside.page.doc import Doc, Reading
from wetside.page.places import Place
from wetside.sheets.buy import buy_csv, buy_sheet, buy_xlsx
from wetside.sheets.counter import counter_sheet
from wetside.sheets.said import as_data
from wetside.sheets.takeoff import takeoff_csv, takeoff_sheet
from wetside.study.study import Study

TABLES = ("price", "stock", "buying", "joints", "fitting")
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def data(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """The sheet of the study shown, and the tables that it may be changed by, as they are written."""
    shown = now.shown
    ready = shown is not None and bool(shown.design.runs)
    return {
        "counter": as_data(counter_sheet(shown, system)) if shown is not None and ready else None,
        "tables": {t: now.tables.get(t) for t in TABLES if t in now.tables},
    }


def live(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Nothing is dragged here."""
    return {}


def _file(study: Study, name: str) -> tuple[bytes, str] | None:
    if name == "buy.xlsx":
        return buy_xlsx(buy_sheet(study)), XLSX
    if name == "buy.csv":
        return buy_csv(buy_sheet(study)).encode(), "text/csv; charset=utf-8"
    if name == "takeoff.csv":
        return takeoff_csv(takeoff_sheet(study)).encode(), "text/csv; charset=utf-8"
    return None


async def file(request: Request) -> Response:
    """The list as a workbook or as CSV, to keep."""
    doc: Doc | None = request.app.state.desk.doc
    study = doc.now.shown if doc is not None else None
    name = request.path_params["name"]
    made = None if study is None else await run_in_threadpool(_file, study, name)
    if made is None:
        return JSONResponse({"gone": True}, 404)
    content, kind = made
    headers = {"content-disposition": f'attachment; filename="{name}"', "cache-control": "no-store"}
    return Response(content, media_type=kind, headers=headers)


SHOP = Place(
    key="shop", title="Buy and cut", module="shop.js", data=data, live=live,
    routes=(Route("/api/shop/{name}", file),),
)  # fmt: skip
