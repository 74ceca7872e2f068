"""Drawings for CAD: whole files that read back, in the house's measure, the same bytes each time."""

import io
import itertools
import math
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from wetside import open_job
from wetside.basis.quantity import INCH
from wetside.cli.main import run
from wetside.pipework.reading import Straight
from wetside.sheets import dxf
from wetside.sheets.bench import bench_works
from wetside.sheets.draw.sides import sides
from wetside.study.study import Study

ezdxf = pytest.importorskip("ezdxf")
PER_M = {"net-loft": 1000.0, "schoolhouse": 1.0 / INCH}
DEMOS = tuple(PER_M)


@cache
def study(name: str) -> Study:
    return open_job(Path(str(files("wetside.jobfile") / "demos" / name)))


@cache
def made(name: str) -> tuple[dxf.DxfFile, ...]:
    return dxf.dxf_files(study(name))


@cache
def read(name: str, title: str) -> Any:
    return ezdxf.read(io.StringIO(next(f.text for f in made(name) if f.title == title)))


@pytest.mark.parametrize("demo", DEMOS)
def test_files_read_back_without_a_fault(demo: str) -> None:
    s = study(demo)
    titles = [f.title for f in made(demo)]
    assert titles == [
        *(f"Plan: {x.name}" for x in sorted(s.design.house.storeys, key=lambda x: x.level_m)),
        "Pipework in space",
        *(f"Bench sheet: {b.work.name}" for b in bench_works(s)),
    ]
    for title in titles:
        document = read(demo, title)
        assert not document.audit().has_errors, title
        assert document.units == (1 if demo == "schoolhouse" else 4)
        used = {e.dxf.layer for e in document.modelspace()}
        assert used <= {name for name, *_ in dxf.LAYERS}
        assert "TEXT" in used


@pytest.mark.parametrize("demo", DEMOS)
def test_centre_lines_in_space_are_the_pipework(demo: str) -> None:
    s = study(demo)
    side = sides(s.pipework, s.flow)
    drawn = dict.fromkeys(("FLOW", "RETURN", "OTHER"), 0.0)
    for e in read(demo, "Pipework in space").modelspace().query("POLYLINE"):
        if e.dxf.layer in drawn:
            points = [tuple(p) for p in e.points()]
            drawn[e.dxf.layer] += sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    wanted = dict.fromkeys(drawn, 0.0)
    for leg in s.pipework.legs:
        wanted[dxf.SIDE_LAYER[side.get(leg.name, "other")]] += sum(
            p.length_m for p in leg.pieces if isinstance(p, Straight)
        )
    assert drawn == pytest.approx({k: v * PER_M[demo] for k, v in wanted.items()}, abs=0.1)


@pytest.mark.parametrize("demo", DEMOS)
def test_rooms_of_the_plan_have_their_areas(demo: str) -> None:
    s = study(demo)
    for storey in s.design.house.storeys:
        drawn = []
        for e in read(demo, f"Plan: {storey.name}").modelspace().query('LWPOLYLINE[layer=="ROOMS"]'):
            p = [tuple(q)[:2] for q in e.get_points("xy")]
            drawn.append(abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(p, [*p[1:], p[0]], strict=True))) / 2)
        areas = {r.name: r.floor_area_m2 for r in s.rooms.rooms if r.storey == storey.name}
        assert sorted(drawn) == pytest.approx(sorted(a * PER_M[demo] ** 2 for a in areas.values()), rel=1e-3)


def test_the_manifold_is_drawn_in_its_own_measure() -> None:
    """C3 is 252 mm of 28 mm tube, from both sides."""
    space = read("net-loft", "Bench sheet: primary").modelspace()
    boxes = []
    for e in space.query('LWPOLYLINE[layer=="TUBE"]'):
        p = [tuple(q)[:2] for q in e.get_points("xy")]
        boxes.append(tuple(round(max(q[k] for q in p) - min(q[k] for q in p), 2) for k in (0, 1)))
    assert boxes.count((28.0, 252.0)) == 2
    assert list(space.query('LWPOLYLINE[layer=="TUBE-CUT-LAST"]'))
    assert {"boiler.flow", "boiler.return"} <= {e.dxf.text for e in space.query("TEXT")}


def test_the_same_bytes_each_time() -> None:
    assert [f.text for f in dxf.dxf_files(study("net-loft"))] == [f.text for f in made("net-loft")]
    options = ezdxf.options
    assert options.write_fixed_meta_data_for_testing is False


def test_without_the_package_one_line_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr(dxf, "has_dxf", lambda: False)
    job = str(files("wetside.jobfile") / "demos" / "schoolhouse")
    assert run(["draw", job, "-o", str(tmp_path / "d"), "--dxf"]) == 2
    assert "pip install 'wetside[dxf]'" in capsys.readouterr().err
    assert not (tmp_path / "d").exists()
