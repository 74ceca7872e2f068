"""Counted materials."""

from math import pi

import pytest

from wetside.basis.quantity import System
from wetside.emitter.spec import Emitter, EmitterKind
from wetside.fabricate.fittings import fit
from wetside.fabricate.reading import FittingKind
from wetside.network.spec import Boiler, Tank
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item, ItemKind, Port, Run
from wetside.pipework.tubes import shipped_tubes
from wetside.takeoff.count import count, sizes_text
from wetside.takeoff.cutting import lay_cuts
from wetside.takeoff.reading import Takeoff

PORTS = (
    Port(owner="boiler", name="flow", at=(0.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
    Port(owner="R1", name="flow", at=(4.0, 1.3, 0.1), faces=(0.0, -1.0, 0.0), owner_kind="emitter"),
)
ITEMS = (
    *shipped_items(),
    Item(name="pump 1", kind=ItemKind.CIRCULATOR, water_m3=0.0003),
    Item(name="V1", kind=ItemKind.BALANCING_VALVE),
)


def run(name: str, start: str, *moves: str, end: str = "", tube: str = "copper 22") -> Run:
    said = tuple(parse_move(m, System.METRIC) for m in moves)
    return Run(name=name, tube=tube, start=start, moves=said, end=end)


RUNS = (
    run("flow", "boiler.flow", "down 500 mm", "fit V1", "down 1 m", "fit pump 1", "down to -0.4 m", "east 2.5 m",
        "tee T", "east 4.5 m"),
    run("R1", "flow.T", "north 1 m", "east …", "up …", "north …", end="R1.flow", tube="copper 15"),
)  # fmt: skip


def emitter(name: str, sections: int = 10) -> Emitter:
    return Emitter(
        name=name, room="", kind=EmitterKind.COLUMN, rated_w=1000.0, rated_excess_k=50.0, exponent=1.3, water_m3=0.011,
        mass_kg=60.0, rating_note="", length_m=0.6, height_m=0.76, depth_m=0.1, sections=sections,
    )  # fmt: skip


BOILER = Boiler(name="boiler", output_w=2e4, least_w=5e3, flow_c=70.0, kv_m3_h=3.0, water_m3=0.0024)
TANK = Tank(name="tank", room="", volume_m3=0.2, store_c=60.0, coil_w_k=500.0, kv_m3_h=3.0, coil_water_m3=0.006)


def laid(*runs: Run) -> Pipework:
    return lay(runs, PORTS, shipped_tubes(), ITEMS, lambda _: "")


def counted(*runs: Run) -> Takeoff:
    pipework = laid(*runs)
    fabrication = fit(pipework)
    return count(
        pipework,
        fabrication,
        lay_cuts(fabrication),
        emitters=(emitter("R1"), emitter("R2"), emitter("R3", 0)),
        emitter_valves={"R1": ("thermostatic valve", "lockshield valve"), "R2": ("", "V1")},
        items=ITEMS,
        boilers=(BOILER,),
        tanks=(TANK,),
        equipment=(("boiler", "boiler"), ("emitter", "R1"), ("vessel", "red one")),
    )


def test_tube_in_metres_and_sticks() -> None:
    t22, t15 = counted(*RUNS).tubes
    # 0.5 + 1 + 0.4 down, 2.5 + 4.5 east along the centre lines
    assert (t22.tube, t22.size, t22.stock_m) == ("copper 22", "22 mm", 3.0)
    assert t22.length_m == pytest.approx(1.9 + 7.0)
    # less the fittings: 0.437, 0.87, 0.296, 2.477, 3 and 1.489 coupled; 3 | 2.477 + 0.437 | 1.489 + 0.87 + 0.296
    assert t22.sticks == 3
    assert t15.length_m == pytest.approx(1.0 + 1.5 + 0.5 + 0.3)
    assert t15.sticks == 2


def test_counts() -> None:
    found = {(c.group, c.item, c.size): c.count for c in counted(*RUNS).counts}
    assert found == {
        ("fittings", "elbow 90°", "22 mm"): 1,
        ("fittings", "elbow 90°", "15 mm"): 3,
        ("fittings", "tee", "22 × 22 × 15 mm"): 1,
        ("fittings", "coupling", "22 mm"): 1,
        ("fittings", "cap", "22 mm"): 1,
        ("fittings", "connector", "22 mm"): 1,
        ("fittings", "connector", "15 mm"): 1,
        ("valves", "balancing valve", "22 mm"): 1,
        ("valves", "balancing valve", ""): 1,
        ("valves", "thermostatic valve", "15 mm"): 1,
        ("valves", "lockshield valve", ""): 1,
        ("equipment", "boiler", ""): 1,
        ("equipment", "vessel red one", ""): 1,
        ("equipment", "pump 1", "22 mm"): 1,
        ("emitters", "column radiator", "10 sections"): 2,
        ("emitters", "column radiator", "600 × 760 mm"): 1,
    }


def test_joints_agree_with_the_joint_list() -> None:
    pipework = laid(*RUNS)
    assert sum(j.count for j in counted(*RUNS).joints) == len(fit(pipework).joints)


def test_water() -> None:
    t = counted(*RUNS)
    parts = {w.part: w.water_m3 for w in t.water}
    assert parts["copper 22"] == pytest.approx(pi / 4 * 0.0202**2 * 8.9)
    assert parts["copper 15"] == pytest.approx(pi / 4 * 0.0136**2 * 3.3)
    assert parts["emitters"] == pytest.approx(0.033)
    assert parts["boiler"] == pytest.approx(0.0024)
    assert parts["coil of tank"] == pytest.approx(0.006)
    assert parts["items"] == pytest.approx(0.0003)
    assert t.water_m3 == pytest.approx(sum(parts.values()))


def test_order_of_runs_does_not_matter() -> None:
    one, two = counted(*RUNS), counted(*RUNS[::-1])
    assert one.tubes == two.tubes
    assert one.counts == two.counts
    assert one.joints == two.joints


@pytest.mark.parametrize(
    ("kind", "sizes", "text"),
    [
        (FittingKind.ELBOW_90, ("22 mm",), "22 mm"),
        (FittingKind.REDUCER, ("15 mm", "22 mm"), "22 × 15 mm"),
        (FittingKind.TEE, ("22 mm", "22 mm", "22 mm"), "22 mm"),
        (FittingKind.TEE, ("15 mm", "22 mm", "28 mm"), "22 × 15 × 28 mm"),
        (FittingKind.TEE, ("3/4 in", "1 1/4 in", "1/2 in"), "1 1/4 × 3/4 × 1/2 in"),
        (FittingKind.TEE, ("22 mm", "22 mm", "1/2 in"), "22 mm × 22 mm × 1/2 in"),
        (FittingKind.CROSS, ("28 mm", "28 mm", "15 mm", "22 mm"), "28 × 28 × 22 × 15 mm"),
        (FittingKind.REDUCER, ("1 in", "28 mm"), "28 mm × 1 in"),
    ],
)
def test_sizes_as_asked_for(kind: FittingKind, sizes: tuple[str, ...], text: str) -> None:
    assert sizes_text(kind, sizes) == text


def test_a_street_elbow_is_counted_as_what_is_bought() -> None:
    lines = counted(run("a", "boiler.flow", "down 1 m", "west 43.4 mm", "down 500 mm")).counts
    elbows = {x.item: (x.size, x.count) for x in lines if "elbow" in x.item}
    assert elbows == {"street elbow 90°": ("22 mm", 1), "elbow 90°": ("22 mm", 1)}
