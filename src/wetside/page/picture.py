"""Pictures to draw over: kept in the job's folder, and nothing outside it is ever read or written."""

import base64
import binascii
import json
import re
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response

from wetside.page.desk import Desk

KINDS = {"image/png": ".png", "image/jpeg": ".jpg", "image/webp": ".webp"}
FOLDER = "pictures"
MOST_PICTURES = 40


def kind_of(content: bytes) -> str | None:
    """What a file is by its first bytes, whatever it is called."""
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    return None


def inside(folder: Path, name: str) -> Path | None:
    """The picture of that name in the job's folder; nothing when the name leads out of it, also by a link."""
    if not name or "\0" in name or "\\" in name or len(name) > 200:
        return None
    try:
        path = (folder / name).resolve()
        return path if path.is_relative_to(folder.resolve()) and path.is_file() else None
    except (OSError, ValueError):
        return None


async def get(request: Request) -> Response:
    """A picture of the open job."""
    desk: Desk = request.app.state.desk
    path = inside(desk.doc.folder, request.path_params["name"]) if desk.doc is not None else None
    if path is None:
        return PlainTextResponse("no such picture", 404)
    content = await run_in_threadpool(path.read_bytes)
    kind = kind_of(content)
    if kind is None:
        return PlainTextResponse("no picture", 404)
    return Response(content, media_type=kind, headers={"cache-control": "no-cache"})


async def put(request: Request) -> Response:
    """Store a picture: ``{"name": …, "base64": …}``; answers its name in the job's folder."""
    desk: Desk = request.app.state.desk
    if desk.doc is None:
        return JSONResponse({"gone": True}, 404)
    try:
        sent = json.loads(await request.body())
        name, content = str(sent["name"]), base64.b64decode(sent["base64"], validate=True)
    except (ValueError, KeyError, TypeError, binascii.Error, RecursionError):
        return _refused("the picture did not arrive whole", "try again")
    kind = kind_of(content)
    if kind is None:
        return _refused("it is no PNG, JPEG or WebP picture", "save it as one of these")
    stem = re.sub(r"[^\w-]+", "-", Path(name).stem).strip("-_")[:40].casefold() or "sketch"
    stored = await run_in_threadpool(_store, desk.doc.folder, stem, KINDS[kind], content)
    if stored is None:
        return _refused("the job's folder can't take another picture", "remove some of them")
    return JSONResponse({"picture": stored})


def _store(folder: Path, stem: str, ending: str, content: bytes) -> str | None:
    target = folder / FOLDER
    try:
        target.mkdir(exist_ok=True)
        if not target.resolve().is_relative_to(folder.resolve()) or len(list(target.iterdir())) >= MOST_PICTURES:
            return None
        for number in range(1, MOST_PICTURES + 2):
            path = target / f"{stem}{'' if number == 1 else f'-{number}'}{ending}"
            if path.exists() and path.read_bytes() == content:
                break
            if not path.exists():
                with path.open("xb") as stream:
                    stream.write(content)
                break
        else:
            return None
    except OSError:
        return None
    return f"{FOLDER}/{path.name}"


def _refused(wrong: str, remedy: str) -> Response:
    return JSONResponse({"mistakes": [{"wrong": wrong, "remedy": remedy}]}, 422)
