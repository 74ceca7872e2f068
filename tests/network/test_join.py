"""Separators, buffers, exchangers, three-way valves, manifolds and set valves, from pipework to flows."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import smallhouse as house
from smallhouse import BOILER, EMITTERS, ROOM_C, all_runs, at_work, circulator, items, run

from wetside.basis.errors import JobProblem
from wetside.network.flow import flow
from wetside.network.net import Regulation
from wetside.network.reading import FlowReading
from wetside.network.resist import item
from wetside.network.spec import Apparatus, Manifold, PlateExchanger, Separator, ThreeWayValve
from wetside.network.valves import RANGE, kv_at
from wetside.pipework.lay import lay
from wetside.pipework.spec import Fit, Item, ItemKind, Port, Run, Vec
from wetside.pipework.tubes import shipped_tubes

WEST, EAST, DOWN = (-1.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0)


def connection(owner: str, name: str, at: Vec, faces: Vec) -> Port:
    return Port(owner=owner, name=name, at=at, faces=faces, owner_kind="equipment")


def work(runs: list[Run], ports: list[Port], apparatus: Apparatus, extra: tuple[Item, ...] = ()) -> FlowReading:
    """One radiator R1 and the boiler, on runs of the test's own."""
    everything = [p for p in house.PORTS if p.owner in ("boiler", "R1")] + ports
    pipework = lay(runs, everything, shipped_tubes(), items(*extra), lambda _: "")
    return flow(
        pipework, emitters=EMITTERS[:1], emitter_valves={}, items=items(*extra), boilers=(BOILER,),
        circulators=(circulator("heating circulator"),), tanks=(), room_c=ROOM_C, void_c=15.0, apparatus=apparatus,
    )  # fmt: skip


def four(owner: str, near: tuple[str, str], far: tuple[str, str]) -> list[Port]:
    """Two connections to the boiler (at its east) and two to the house (at its west), flows at the top."""
    return [
        connection(owner, near[0], (-0.5, 0.0, 1.0), EAST), connection(owner, near[1], (-0.5, 0.0, 0.6), EAST),
        connection(owner, far[0], (-0.6, 0.0, 1.0), WEST), connection(owner, far[1], (-0.6, 0.0, 0.6), WEST),
    ]  # fmt: skip


def two_circuits(owner: str, near: tuple[str, str], far: tuple[str, str]) -> list[Run]:
    return [
        run("to it", "copper 22", "boiler.flow", "down 0.5 m, west ...", f"{owner}.{near[0]}"),
        run("from it", "copper 22", f"{owner}.{near[1]}", "east 0.2 m, down 0.2 m, east ..., up ...", "boiler.return"),
        run("out", "copper 22", f"{owner}.{far[0]}",
            "west 0.2 m, fit heating circulator, west 0.5 m, north 3 m, down 1.0 m, east ..., up ...", "R1.flow"),
        run("home", "copper 22", "R1.return", "down 0.3 m, west 7 m, south ..., up ..., east ...", f"{owner}.{far[1]}"),
    ]  # fmt: skip


FOUR = (("boiler_flow", "boiler_return"), ("heating_flow", "heating_return"))
SEPARATOR = Separator(name="S", bore_m=0.08, height_m=0.4)


def test_a_separator_parts_the_circuits() -> None:
    f = work(two_circuits("S", *FOUR), four("S", *FOUR), Apparatus(separators=(SEPARATOR,)))
    boiler, r = f.boilers[0], f.emitters[0]
    assert boiler.flow_kg_s > 0.0
    assert r.flow_kg_s > 0.0
    assert boiler.flow_kg_s != pytest.approx(r.flow_kg_s, rel=0.01)
    if boiler.flow_kg_s > r.flow_kg_s:
        assert r.supply_c == pytest.approx(boiler.supply_c, abs=0.6)  # bare tube on the way
        assert boiler.return_c > r.return_c
    # one circulator's speed does not reach the other circuit
    slow = replace(BOILER, circulator=circulator("boiler circulator", 0.7))
    g = flow(
        lay(two_circuits("S", *FOUR), [*house.PORTS[:2], *four("S", *FOUR), *house.PORTS[3:5]], shipped_tubes(),
            items(), lambda _: ""),
        emitters=EMITTERS[:1], emitter_valves={}, items=items(), boilers=(slow,),
        circulators=(circulator("heating circulator"),), tanks=(), room_c=ROOM_C, void_c=15.0,
        apparatus=Apparatus(separators=(SEPARATOR,)),
    )  # fmt: skip
    assert g.emitters[0].flow_kg_s == pytest.approx(r.flow_kg_s, rel=0.01)
    assert g.boilers[0].flow_kg_s < 0.8 * boiler.flow_kg_s


def test_a_mixed_buffer_gives_one_temperature_to_both_sides_and_loses_heat() -> None:
    mixed = replace(SEPARATOR, bore_m=0.4, height_m=1.0, mixed=True, loss_w_k=20.0)
    f = work(two_circuits("S", *FOUR), four("S", *FOUR), Apparatus(separators=(mixed,)))
    nodes = {n.name: n.temperature_c for n in f.nodes}
    assert nodes["S.heating_flow"] == pytest.approx(nodes["S.boiler_return"], abs=1e-6)
    assert nodes["S.boiler_flow"] > nodes["S.heating_flow"] > nodes["S.heating_return"]
    tube = sum(x.loss_w for x in f.legs)
    assert f.pipe_loss_w - tube == pytest.approx(20.0 * (nodes["S.heating_flow"] - 15.0), rel=0.05)


def test_an_exchanger_joins_two_waters() -> None:
    sides = (("hot_flow", "hot_return"), ("cold_flow", "cold_return"))
    x = PlateExchanger(name="X", w_k=900.0, hot_kv_m3_h=3.0, cold_kv_m3_h=3.0)
    f = work(two_circuits("X", *sides), four("X", *sides), Apparatus(exchangers=(x,)))
    nodes = {n.name: n.temperature_c for n in f.nodes}
    assert nodes["X.hot_flow"] > nodes["X.cold_flow"] > nodes["X.cold_return"]
    assert f.emitters[0].output_w > 500.0
    assert f.boilers[0].output_w == pytest.approx(f.emitters[0].output_w + f.pipe_loss_w, rel=1e-6)
    assert f.residual_head_pa < 1.0


def test_what_no_run_reaches_is_told() -> None:
    x = PlateExchanger(name="X", w_k=900.0, hot_kv_m3_h=3.0, cold_kv_m3_h=3.0)
    odd = ThreeWayValve(name="V", tee="primary.Q", kv_m3_h=4.0)
    with pytest.raises(JobProblem) as told:
        at_work(all_runs(), apparatus=Apparatus(separators=(SEPARATOR,), exchangers=(x,), three_ways=(odd,)))
    said = "\n".join(str(m) for m in told.value.mistakes)
    assert "no run reaches it" in said
    assert "no run reaches X.hot_flow" in said
    assert 'no tee "primary.Q"' in said


def mixed_runs() -> dict[str, Run]:
    """The small house with a mixing valve in the heating flow, its cold way from the heating return."""
    runs = all_runs()
    flow_run, back = runs["heating flow"], runs["heating return"]
    first = run("x", "copper 22", "primary.A", "west 0.1 m, tee M, west 0.1 m").moves
    runs["heating flow"] = replace(flow_run, moves=(*first, *flow_run.moves[1:]))
    cut = run("x", "copper 22", "primary.B", "west 0.1 m, tee C, west 0.6 m").moves
    runs["heating return"] = replace(back, moves=(*cut, *back.moves[1:]))
    runs["mixing leg"] = run("mixing leg", "copper 22", "heating return.C", "up ...", "heating flow.M")
    return runs


@pytest.mark.parametrize(("set_c", "held"), [(45.0, True), (55.0, True), (90.0, False)])
def test_a_three_way_valve_at_a_tee_holds_the_flow_temperature(set_c: float, held: bool) -> None:
    valve = ThreeWayValve(name="V", tee="heating flow.M", kv_m3_h=4.0, hot="before", cold="branch", set_c=set_c)
    f = at_work(mixed_runs(), apparatus=Apparatus(three_ways=(valve,)))
    state = f.three_ways[0]
    assert (state.name, state.set_c) == ("V", set_c)
    assert state.mixed_c is not None
    if held:
        assert state.mixed_c == pytest.approx(set_c, abs=5e-3)
        assert max(e.supply_c for e in f.emitters) < set_c
        assert not state.at_end
    else:
        assert state.at_end
        assert state.mixed_c < set_c


def test_a_manifold_is_one_water() -> None:
    """Two home runs off a manifold for the flow and one for the return."""
    ports = [
        connection("out", "in", (0.0, 0.5, 0.5), (0.0, -1.0, 0.0)), connection("out", "1", (0.1, 0.6, 0.5), EAST),
        connection("out", "2", (0.1, 0.7, 0.5), EAST),
        connection("back", "out", (0.3, 0.5, 0.3), (0.0, -1.0, 0.0)), connection("back", "1", (0.4, 0.6, 0.3), EAST),
        connection("back", "2", (0.4, 0.7, 0.3), EAST),
    ]  # fmt: skip
    runs = [
        run("up", "copper 22", "boiler.flow", "down 1.0 m, north ...", "out.in"),
        run("down", "copper 22", "back.out", "south 0.5 m, up ...", "boiler.return"),
        *(run(f"{e} {way}", "copper 15", f"{m}.{i}", "east 0.1 m, down 0.4 m, north 2 m, east ..., north ..., up ...",
              f"{e}.{way}")
          for i, e in ((1, "R1"), (2, "R2")) for m, way in (("out", "flow"), ("back", "return"))),
    ]  # fmt: skip
    everything = [p for p in house.PORTS if p.owner in ("boiler", "R1", "R2")] + ports
    pipework = lay(runs, everything, shipped_tubes(), items(), lambda _: "")
    f = flow(
        pipework, emitters=EMITTERS[:2], emitter_valves={}, items=items(), boilers=(BOILER,), circulators=(), tanks=(),
        room_c=ROOM_C, void_c=15.0, apparatus=Apparatus(manifolds=(Manifold(name="out"), Manifold(name="back"))),
    )  # fmt: skip
    assert all(e.flow_kg_s > 0.01 for e in f.emitters)
    assert f.boilers[0].flow_kg_s == pytest.approx(sum(e.flow_kg_s for e in f.emitters), abs=1e-9)


# ---- valves that are set


def test_characteristics() -> None:
    assert kv_at(4.0, 0.5) == 2.0
    assert kv_at(4.0, 1.0, "equal percentage") == pytest.approx(4.0)
    assert kv_at(4.0, 0.5, "equal percentage") == pytest.approx(4.0 * RANGE**-0.5)
    assert kv_at(4.0, 0.0, "equal percentage") == 0.0
    steps = [kv_at(4.0, x, "equal percentage") for x in np.linspace(0.0, 1.0, 101)]
    assert all(b > a for a, b in pairwise(steps))


def test_a_half_open_valve_has_half_its_kv_and_one_by_k_too() -> None:
    own = Item(name="v", kind=ItemKind.GLOBE_VALVE, kv_m3_h=5.0, opening=0.5)
    assert item(own, 0.02).kv_m3_h == pytest.approx(2.5)
    by_k = Item(name="v", kind=ItemKind.GLOBE_VALVE, k=9.0)
    whole, half = item(by_k, 0.02), item(replace(by_k, opening=0.5), 0.02)
    area = np.pi / 4 * 0.02**2
    assert whole.k == 9.0
    # K grows by the square of what Kv shrinks
    assert 2.0 * 1e5 / 1000.0 * (area * 3600.0 / (half.kv_m3_h or 1.0)) ** 2 == pytest.approx(36.0, rel=1e-9)


def test_a_valve_that_is_shut_by_its_opening_stops_the_run() -> None:
    runs = all_runs()
    runs["R1 flow"] = replace(runs["R1 flow"], moves=(Fit(item="v"), *runs["R1 flow"].moves))
    still = Item(name="v", kind=ItemKind.GLOBE_VALVE, opening=0.0)
    f = at_work(runs, (still,))
    assert {e.name: e.flow_kg_s > 0.0 for e in f.emitters} == {"R1": False, "R2": True, "R3": True}


def test_head_in_metres_is_what_the_curve_shows() -> None:
    f = at_work(all_runs())
    for c in f.circulators:
        from wetside.network.curve import head_at
        from wetside.network.net import Curve

        assert c.cold_pa == pytest.approx(head_at(Curve(name="", points=house.PUMP), c.flow_m3_s), rel=1e-6)
        assert c.head_pa < c.cold_pa


def test_a_regulated_circulator_in_a_run() -> None:
    pump = replace(circulator("heating circulator"), regulation=Regulation.CONSTANT, set_pa=1.5e4)
    f = at_work(all_runs(), circulators=(pump,))
    duty = {c.name: c for c in f.circulators}["heating circulator"]
    assert duty.cold_pa == pytest.approx(1.5e4, abs=0.1)


# ---- states


def test_states_of_the_house() -> None:
    f = at_work(all_runs(), shut=("R1",), still=("heating circulator",))
    assert f.shut == ("R1",)
    assert f.standing == ("heating circulator",)
    duty = {c.name: c for c in f.circulators}
    assert not duty["heating circulator"].running
    by_name = {e.name: e for e in f.emitters}
    assert by_name["R1"].flow_kg_s == 0.0
    # what the leg between the tees pushes through the idle circuit
    assert 0.0 < by_name["R2"].flow_kg_s < 0.2 * f.boilers[0].flow_kg_s


def test_unknown_names_in_a_state_are_told() -> None:
    with pytest.raises(JobProblem) as told:
        at_work(all_runs(), shut=("R11",), still=("heating circulatr",))
    said = "\n".join(str(m) for m in told.value.mistakes)
    assert 'nothing that can be shut is called "R11"' in said
    assert 'did you mean "heating circulator"?' in said
