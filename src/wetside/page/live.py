"""The socket: revisions are pushed to every tab, and changes are tried while something is dragged.

One trial at a time per tab; a newer one takes the place of the one that waits, so that nothing piles up.
"""

import asyncio
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.websockets import WebSocket, WebSocketDisconnect

from wetside.basis.errors import JobProblem, WetsideError
from wetside.basis.quantity import System
from wetside.page.commands import BadCommand, parse
from wetside.page.desk import MOST_LIVE, Desk, Note, summary, told
from wetside.page.places import Place, places

ENDED = 1012


async def live(socket: WebSocket) -> None:
    """One tab. It says hello with its place and units, then sends what to try."""
    desk: Desk = socket.app.state.desk
    await socket.accept()
    if desk.doc is None:
        await socket.close(ENDED)
        return
    queue: asyncio.Queue[Note] = asyncio.Queue()
    desk.tabs.add(queue)
    ready, box = asyncio.Event(), dict[str, Any]()
    here: dict[str, Any] = {"place": places()[0], "system": System.METRIC}

    async def notes() -> None:
        assert desk.doc is not None
        await socket.send_json({"k": "hello", "boot": desk.boot, "rev": desk.doc.now.rev, "sha": desk.doc.now.sha})
        while (note := await queue.get()) is not None:
            await socket.send_json({"k": "rev", "rev": note[0], "tab": note[1]})
        await socket.close(ENDED)

    async def worker() -> None:
        while True:
            await ready.wait()
            ready.clear()
            sent = box.pop("try")
            answer = await run_in_threadpool(attempt, desk, here["place"], here["system"], sent)
            await socket.send_json(answer)

    tasks = [asyncio.create_task(notes()), asyncio.create_task(worker())]
    try:
        while True:
            sent: Any = await socket.receive_json()
            if not isinstance(sent, dict):
                break
            if sent.get("k") == "hello":  # pyright: ignore[reportUnknownMemberType]
                here["place"] = next((p for p in places() if p.key == sent.get("place")), places()[0])  # pyright: ignore[reportUnknownMemberType]
                here["system"] = System.US if sent.get("units") == "us" else System.METRIC  # pyright: ignore[reportUnknownMemberType]
            else:
                box["try"] = sent
                ready.set()
    except (WebSocketDisconnect, RuntimeError, ValueError, KeyError):
        pass
    finally:
        desk.tabs.discard(queue)
        for task in tasks:
            task.cancel()


def attempt(desk: Desk, place: Place, system: System, sent: dict[str, Any]) -> dict[str, Any]:
    """Try a change and read off what the place shows of it."""
    seq = sent.get("seq")
    doc = desk.doc
    if doc is None or not isinstance(seq, int):
        return {"k": "err", "seq": seq, "mistakes": []}
    try:
        trial = doc.preview(parse(sent.get("cmd")))
        return {
            "k": "res",
            "seq": seq,
            "ms": round(trial.seconds * 1000, 1),
            "mistakes": [told(m) for m in trial.mistakes[:20]],
            "no_solution": trial.no_solution,
            "stale": not trial.sound,
            **summary(trial, system, MOST_LIVE),
            "place": place.live(doc, trial, system),
        }
    except BadCommand as bad:
        return {"k": "err", "seq": seq, "mistakes": [{"wrong": str(bad), "remedy": ""}]}
    except JobProblem as bad:
        return {"k": "err", "seq": seq, "mistakes": [told(m) for m in bad.mistakes[:20]]}
    except WetsideError as bad:
        return {"k": "err", "seq": seq, "mistakes": [{"wrong": str(bad), "remedy": ""}]}
