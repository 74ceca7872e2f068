"""Rules of the network: each holds, breaks, and stands exactly on its limit."""

from dataclasses import replace

import pytest
from smallhouse import BOILER, EMITTERS, all_runs, at_work

from wetside.basis.quantity import System
from wetside.basis.rules import Finding, Verdict
from wetside.basis.tables import reference
from wetside.house.reading import HouseLoad, RoomLoad
from wetside.network.reading import FlowReading, RoomState, ThreeWayState
from wetside.network.rules import RULES, default_limits, judge


def room(name: str, load_w: float, heated: bool = True) -> RoomLoad:
    return RoomLoad(
        name=name, storey="Ground", heated=heated, inside_c=20.0, floor_area_m2=10.0, volume_m3=25.0,
        transmission_w=load_w, air_w=0.0, reheat_w=0.0, load_w=load_w, air_change_1_h=0.5, air_w_k=4.0, surfaces=(),
    )  # fmt: skip


def loads(*rooms: RoomLoad) -> HouseLoad:
    total = sum(r.load_w for r in rooms)
    return HouseLoad(outside_c=-7.0, rooms=rooms, total_w=total, building_w=total)


READING = at_work(all_runs())
LOADS = loads(room("Hall", 600.0), room("Parlour", 5000.0), room("Box room", 400.0), room("Shed", 100.0, heated=False))


def found(rule: str, subject: str, reading: FlowReading = READING, **limits: float) -> Finding:
    (one,) = [f for f in judge(reading, LOADS, EMITTERS, **limits) if f.rule.id == rule and f.subject == subject]
    return one


def leg(**changes: float) -> FlowReading:
    return replace(READING, legs=(replace(READING.legs[0], **changes),))


SUBJECT = "run primary 1, copper 22"


@pytest.mark.parametrize(("speed", "verdict"), [(0.5, Verdict.HOLDS), (1.0, Verdict.NEAR), (1.001, Verdict.BREAKS)])
def test_speed(speed: float, verdict: Verdict) -> None:
    one = found("NET-01", SUBJECT, leg(velocity_m_s=speed))
    assert one.verdict is verdict
    assert one.place == "leg:primary 1"


@pytest.mark.parametrize(("pa_m", "verdict"), [(100.0, Verdict.HOLDS), (300.0, Verdict.NEAR), (301.0, Verdict.BREAKS)])
def test_gradient(pa_m: float, verdict: Verdict) -> None:
    one = found("NET-02", SUBJECT, leg(gradient_pa_m=pa_m))
    assert one.verdict is verdict
    assert not one.broken_must


def test_own_limits_come_first() -> None:
    assert found("NET-01", SUBJECT, leg(velocity_m_s=1.1), speed_m_s=1.2).verdict is Verdict.HOLDS
    assert found("NET-02", SUBJECT, leg(gradient_pa_m=310.0), gradient_pa_m=400.0).verdict is Verdict.HOLDS


def test_default_limits_by_bore_and_practice() -> None:
    assert default_limits(0.0202, System.METRIC) == (1.0, 300.0)
    assert default_limits(0.060, System.METRIC) == (1.5, 300.0)
    speed, gradient = default_limits(0.0202, System.US)
    assert speed == pytest.approx(4 * 0.3048)
    assert gradient == pytest.approx(4 * 9.80665 * 999.972 / 100, rel=1e-3)


def test_room_heat() -> None:
    assert found("NET-03", "Hall").verdict is Verdict.HOLDS
    parlour = found("NET-03", "Parlour")
    assert parlour.broken_must
    assert parlour.measured == pytest.approx(next(e.output_w for e in READING.emitters if e.room == "Parlour"))
    assert parlour.place == "room:Parlour"


def test_room_without_emitter_breaks_with_nothing_measured() -> None:
    one = found("NET-03", "Box room")
    assert one.broken_must
    assert one.measured == 0.0
    assert one.remedy == "it has no emitter: fit one"


def test_unheated_room_is_not_judged() -> None:
    assert not [f for f in judge(READING, LOADS, EMITTERS) if f.subject == "Shed"]


def test_room_is_not_known_before_any_run_is_drawn() -> None:
    one = found("NET-03", "Hall", at_work({}))
    assert one.verdict is Verdict.NOT_KNOWN
    assert one.missing == "no run is drawn yet"


def test_exactly_enough_heat_is_near() -> None:
    given = next(e.output_w for e in READING.emitters if e.room == "Hall")
    (one,) = [f for f in judge(READING, loads(room("Hall", given)), EMITTERS) if f.rule.id == "NET-03"]
    assert one.verdict is Verdict.NEAR


@pytest.mark.parametrize(("drop", "verdict"), [(10.0, Verdict.HOLDS), (25.0, Verdict.NEAR), (25.1, Verdict.BREAKS)])
def test_emitter_drop(drop: float, verdict: Verdict) -> None:
    e = READING.emitters[0]
    one = replace(READING, emitters=(replace(e, return_c=e.supply_c - drop),))
    assert found("NET-04", "R1, Hall", one).verdict is verdict


def test_emitter_without_flow_is_not_known() -> None:
    one = replace(READING, emitters=(replace(READING.emitters[0], flow_kg_s=0.0),))
    assert found("NET-04", "R1, Hall", one).verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(("kg_h", "verdict"), [(5.0, Verdict.HOLDS), (1.0, Verdict.NEAR), (0.0, Verdict.BREAKS)])
def test_leg_that_stands(kg_h: float, verdict: Verdict) -> None:
    assert found("NET-06", SUBJECT, leg(flow_kg_s=-kg_h / 3600.0)).verdict is verdict


def test_dead_ends_are_not_judged() -> None:
    assert not [f for f in judge(READING, LOADS, EMITTERS) if "to vessel" in f.subject]


def test_sources_resolve() -> None:
    for rule in RULES:
        assert reference(rule.source)


def settled(room_c: float) -> list[Finding]:
    state = RoomState(name="Hall", temperature_c=room_c, wanted_c=18.0, heated=True, emitters_w=500.0, tube_w=0.0)
    reading = replace(READING, rooms=(state,))
    return [f for f in judge(READING, LOADS, EMITTERS, settled=reading) if f.rule.id == "NET-07"]


@pytest.mark.parametrize(("room_c", "verdict"), [(20.0, Verdict.HOLDS), (17.0, Verdict.NEAR), (16.99, Verdict.BREAKS)])
def test_room_as_it_settles(room_c: float, verdict: Verdict) -> None:
    (one,) = settled(room_c)
    assert one.verdict is verdict
    assert not one.broken_must


def circulating(kg_h: float, *, way: bool = True, running: bool = True) -> list[Finding]:
    c = replace(READING.circulators[0], flow_m3_s=kg_h / 3600.0 / 1000.0, way=way, running=running)
    found = judge(replace(READING, circulators=(c,)), LOADS, EMITTERS)
    return [f for f in found if f.rule.id == "NET-08"]


@pytest.mark.parametrize(("kg_h", "verdict"), [(300.0, Verdict.HOLDS), (1.0, Verdict.NEAR), (0.0, Verdict.BREAKS)])
def test_circulator_moves_water(kg_h: float, verdict: Verdict) -> None:
    (one,) = circulating(kg_h)
    assert one.verdict is verdict


def test_every_way_out_of_a_circulator_is_shut() -> None:
    (one,) = circulating(0.0, way=False)
    assert one.remedy.startswith(f"every way out of circulator {READING.circulators[0].name} is shut")
    assert circulating(0.0, way=False, running=False) == []


@pytest.mark.parametrize(
    ("mixed_c", "verdict"),
    [(45.0, Verdict.HOLDS), (44.5, Verdict.NEAR), (44.4, Verdict.BREAKS), (None, Verdict.NOT_KNOWN)],
)
def test_mixed_water(mixed_c: float | None, verdict: Verdict) -> None:
    valve = ThreeWayState(name="V", position=1.0, set_c=45.0, mixed_c=mixed_c)
    found = judge(replace(READING, three_ways=(valve,)), LOADS, EMITTERS)
    (one,) = [f for f in found if f.rule.id == "NET-09"]
    assert one.verdict is verdict
    fixed = replace(valve, set_c=None)
    assert not [f for f in judge(replace(READING, three_ways=(fixed,)), LOADS, EMITTERS) if f.rule.id == "NET-09"]


@pytest.mark.parametrize(("share", "verdict"), [(0.5, Verdict.HOLDS), (1.0, Verdict.NEAR), (1.01, Verdict.BREAKS)])
def test_least_flow_of_a_boiler(share: float, verdict: Verdict) -> None:
    least = share * READING.boilers[0].flow_kg_s
    found = judge(READING, LOADS, EMITTERS, boilers=(replace(BOILER, least_flow_kg_s=least),))
    (one,) = [f for f in found if f.rule.id == "NET-10"]
    assert one.verdict is verdict
    assert not [f for f in judge(READING, LOADS, EMITTERS, boilers=(BOILER,)) if f.rule.id == "NET-10"]
