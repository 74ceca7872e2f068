"""What the places send and take, without a browser: shapes, bad requests, units, a job with nothing in it."""

import asyncio
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from opened import demo

from wetside.basis.quantity import System
from wetside.jobfile.new import new_job
from wetside.page.app import make_app
from wetside.page.desk import Desk
from wetside.page.places import places

HOST = "127.0.0.1:8742"
POST = {"x-wetside": "1", "content-type": "application/json", "origin": f"http://{HOST}"}


@dataclass
class Answer:
    status_code: int
    body: bytes

    @property
    def text(self) -> str:
        return self.body.decode()

    def json(self) -> Any:
        return json.loads(self.body)


class Client:
    """A plain ASGI client: no server, no browser, no library."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.app = make_app(desk, frozenset({HOST}))

    def get(self, path: str) -> Answer:
        return asyncio.run(self._ask("GET", path, {}, b""))

    def post(self, path: str, headers: dict[str, str], content: str) -> Answer:
        return asyncio.run(self._ask("POST", path, headers, content.encode()))

    async def _ask(self, method: str, path: str, headers: dict[str, str], body: bytes) -> Answer:
        path, _, query = path.partition("?")
        scope = {
            "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "path": path,
            "raw_path": path.encode(), "query_string": query.encode(), "root_path": "", "scheme": "http",
            "headers": [(k.encode(), v.encode()) for k, v in {"host": HOST, **headers}.items()],
            "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 8742),
        }  # fmt: skip
        got: list[Any] = []
        sent = [{"type": "http.request", "body": body, "more_body": False}]

        async def receive() -> dict[str, Any]:
            return sent.pop() if sent else {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            got.append(message)

        await self.app(scope, receive, send)
        return Answer(got[0]["status"], b"".join(m.get("body", b"") for m in got[1:]))


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("places")
        patch.setenv("XDG_STATE_HOME", str(folder / "state"))
        yield folder


@pytest.fixture(scope="module")
def loft(home: Path) -> Any:
    desk = Desk(home=home)
    desk.open(demo("net-loft", home))
    return Client(desk)


@pytest.fixture(scope="module")
def bare(home: Path) -> Any:
    new_job(home / "bare", None, blank=True)
    desk = Desk(home=home)
    desk.open(home / "bare")
    return Client(desk)


def test_places_stand_in_the_order_of_the_work() -> None:
    assert [p.key for p in places()] == ["draw", "pipes", "water", "rules", "shop", "pack"]


@pytest.mark.parametrize("key", [p.key for p in places()])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_place_opens_in_both_unit_systems(loft: Any, key: str, units: str) -> None:
    page = loft.get(f"/{key}?units={units}")
    assert page.status_code == 200
    assert "style=" not in page.text
    assert "onclick" not in page.text
    assert loft.get(f"/api/now/{key}?units={units}").json()["state"]["shown"] == units


@pytest.mark.parametrize("key", [p.key for p in places()])
def test_every_place_opens_on_a_job_with_nothing_in_it(bare: Any, key: str) -> None:
    assert bare.get(f"/{key}").status_code == 200


def test_units_reach_every_text_of_the_water(loft: Any) -> None:
    water = loft.get("/api/now/water?units=us").json()["place"]["water"]
    assert water["rooms"][0]["settles"].endswith("°F")
    assert water["legs"][0]["speed"].endswith("ft/s")
    assert water["emitters"][0]["gives"].endswith("Btu/h")


def ask(loft: Any, settings: object, **more: object) -> Any:
    return loft.post("/api/water/try", headers=POST, content=json.dumps({"settings": settings, **more}))


def test_a_trial_answers_and_charts_can_be_left_out(loft: Any) -> None:
    cold = ask(loft, {"outside": -15.0}, charts=False).json()["water"]
    mild = ask(loft, {"outside": 10.0}).json()["water"]
    assert cold["outside"] == "−15 °C"
    assert not cold["circulators"][0]["chart"]
    assert mild["circulators"][0]["chart"].startswith("<svg")
    assert all(c["settles_c"] < m["settles_c"] for c, m in zip(cold["rooms"], mild["rooms"], strict=True)
               if not c["heated"])  # fmt: skip


def test_settings_out_of_range_are_held_and_unknown_ones_left_out(loft: Any) -> None:
    calm = ask(loft, {}).json()["water"]
    assert ask(loft, {"nothing": 1.0, "flow:nobody": 3.0}).json()["water"] == calm
    assert ask(loft, {"flow:boiler": 900.0}).json() == ask(loft, {"flow:boiler": 80.0}).json()


@pytest.mark.parametrize("body", ["", "[]", '{"settings": 3}', '{"settings": [1]}', "{", '"x"'])
def test_what_is_no_trial_is_refused(loft: Any, body: str) -> None:
    assert loft.post("/api/water/try", headers=POST, content=body).status_code == 400


def test_odd_numbers_in_a_trial_do_no_harm(loft: Any) -> None:
    odd = '{"settings": {"outside": true, "flow:boiler": "hot", "speed:heating circulator": 1e300, "kv:x": NaN}}'
    assert loft.post("/api/water/try", headers=POST, content=odd).status_code == 200


def test_a_trial_without_the_headers_of_the_page_is_refused(loft: Any) -> None:
    assert loft.post("/api/water/try", headers={}, content='{"settings": {}}').status_code == 403


def test_everything_shut_is_said_and_no_stale_number_comes(loft: Any) -> None:
    shut = {f"shut:R{n}": 1.0 for n in range(1, 11)}
    told = ask(loft, shut).json()
    if told["water"] is None:
        assert told["wrong"]
    else:
        assert all(e["gives"].startswith("0 ") for e in told["water"]["emitters"])


def test_files_and_pages_that_do_not_exist(loft: Any) -> None:
    assert loft.get("/api/shop/other.xlsx").status_code == 404
    assert loft.get("/api/shop/../../job.toml").status_code == 404
    assert loft.get("/api/pack/page/0").status_code == 404
    assert loft.get("/api/pack/page/9999").status_code == 404


def test_every_tube_of_the_sheet_leads_to_the_move_that_it_came_of(loft: Any) -> None:
    space = loft.get("/api/now/pipes").json()["place"]["space"]
    runs = {r["name"]: r for r in space["runs"]}
    for tube in space["tubes"]:
        move = runs[tube["run"]]["moves"][tube["move"]]
        assert move["verb"] == "go"
        step = [b - a for a, b in zip(tube["a"], tube["b"], strict=True)]
        axis, sign = {"east": (0, 1), "west": (0, -1), "north": (1, 1), "south": (1, -1), "up": (2, 1),
                      "down": (2, -1)}[move["way"]]  # fmt: skip
        assert step[axis] * sign > 0
    for item in space["items"]:
        assert runs[item["run"]]["moves"][item["move"]]["text"] == f"fit {item['name']}"


def test_joints_are_all_on_the_drawing_once(loft: Any) -> None:
    space = loft.get("/api/now/pipes").json()["place"]["space"]
    numbers: list[int] = []
    for joint in space["joints"]:
        for part in joint["numbers"].split(", "):
            low, _, high = part.partition("–")
            numbers += range(int(low), int(high or low) + 1)
    assert sorted(numbers) == list(range(1, len(numbers) + 1))


def test_rules_are_those_of_the_check_command(loft: Any, home: Path) -> None:
    from wetside import open_job
    from wetside.sheets.check import check_sheet

    doc = loft.desk.doc
    doc.finish(doc.now.rev, 0.0)
    shown = loft.get("/api/now/rules").json()["place"]["rules"]
    check = check_sheet(open_job(home / "net-loft"))
    assert shown["summary"]["findings"] == check.summary.findings
    assert [r["finding"]["id"] for r in shown["open"]] == [f.id for f in check.findings if f.verdict != "holds"]
    assert sum(len(h["rows"]) for h in shown["held"]) == check.summary.holds
    assert not any(r["acceptable"] for r in shown["open"] if r["finding"]["safety"])


def test_the_counter_counts_as_its_sheets_do(loft: Any, home: Path) -> None:
    from wetside import open_job
    from wetside.sheets.buy import buy_sheet
    from wetside.sheets.counter import counter_sheet

    study = open_job(home / "net-loft")
    sheet = counter_sheet(study, System.METRIC)
    assert sheet.pieces == len(study.fabrication.cuts) == sum(len(s.pieces) for t in sheet.tubes for s in t.sticks)
    assert [x.buy for x in sheet.buy] == [str(x.buy) for x in buy_sheet(study).buy]
    for tube in sheet.tubes:
        for stick in tube.sticks:
            assert sum(p.part for p in stick.pieces) + stick.left_part <= stick.part + 1e-9
