"""Who may speak to the page, asked by a plain ASGI client: no server, no browser, no library."""

import asyncio
import base64
import json
from pathlib import Path
from typing import Any

import pytest
from opened import demo

from wetside.page.app import make_app
from wetside.page.desk import Desk
from wetside.page.guard import MOST_BODY, MOST_PICTURE

HOST = "127.0.0.1:8742"
HOSTS = frozenset({HOST, "localhost:8742"})
POST = {"x-wetside": "1", "content-type": "application/json", "origin": f"http://{HOST}"}
PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 40


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    made = Desk(home=tmp_path)
    made.open(demo("net-loft", tmp_path))
    return made


def ask(
    desk: Desk, path: str, method: str = "GET", headers: dict[str, str] | None = None, body: bytes = b""
) -> tuple[int, dict[str, str], bytes]:
    """One request; gives status, headers and body."""
    path, _, query = path.partition("?")
    sent = {"host": HOST, **(headers or {})}
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "path": path,
        "raw_path": path.encode(), "query_string": query.encode(), "root_path": "", "scheme": "http",
        "headers": [(k.lower().encode("latin1"), v.encode("latin1")) for k, v in sent.items() if v],
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 8742),
    }  # fmt: skip
    answers: list[dict[str, Any]] = []
    parts = [body[i : i + 65536] for i in range(0, len(body), 65536)] or [b""]

    async def receive() -> dict[str, Any]:
        if not parts:
            return {"type": "http.disconnect"}
        return {"type": "http.request", "body": parts.pop(0), "more_body": bool(parts)}

    async def send(message: Any) -> None:
        answers.append(message)

    asyncio.run(make_app(desk, HOSTS)(scope, receive, send))
    start = answers[0]
    found = {k.decode().lower(): v.decode() for k, v in start["headers"]}
    return start["status"], found, b"".join(m.get("body", b"") for m in answers[1:])


def socket(desk: Desk, headers: dict[str, str]) -> dict[str, Any]:
    """A knock at the socket; gives the first answer."""
    scope = {
        "type": "websocket", "asgi": {"version": "3.0"}, "path": "/live", "raw_path": b"/live", "query_string": b"",
        "root_path": "", "scheme": "ws", "subprotocols": [], "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 8742),
        "headers": [(k.encode(), v.encode()) for k, v in headers.items()],
    }  # fmt: skip
    answers: list[dict[str, Any]] = []
    arriving = [{"type": "websocket.connect"}, {"type": "websocket.disconnect", "code": 1001}]

    async def receive() -> dict[str, Any]:
        return arriving.pop(0)

    async def send(message: Any) -> None:
        answers.append(message)

    asyncio.run(make_app(desk, HOSTS)(scope, receive, send))
    return answers[0]


def change(desk: Desk, sent: object, **headers: str) -> tuple[int, Any]:
    body = json.dumps(sent).encode()
    status, _, answer = ask(desk, "/api/change/draw", "POST", {**POST, **headers}, body)
    return status, json.loads(answer) if answer.startswith(b"{") else answer


WARMER = {"do": "commit", "cmd": {"do": "set", "table": "room", "name": "Hall", "field": "inside", "value": 19}}


def test_the_page_and_its_policy(desk: Desk) -> None:
    status, headers, body = ask(desk, "/draw")
    assert status == 200
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy and "unsafe" not in policy and "http:" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    text = body.decode()
    assert " style=" not in text and "<style" not in text and " onclick=" not in text
    assert text.count("<script") == text.count("<script src=") + text.count(
        '<script type="application/json"'
    ) + text.count('<script type="module" src=')


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "evil.example"},
        {"host": f"{HOST}.evil.example"},
        {"host": "127.0.0.1:9999"},
        {"host": ""},
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_strangers_are_refused(desk: Desk, headers: dict[str, str]) -> None:
    assert ask(desk, "/draw", headers=headers)[0] == 403
    assert ask(desk, "/api/now/draw", headers=headers)[0] == 403


def test_a_change_needs_the_pages_own_headers(desk: Desk) -> None:
    assert change(desk, WARMER)[0] == 200
    assert change(desk, WARMER, **{"x-wetside": ""})[0] == 403
    assert change(desk, WARMER, **{"content-type": "text/plain"})[0] == 403
    assert change(desk, WARMER, origin="http://evil.example")[0] == 403
    assert ask(desk, "/api/change/draw", "GET")[0] == 405


def test_sizes_are_limited_whatever_the_header_says(desk: Desk) -> None:
    big = b'{"do": "' + b"x" * MOST_BODY + b'"}'
    assert ask(desk, "/api/change/draw", "POST", {**POST, "content-length": str(len(big))}, big)[0] == 413
    assert ask(desk, "/api/change/draw", "POST", {**POST, "content-length": "soon"}, b"{}")[0] == 413
    huge = b"x" * (MOST_PICTURE + 1)
    assert ask(desk, "/api/picture", "POST", {**POST, "content-length": str(len(huge))}, huge)[0] == 413
    assert ask(desk, "/draw?" + "x" * 2000)[0] == 414


def test_a_body_longer_than_it_said_is_cut_off(desk: Desk) -> None:
    from starlette.requests import ClientDisconnect

    big = b'{"do": "' + b"x" * MOST_BODY + b'"}'
    with pytest.raises(ClientDisconnect):
        ask(desk, "/api/change/draw", "POST", {**POST, "content-length": "10"}, big)


def test_the_socket_needs_an_origin_of_its_own(desk: Desk) -> None:
    assert socket(desk, {"host": HOST, "origin": f"http://{HOST}"})["type"] == "websocket.accept"
    refused = {"type": "websocket.close", "code": 1008}
    assert socket(desk, {"host": HOST}) == refused
    assert socket(desk, {"host": HOST, "origin": "http://evil.example"}) == refused
    assert socket(desk, {"host": "evil.example", "origin": f"http://{HOST}"}) == refused


@pytest.mark.parametrize("body", [b"", b"[", b"[]", b"null", b'"x"', b"[" * 100_000, b'{"do": 7}', b'{"do": "commit"}'])
def test_what_is_no_change_is_answered_in_words(desk: Desk, body: bytes) -> None:
    status, _, answer = ask(desk, "/api/change/draw", "POST", POST, body)
    assert status == 400
    assert json.loads(answer)["mistakes"][0]["wrong"]


def test_refusals_and_conflicts_have_their_own_answers(desk: Desk) -> None:
    wrong = {"do": "commit", "cmd": {"do": "set", "table": "room", "name": "Hall", "field": "inside", "value": "warm"}}
    status, answer = change(desk, wrong)
    assert (status, answer["mistakes"][0]["name"]) == (422, "Hall")
    assert desk.doc is not None
    saw = desk.doc.now.sha
    desk.doc.path.write_text(desk.doc.path.read_text().replace("inside = 18", "inside = 15", 1))
    status, answer = change(desk, {**WARMER, "saw": saw})
    assert (status, answer["clashes"][0]["theirs"]) == (409, 15)


@pytest.mark.parametrize(
    "name",
    [
        "../secret.png",
        "..%2Fsecret.png",
        "/etc/passwd",
        "job.toml",
        "pictures/../../secret.png",
        "link.png",
        "no.png",
        "\\x",
    ],
)
def test_no_picture_from_outside_the_job(desk: Desk, tmp_path: Path, name: str) -> None:
    assert desk.doc is not None
    (tmp_path / "secret.png").write_bytes(PNG)
    (desk.doc.folder / "link.png").symlink_to(tmp_path / "secret.png")
    assert ask(desk, f"/picture/{name}")[0] == 404


def test_a_picture_is_kept_in_the_job(desk: Desk) -> None:
    def send(content: bytes, name: str) -> tuple[int, Any]:
        body = json.dumps({"name": name, "base64": base64.b64encode(content).decode()}).encode()
        status, _, answer = ask(desk, "/api/picture", "POST", POST, body)
        return status, json.loads(answer)

    assert desk.doc is not None
    status, answer = send(PNG, "../../My Sketch.png")
    assert (status, answer) == (200, {"picture": "pictures/my-sketch.png"})
    assert (desk.doc.folder / "pictures" / "my-sketch.png").read_bytes() == PNG
    status, headers, body = ask(desk, "/picture/pictures/my-sketch.png")
    assert (status, headers["content-type"], body) == (200, "image/png", PNG)
    assert send(PNG, "my sketch.png")[1]["picture"] == "pictures/my-sketch.png"
    assert send(PNG + b"1", "my sketch.png")[1]["picture"] == "pictures/my-sketch-2.png"
    assert send(b"<svg onload='alert(1)'/>", "a.png")[0] == 422
    assert ask(desk, "/api/picture", "POST", POST, b'{"name": "x", "base64": "!"}')[0] == 422


@pytest.mark.parametrize("name", ["../up", "a/b", ".hidden", "", "x" * 99, "trailing.", "nul\0"])
def test_a_new_job_is_made_in_the_home_folder_only(desk: Desk, name: str) -> None:
    body = json.dumps({"what": "new", "name": name}).encode()
    status, _, answer = ask(desk, "/api/open", "POST", POST, body)
    assert status == 422
    assert json.loads(answer)["mistakes"][0]["remedy"]


def test_names_are_text_only(desk: Desk) -> None:
    assert desk.doc is not None
    evil = "</script><img src=x onerror=alert(1)>"
    status, _ = change(desk, {"do": "commit", "cmd": {"do": "rename", "table": "room", "name": "Hall", "to": evil}})
    assert status == 200
    body = ask(desk, "/draw")[2].decode()
    assert "<img" not in body
    assert body.count("</script>") == body.count("<script")


def test_static_files_and_fonts_only(desk: Desk) -> None:
    assert ask(desk, "/static/page.js")[1]["content-type"].startswith("text/javascript")
    assert ask(desk, "/font/Barlow-Regular.ttf")[0] == 200
    for path in ("/static/../app.py", "/static/%2e%2e/app.py", "/font/../x.ttf", "/font/Barlow-Black.ttf", "/nowhere"):
        assert ask(desk, path)[0] == 404


def test_numbers_say_how_they_came_about(desk: Desk) -> None:
    for of in ("house", "room:Hall", "gives:Workshop", "emitter:R1"):
        told = json.loads(ask(desk, f"/api/why?of={of.replace(' ', '%20')}")[2])
        assert told["steps"][-1]["source"] or told["steps"][-1]["kind"] == "total"
    room = json.loads(ask(desk, "/api/why?of=room:Hall")[2])
    assert "Hall needs" in room["title"]
    assert "°F" in ask(desk, "/api/why?of=room:Hall&units=us")[2].decode()
    assert json.loads(ask(desk, "/api/why?of=room:Nobody")[2])["steps"] == []


def test_every_field_of_every_table_is_offered(desk: Desk) -> None:
    from wetside.jobfile.schema import EMITTERS, TABLES

    told = json.loads(ask(desk, "/api/fields")[2])
    for table, kind in TABLES.items():
        names = {f["name"] for f in told[table]["fields"]}
        models = EMITTERS.values() if table == "emitter" else (kind.model,)
        assert names == {n for m in models for n in m.model_fields}
        assert all(f["help"] for f in told[table]["fields"])
