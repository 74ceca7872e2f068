"""What moves by itself, exchangers, springs: closed forms, limits, turned links, random nets."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from anynets import everything
from hypothesis import given, settings
from hypothesis import strategies as st
from nets import BOILER, N, P, at, closes, flow, link, radiator, warm
from scipy.optimize import brentq

from wetside.basis.errors import JobProblem, NoSolution
from wetside.basis.quantity import WATER_4C
from wetside.fluid.water import liquid
from wetside.network.curve import head_at
from wetside.network.net import Curve, Exchanger, Net, NetRoom, Regulation, Thermostat, ThreeWay
from wetside.network.solve import solve

WATER = liquid()
SEEDS = st.integers(0, 100_000)


def mixing(set_c: float | None, *, turned: bool = False, position: float = 0.5) -> Net:
    """A boiler's ring with closely spaced tees; off it a circuit mixed down by a three-way valve."""
    hot = link("hot", "M", "A", bore_m=0.02) if turned else link("hot", "A", "M", length_m=1.0, bore_m=0.02)
    links = [
        link("boiler", "r", "f", kv_m3_h=3.0, source=BOILER),
        link("pump 1", "f", "A", curve=P),
        link("A to B", "A", "B", length_m=0.1, bore_m=0.025),
        link("back", "B", "r", length_m=2.0, bore_m=0.025),
        replace(hot, length_m=1.0),
        link("cold", "X", "M", length_m=0.3, bore_m=0.02),
        link("pump 2", "M", "m", curve=P),
        link("floor", "m", "x", kv_m3_h=0.8, rating=radiator("floor", 6000.0)),
        link("return", "x", "X", length_m=3.0, bore_m=0.02),
        link("home", "X", "B", length_m=1.0, bore_m=0.02),
    ]
    valve = ThreeWay(name="V", first="hot", second="cold", kv_m3_h=4.0, sensor="M", set_c=set_c, position=position)
    return N(links, three_ways=(valve,))


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("set_c", [30.0, 38.0, 45.0, 60.0, 68.0])
def test_mixing_valve_holds_its_temperature(set_c: float, turned: bool) -> None:
    """And what mixes is what a heat balance at the valve says."""
    net = mixing(set_c, turned=turned)
    s = solve(net)
    closes(net, s)
    assert warm(net, s, "M") == pytest.approx(set_c, abs=2e-3)
    hot, cold = abs(flow(net, s, "hot")), flow(net, s, "cold")
    hot_c = warm(net, s, "A")
    cold_c = warm(net, s, "X")
    mixed = (hot * WATER.enthalpy(hot_c) + cold * WATER.enthalpy(cold_c)) / (hot + cold)
    assert WATER.temperature(mixed) == pytest.approx(warm(net, s, "M"), abs=1e-4)
    assert 0.0 < s.positions[0] < 1.0


def test_mixing_valve_saturates() -> None:
    too_hot = mixing(85.0)
    s = solve(too_hot)
    assert s.positions[0] == 1.0
    assert warm(too_hot, s, "M") == pytest.approx(70.0, abs=0.05)
    too_cold = mixing(19.0)
    s = solve(too_cold)
    assert s.positions[0] == 0.0
    assert abs(flow(too_cold, s, "hot")) < 1e-4


def test_a_fixed_position_stays_and_shares_the_water() -> None:
    """Two equal ways side by side carry what their openings say."""
    links = [link("pump", "a", "t", curve=P), link("one", "t", "a"), link("two", "t", "a")]
    net = N(links, three_ways=(ThreeWay(name="V", first="one", second="two", kv_m3_h=1.0, position=0.7),))
    s = solve(net)
    assert flow(net, s, "one") / flow(net, s, "two") == pytest.approx(7.0 / 3.0, rel=1e-3)
    assert s.positions[0] == 0.7


def test_diverting_valve_with_a_sensor_elsewhere() -> None:
    """Past the exchanger or through it: where the ways meet again the water has the wanted temperature."""
    links = [
        link("boiler", "r", "f", kv_m3_h=3.0, source=BOILER),
        link("pump", "f", "D", curve=P),
        link("round", "D", "J", length_m=1.0),
        link("through", "D", "e", length_m=1.0),
        link("R", "e", "J", kv_m3_h=1.0, rating=radiator("R", 9000.0)),
        link("back", "J", "r", length_m=2.0),
    ]
    valve = ThreeWay(name="V", first="round", second="through", kv_m3_h=3.0, sensor="J", set_c=66.0)
    net = N(links, three_ways=(valve,))
    s = solve(net)
    closes(net, s)
    assert warm(net, s, "J") == pytest.approx(66.0, abs=2e-3)


# ---- circulators


def pumped(kv: float, **more: object) -> Net:
    curve = replace(P, **more)
    return N([link("pump", "a", "b", curve=curve), link("valve", "b", "a", kv_m3_h=kv)])


@pytest.mark.parametrize("kv", [0.2, 0.5, 1.0, 4.0])
def test_constant_pressure_is_constant_until_the_curve_is_met(kv: float) -> None:
    net = pumped(kv, regulation=Regulation.CONSTANT, set_pa=2e4)
    s = solve(net)
    q = float(s.flow_kg_s[0] / s.density_kg_m3[0])
    cold = float(s.lift_pa[0]) * WATER_4C / float(s.density_kg_m3[0])
    assert cold == pytest.approx(min(2e4, head_at(P, q)), abs=0.1)
    assert cold == pytest.approx(2e4, abs=0.1) or kv == 4.0


@pytest.mark.parametrize("kv", [0.05, 0.3, 1.0, 2.0, 4.0])
def test_proportional_pressure_stands_on_its_line(kv: float) -> None:
    """Half of 20 kPa at no flow, all of it where the curve has 20 kPa: at 0.4027 l/s of this one."""
    net = pumped(kv, regulation=Regulation.PROPORTIONAL, set_pa=2e4)
    s = solve(net)
    q = float(s.flow_kg_s[0] / s.density_kg_m3[0])
    met = float(brentq(lambda x: head_at(P, x) - 2e4, 1e-5, 6e-4))
    cold = float(s.lift_pa[0]) * WATER_4C / float(s.density_kg_m3[0])
    assert cold == pytest.approx(min(2e4 * (0.5 + 0.5 * min(q / met, 1.0)), head_at(P, q)), abs=0.2)


def test_terms_are_their_polynomial_at_any_speed() -> None:
    terms = (5e4, -1e7, -8e10)
    for speed in (1.0, 0.7):
        curve = Curve(name="T", terms=terms, speed=speed)
        for q in (0.0, 1e-4, 3e-4):
            x = q / speed
            assert head_at(curve, q) == pytest.approx(speed**2 * (5e4 - 1e7 * x - 8e10 * x * x), rel=1e-9)
    end = (1e7 - math.sqrt(1e14 + 4 * 8e10 * 5e4)) / (-2 * 8e10)
    beyond = head_at(Curve(name="T", terms=terms), end + 1e-4)
    assert beyond == pytest.approx(1e-4 * (-1e7 - 2 * 8e10 * end), rel=1e-6)


@pytest.mark.parametrize(
    ("curve", "said"),
    [
        (Curve(name="T", terms=(5e4, 1e7, -8e12)), "rises"),
        (Curve(name="T", terms=(5e4, -1e7), points=((0.0, 1.0),)), "no points"),
        (Curve(name="T", points=((0.0, 1.0),), regulation=Regulation.CONSTANT), "which is not said"),
    ],
)
def test_curves_that_cant_be_are_told(curve: Curve, said: str) -> None:
    with pytest.raises(JobProblem, match=said):
        solve(N([link("pump", "a", "b", curve=curve), link("valve", "b", "a", kv_m3_h=1.0)]))


# ---- springs


@pytest.mark.parametrize("turned", [False, True])
def test_a_sprung_check_valve_takes_its_opening_pressure(turned: bool) -> None:
    """A push of 3 kPa leaves 2 kPa for the valve beyond; one of 0.9 kPa does not open it."""
    for push, opens in ((3000.0, 1000.0), (900.0, 1000.0)):
        rho = WATER.density(60.0)
        curve = Curve(name="P", points=((0.0, push * WATER_4C / rho),))
        valve = link("v", "a", "c", kv_m3_h=1.0) if turned else link("v", "c", "a", kv_m3_h=1.0)
        net = N([link("pump", "a", "b", curve=curve), link("check", "b", "c", one_way=True, opens_pa=opens), valve])
        s = solve(net)
        closes(net, s)
        over = max(push - opens, 0.0)
        assert abs(flow(net, s, "v")) == pytest.approx((over / 1e5 * rho * 1000.0) ** 0.5 / 3600.0, rel=1e-3, abs=1e-9)
        assert bool(s.held[1]) is (over == 0.0)


def test_a_bypass_opens_only_above_its_pressure_and_then_in_proportion() -> None:
    for kv in (0.3, 1.0, 2.0, 4.0):
        by = link("by", "b", "a", one_way=True, opens_pa=2.5e4, steep_pa_s_kg=4e4)
        net = N([link("pump", "a", "b", curve=P), link("valve", "b", "a", kv_m3_h=kv), by])
        s = solve(net)
        closes(net, s)
        over = float(s.drop_pa[1]) - 2.5e4
        assert flow(net, s, "by") == pytest.approx(max(over, 0.0) / 4e4, rel=1e-3, abs=1e-7)


# ---- exchangers


@pytest.mark.parametrize("turned", [False, True])
def test_exchanger_by_number_of_transfer_units(turned: bool) -> None:
    """Counterflow: share (1 − e)/(1 − R e), e = exp(−N (1 − R)), N and R by the smaller stream."""
    cold = ("d", "c") if turned else ("c", "d")
    links = [
        link("boiler", "r", "f", kv_m3_h=3.0, source=BOILER),
        link("pump 1", "f", "A", curve=P),
        link("hot", "A", "r", kv_m3_h=2.0, exchanger=Exchanger(name="X", other="cold", w_k=600.0)),
        link("cold", *cold, kv_m3_h=2.0, exchanger=Exchanger(name="X", other="hot", w_k=600.0)),
        link("pump 2", "d", "e", curve=P),
        link("R", "e", "c", kv_m3_h=0.6, rating=radiator("R", 6000.0)),
    ]
    net = N(links)
    s = solve(net)
    closes(net, s)
    m1, m2 = flow(net, s, "hot"), abs(flow(net, s, "cold"))
    hot_in, hot_out, cold_in, cold_out = (warm(net, s, n) for n in ("A", "r", "c", "d"))
    c1 = m1 * (WATER.enthalpy(hot_in) - WATER.enthalpy(hot_out)) / (hot_in - hot_out)
    c2 = m2 * (WATER.enthalpy(cold_out) - WATER.enthalpy(cold_in)) / (cold_out - cold_in)
    low, ratio = min(c1, c2), min(c1, c2) / max(c1, c2)
    e = math.exp(-600.0 / low * (1.0 - ratio))
    assert c1 * (hot_in - hot_out) == pytest.approx((1 - e) / (1 - ratio * e) * low * (hot_in - cold_in), rel=1e-6)
    assert s.given_w[2] == pytest.approx(-s.given_w[3], rel=1e-9)


def test_exchanger_with_one_side_standing_passes_nothing() -> None:
    links = [
        link("boiler", "r", "f", kv_m3_h=3.0, source=BOILER),
        link("pump 1", "f", "A", curve=P),
        link("hot", "A", "r", kv_m3_h=2.0, exchanger=Exchanger(name="X", other="cold", w_k=600.0)),
        link("cold", "c", "d", kv_m3_h=2.0, shut=True, exchanger=Exchanger(name="X", other="hot", w_k=600.0)),
        link("R", "d", "c", kv_m3_h=0.6, rating=radiator("R")),
    ]
    net = N(links)
    s = solve(net)
    closes(net, s)
    assert np.max(np.abs(s.given_w)) < 1e-6


# ---- rooms


def one_room(outside_c: float, *, thermostat: Thermostat | None = None, watts: float = 1500.0) -> Net:
    links = [
        link("boiler", "r", "f", kv_m3_h=3.0, source=BOILER),
        link("pump", "f", "A", curve=P),
        link("R", "A", "r", kv_m3_h=0.6, rating=radiator("R", watts, room="room"), thermostat=thermostat),
        link("by", "A", "r", kv_m3_h=1.0),
    ]
    return N(links, rooms=(NetRoom(name="room", fixed=((40.0, outside_c),)),))


@given(st.floats(-25.0, 15.0))
@settings(max_examples=15)
def test_a_room_settles_where_heat_in_is_heat_out(outside_c: float) -> None:
    """Found by bracketing over rooms of given temperature."""
    net = one_room(outside_c)
    s = solve(net)
    closes(net, s)

    def left(room_c: float) -> float:
        links = [replace(x, rating=replace(x.rating, room_c=room_c, room="")) if x.rating else x for x in net.links]
        fixed = replace(net, links=tuple(links), rooms=())
        return float(solve(fixed).given_w[at(fixed, "R")]) - 40.0 * (room_c - outside_c)

    assert float(s.rooms_c[0]) == pytest.approx(brentq(left, outside_c, 69.0, xtol=1e-6), abs=2e-4)


@given(st.floats(-25.0, 25.0), st.floats(0.3, 4.0), st.floats(0.1, 3.0))
@settings(max_examples=25)
def test_a_thermostatic_valve_keeps_to_its_line(outside_c: float, band_k: float, kv: float) -> None:
    net = one_room(outside_c, thermostat=Thermostat(room="room", set_c=20.0, kv_m3_h=kv, band_k=band_k), watts=3000.0)
    s = solve(net)
    closes(net, s)
    room_c, opening = float(s.rooms_c[0]), float(s.opening[at(net, "R")])
    assert opening == pytest.approx(min(max((20.0 - room_c) / band_k + 0.5, 0.0), 1.0), abs=1e-9)
    if outside_c < 19.0 and opening < 1.0:
        assert 20.0 - 0.5 * band_k - 1e-6 <= room_c <= 20.0 + 0.5 * band_k + 1e-6


def test_rooms_share_heat_through_inner_walls() -> None:
    """An unheated room between a heated one and the outside: by conductances in series."""
    net = one_room(-10.0)
    hall = NetRoom(name="hall", fixed=((20.0, -10.0),), links=(("room", 20.0),))
    net = replace(net, rooms=(*net.rooms, hall))
    s = solve(net)
    closes(net, s)
    room_c, hall_c = (float(t) for t in s.rooms_c)
    assert hall_c == pytest.approx(0.5 * (room_c - 10.0), abs=1e-3)


def test_tube_heats_the_room_that_it_crosses() -> None:
    links = [*one_room(0.0).links[:2], link("tube", "A", "r", length_m=20.0, bore_m=0.013, loss_w_mk=0.5, room="room")]
    net = N(links, rooms=(NetRoom(name="room", fixed=((10.0, 0.0),)),))
    s = solve(net)
    closes(net, s)
    assert float(s.loss_w[2]) == pytest.approx(10.0 * float(s.rooms_c[0]), rel=1e-5)


def test_a_room_that_loses_nothing_is_told() -> None:
    net = replace(one_room(0.0), rooms=(NetRoom(name="room"),))
    with pytest.raises(JobProblem, match="no heat reaches or leaves"):
        solve(net)


# ---- anything at once


@given(SEEDS, st.sampled_from([1, 2, 4, 8]))
def test_anything_at_once_closes(seed: int, size: int) -> None:
    net = everything(seed, size)
    try:
        closes(net, solve(net))
    except NoSolution as problem:
        assert problem.cause and problem.where


@given(SEEDS, st.sampled_from([2, 4, 8]))
@settings(max_examples=25)
def test_order_and_names_do_not_matter(seed: int, size: int) -> None:
    net = everything(seed, size)
    r = random.Random(seed)
    links, nodes = list(net.links), list(net.nodes)
    r.shuffle(links)
    r.shuffle(nodes)
    other = replace(net, links=tuple(links), nodes=tuple(nodes), tees=tuple(reversed(net.tees)))
    try:
        a, b = solve(net), solve(other)
    except NoSolution as problem:
        assert problem.cause and problem.where
        return
    here = {x.name: float(m) for x, m in zip(net.links, a.flow_kg_s, strict=True)}
    there = {x.name: float(m) for x, m in zip(other.links, b.flow_kg_s, strict=True)}
    largest = max(abs(m) for m in here.values())
    assert all(there[n] == pytest.approx(m, rel=1e-3, abs=1e-4 * max(largest, 1e-3)) for n, m in here.items())
    assert a.rooms_c == pytest.approx(b.rooms_c, abs=0.01)
