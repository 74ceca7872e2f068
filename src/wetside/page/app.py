"""The page's addresses. Each answers by asking the document in a worker thread."""

import contextlib
import json
import mimetypes
from collections.abc import AsyncGenerator, Awaitable, Callable
from pathlib import Path
from typing import Any

import fontpkg_barlow
import fontpkg_barlow_condensed
from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles

from wetside.basis.errors import JobProblem, NoSolution
from wetside.basis.quantity import System
from wetside.page import picture
from wetside.page.commands import BadCommand, parse
from wetside.page.desk import Desk, jobs, state, told
from wetside.page.doc import Conflict, Doc
from wetside.page.fields import fields
from wetside.page.guard import Guard
from wetside.page.live import live
from wetside.page.places import Place, places
from wetside.page.recent import recent

HERE = Path(__file__).parent
FONTS = {
    **{f"Barlow-{w}.ttf": fontpkg_barlow.ROOT / "files" for w in ("Regular", "Medium", "SemiBold")},
    **{f"BarlowCondensed-{w}.ttf": fontpkg_barlow_condensed.ROOT / "files" for w in ("Medium", "SemiBold")},
}
DAY = "max-age=86400"
mimetypes.add_type("text/javascript", ".js")

_TEMPLATES = Environment(
    loader=FileSystemLoader(HERE / "templates"), autoescape=select_autoescape(["html"]), undefined=StrictUndefined
)  # fmt: skip


def shown(request: Request, doc: Doc) -> System:
    """The units that a tab asks for; the job's own when it doesn't."""
    units = request.query_params.get("units") or request.cookies.get("wetside-units", "")
    return {"us": System.US, "metric": System.METRIC}.get(units, doc.now.system)


def desk_of(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


def whole(desk: Desk, doc: Doc, place: Place, system: System) -> dict[str, Any]:
    """State and place together, of one revision."""
    now = doc.now
    return {"state": state(desk, doc, now, system), "place": place.data(doc, now, system)}


def _page(name: str, **values: object) -> HTMLResponse:
    return HTMLResponse(_TEMPLATES.get_template(name).render(**values), headers={"cache-control": "no-store"})


async def start(request: Request) -> Response:
    """Demos, a new job, recent jobs."""
    return _page("start.html", jobs=await run_in_threadpool(jobs, desk_of(request)))


async def home(request: Request) -> Response:
    return RedirectResponse("/draw" if desk_of(request).doc is not None else "/start", 307)


def page_of(place: Place) -> Callable[[Request], Awaitable[Response]]:
    """The address of a place: its template with the data of the moment inside."""

    async def answer(request: Request) -> Response:
        desk = desk_of(request)
        if desk.doc is None:
            return RedirectResponse("/start", 307)
        system = shown(request, desk.doc)
        boot = await run_in_threadpool(whole, desk, desk.doc, place, system)
        return _page(f"{place.key}.html", place=place, places=places(), boot=boot, job=boot["state"]["job"])

    return answer


async def now(request: Request) -> Response:
    """State and place, for a tab that heard of a new revision."""
    desk, place = desk_of(request), _place(request)
    if desk.doc is None or place is None:
        return JSONResponse({"gone": True}, 404)
    return JSONResponse(await run_in_threadpool(whole, desk, desk.doc, place, shown(request, desk.doc)))


def _place(request: Request) -> Place | None:
    key = request.path_params.get("place", "")
    return next((p for p in places() if p.key == key), None)


async def _body(request: Request) -> dict[str, Any]:
    try:
        sent = json.loads(await request.body())
    except (ValueError, RecursionError):
        raise BadCommand("it is no JSON") from None
    if not isinstance(sent, dict):
        raise BadCommand("it is no object")
    return sent  # pyright: ignore[reportUnknownVariableType]


def _word(sent: dict[str, Any], key: str, most: int = 100) -> str:
    value = sent.get(key, "")
    if not isinstance(value, str) or len(value) > most:
        raise BadCommand(f"{key} is a short text")
    return value


async def change(request: Request) -> Response:
    """Make a change, undo or redo: ``{"do": "commit" | "undo" | "redo", "cmd": …, "saw": sha, "tab": …}``."""
    desk, place = desk_of(request), _place(request)
    doc = desk.doc
    if doc is None or place is None:
        return JSONResponse({"gone": True}, 404)
    try:
        sent = await _body(request)
        tab, do = _word(sent, "tab"), _word(sent, "do")
        said = ""
        if do == "commit":
            made, force = parse(sent.get("cmd")), sent.get("force") is True
            saw = _word(sent, "saw")
            said = made.said
            even_wrong = sent.get("even_wrong") is True
            await run_in_threadpool(doc.commit, made, saw=saw, tab=tab, force=force, even_wrong=even_wrong)
        elif do == "undo":
            said = await run_in_threadpool(doc.undo, tab)
        elif do == "redo":
            said = await run_in_threadpool(doc.redo, tab)
        else:
            raise BadCommand("do is commit, undo or redo")
    except BadCommand as bad:
        return JSONResponse({"mistakes": [{"wrong": str(bad), "remedy": ""}]}, 400)
    except Conflict as conflict:
        rows = [
            {"table": c.table, "name": c.name, "field": c.field, "saw": c.saw, "mine": c.mine, "theirs": c.theirs}
            for c in conflict.clashes
        ]
        return JSONResponse({"clashes": json.loads(json.dumps(rows, default=str)), "sha": doc.now.sha}, 409)
    except JobProblem as bad:
        return JSONResponse({"mistakes": [told(m) for m in bad.mistakes[:60]]}, 422)
    answer = await run_in_threadpool(whole, desk, doc, place, shown(request, doc))
    return JSONResponse({**answer, "said": said})


async def lines(request: Request) -> Response:
    """The file's text, for mistakes with their lines."""
    doc = desk_of(request).doc
    if doc is None:
        return JSONResponse({"gone": True}, 404)
    return JSONResponse({"lines": doc.lines()})


async def fields_(request: Request) -> Response:
    """Every table's fields."""
    return JSONResponse(await run_in_threadpool(fields), headers={"cache-control": "no-cache"})


async def why(request: Request) -> Response:
    """How a number came about."""
    from wetside.sheets.why import explain

    doc = desk_of(request).doc
    if doc is None:
        return JSONResponse({"gone": True}, 404)
    study = doc.now.shown
    of = request.query_params.get("of", "")
    if study is None:
        return JSONResponse({"title": "", "steps": []})
    from wetside.sheets.said import as_data

    return JSONResponse(as_data(await run_in_threadpool(explain, study, of, shown(request, doc))))


async def open_(request: Request) -> Response:
    """Open a demo, a recent job or a new one; the answer says where to go."""
    desk = desk_of(request)
    try:
        sent = await _body(request)
        what = _word(sent, "what")
        if what == "demo":
            await run_in_threadpool(desk.try_out, _word(sent, "name"))
        elif what == "new":
            await run_in_threadpool(desk.start, _word(sent, "name").strip(), _word(sent, "like"), _word(sent, "units"))
        elif what == "recent":
            known, index = await run_in_threadpool(recent), sent.get("index")
            if not isinstance(index, int) or not 0 <= index < len(known):
                raise BadCommand("there is no such job")
            await run_in_threadpool(desk.open, known[index])
        else:
            raise BadCommand("what is demo, new or recent")
    except BadCommand as bad:
        return JSONResponse({"mistakes": [{"wrong": str(bad), "remedy": ""}]}, 400)
    except JobProblem as bad:
        return JSONResponse({"mistakes": [told(m) for m in bad.mistakes]}, 422)
    return JSONResponse({"go": "/draw"})


async def font(request: Request) -> Response:
    name = request.path_params["name"]
    if name not in FONTS:
        return PlainTextResponse("no such font", 404)
    return FileResponse(FONTS[name] / name, media_type="font/ttf", headers={"cache-control": DAY})


class Revalidated(StaticFiles):
    """Static files that the browser asks after each time, so that a newer wetside is never mixed with an older one."""

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        answer = super().file_response(*args, **kwargs)
        answer.headers["cache-control"] = "no-cache"
        return answer


def make_app(desk: Desk, hosts: frozenset[str]) -> Guard:
    """The whole page behind its guard."""

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncGenerator[None]:
        import asyncio

        desk.loop = asyncio.get_running_loop()
        watcher = asyncio.create_task(desk.watch())
        yield
        watcher.cancel()
        desk.loop = None

    routes: list[BaseRoute] = [
        Route("/", home),
        Route("/start", start),
        Route("/api/open", open_, methods=["POST"]),
        Route("/api/now/{place}", now),
        Route("/api/change/{place}", change, methods=["POST"]),
        Route("/api/lines", lines),
        Route("/api/why", why),
        Route("/api/fields", fields_),
        Route("/api/picture", picture.put, methods=["POST"]),
        Route("/picture/{name:path}", picture.get),
        Route("/font/{name}", font),
        WebSocketRoute("/live", live),
        Mount("/static", Revalidated(directory=HERE / "static")),
    ]
    for place in places():
        routes.append(Route(f"/{place.key}", page_of(place)))
        routes.extend(place.routes)
    app = Starlette(routes=routes, lifespan=lifespan, exception_handlers={NoSolution: _stuck})
    app.state.desk = desk
    return Guard(app, hosts)


async def _stuck(request: Request, error: Exception) -> Response:
    return JSONResponse({"mistakes": [{"wrong": str(error), "remedy": ""}]}, 422)
