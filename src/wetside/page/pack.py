"""The place that shows the job pack page by page, and gives it as PDF."""

import re
import threading
from functools import lru_cache
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from wetside.basis.errors import WetsideError
from wetside.basis.quantity import System
from wetside.page.doc import Doc, Reading
from wetside.page.places import Place
from wetside.sheets.pack import make_pack
from wetside.sheets.preview import Preview, preview
from wetside.sheets.said import as_data
from wetside.study.study import Study

_ONE = threading.Lock()
"""Two pages asked for at once wait for one pack."""


@lru_cache(maxsize=2)
def _kept(study: Study) -> Preview:
    return preview(study)


def _preview(study: Study) -> Preview:
    with _ONE:
        return _kept(study)


@lru_cache(maxsize=1)
def _pdf(study: Study) -> bytes:
    return make_pack(study).pdf


def _study(request: Request) -> Study | None:
    doc: Doc | None = request.app.state.desk.doc
    return None if doc is None else doc.now.shown


def data(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Only whether there is a pack: its pages are made when they are asked for."""
    shown = now.shown
    paper = "" if shown is None else shown.design.paper
    return {"ready": shown is not None, "paper": paper, "written": now.system.value}


def live(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Nothing is dragged here."""
    return {}


async def contents(request: Request) -> Response:
    """How many pages there are, and where each sheet begins."""
    study = _study(request)
    if study is None:
        return JSONResponse({"gone": True}, 404)
    try:
        made = await run_in_threadpool(_preview, study)
    except WetsideError as bad:
        return JSONResponse({"wrong": str(bad)}, 422)
    return JSONResponse({"pages": len(made.pages), "sheets": as_data(made.sheets)})


async def page(request: Request) -> Response:
    """One page as a picture."""
    study, number = _study(request), request.path_params["number"]
    if study is None:
        return JSONResponse({"gone": True}, 404)
    made = await run_in_threadpool(_preview, study)
    if not 1 <= number <= len(made.pages):
        return JSONResponse({"gone": True}, 404)
    return Response(made.pages[number - 1], media_type="image/svg+xml", headers={"cache-control": "no-store"})


async def pdf(request: Request) -> Response:
    """The whole pack, to keep."""
    study = _study(request)
    if study is None:
        return JSONResponse({"gone": True}, 404)
    made = await run_in_threadpool(_pdf, study)
    name = re.sub(r"[^\w .,()-]+", " ", study.design.name).strip() or "job"
    plain = name.encode("ascii", "replace").decode().replace("?", "-")
    kept = f"attachment; filename=\"{plain} pack.pdf\"; filename*=UTF-8''{quote(name)}%20pack.pdf"
    return Response(made, media_type="application/pdf", headers={"content-disposition": kept})


PACK = Place(
    key="pack", title="Job pack", module="pack.js", data=data, live=live,
    routes=(
        Route("/api/pack/contents", contents),
        Route("/api/pack/page/{number:int}", page),
        Route("/api/pack/pdf", pdf),
    ),
)  # fmt: skip
