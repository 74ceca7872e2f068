"""The drawings: whole, legible, the same on every run, and true to what they show."""

import itertools
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside import open_job
from wetside.basis.quantity import System
from wetside.basis.rules import Verdict
from wetside.sheets.draw.border import SIZES, drawing_size
from wetside.sheets.draw.chart import duty_chart, nice_step
from wetside.sheets.draw.isometric import isometric
from wetside.sheets.draw.letters import clip, width
from wetside.sheets.draw.lines import lines_of, near_boiler, serves
from wetside.sheets.draw.marks import mark, pattern, standalone
from wetside.sheets.draw.numbers import spans
from wetside.sheets.draw.place import Box, Crowd, Spot, ring, text_box
from wetside.sheets.draw.plan import choose_scale, plan
from wetside.sheets.draw.plan_tubes import band, stretches
from wetside.sheets.draw.schematic import schematic
from wetside.sheets.draw.sides import shared_legs, sides
from wetside.sheets.draw.stretch import asked_of, stops, stretched
from wetside.sheets.draw.svg import Drawing, escape, num, tag
from wetside.sheets.draw.theme import DARK, DASH, LIGHT, PRINT, THEMES, Theme
from wetside.sheets.draw.tubes import weight
from wetside.study.study import Study

DEMOS = ("net-loft", "schoolhouse")
SVG = "{http://www.w3.org/2000/svg}"


@cache
def study(name: str) -> Study:
    return open_job(Path(str(files("wetside.jobfile") / "demos" / name)))


def mixers(s: Study) -> dict[str, str]:
    return {v.tee: v.name for v in s.design.apparatus.three_ways}


def whole(s: Study, theme: Theme = LIGHT, **more: Any) -> str:
    d = s.design
    return isometric(
        s.pipework, house=d.house, emitters=d.emitters, fabrication=s.fabrication, sides=sides(s.pipework, s.flow),
        system=d.system, theme=theme, job=d.name, three_ways=mixers(s), **more,
    )  # fmt: skip


def close(s: Study, theme: Theme = LIGHT) -> str:
    lines = near_boiler(s.pipework, [b.name for b in s.design.boilers])
    return whole(s, theme, lines=lines, title="Isometric near the boiler")


def elevation(s: Study, theme: Theme = LIGHT) -> str:
    d = s.design
    return schematic(
        s.pipework, house=d.house, emitters=d.emitters, boilers=d.boilers, tanks=d.tanks, flow=s.flow,
        sides=sides(s.pipework, s.flow), system=d.system, theme=theme, job=d.name, three_ways=mixers(s),
    )  # fmt: skip


def floor(s: Study, storey: str, theme: Theme = LIGHT, **more: Any) -> str:
    d = s.design
    return plan(
        house=d.house, storey=storey, load=s.rooms, openings=s.openings, emitters=d.emitters, pipework=s.pipework,
        flow=s.flow, sides=sides(s.pipework, s.flow), system=d.system, theme=theme, job=d.name,
        verdicts={r.name: list(Verdict)[i % 5] for i, r in enumerate(d.house.rooms)}, **more,
    )  # fmt: skip


@cache
def pictures(name: str, theme: Theme = LIGHT) -> dict[str, str]:
    s = study(name)
    made = {"whole": whole(s, theme), "close": close(s, theme), "schematic": elevation(s, theme)}
    made |= {f"plan {y.name}": floor(s, y.name, theme) for y in s.design.house.storeys}
    for c in s.design.circulators:
        duty = next((x for x in s.flow.circulators if x.name == c.name), None)
        made[f"duty {c.name}"] = duty_chart(c, duty=duty, system=s.design.system, theme=theme)
    return made


ALL = [(d, p) for d in DEMOS for p in ("whole", "close", "schematic", "plans", "duties")]


def some(demo: str, which: str) -> list[str]:
    made = pictures(demo)
    if which in made:
        return [made[which]]
    return [svg for name, svg in made.items() if name.startswith(which[:4])]


def shapes(root: ElementTree.Element) -> Iterator[ElementTree.Element]:
    """All elements that are drawn; what stands in definitions is not."""
    for child in root:
        if child.tag != f"{SVG}defs":
            yield child
            yield from shapes(child)


def words_of(svg: str) -> list[tuple[str, Box]]:
    """Every line of type with the box that it fills, measured from the file itself."""
    found: list[tuple[str, Box]] = []
    for e in shapes(ElementTree.fromstring(svg)):
        if e.tag != f"{SVG}text":
            continue
        size, weight_ = float(e.attrib["font-size"]), int(e.attrib.get("font-weight", "400"))
        narrow = "Condensed" in e.attrib.get("font-family", "Condensed")
        at = (float(e.attrib["x"]), float(e.attrib["y"]))
        text = e.text or ""
        box = text_box(at, text, size, anchor=e.attrib.get("text-anchor", "start"), weight=weight_, narrow=narrow)
        if "transform" in e.attrib:
            assert e.attrib["transform"].startswith("rotate(-90 ")
            x, y = at
            box = Box(x + (box.y0 - y), y - (box.x1 - x), x + (box.y1 - y), y - (box.x0 - x))
        found.append((text, box))
    return found


@pytest.mark.parametrize(("demo", "which"), ALL)
def test_no_label_lies_on_another_or_leaves_the_sheet(demo: str, which: str) -> None:
    for svg in some(demo, which):
        found = words_of(svg)
        assert len(found) > 5
        w, h = (float(x) for x in re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg).groups())
        for words, box in found:
            assert box.within(Box(0, 0, w, h)), words
        # rounding to a tenth of a millimetre and room for tails are not overlap
        boxes = [(t, b.grown(-0.25)) for t, b in found]
        met = [(t, u) for i, (t, a) in enumerate(boxes) for u, b in boxes[i + 1 :] if a.meets(b)]
        assert met == []


@pytest.mark.parametrize(("demo", "which"), ALL)
def test_everything_is_drawn_inside_the_sheet(demo: str, which: str) -> None:
    for svg in some(demo, which):
        root = ElementTree.fromstring(svg)
        w, h = (float(x) for x in root.attrib["viewBox"].split()[2:])
        assert (root.attrib["width"], root.attrib["height"]) == (f"{num(w)}mm", f"{num(h)}mm")
        for e in shapes(root):
            xs = [float(e.attrib[k]) for k in ("x", "x1", "x2", "cx") if k in e.attrib]
            ys = [float(e.attrib[k]) for k in ("y", "y1", "y2", "cy") if k in e.attrib]
            for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", e.attrib.get("d", "")):
                xs.append(float(x))
                ys.append(float(y))
            assert all(0 <= x <= w for x in xs), ElementTree.tostring(e)
            assert all(0 <= y <= h for y in ys), ElementTree.tostring(e)


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("paper", sorted(SIZES))
def test_a_page_sized_drawing_is_as_large_as_the_page_allows(demo: str, paper: str) -> None:
    for upright in (False, True):
        size = drawing_size(paper, upright=upright)
        svg = floor(study(demo), study(demo).design.house.storeys[0].name, size=size)
        assert f'width="{num(size[0])}mm" height="{num(size[1])}mm"' in svg


@pytest.mark.parametrize("demo", DEMOS)
def test_every_leg_and_emitter_is_drawn(demo: str) -> None:
    s, made = study(demo), pictures(demo)
    plans = "".join(svg for name, svg in made.items() if name.startswith("plan"))
    for leg in s.pipework.legs:
        mine = f'data-id="{escape("leg:" + leg.name)}"'
        assert mine in made["whole"]
        assert mine in plans
    for e in s.design.emitters:
        mine = f'data-id="{escape("emitter:" + e.name)}"'
        assert mine in made["whole"]
        assert mine in plans
        assert any(words == e.name for words, _ in words_of(made["whole"]))
    for room in s.design.house.rooms:
        assert f'data-id="{escape("room:" + room.name)}"' in plans


@pytest.mark.parametrize("demo", DEMOS)
def test_every_joint_is_numbered_near_the_boiler_or_on_the_whole(demo: str) -> None:
    s = study(demo)
    told: set[int] = set()
    for svg in (pictures(demo)["whole"], pictures(demo)["close"]):
        for text in re.findall(r'data-id="joints:([^"]*)"', svg):
            for part in text.split(", "):
                first, _, last = part.partition("–")
                told.update(range(int(first), int(last or first) + 1))
    assert told == {j.number for j in s.fabrication.joints}


@pytest.mark.parametrize("demo", DEMOS)
def test_the_same_reading_gives_the_same_bytes(demo: str) -> None:
    s = study(demo)
    assert elevation(s) == elevation(s)
    assert close(s) == close(s)
    assert floor(s, s.design.house.storeys[0].name) == floor(s, s.design.house.storeys[0].name)


def test_the_order_of_sets_does_not_show() -> None:
    code = (
        "import hashlib, sys; from wetside import open_job;"
        "from wetside.sheets.draw.schematic import schematic; from wetside.sheets.draw.sides import sides;"
        "s = open_job(sys.argv[1]); d = s.design;"
        "p = schematic(s.pipework, house=d.house, emitters=d.emitters, boilers=d.boilers, tanks=d.tanks, flow=s.flow,"
        " sides=sides(s.pipework, s.flow), system=d.system);"
        "print(hashlib.sha256(p.encode()).hexdigest())"
    )
    folder = str(files("wetside.jobfile") / "demos" / "schoolhouse")
    answers = {
        subprocess.run(
            [sys.executable, "-c", code, folder], env={"PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("1", "2")
    }
    assert len(answers) == 1


def renamed(thing: Any, names: dict[str, str]) -> Any:
    """The same reading with other names, wherever they stand."""
    if isinstance(thing, str) and type(thing) is str:
        for old, new in names.items():
            if thing == old:
                return new
            if thing.startswith(f"{old}."):
                return new + thing[len(old) :]
        return thing
    if isinstance(thing, tuple):
        return tuple(renamed(x, names) for x in thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(thing, **{f.name: renamed(getattr(thing, f.name), names) for f in fields(thing) if f.init})
    return thing


HOSTILE = ("<b>&\"'", "Wohnküche Ælfgård – Œuvre Ω", "\x00\x1f]]>", "a" * 300, "↯ 火 \u202e", "")


@pytest.mark.parametrize("name", HOSTILE)
def test_names_are_text_whatever_they_hold(name: str) -> None:
    s = study("net-loft")
    d = s.design
    names = {"Workshop": name, "R1": f"{name}R", "boiler": f"{name}B", "vessel": f"{name}V"}
    house, load, emitters, pipework, boilers, flow, fabrication = (
        renamed(x, names) for x in (d.house, s.rooms, d.emitters, s.pipework, d.boilers, s.flow, s.fabrication)
    )
    side = sides(pipework, flow)
    made = [
        isometric(
            pipework, house=house, emitters=emitters, fabrication=fabrication, sides=side, system=d.system, job=name
        ),
        schematic(
            pipework, house=house, emitters=emitters, boilers=boilers, flow=flow, sides=side, system=d.system, job=name
        ),
        plan(
            house=house, storey="Ground", load=load, openings=renamed(s.openings, names), emitters=emitters,
            pipework=pipework, flow=flow, sides=side, system=d.system, job=name,
        ),
    ]  # fmt: skip
    for svg in made:
        root = ElementTree.fromstring(svg)
        assert "<b>" not in svg
        w = float(root.attrib["viewBox"].split()[2])
        for words, box in words_of(svg):
            assert box.x0 >= -0.3, words
            assert box.x1 <= w + 0.3, words


@pytest.mark.parametrize("demo", DEMOS)
def test_print_needs_no_colour(demo: str) -> None:
    for svg in pictures(demo, PRINT).values():
        for r, g, b in re.findall(r'"#(..)(..)(..)"', svg):
            assert r == g == b
    assert len({DASH["flow"], DASH["return"], DASH["other"]}) == 3


def test_no_drawing_leans_on_variables_styles_or_foreign_objects() -> None:
    for svg in pictures("net-loft", DARK).values():
        assert not re.search(r"var\(|style=|foreignObject|<script|href", svg)
        assert LIGHT.ink not in svg


@pytest.mark.parametrize("demo", DEMOS)
def test_flow_is_warm_and_return_is_cool(demo: str) -> None:
    s = study(demo)
    side = sides(s.pipework, s.flow)
    assert side.keys() == {leg.name for leg in s.pipework.legs}
    supply = max(b.supply_c for b in s.flow.boilers)
    by_side: dict[str, list[float]] = {"flow": [], "return": [], "other": []}
    cut = shared_legs(s.pipework)
    for leg in s.flow.legs:
        if abs(leg.flow_kg_s) > 1e-4 and leg.name not in cut:
            by_side[side[leg.name]].append((leg.start_c + leg.end_c) / 2)
    assert by_side["flow"] and by_side["return"] and not by_side["other"]
    assert sum(by_side["flow"]) / len(by_side["flow"]) > sum(by_side["return"]) / len(by_side["return"]) + 3
    assert max(by_side["flow"]) == pytest.approx(supply, abs=1.0)


def test_sides_without_a_flow_reading_follow_the_tube() -> None:
    s = study("net-loft")
    side = sides(s.pipework, None)
    for leg in s.pipework.legs:
        if leg.run.endswith((" flow", " return")):
            assert side[leg.name] == leg.run.rsplit(" ", 1)[1], leg.name
    assert {side[leg.name] for leg in s.pipework.legs if leg.run in ("cold feed", "hot feed")} == {"other"}
    # between the closely spaced tees, and the mixing valve's own leg
    shared, mixing = sorted(shared_legs(s.pipework), key=lambda name: name != "primary 3")
    assert mixing == "mixing leg"
    leg = next(g for g in s.pipework.legs if g.name == shared)
    assert {s.pipework.nodes[leg.a].name, s.pipework.nodes[leg.b].name} == {"primary.A", "primary.B"}


def test_the_plan_is_to_scale() -> None:
    s = study("net-loft")
    svg = floor(s, "Ground")
    said = re.search(r"scale 1:(\d+)", svg)
    assert said
    room = next(r for r in s.design.house.rooms if r.name == "Workshop")
    path = re.search(r'data-id="room:Workshop"><path d="([^"]+)"', svg)
    assert path
    points = [(float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path[1])]
    wide = max(x for x, _ in room.outline) - min(x for x, _ in room.outline)
    high = max(y for _, y in room.outline) - min(y for _, y in room.outline)
    assert max(x for x, _ in points) - min(x for x, _ in points) == pytest.approx(wide * 1000 / int(said[1]), abs=0.11)
    assert max(y for _, y in points) - min(y for _, y in points) == pytest.approx(high * 1000 / int(said[1]), abs=0.11)


def test_scales_are_those_on_a_scale_rule() -> None:
    field = Box(0, 0, 250, 150)
    assert choose_scale(12.5, 7.5, field, System.METRIC) == 50
    assert choose_scale(12.51, 7.5, field, System.METRIC) == 75
    assert choose_scale(12.0, 7.2, field, System.US) == 48
    assert choose_scale(1e4, 1, field, System.METRIC) == 500


@pytest.mark.parametrize("demo", DEMOS)
def test_storeys_share_all_tube_between_them(demo: str) -> None:
    s = study(demo)
    bands = sorted(band(s.design.house, y.name) for y in s.design.house.storeys)
    assert bands[0][0] == float("-inf")
    assert bands[-1][1] == float("inf")
    assert all(a[1] == b[0] for a, b in itertools.pairwise(bands))
    lines = lines_of(s.pipework)
    seen = {(x.line, x.a, x.b) for low, high in bands for x in stretches(lines, low, high)}
    everything = {
        (i, p.at, q.at) for i, line in enumerate(lines) for p, q in zip(line.beads, line.beads[1:], strict=False)
    }
    assert seen == everything


def test_the_schematic_says_where_tubes_lead() -> None:
    s = study("schoolhouse")
    words = {w for w, _ in words_of(pictures("schoolhouse")["schematic"])}
    assert any(w.startswith("to ") for w in words)
    assert any(w.startswith("from ") for w in words)
    lines = near_boiler(s.pipework, [b.name for b in s.design.boilers])
    reached = {o for line in lines if line.a is None or line.b is None for o in serves(s.pipework, line, through=True)}
    assert {e.name for e in s.design.emitters} <= reached


def test_closely_spaced_tees_carry_their_distance() -> None:
    words = [w for w, _ in words_of(pictures("net-loft")["schematic"])]
    assert "100 mm" in words


@pytest.mark.parametrize("draw", [close, whole, elevation])
def test_a_three_way_valve_has_a_wedge_to_each_way_and_its_name(draw: Any) -> None:
    svg = draw(study("net-loft"))
    groups = {g.get("data-id"): g for g in ElementTree.fromstring(svg).iter(f"{SVG}g")}
    group = groups["three_way:mixing valve"]
    wedges = [p.get("d", "") for p in group.iter(f"{SVG}path")]
    assert len(wedges) == 3
    middles = {re.findall(r"[-\d.]+", d)[-2:] == re.findall(r"[-\d.]+", wedges[0])[-2:] for d in wedges}
    assert middles == {True}, "their points meet"
    assert "three-way valve" in svg
    assert ">mixing valve<" in svg


def test_drawings_of_nothing_say_so() -> None:
    s = study("net-loft")
    d = s.design
    bare = replace(s.pipework, nodes=(), legs=(), closures=())
    svg = isometric(bare, house=d.house, emitters=d.emitters, fabrication=None, sides={}, system=d.system)
    assert "no tube drawn yet" in svg
    svg = schematic(
        bare, house=d.house, emitters=d.emitters, boilers=d.boilers, flow=None, sides={}, system=d.system
    )  # fmt: skip
    assert "no tube at the boiler yet" in svg
    empty = replace(d.house, rooms=())
    svg = plan(
        house=empty, storey="Ground", load=s.rooms, openings=(), emitters=(), pipework=None, flow=None, sides={},
        system=d.system,
    )  # fmt: skip
    assert "no room with an outline" in svg


def test_marks_differ_in_black_and_white() -> None:
    seen = {re.sub(r'class="[^"]*"', "", mark(v, (5, 5), 4, PRINT)) for v in Verdict}
    assert len(seen) == len(Verdict)
    for v in Verdict:
        ElementTree.fromstring(standalone(v, PRINT))
    drawing = Drawing(10, 10, PRINT, "t", "k")
    fills = {v: pattern(drawing, v) for v in Verdict}
    assert fills[Verdict.HOLDS] == "none"
    assert len(set(fills.values())) == len(Verdict)
    assert len(drawing.definitions) == len(Verdict) - 1


def test_duty_point_lies_on_the_drawn_curve() -> None:
    s = study("net-loft")
    (c,), svg = s.design.circulators, pictures("net-loft")[f"duty {s.design.circulators[0].name}"]
    ring_ = re.search(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="1.3"', svg)
    curve = re.search(r'<path d="([^"]+)" fill="none" stroke="#6B2C70"', svg)
    assert ring_ and curve
    x, y = float(ring_[1]), float(ring_[2])
    points = [(float(a), float(b)) for a, b in re.findall(r"[ML]([\d.]+) ([\d.]+)", curve[1])]
    (x0, y0), (x1, y1) = next((p, q) for p, q in itertools.pairwise(points) if p[0] <= x <= q[0])
    assert y == pytest.approx(y0 + (y1 - y0) * (x - x0) / (x1 - x0), abs=0.15)
    assert c.name in [w for w, _ in words_of(svg)]


def test_small_things_of_the_writer() -> None:
    assert num(-0.04) == "0"
    assert num(12.0) == "12"
    assert num(0.25, 2) == "0.25"
    assert tag("a", b_c=1.26, d='"<', e=None) == '<a b-c="1.3" d="&quot;&lt;"/>'
    assert spans([3, 7, 8, 9, 11, 12]) == "3, 7–9, 11, 12"
    assert nice_step(7.3, 6) == 2.0
    assert weight(0.015) < weight(0.022) < weight(0.028)
    assert set(THEMES) == {"light", "dark", "print"}


@given(st.text(max_size=60), st.floats(4, 60))
def test_clipped_text_fits(text: str, room: float) -> None:
    short = clip(text, 3.0, room)
    assert width(short, 3.0) <= room or short == "…"
    assert short == " ".join(text.split()) or short.endswith("…")


@given(st.text(max_size=40))
def test_any_text_is_well_formed(text: str) -> None:
    ElementTree.fromstring(f'<t a="{escape(text)}">{escape(text)}</t>')


@given(
    st.lists(st.floats(-5, 15, allow_subnormal=False), min_size=2, max_size=12),
    st.lists(st.tuples(st.integers(0, 11), st.integers(0, 11), st.floats(0.5, 12)), max_size=10),
    st.floats(0.1, 40),
)
def test_a_stretched_axis_keeps_order_and_gives_what_is_asked(
    values: list[float], asks: list[tuple[int, int, float]], per_m: float
) -> None:
    world = stops(values)
    needs = [
        (min(world[i % len(world)], world[j % len(world)]), max(world[i % len(world)], world[j % len(world)]), mm)
        for i, j, mm in asks
    ]
    axis = stretched(world, asked_of(world, needs), per_m, 0.7)
    assert all(b > a for a, b in zip(axis.paper, axis.paper[1:], strict=False))
    for low, high, mm in needs:
        if high > low:
            assert axis(high) - axis(low) >= mm - 1e-6


@given(st.lists(st.tuples(st.floats(0, 90), st.floats(0, 60), st.floats(2, 25)), max_size=25))
def test_labels_never_share_a_place(labels: list[tuple[float, float, float]]) -> None:
    crowd = Crowd(Box(0, 0, 100, 70))
    crowd.wire((0, 0), (100, 70))
    taken: list[Spot] = []
    for x, y, w in labels:
        spot = crowd.choose(ring((x, y), w, 3.0, (1.0, 4.0, 9.0)))
        if spot is not None:
            assert spot.box.within(crowd.bounds)
            assert not any(spot.box.meets(t.box) for t in taken)
            taken.append(spot)
