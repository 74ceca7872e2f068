"""The small house at work, and what is said when it is drawn wrong."""

from dataclasses import replace

import pytest
from smallhouse import (
    BOILER,
    EMITTERS,
    PORTS,
    ROOM_C,
    VALVES,
    Run,
    all_runs,
    at_work,
    circulator,
    laid,
    port,
    radiator,
    run,
    without_tee,
)  # fmt: skip

from wetside.basis.errors import JobProblem, Mistake
from wetside.basis.quantity import G
from wetside.fluid.water import liquid
from wetside.network.reading import FlowReading, LegFlow
from wetside.network.spec import Tank
from wetside.pipework.spec import Fit, Item, ItemKind


def leg(reading: FlowReading, name: str) -> LegFlow:
    return next(x for x in reading.legs if x.name == name)


def mistakes(runs: dict[str, Run], **changes: object) -> dict[tuple[str, str], Mistake]:
    with pytest.raises(JobProblem) as caught:
        at_work(runs, **changes)
    return {(m.place.kind, m.place.name): m for m in caught.value.mistakes}


def test_every_emitter_is_warm_and_the_boiler_gives_what_they_and_the_tubes_take() -> None:
    f = at_work(all_runs())
    assert [e.name for e in f.emitters] == ["R1", "R2", "R3"]
    for e in f.emitters:
        assert 40.0 < e.return_c < e.supply_c <= 70.0
        assert e.output_w > 500.0
    given = sum(e.output_w for e in f.emitters) + f.pipe_loss_w
    assert f.boilers[0].output_w == pytest.approx(given, rel=1e-6)
    assert f.boilers[0].supply_c == pytest.approx(70.0)
    assert not f.boilers[0].limited
    assert f.pipe_loss_w == pytest.approx(sum(x.loss_w for x in f.legs), rel=1e-9)
    assert f.converged
    assert f.residual_head_pa < 0.1


def test_pressure_is_nothing_at_the_vessel_and_falls_along_the_flow() -> None:
    f = at_work(all_runs())
    at = {n.name: n.pressure_pa for n in f.nodes}
    assert at["vessel"] == 0.0
    back = leg(f, "R1 return")
    assert back.flow_kg_s < 0.0
    z = {n.name: n.at[2] for n in laid(all_runs()).nodes}
    lighter = liquid().density(60.0) - liquid().density(0.5 * (back.start_c + back.end_c))
    lift = (z["R1.return"] - z["heating return.1"]) * G * lighter
    assert back.end_pa - back.start_pa == pytest.approx(back.drop_pa + lift, abs=1e-3)
    assert leg(f, "heating flow 1").end_pa > leg(f, "heating flow 1").start_pa  # the circulator sits here


def test_without_vessel_pressure_is_nothing_at_the_boilers_return() -> None:
    runs = without_tee(all_runs(), "primary", "V")
    del runs["to vessel"]
    at = {n.name: n.pressure_pa for n in at_work(runs).nodes}
    assert at["boiler.return"] == 0.0


def test_the_leg_to_the_vessel_stands() -> None:
    f = at_work(all_runs())
    assert leg(f, "to vessel").still
    assert leg(f, "to vessel").flow_kg_s == 0.0
    assert not leg(f, "primary 1").still


def test_mass_at_a_tee() -> None:
    f = at_work(all_runs())
    one, two, branch = (leg(f, n).flow_kg_s for n in ("heating flow 1", "heating flow 2", "R1 flow"))
    assert one == pytest.approx(two + branch, abs=1e-9)


def test_speed_is_that_of_the_narrowest_tube() -> None:
    f = at_work(all_runs())
    x = leg(f, "heating flow 3")
    assert x.tube == "copper 15"
    assert x.bore_m == pytest.approx(0.0136)
    assert x.velocity_m_s == pytest.approx(x.flow_kg_s / (978.0 * 3.14159 / 4 * 0.0136**2), rel=2e-3)


def test_lagging_keeps_heat_in() -> None:
    bare = {n: replace(r, insulation_m=0.0) for n, r in all_runs().items()}
    lagged = {n: replace(r, insulation_m=0.019) for n, r in bare.items()}
    assert at_work(lagged).pipe_loss_w < 0.4 * at_work(bare).pipe_loss_w


def test_a_shut_valve_stops_its_radiator_and_the_others_get_more() -> None:
    valve = Item(name="V1", kind=ItemKind.LOCKSHIELD, shut=True)
    before = {e.name: e for e in at_work(all_runs()).emitters}
    after = {e.name: e for e in at_work(all_runs(), (valve,), emitter_valves={**VALVES, "R1": ("", "V1")}).emitters}
    assert after["R1"].flow_kg_s == 0.0
    assert after["R1"].output_w == 0.0
    assert after["R2"].flow_kg_s > before["R2"].flow_kg_s


def test_throttling_a_radiator_lowers_its_flow() -> None:
    valve = Item(name="V1", kind=ItemKind.LOCKSHIELD, kv_m3_h=0.1)
    after = {e.name: e for e in at_work(all_runs(), (valve,), emitter_valves={**VALVES, "R1": ("", "V1")}).emitters}
    assert after["R1"].flow_kg_s < 0.4 * after["R2"].flow_kg_s


def test_small_boiler_is_limited() -> None:
    f = at_work(all_runs(), boilers=(replace(BOILER, output_w=2500.0),))
    assert f.boilers[0].limited
    assert f.boilers[0].output_w == pytest.approx(2500.0, rel=1e-6)
    assert f.boilers[0].supply_c < 60.0


def test_glycol_moves_less() -> None:
    water, glycol = at_work(all_runs()), at_work(all_runs(), glycol_share=0.4)
    assert glycol.circulators[0].flow_m3_s < water.circulators[0].flow_m3_s


def test_no_circulator_is_gravity() -> None:
    """Radiators above the boiler; nothing else moves the water."""
    runs = all_runs()
    r = runs["heating flow"]
    runs["heating flow"] = replace(r, moves=tuple(m for m in r.moves if "fit" not in getattr(m, "text", "")))
    f = at_work(runs, boilers=(replace(BOILER, circulator=None),), circulators=())
    assert not f.circulators
    assert max(e.flow_kg_s for e in f.emitters) < 0.02
    assert f.residual_head_pa < 0.1


def test_no_run_yet() -> None:
    f = at_work({})
    assert f.legs == ()
    assert f.emitters == ()


def test_tank_coil_takes_heat() -> None:
    tank = Tank(name="tank", room="Hall", volume_m3=0.15, store_c=45.0, coil_w_k=400.0, kv_m3_h=2.0)
    runs = all_runs()
    runs["R1 flow"] = replace(runs["R1 flow"], end="tank.flow")
    runs["R1 return"] = replace(runs["R1 return"], end="tank.return")
    ports = (port("tank", "flow", (4.0, 3.0, 0.4), "tank"), port("tank", "return", (5.0, 3.0, 0.4), "tank"))
    import smallhouse

    old = smallhouse.PORTS
    smallhouse.PORTS = (*PORTS, *ports)
    try:
        f = at_work(runs, emitters=EMITTERS[1:], tanks=(tank,))
    finally:
        smallhouse.PORTS = old
    assert f.tanks[0].output_w > 1000.0
    assert f.tanks[0].supply_c > f.tanks[0].return_c > 45.0


def test_radiator_that_no_run_reaches() -> None:
    found = mistakes(all_runs(), emitters=(*EMITTERS, radiator("R9", "Hall")))
    assert set(found) == {("emitter", "R9")}
    assert found["emitter", "R9"].wrong == "no run reaches this panel radiator"
    assert 'end one run at "R9.flow" and one at "R9.return"' in found["emitter", "R9"].remedy


def test_radiator_joined_at_one_port() -> None:
    runs = without_tee(all_runs(), "heating return", "1")
    del runs["R1 return"]
    found = mistakes(runs)
    assert found["emitter", "R1"].wrong == "no run reaches R1.return"


def test_radiator_without_a_closed_way() -> None:
    runs = without_tee(all_runs(), "heating return", "1")
    runs["R1 return"] = run("R1 return", "copper 15", "R1.return", "down 1 m")
    found = mistakes(runs)
    assert "no closed way" in found["emitter", "R1"].wrong


def test_boiler_that_no_run_reaches_at_its_return() -> None:
    runs = all_runs()
    r = runs["primary"]
    runs["primary"] = replace(r, end="")
    assert mistakes(runs)["boiler", "boiler"].wrong == "no run reaches boiler.return"


def test_unknown_circulator() -> None:
    found = mistakes(all_runs(), circulators=(circulator("heating circulater"),))
    assert found["run", "heating flow"].wrong == 'no circulator is called "heating circulator"'
    assert "heating circulater" in found["run", "heating flow"].remedy


def test_circulator_fitted_twice() -> None:
    runs = all_runs()
    r = runs["heating return"]
    fit = next(m for m in runs["heating flow"].moves if "fit" in getattr(m, "text", ""))
    runs["heating return"] = replace(r, moves=(r.moves[0], fit, *r.moves[1:]))
    assert "a second time" in mistakes(runs)["run", "heating return"].wrong


def test_unknown_valve_at_a_radiator() -> None:
    found = mistakes(all_runs(), emitter_valves={"R1": ("no such valve", "")})
    assert 'its valve "no such valve" is not listed' in found["emitter", "R1"].wrong


def test_circulators_against_each_other() -> None:
    """The boiler's strong one pushes straight through the short leg's circulator, which pumps the other way."""
    runs = all_runs()
    r = runs["primary"]
    moves = list(r.moves)
    at = next(i for i, m in enumerate(moves) if getattr(m, "name", "") == "B")
    fit = next(m for m in runs["heating flow"].moves if "fit" in getattr(m, "text", ""))
    moves.insert(at - 1, fit)  # in the primary, the same way: fine
    runs["primary"] = replace(r, moves=tuple(moves))
    h = runs["heating flow"]
    runs["heating flow"] = replace(h, moves=tuple(m for m in h.moves if m is not fit))
    strong = replace(BOILER, circulator=replace(circulator("boiler circulator"), speed=1.0))
    weak = circulator("heating circulator", 0.3)
    assert at_work(runs, boilers=(strong,), circulators=(weak,)).circulators
    # written from the other end it pumps against the boiler's
    turned = dict(runs)
    turned["primary"] = replace(run("primary", "copper 22", "boiler.return",
        "down 0.5 m, tee V, down 0.2 m, tee B, fit heating circulator, down 0.08 m, tee A, down 0.2 m, west 0.3 m, "
        "up 0.98 m"), end="boiler.flow")  # fmt: skip
    found = mistakes(turned, boilers=(strong,), circulators=(weak,))
    said = found["circulator", "heating circulator"].wrong
    assert said == 'two circulators against each other: water is pushed backwards through it by "boiler circulator"'


def test_order_of_runs_does_not_matter() -> None:
    runs = all_runs()
    a = {e.name: e.flow_kg_s for e in at_work(runs).emitters}
    b = {e.name: e.flow_kg_s for e in at_work(dict(reversed(runs.items()))).emitters}
    for name, value in a.items():
        assert b[name] == pytest.approx(value, rel=1e-8)


def test_rooms_are_known_by_name() -> None:
    cold = at_work(all_runs(), room_c={**ROOM_C, "Hall": 5.0})
    assert leg(cold, "R1 flow").loss_w > leg(at_work(all_runs()), "R1 flow").loss_w
    assert laid(all_runs()).legs


def test_circulator_before_a_check_valve_written_the_other_way() -> None:
    runs = all_runs()
    r = runs["heating return"]
    runs["heating return"] = replace(r, moves=(r.moves[0], Fit("check valve"), *r.moves[1:]))
    found = mistakes(runs)  # the return run is written away from the boiler, its water flows towards it
    said = found["circulator", "heating circulator"].wrong
    assert said == 'two circulators against each other: it is held still by "boiler circulator"'


def test_check_valve_the_right_way_lets_water_pass() -> None:
    runs = all_runs()
    r = runs["heating flow"]
    runs["heating flow"] = replace(r, moves=(r.moves[0], Fit("check valve"), *r.moves[1:]))
    assert at_work(runs).emitters[0].flow_kg_s > 0.01


def test_a_shut_circuit_is_no_mistake() -> None:
    """The circulator pushes against a shut valve; nothing is drawn wrong.

    What still moves is water that carries a little heat from the warmer rooms' radiators to the cooler rooms' by its
    own weight: as much in one place as out in another.
    """
    shut = Item(name="shut valve", kind=ItemKind.GATE_VALVE, shut=True)
    runs = all_runs()
    r = runs["heating flow"]
    runs["heating flow"] = replace(r, moves=(r.moves[0], Fit("shut valve"), *r.moves[1:]))
    f = at_work(runs, (shut,))
    assert leg(f, "heating flow 1").still
    assert leg(f, "heating flow 1").flow_kg_s == 0.0
    assert f.circulators[0].flow_m3_s == 0.0
    assert all(abs(e.output_w) < 30.0 for e in f.emitters)
    assert min(e.output_w for e in f.emitters) < 0.0
