"""Who may speak to the page: only this machine's own browser, and only pages that came from here.

Pure ASGI, so that it covers sockets as well. The Host header is checked against names that can't be rebound to another
machine, the Origin header against pages of other sites, sizes against whatever would fill the memory.
"""

from collections.abc import Iterable

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BODY = 1_000_000
MOST_PICTURE = 12_000_000
"""Bytes of a request; a picture arrives as text, a third larger than its file."""
MOST_PATH = 1000
UNSAFE = ("POST", "PUT", "PATCH", "DELETE")


def policy(hosts: Iterable[str]) -> str:
    """The content policy: nothing inline, nothing from elsewhere."""
    sockets = " ".join(f"ws://{h}" for h in sorted(hosts))
    return (
        "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; "
        f"connect-src 'self' {sockets}; frame-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'self'"
    )


class Guard:
    """Refuses whatever does not come from the page itself."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self.app, self.hosts = app, hosts
        self.origins = frozenset(f"http://{h}" for h in hosts)
        self.extra = [
            (b"content-security-policy", policy(hosts).encode()),
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"),
            (b"cross-origin-resource-policy", b"same-origin"),
            (b"cross-origin-opener-policy", b"same-origin"),
        ]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        socket = scope["type"] == "websocket"
        refusal = self._refusal(scope)
        if refusal and socket:
            await receive()
            await send({"type": "websocket.close", "code": 1008})
            return

        async def out(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *self.extra]
            await send(message)

        if refusal:
            code, text = refusal
            await PlainTextResponse(text, code)(scope, receive, out)
            return
        await self.app(scope, receive if socket else self._counted(scope, receive), out)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers: dict[str, str] = {}
        for key, value in scope["headers"]:
            name = key.decode("latin1").lower()
            if name in ("host", "origin") and name in headers:
                return 403, "refused"
            headers[name] = value.decode("latin1")
        origin = headers.get("origin")
        if headers.get("host") not in self.hosts or (origin is not None and origin not in self.origins):
            return 403, "refused"
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return 403, "refused"
        if scope["type"] == "websocket":
            return None if origin is not None else (403, "refused")
        if len(scope.get("raw_path") or b"") > MOST_PATH or len(scope.get("query_string", b"")) > MOST_PATH:
            return 414, "too long"
        if scope["method"] in UNSAFE:
            if headers.get("x-wetside") != "1" or headers.get("content-type", "").split(";")[0] != "application/json":
                return 403, "refused"
            length = headers.get("content-length", "0")
            if not length.isdigit() or int(length) > _most(scope):
                return 413, "too large"
        return None

    @staticmethod
    def _counted(scope: Scope, receive: Receive) -> Receive:
        """The request's body, cut off where it is longer than its kind may be, whatever its header says."""
        seen = 0

        async def counted() -> Message:
            nonlocal seen
            message = await receive()
            if message["type"] == "http.request":
                seen += len(message.get("body", b""))
                if seen > _most(scope):
                    return {"type": "http.disconnect"}
            return message

        return counted


def _most(scope: Scope) -> int:
    return MOST_PICTURE if scope["path"] == "/api/picture" else MOST_BODY
