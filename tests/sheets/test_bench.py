"""The bench sheets: whole assemblies, put together in space from what the sheet says and nothing else."""

import itertools
import json
import math
import re
from collections import Counter
from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from wetside import open_job
from wetside.fabricate.bench import LONGEST, REACH, item_kinds
from wetside.fabricate.spec import JointSystem
from wetside.jobfile.new import demos
from wetside.pipework.spec import Material
from wetside.sheets.bench import bench_sheet, bench_works, names, numbers_of, three_way_bodies
from wetside.sheets.draw.bench import bench_drawing
from wetside.sheets.draw.measures import spread
from wetside.sheets.said import as_json
from wetside.study.study import Study

DEMOS = demos()
SVG = "{http://www.w3.org/2000/svg}"


@cache
def study(name: str) -> Study:
    return open_job(Path(str(files("wetside.jobfile") / "demos" / name)))


@cache
def paper(name: str) -> Any:
    """The sheet as plain data: nothing of the study behind it is left."""
    return json.loads(as_json(bench_sheet(study(name))))


def built(assembly: dict[str, Any], lengths: dict[str, float] | None = None) -> dict[str, list[float]]:
    """Where each connection comes to lie when the assembly is put together from its datum, tube by tube.

    A person reads: into which joint a piece goes, which way tube leaves the part there, how far the part's centre is
    from the end of its tube, and how long the piece is.
    """
    ends = {e["joint"]: (k, e) for k, part in enumerate(assembly["parts"]) for e in part["ends"]}
    start = next(k for k, p in enumerate(assembly["parts"]) if p["port"] == assembly["datum"])
    at = {start: [0.0, 0.0, 0.0]}
    todo = [*assembly["cuts"]]
    while todo:
        cut = next(c for c in todo if ends[c["from"]][0] in at or ends[c["to"]][0] in at)
        todo.remove(cut)
        (a, first), (b, last) = ends[cut["from"]], ends[cut["to"]]
        length = (lengths or {}).get(cut["name"], cut["length_m"])
        step = [first["takeout_m"] * t for t in first["toward"]]
        heading = first["toward"]
        for bend in cut["bends"]:
            angle = math.radians(bend["angle_deg"])
            length += bend["radius_m"] * (2.0 * math.tan(angle / 2.0) - angle) - bend["from_last_m"]
            step = [s + bend["from_last_m"] * t for s, t in zip(step, heading, strict=True)]
            heading = bend["toward"]
        step = [s + length * t - last["takeout_m"] * u for s, t, u in zip(step, heading, last["toward"], strict=True)]
        known, new, sign = (a, b, 1.0) if a in at else (b, a, -1.0)
        there = [x + sign * s for x, s in zip(at[known], step, strict=True)]
        if new in at:
            assert math.dist(there, at[new]) < 1e-4, f"{cut['name']} does not close"
        at[new] = there
    return {assembly["parts"][k]["port"]: p for k, p in at.items() if assembly["parts"][k]["port"]}


def test_the_manifold_of_the_net_loft_meets_both_connections_of_the_boiler() -> None:
    """Built from the bench sheet alone: within 0.1 mm of where the boiler's maker puts its connections."""
    manifold = paper("net-loft")["assemblies"][0]
    met = built(manifold)
    # the boiler's sheet: flow at -130, return at +130 mm, level with one another; the sheet looks north, right is east
    assert manifold["looking"] == "north"
    assert met["boiler.flow"] == [0.0, 0.0, 0.0]
    assert math.dist(met["boiler.return"], (0.260, 0.0, 0.0)) < 1e-4
    # vessel, relief valve and filling loop as the job places them, from the flow connection at [9.27, 6.45, 1.35]
    for port, east, north, up in (
        ("vessel", 8.25, 6.45, 0.35),
        ("relief valve", 9.07, 6.45, 1.40),
        ("filling loop", 9.0, 6.45, 0.30),
    ):
        assert math.dist(met[port], (east - 9.27, north - 6.45, up - 1.35)) < 1e-4


@pytest.mark.parametrize("demo", DEMOS)
def test_every_assembly_meets_every_connection(demo: str) -> None:
    s = study(demo)
    ports = {p.ref: p.at for p in s.design.ports}
    sheet = paper(demo)
    assert sheet["assemblies"]
    for assembly, bench in zip(sheet["assemblies"], bench_works(s), strict=True):
        met = built(assembly)
        assert set(met) == set(assembly["meets"])
        for port, at in met.items():
            assert math.dist(at, bench.stand(ports[port])) < 1e-4, port


def test_cut_to_the_millimetre_only_the_pieces_cut_last_take_up_the_rest() -> None:
    """With lengths as read off the tape every connection is met within what the pieces cut last give."""
    manifold = paper("net-loft")["assemblies"][0]
    printed = {c["name"]: float(c["tape"].removesuffix(" mm").replace("\u202f", "")) / 1000 for c in manifold["cuts"]}
    exact = {c["name"]: c["length_m"] for c in manifold["cuts"]}
    assert all(abs(printed[n] - exact[n]) <= 0.0005 + 1e-9 for n in exact)
    rough = {n: exact[n] if c["last"] else printed[n] for c in manifold["cuts"] for n in (c["name"],)}
    off = math.dist(built(manifold, rough)["boiler.return"], (0.260, 0.0, 0.0))
    worst = next(t["worst_m"] for t in manifold["tolerances"] if t["meets"] == "boiler.return")
    assert 0.0 < off < worst


def test_a_wrong_length_misses_the_connection() -> None:
    manifold = paper("net-loft")["assemblies"][0]
    wrong = {c["name"]: c["length_m"] for c in manifold["cuts"]}
    wrong["C5"] += 0.004
    assert math.dist(built(manifold, wrong)["boiler.return"], (0.260, 0.0, 0.0)) == pytest.approx(0.004)


@pytest.mark.parametrize("demo", DEMOS)
def test_each_joint_is_made_once_and_in_one_place(demo: str) -> None:
    made = study(demo).fabrication
    for assembly, bench in zip(paper(demo)["assemblies"], bench_works(study(demo)), strict=True):
        numbers = [j["number"] for j in assembly["joints"]]
        assert numbers == sorted(set(numbers))
        on_tube = {j.number for j in made.joints if j.cut in {c["name"] for c in assembly["cuts"]}}
        assert on_tube <= set(numbers)
        on_bench = [n for p in bench.work.pieces for n in p.joints]
        assert Counter([*on_bench, *bench.work.screwed, *bench.work.in_place]) == Counter(numbers)
        # what is cut last, leads on, or is a union's face, is not joined on the bench
        late = {n for c in assembly["cuts"] if c["last"] for n in (c["from"], c["to"])}
        assert not late & set(on_bench)
        kinds = {j["number"]: j["kind"] for j in assembly["joints"]}
        assert "union face" not in {kinds[n] for n in on_bench}
        # each piece of tube that is not cut last belongs to one piece of the bench
        own = Counter(c.name for p in bench.work.pieces for c in p.cuts)
        assert own == Counter(c["name"] for c in assembly["cuts"] if not c["last"])


@pytest.mark.parametrize("demo", DEMOS)
def test_steps_name_every_piece_and_every_joint(demo: str) -> None:
    for assembly in paper(demo)["assemblies"]:
        text = " ".join(assembly["steps"])
        for c in assembly["cuts"]:
            if c["last"]:
                assert f"Measure {c['name']} between the faces at joints {c['from']} and {c['to']}" in text
        for p in assembly["pieces"]:
            assert f"Bench piece {p['name']}: dry-fit" in text
            assert p["joints"] in text
        for row in assembly["care"]:
            assert row["what"]
            assert row["part"]


def test_valves_separators_and_circulators_of_the_manifold_are_told() -> None:
    manifold = paper("net-loft")["assemblies"][0]
    assert {r["part"] for r in manifold["care"]} == {
        "isolating valve", "air separator", "pressure gauge", "drain cock", "dirt separator", "heating circulator",
        "check valve", "strainer", "mixing valve",
    }  # fmt: skip
    assert len([r for r in manifold["care"] if r["part"] == "isolating valve"]) == 5


def test_a_street_elbow_is_told_in_the_order_of_work_and_drawn(tmp_path: Path) -> None:
    """The vessel's line turns right below its tee, where no piece of tube goes in."""
    job = (files("wetside.jobfile") / "demos" / "net-loft" / "job.toml").read_text(encoding="utf-8")
    short = job.replace('"down 60 mm", "west ...", "down ..."', '"down 39 mm", "west ...", "down ..."')
    assert short != job
    (tmp_path / "job.toml").write_text(short, encoding="utf-8")
    s = open_job(tmp_path)
    manifold = bench_sheet(s).assemblies[0]
    (street,) = s.fabrication.streets
    joint = s.fabrication.bodies[street.a].ends[street.a_end].joint
    (told,) = (step for step in manifold.steps if "street elbow" in step and "no tube" in step)
    assert f"goes right into tee primary.vessel at joint {joint}" in told
    assert "cut its own end to 22 mm" in told
    assert ">street elbow 90°<" in bench_svg(s)


def bench_svg(s: Study) -> str:
    bench, d = bench_works(s)[0], s.design
    return bench_drawing(
        bench.work,
        s.fabrication,
        item_kinds(s.pipework, s.fabrication),
        bench.stand,
        datum=bench.datum,
        system=d.system,
        valves=three_way_bodies(s),
    )


def test_a_three_way_valve_is_drawn_and_named_as_one() -> None:
    made = study("net-loft").fabrication
    assert [j.kind.value for j in made.joints if j.of == "mixing valve"] == ["solder"] * 3
    assert not any("heating flow.mix" in c.start + c.end for c in made.cuts)
    front, side = (
        [p for p in g.iter(f"{SVG}path") if len(re.findall(r"[\d.]+", p.get("d", ""))) == 6 and "Z" in p.get("d", "")]
        for g in ElementTree.fromstring(bench_svg(study("net-loft"))).iter(f"{SVG}g")
        if g.get("data-id") == "fitting:mixing valve"
    )
    # the side shows its third way end-on
    assert (len(front), len(side)) == (3, 2)


@pytest.mark.parametrize("demo", DEMOS)
def test_assemblies_stay_within_reach(demo: str) -> None:
    s = study(demo)
    own = [n.at for n in s.pipework.nodes if n.port is not None and n.port.owner_kind == "boiler"]
    middle = [sum(p[k] for p in own) / len(own) for k in range(3)]
    for bench in bench_works(s):
        assert all(c.length_m <= LONGEST for c in bench.work.cuts)
        assert all(math.dist(s.fabrication.bodies[k].at, middle) <= REACH for k in bench.work.bodies)


def test_words() -> None:
    assert names(["C1", "C2", "C3", "C7"]) == "C1–C3 and C7"
    assert names(["air separator"]) == "air separator"
    assert numbers_of("3, 7–9") == [3, 7, 8, 9]


def test_spread_keeps_order_and_distance() -> None:
    assert spread([0.0, 10.0], 3.0, -5.0, 20.0) == [0.0, 10.0]
    assert spread([5.0, 5.0, 5.0], 3.0, 0.0, 20.0) == [2.0, 5.0, 8.0]
    placed = spread([0.0, 0.5, 1.0, 9.0, 9.2], 3.0, 0.0, 12.0)
    assert all(b - a >= 3.0 - 1e-9 for a, b in itertools.pairwise(placed))
    assert placed[0] >= 0.0
    assert placed[-1] <= 12.0 + 1e-9


@pytest.mark.parametrize("name", DEMOS)
def test_a_flame_and_a_relief_valve_come_with_their_cautions(name: str) -> None:
    for a in paper(name)["assemblies"]:
        flame = any(j["kind"] in ("solder", "braze") for j in a["joints"])
        relief = any(m == "relief valve" or m.startswith("relief valve.") for m in a["meets"])
        wanted = ["CAU-PRESSURE"] * relief + ["CAU-HOT-WORK"] * flame
        assert [c["id"] for c in a["cautions"]] == wanted
    assert any(c["id"] == "CAU-PRESSURE" for a in paper(name)["assemblies"] for c in a["cautions"])


def test_pressed_tube_needs_no_caution_about_a_flame() -> None:
    s = study("net-loft")
    d = s.design
    pressed = replace(d.shop, systems=((Material.COPPER, JointSystem.PRESSED),))
    (manifold, *_) = bench_sheet(Study(replace(d, shop=pressed))).assemblies
    assert {j.kind for j in manifold.joints}.isdisjoint({"solder", "braze"})
    assert [c.id for c in manifold.cautions] == ["CAU-PRESSURE"]
