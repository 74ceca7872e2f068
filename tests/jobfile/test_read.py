"""Every field arrives in the design, in SI."""

import tomllib
from importlib.resources import files
from pathlib import Path

import pytest
from pytest import approx

from wetside.basis.quantity import BTU, FOOT, INCH, PSI, System
from wetside.emitter.ratings import EN_LOGARITHMIC
from wetside.fluid.water import liquid
from wetside.house.spec import Faces, Part, Shielding, Underfloor
from wetside.jobfile.check import table_in
from wetside.jobfile.new import demos
from wetside.jobfile.read import read_job
from wetside.jobfile.schema import EMITTERS, TABLES
from wetside.network.curve import head_at
from wetside.network.net import Curve, Regulation
from wetside.pipework.spec import ItemKind, Material
from wetside.study.design import Accepted, Design, Limits


@pytest.fixture
def design(job, everything) -> Design:
    return read_job(job(everything))


# A thing has a place or a height, and there is one vessel and one relief valve.
EITHER = {"vessel.height", "relief.at", "relief.faces"}


def test_the_example_states_every_field(everything):
    """So that no field goes untested when one is added."""
    data = tomllib.loads(everything)
    stated: set[str] = set()
    for name, kind in TABLES.items():
        for entry in data[name] if kind.many else [data[name]]:
            for field, value in entry.items():
                stated.add(f"{name}.{field}")
                inner = value if isinstance(value, list) else [value]
                stated.update(f"{name}.{field}.{deep}" for x in inner if isinstance(x, dict) for deep in x)
    known: set[str] = set()
    for name, kind in TABLES.items():
        for model in EMITTERS.values() if name == "emitter" else [kind.model]:
            for field, info in model.model_fields.items():
                known.add(f"{name}.{field}")
                inner = table_in(info.annotation)
                known.update(f"{name}.{field}.{deep}" for deep in inner.model_fields) if inner else None
    assert known - stated == EITHER
    assert stated <= known


def test_job_and_limits(design):
    assert (design.name, design.system, design.paper) == ("Everything", System.METRIC, "us-letter")
    assert design.notes == ("first note", "second note")
    assert design.limits == Limits(speed_m_s=0.8, gradient_pa_m=250.0, tubes=("copper 15", "copper 22"))
    assert design.drop_k == 12.0
    assert [k for _, k in design.emitter_drops_k] == [8.0]
    assert design.accepted == (Accepted(rule="NET-03", subject="loop", on="2026-11-01", because="short piece"),)
    assert design.file == "job.toml"


def test_climate_and_ground(design):
    c, g = design.house.climate, design.house.ground
    assert (c.outside_c, c.cold_water_c, c.shielding, c.altitude_m) == (-12, 7, Shielding.HEAVY, 250)
    assert c.mean_c == approx(9.0)  # 48.2 °F
    assert design.void_c == 12
    assert (g.underfloor, g.conductivity_w_mk, g.wall_thickness_m) == (Underfloor.CRAWL, 1.5, approx(0.4))
    assert (g.groundwater_close, g.edge_insulation_m2k_w, g.edge_depth_m) == (True, 1.2, approx(0.6))
    assert (g.crawl_height_m, g.crawl_wall_u_w_m2k, g.crawl_vents_m2_m, g.wind_m_s, g.wind_factor) == (
        0.4, 2.1, 0.002, 4, 0.1,
    )  # fmt: skip


def test_fabric_and_constructions(design):
    h = design.house
    assert (h.fabric.outer_wall, h.fabric.inner_door, h.bridge_allowance_w_m2k, h.n50_1_h) == (
        "brick wall", "door", 0.1, 4,
    )  # fmt: skip
    wall = h.constructions[0]
    assert [x.thickness_m for x in wall.layers] == approx([0.015, 9 * INCH, 0.025])
    assert wall.layers[0].conductivity_w_mk == 0.6
    assert wall.layers[1].conductivity_w_mk == 0.77  # the shipped brick
    assert (wall.layers[2].resistance_m2k_w, wall.layers[2].bridge_conductivity_w_mk) == (0.17, 0.13)
    assert wall.layers[2].bridge_share == approx(0.1)
    assert h.constructions[1].u_w_m2k == 1.5


def test_rooms(design):
    hall, porch, box = design.house.rooms
    assert hall.outline == ((0, 0), (5, 0), (5, 4), (0, 4))
    assert (hall.inside_c, hall.air_change_1_h, hall.height_m, hall.roof_pitch_deg) == (19, 0.7, approx(2.6), 20)
    assert (hall.outer_wall, hall.floor, hall.top, hall.reheat_w_m2) == ("board", "deck", "deck", 11)
    assert (hall.supply_air_m3_h, hall.supply_air_c) == (30, 16)
    assert (hall.bridges[0].psi_w_mk, hall.bridges[0].length_m) == (0.3, 1.5)
    assert porch.outline == ((5, 0), (7, 0), (7, 4), (5, 4))
    assert (porch.heated, porch.b_factor) == (False, 0.7)
    assert (box.outline, box.volume_m3, box.floor_area_m2) == ((), 20, 8)
    assert [(s.part, s.area_m2, s.faces, s.behind) for s in box.surfaces] == [
        (Part.WALL, 9.5, Faces.NEIGHBOUR, ""), (Part.WALL, 5, Faces.ROOM, "Hall"),
    ]  # fmt: skip
    assert box.surfaces[0].temperature_c == 15


def test_walls_openings_storeys(design):
    note, opening, storey = design.house.walls[0], design.house.openings[0], design.house.storeys[0]
    assert (note.room, note.wall, note.faces, note.temperature_c, note.below_ground_m) == (
        "Hall", 4, Faces.NEIGHBOUR, 10, 0.3,
    )  # fmt: skip
    assert (opening.part, opening.wall, opening.width_m, opening.height_m) == (Part.WINDOW, "south", 1.0, 1.1)
    assert (opening.sill_m, opening.offset_m) == (0.8, 0.5)
    assert (storey.level_m, storey.height_m) == (0.5, 2.5)


def test_boiler_and_circulators(design):
    b = design.boilers[0]
    assert (b.output_w, b.least_w, b.flow_c, b.kv_m3_h, b.most_c, b.mass_kg) == (20000, 4000, 60, 2.8, 75, 40)
    assert (b.water_m3, b.hot_water_w, b.rated_pressure_pa, b.condensing) == (approx(0.003), 24000, approx(4e5), False)
    assert b.circulator is not None
    assert b.circulator.points == ((0.0, approx(5 * 9.80665 * 999.972)), (approx(1.5 / 3600), approx(30000)))
    assert (b.circulator.speed, b.circulator.watts) == (0.9, 40)
    c = design.circulators[0]
    assert (c.name, c.speed, c.watts, c.mass_kg) == ("loop circulator", 0.8, 20, 3)
    assert c.points[1] == (approx(1 / 3600), approx(2 * 9.80665 * 999.972))


def test_items(design):
    by_name = {x.name: x for x in design.items}
    valve = by_name["V-hall"]
    assert (valve.kind, valve.kv_m3_h, valve.shut, valve.on_branch) == (ItemKind.ZONE_VALVE, 2.2, True, False)
    assert (valve.length_m, valve.mass_kg, valve.water_m3) == (approx(0.09), 0.8, approx(1e-4))
    assert (by_name["odd valve"].k, by_name["odd valve"].kv_m3_h) == (9, None)
    pump = by_name["loop circulator"]
    assert (pump.kind, pump.length_m, pump.mass_kg) == (ItemKind.CIRCULATOR, approx(0.13), 3)
    assert (by_name["panel lockshield"].kind, by_name["panel lockshield"].kv_m3_h) == (ItemKind.LOCKSHIELD, 0.4)
    assert {k.value for k in ItemKind} <= by_name.keys()


def test_emitters(design):
    by_name = {e.name: e for e in design.emitters}
    panel = by_name["panel"]
    assert (panel.rated_w, panel.exponent, panel.kv_m3_h) == (1000, 1.33, 4)
    assert panel.rated_excess_k == approx(60 * EN_LOGARITHMIC)
    assert (panel.water_m3, panel.mass_kg, panel.depth_m) == (approx(0.004), 25, approx(0.07))
    column = by_name["column"]
    assert column.rated_w == approx(900 / 1.15)  # ten sections of 90 W under metallic paint
    assert (column.sections, column.water_m3, column.mass_kg) == (10, approx(0.01), 50)
    # seven sections, 5-tube, 38 in: 35 ft² (trade sheet, heat.md EDR-1), 240 Btu/h per ft²
    assert by_name["old one"].surface_m2 == approx(35 * FOOT**2)
    assert by_name["old one"].rated_w == approx(35 * 240 * BTU / 3600)
    assert by_name["by surface"].rated_w == approx(20 * 240 * BTU / 3600)
    assert by_name["rail"].rated_w == 500
    fins = by_name["fins"]
    assert (fins.rated_w, fins.rated_excess_k) == (approx(1.5 * 500 / 1.15), 62)
    valves = dict(design.emitter_valves)
    assert valves["panel"] == ("V-hall", "panel lockshield")
    assert valves["rail"] == ("", "")


def test_plant(design):
    p = design.plant
    assert p.vessel is not None and p.relief is not None
    assert (p.vessel.volume_m3, p.vessel.charge_pa, p.vessel.at_height_m) == (approx(0.018), approx(0.9e5), 1)
    assert (p.relief.opens_pa, p.relief.capacity_w, p.relief.at_height_m) == (approx(3e5), 50000, 1.9)
    assert (p.cold_fill_pa, p.gauge_height_m, p.glycol_share) == (approx(18 * PSI), 1.4, approx(0.25))
    assert p.hot_water.wanted_kg_s == approx(10 / 60 * 1e-3 * liquid().density(42.0))
    assert (p.hot_water.hot_c, p.hot_water.people) == (42, 4)
    assert [(x.first, x.second) for x in p.pairs] == [("loop.A", "loop.B")]
    t = design.tanks[0]
    assert (t.room, t.volume_m3, t.store_c, t.coil_w_k, t.kv_m3_h) == ("Porch", approx(0.15), 58, 500, 2)
    assert (t.coil_water_m3, t.mass_kg) == (approx(0.006), 60)


def test_ports(design):
    by_ref = {p.ref: p for p in design.ports}
    assert by_ref["boiler.flow"].at == approx((0.9, 2, 1.5))
    assert by_ref["boiler.return"].at == approx((1 + 4 * INCH, 2, 1.5))
    assert by_ref["tank.flow"].at == approx((6, 2, 1.5))
    assert by_ref["tank.return"].faces == (-1, 0, 0)
    assert by_ref["vessel"].faces == (0, 0, 1)
    assert by_ref["cold main"].owner_kind == "equipment"
    assert by_ref["manifold.one"].at == approx((4, 3, 1.1))
    assert "relief valve 1" not in by_ref


def test_tube_and_run(design):
    tube = next(t for t in design.tubes if t.name == "PEX 16 special")
    assert (tube.material, tube.outside_m, tube.wall_m) == (Material.PEX, approx(0.016), approx(0.0022))
    assert (tube.roughness_m, tube.stock_m, tube.source) == (approx(7e-6), approx(50), "maker's sheet")
    run = design.runs[0]
    assert (run.tube, run.start, run.end, run.room) == ("PEX 16 special", "boiler.flow", "", "Hall")
    assert (run.insulation_m, run.insulation_w_mk, len(run.moves)) == (approx(0.013), 0.04, 7)


def test_a_us_job_reads_bare_numbers_in_us_units(job, starter):
    text = starter.replace('units = "metric"', 'units = "us"').replace("outside = -5 ", "outside = 14 ")
    text = text.replace("lockshield_kv = 0.5", "lockshield_kv = 1").replace("mean = 10 ", "mean = 50 ")
    text = (
        text.replace("flow = 55", "flow = 131")
        .replace("inside = 21", "inside = 70")
        .replace("inside = 18", "inside = 65")
    )
    design = read_job(job(text))
    assert design.system is System.US
    assert design.paper == "us-letter"
    assert design.house.climate.outside_c == approx(-10)
    assert design.house.rooms[0].outline[2] == approx((4 * FOOT, 3.6 * FOOT))
    assert design.boilers[0].flow_c == approx(55)
    assert design.house.constructions[0].layers[0].thickness_m == approx(13 * INCH)
    assert design.circulators[0].watts == 15  # watts are watts in either system
    # 1 gpm at 1 psi is 0.865 m³/h at 1 bar
    lockshield = next(x for x in design.items if x.name == "R1 lockshield")
    assert lockshield.kv_m3_h == approx(0.865, abs=5e-4)


@pytest.mark.parametrize("name", demos())
def test_demos_read(name):
    design = read_job(Path(str(files("wetside.jobfile") / "demos" / name)))
    assert design.runs


def test_a_folder_and_its_file_read_the_same(job):
    folder = job()
    assert read_job(folder) == read_job(folder / "job.toml") == read_job(str(folder))


def test_a_byte_order_mark_and_foreign_newlines_do_no_harm(job, starter):
    plain = read_job(job())
    assert read_job(job(b"\xef\xbb\xbf" + starter.replace("\n", "\r\n").encode())) == plain


def test_what_joins_circuits(design):
    a = design.apparatus
    plain, buffer = a.separators
    assert (plain.name, plain.bore_m, plain.height_m, plain.water_m3) == ("separator", approx(0.08), 0.4, approx(2e-3))
    assert (buffer.room, buffer.mixed, buffer.loss_w_k, buffer.water_m3) == ("Porch", True, 2, approx(0.12))
    assert 3.14159265 / 4 * buffer.bore_m**2 * buffer.height_m == approx(0.12)
    assert (a.exchangers[0].w_k, a.exchangers[0].hot_kv_m3_h, a.exchangers[0].cold_kv_m3_h) == (1200, 3, 2.5)
    v = a.three_ways[0]
    assert (v.tee, v.hot, v.cold, v.set_c, v.position, v.sensor) == ("loop.A", "branch", "after", 45, 0.3, "loop.B")
    assert [m.name for m in a.manifolds] == ["manifold"]
    assert {"separator.boiler_flow", "buffer.heating_return", "plates.cold_flow"} <= {p.ref for p in design.ports}


def test_regulated_circulators_and_boilers(design):
    first, spare = design.boilers
    assert first.circulator.regulation is Regulation.CONSTANT
    assert first.circulator.set_pa == approx(2.5 * 9806.38, rel=1e-4)
    assert spare.least_flow_kg_s == approx(0.3 / 3.6 * 0.9832, rel=1e-3)
    loop, by_terms = design.circulators
    assert loop.regulation is Regulation.PROPORTIONAL
    # 5 m, less 0.2 m and 0.001 m per 1000 l/h, as the job writes flow in l/h
    assert head_at(Curve(name="", terms=by_terms.terms), 1.0 / 3600.0) / 9806.38 == approx(3.8, rel=1e-3)


def test_valves_that_are_set(design):
    items = {i.name: i for i in design.items}
    odd, bypass, head = items["odd valve"], items["bypass"], items["head"]
    assert (odd.opening, odd.characteristic) == (approx(0.4), "equal percentage")
    assert (bypass.opens_pa, bypass.full_pa) == (approx(18e3), approx(25e3))
    assert (head.set_c, head.band_k) == (21, 1.5)
