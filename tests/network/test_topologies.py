"""Every way of piping: it closes, it is what a fitter would expect, and it says so whichever way links are written."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import topologies as t
from nets import at, closes, flow, warm

from wetside.fluid.water import liquid
from wetside.network.net import Net
from wetside.network.solve import Solution, solve

WATER = liquid()
ALL: dict[str, Callable[[], Net]] = {
    "two-pipe direct": t.direct,
    "reverse return": t.reverse,
    "one-pipe": t.one_pipe,
    "series loop": t.series,
    "home runs": t.home_runs,
    "primary and secondary": t.primary_secondary,
    "zone valves, two circulators": t.zoned,
    "mixed circuit": t.mixed,
    "gravity": t.gravity,
}


@pytest.mark.parametrize("name", ALL)
def test_closes_and_does_not_care_how_links_are_written(name: str) -> None:
    net = ALL[name]()
    s = solve(net)
    closes(net, s)
    turned = {x.name for i, x in enumerate(net.links) if x.curve is None and not x.one_way and i % 2}
    links = [replace(x, tail=x.head, head=x.tail) if x.name in turned else x for x in reversed(net.links)]
    other = replace(net, links=tuple(links), nodes=tuple(reversed(net.nodes)))
    back = solve(other)
    for x in net.links:
        same = -flow(other, back, x.name) if x.name in turned else flow(other, back, x.name)
        assert same == pytest.approx(flow(net, s, x.name), rel=1e-4, abs=1e-6)
        heat = float(back.given_w[at(other, x.name)])
        assert heat == pytest.approx(float(s.given_w[at(net, x.name)]), rel=1e-4, abs=0.05)


def radiators(net: Net, s: Solution) -> list[float]:
    return [flow(net, s, x.name) for x in net.links if x.rating is not None]


def test_direct_starves_the_last_and_reverse_serves_all_alike() -> None:
    direct, back = t.direct(8), t.reverse(8)
    near = radiators(direct, solve(direct))
    even = radiators(back, solve(back))
    assert all(a > b for a, b in pairwise(near))
    assert max(near) / min(near) > max(even) / min(even)
    # what is lost on the way out is spared on the way back: the ends are equal, and the middle gets least
    assert even == pytest.approx(even[::-1], rel=0.02)
    assert min(even) == min(even[3:5])


def test_one_pipe_cools_from_radiator_to_radiator() -> None:
    """After each, the ring is the mixture of what passed and what came back: the balance of a tee."""
    net = t.one_pipe()
    s = solve(net)
    ring = [warm(net, s, f"s{i}") for i in range(1, 5)]
    assert all(a > b for a, b in pairwise(ring))
    whole = flow(net, s, "ring 1")
    for i in range(1, 5):
        part = flow(net, s, f"R{i}")
        assert 0.05 * whole < part < 0.5 * whole
        out = float(s.head_c[at(net, f"R{i}")])
        mixed = (part * WATER.enthalpy(out) + (whole - part) * WATER.enthalpy(ring[i - 1])) / whole
        assert warm(net, s, f"e{i}") == pytest.approx(WATER.temperature(mixed), abs=1e-3)


def test_series_loop_passes_its_water_on() -> None:
    """Each radiator gets what the one before leaves; the sum is what the water lost."""
    net = t.series()
    s = solve(net)
    flows = radiators(net, s)
    assert flows == pytest.approx([flows[0]] * 4, rel=1e-9)
    given = [float(s.given_w[at(net, f"R{i}")]) for i in range(1, 5)]
    assert all(a > b for a, b in pairwise(given))
    lost = WATER.enthalpy(warm(net, s, "f0")) - WATER.enthalpy(warm(net, s, "r0"))
    assert sum(given) == pytest.approx(flows[0] * lost, rel=1e-6)


def test_home_runs_share_by_their_lengths() -> None:
    net = t.home_runs()
    s = solve(net)
    flows = radiators(net, s)
    assert all(a > b for a, b in pairwise(flows))
    # shutting one run changes the others only by what the circulator and boiler make of it
    links = [replace(x, shut=True) if x.name == "R1" else x for x in net.links]
    less = replace(net, links=tuple(links))
    after = radiators(less, solve(less))
    assert after[0] == 0.0
    assert all(0.0 < a / b - 1.0 < 0.15 for a, b in zip(after[1:], flows[1:], strict=True))


@pytest.mark.parametrize("house", [0.4, 0.7, 1.0, 1.3])
def test_separation_mixes_as_the_separator_formulas_say(house: float) -> None:
    """House stronger: supply = ((s − p) T_return + p T_boiler)/s; boiler stronger: its return is mixed likewise."""
    net = t.primary_secondary(0.6, house)
    s = solve(net)
    p, q, between = flow(net, s, "boiler"), flow(net, s, "R"), flow(net, s, "between")
    assert between == pytest.approx(p - q, abs=1e-9)
    hot, cool = WATER.enthalpy(warm(net, s, "f0")), WATER.enthalpy(warm(net, s, "h2"))
    supply, back = WATER.enthalpy(warm(net, s, "h0")), WATER.enthalpy(warm(net, s, "r0"))
    if between < 0.0:  # the house takes more than the boiler gives: the leg between runs backwards
        assert supply == pytest.approx(((q - p) * cool + p * hot) / q, rel=1e-6)
        assert back == pytest.approx(cool, rel=1e-6)
    else:
        assert supply == pytest.approx(hot, rel=1e-6)
        assert back == pytest.approx((q * cool + (p - q) * hot) / p, rel=1e-6)


def test_separation_runs_both_ways_over_that_range() -> None:
    signs = {bool(flow(n, solve(n), "between") > 0.0) for n in (t.primary_secondary(0.6, x) for x in (0.4, 1.3))}
    assert signs == {True, False}


def test_an_idle_circuit_is_driven_by_the_leg_between_the_tees() -> None:
    """As much as the pressure over the short leg pushes: little, forwards, and told apart from nothing."""
    net = t.primary_secondary(still=True)
    s = solve(net)
    closes(net, s)
    p, induced = flow(net, s, "boiler"), flow(net, s, "R")
    assert 0.0 < induced < 0.15 * p
    pressure = [float(s.pressure_pa[[n.name for n in net.nodes].index(x)]) for x in ("A", "B")]
    over = pressure[0] - pressure[1]
    lost = sum(float(s.drop_pa[at(net, x)]) for x in ("house flow", "house pump", "R", "house return"))
    assert lost == pytest.approx(over, abs=0.1)
    # twice as far apart, more of it
    links = [replace(x, length_m=0.5) if x.name == "between" else x for x in net.links]
    apart = replace(net, links=tuple(links))
    assert flow(apart, solve(apart), "R") > induced


@pytest.mark.parametrize(("up", "down"), [(False, False), (True, False), (False, True), (True, True)])
def test_zone_valves_stop_their_floor_and_leave_the_other(up: bool, down: bool) -> None:
    net = t.zoned(up_shut=up, down_shut=down)
    s = solve(net)
    closes(net, s)
    for floor, shut in (("up", up), ("down", down)):
        assert (flow(net, s, f"{floor} R") == 0.0) is shut
        assert shut or float(s.given_w[at(net, f"{floor} R")]) > 2000.0


def test_a_mixed_circuit_beside_a_hot_one() -> None:
    net = t.mixed(40.0)
    s = solve(net)
    assert warm(net, s, "M") == pytest.approx(40.0, abs=2e-3)
    assert warm(net, s, "f0") == pytest.approx(70.0, abs=0.01)


def test_gravity_circulates_and_the_weight_pays_for_the_drop() -> None:
    net = t.gravity()
    s = solve(net)
    assert flow(net, s, "R1") > 0.0
    assert flow(net, s, "R2") > 0.0
    drive = 0.0
    rise = {n.name: n.height_m for n in net.nodes}
    loop = ("boiler", "riser 1", "riser 2", "R2", "drop 2", "drop 1")
    for name in loop:
        i, x = at(net, name), net.links[at(net, name)]
        drive -= 9.80665 * float(s.density_kg_m3[i]) * (rise[x.head] - rise[x.tail])
    assert sum(float(s.drop_pa[at(net, n)]) for n in loop) == pytest.approx(drive, abs=0.1)


def test_gravity_with_the_boiler_on_top_stands() -> None:
    net = t.gravity(boiler_above=True)
    s = solve(net)
    assert np.max(np.abs(s.flow_kg_s)) < 1e-3
    assert float(np.sum(np.maximum(s.given_w, 0.0))) < 50.0
