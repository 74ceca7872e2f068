"""The shop side of every demo job, from the job file to what is cut, joined and bought."""

import math
from collections import Counter
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pytest

from wetside import open_job
from wetside.cli import exits
from wetside.fabricate.assemble import assemble
from wetside.fabricate.reading import FittingKind
from wetside.pipework.reading import InLine
from wetside.pipework.spec import ItemKind
from wetside.sheets.counter import counter_sheet
from wetside.sheets.jsonschema import sheet_schema
from wetside.study.study import Study

Wetside = Callable[..., Any]


@pytest.fixture
def study(job: Path) -> Study:
    return open_job(job, check=False)


def test_the_pieces_put_together_meet_what_is_drawn(study: Study) -> None:
    """From the cut list alone: every fitting within 0.1 mm of the drawing, both boiler connections met."""
    made = study.fabrication
    placed = assemble(made)
    assert max(p.off_m for p in placed) < 1e-4
    at = {made.bodies[p.body].port: p.at for p in placed if made.bodies[p.body].port}
    for port in study.design.ports:
        if port.owner_kind == "boiler" and port.ref in at:
            assert math.dist(at[port.ref], port.at) < 1e-4
    assert {"boiler.flow", "boiler.return"} <= at.keys()


def test_joints_are_the_sockets_and_faces(study: Study) -> None:
    made = study.fabrication
    expected = sum(f.sockets for f in made.fittings)
    expected += sum(f.kind in (FittingKind.CONNECTOR, FittingKind.ANGLE_CONNECTOR) for f in made.fittings)
    expected += sum(f.kind is FittingKind.DIELECTRIC for f in made.fittings)
    items = [p.item for leg in study.pipework.legs for p in leg.pieces if isinstance(p, InLine)]
    faces = {ItemKind.UNION: 1, ItemKind.CIRCULATOR: 2}
    expected += sum(1 if i.on_branch else 2 + faces.get(i.kind, 0) for i in items)
    # a valve at an emitter: one joint to the tube and a face to the emitter
    valves = {f"{e}.{p}" for e, pair in study.design.emitter_valves for p in ("flow", "return") if any(pair)}
    used = {b.port for b in made.bodies if "connector" not in b.name} & valves
    assert len(made.joints) == expected + 2 * len(used)
    takes_tube = Counter(j.cut for j in made.joints if j.cut)
    assert set(takes_tube.values()) == {2}
    assert set(takes_tube) == {c.name for c in made.cuts}


def test_cuts_kerf_and_offcuts_are_the_stock(study: Study) -> None:
    for laid in study.cutting:
        stock = sum(s.stock_m for s in laid.plan.sticks)
        parts = sum(sum(s.cuts_m) + s.kerf_m + s.offcut_m for s in laid.plan.sticks)
        assert parts == pytest.approx(stock, abs=1e-6)
        assert laid.plan.proven
        assert laid.plan.bought == laid.plan.bound
    assert sum(len(x.cuts) for x in study.cutting) == len(study.fabrication.cuts)


def test_cuts_as_json(job: Path, wetside: Wetside) -> None:
    data = wetside("cuts", job, "--json").data
    jsonschema.validate(data, sheet_schema("cuts"))
    assert {"name", "run", "length_m", "from", "to"} <= data["cuts"][0].keys()
    on_sticks = sorted(name for s in data["sticks"] for name in s["cuts"])
    assert on_sticks == sorted(c["name"] for c in data["cuts"])
    assert data["bound"] <= data["bought"] == sum(not s["own"] for s in data["sticks"])
    assert [j["number"] for j in data["joints"]] == list(range(1, len(data["joints"]) + 1))


def test_buy_as_json_and_files(job: Path, wetside: Wetside, tmp_path: Path) -> None:
    outcome = wetside("buy", job, "--json", "--csv", tmp_path / "b.csv", "--xlsx", tmp_path / "b.xlsx")
    data = outcome.data
    jsonschema.validate(data, sheet_schema("buy"))
    assert all(r["buy"] == r["need"] + r["spare"] for r in data["buy"])
    assert data["chance"] <= data["accepted"]
    assert sum(p["chosen"] for p in data["curve"]) == 1
    rows = list(openpyxl.load_workbook(tmp_path / "b.xlsx").active.values)
    assert len(rows) == len(data["buy"]) + 1
    assert (tmp_path / "b.csv").read_text(encoding="utf-8-sig").count("\n") == len(rows)


LEFT = """
[[left_over]]
item = "elbow 90°"
size = "15 mm"
count = 3

[[left_over]]
item = "elbow"
count = 2

[[price]]
item = "elbow 90°"
each = 2
"""


@pytest.fixture
def done(tmp_path: Path) -> Path:
    """The net loft when the work is done."""
    text = (files("wetside.jobfile") / "demos" / "net-loft" / "job.toml").read_text(encoding="utf-8")
    (tmp_path / "job.toml").write_text(text + LEFT, encoding="utf-8")
    return tmp_path


def test_what_is_left_over_goes_back(done: Path, wetside: Wetside) -> None:
    data = wetside("buy", done, "--json").data
    jsonschema.validate(data, sheet_schema("buy"))
    known, unknown = data["returns"]
    assert (known["item"], known["size"], known["count"], known["note"]) == ("elbow 90°", "15 mm", 3, "")
    assert known["back"] == pytest.approx(6.0 * (1.0 - data["return_fee"]))
    assert unknown["back"] is None
    assert unknown["note"].startswith("not on the list; elbow")
    assert data["back"] == known["back"]
    said = wetside("buy", done).out
    assert "Goes back to the counter" in said
    assert "5.10 back, without a price for 1 line, after a return fee of 15 %." in " ".join(said.split())


def test_the_page_says_the_same_of_what_goes_back(done: Path) -> None:
    s = open_job(done)
    shown = counter_sheet(s, s.design.system).returns
    assert [(r.item, r.buy, r.cost) for r in shown] == [("elbow 90°", "3", "5.10"), ("elbow", "2", "")]
    assert {r.need for r in shown} == {""}


def test_nothing_is_left_over_in_less_than_one_piece(done: Path, wetside: Wetside) -> None:
    text = (done / "job.toml").read_text(encoding="utf-8")
    (done / "job.toml").write_text(text.replace("count = 3", "count = 0"), encoding="utf-8")
    outcome = wetside("buy", done)
    assert outcome.code == exits.MISTAKES
    assert "left_over" in outcome.err or "left over" in outcome.err


@pytest.mark.parametrize("columns", [40, 80, 140])
@pytest.mark.parametrize("command", ["cuts", "buy"])
def test_nothing_is_wider_than_the_terminal(command: str, columns: int, job: Path, wetside: Wetside) -> None:
    text = wetside(command, job, columns=columns).out
    assert max(map(len, text.splitlines())) <= columns
    assert "…" not in text
