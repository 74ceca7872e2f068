"""Losses of tees by how the water splits and joins."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from nets import N, P, closes, flow, link

from wetside.network.net import NetTee
from wetside.network.solve import solve
from wetside.network.split import (
    EDGE,
    across,
    dividing_branch,
    dividing_run,
    joining_branch,
    joining_run,
    tee_falls,
)  # fmt: skip

RHO = 983.0
FLOWS = st.floats(-1.0, 1.0)
AREAS = st.sampled_from([1.3e-4, 3.2e-4, 5.4e-4])


def a(*values: float) -> np.ndarray:
    return np.array(values)


def falls(x: float, y: float, areas: tuple[float, float, float] = (3.2e-4, 3.2e-4, 3.2e-4)) -> np.ndarray:
    """Fall outwards along run, run, branch for flows x, y out of the two run legs; the branch takes the rest."""
    leaving = a(x, y, -x - y).reshape(3, 1)
    return tee_falls(leaving, np.array(areas).reshape(3, 1), a(RHO))[:, 0]


def test_no_branch_flow_loses_nothing_straight_through() -> None:
    assert joining_run(a(0.0)) == 0.0
    assert dividing_run(a(0.0), a(1.0)) == 0.0


def test_all_of_it_into_the_branch() -> None:
    """Derived from the formulas: 1 + 0.3 into a full branch, 1 + (1/0.4)² into one of 0.4 of the area; 1.1 out."""
    assert dividing_branch(a(1.0, 1.0), a(1.0, 0.4)) == pytest.approx([1.3, 7.25])
    assert joining_branch(a(1.0), a(1.0)) == pytest.approx(0.55 * 2.0)
    assert dividing_run(a(1.0, 0.5, 0.25), a(1.0, 1.0, 1.0)) == pytest.approx([0.3, 0.0, -0.0625])
    assert across(a(0.5)) == pytest.approx(1.075)


@given(FLOWS, FLOWS, AREAS, AREAS, AREAS, st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_never_jumps(x: float, y: float, p: float, q: float, r: float, dx: float, dy: float) -> None:
    """A small change of flow changes the losses little, wherever the flows turn round."""
    step = 1e-6
    before, after = falls(x, y, (p, q, r)), falls(x + step * dx, y + step * dy, (p, q, r))
    head = max(x * x, y * y, (x + y) ** 2, 1e-4) / (2.0 * RHO * 1.3e-4**2)
    assert np.max(np.abs(after - before)) < 3e-3 * head / min(1.0, max(abs(x), abs(y), 1e-2))


@given(FLOWS, FLOWS)
def test_the_two_run_legs_are_alike(x: float, y: float) -> None:
    one, other = falls(x, y), falls(y, x)
    assert one == pytest.approx(other[[1, 0, 2]], abs=1e-9)


@given(FLOWS, FLOWS, st.floats(0.1, 10.0))
def test_grows_with_the_square(x: float, y: float, factor: float) -> None:
    assert falls(factor * x, factor * y) == pytest.approx(factor**2 * falls(x, y), rel=1e-9, abs=1e-9)


def test_a_tee_in_a_net_loses_what_the_formula_says() -> None:
    """Two ways of equal valves from a tee: pressures come out as flows and formula say, and turn with the branch."""
    tee = NetTee(node="t", run=("in", "on"), branch="off")
    links = [
        link("pump", "a", "b", curve=P),
        link("in", "b", "t", bore_m=0.0202),
        link("on", "t", "a", bore_m=0.0202, kv_m3_h=0.8),
        link("off", "t", "a", bore_m=0.0202, kv_m3_h=0.8),
    ]
    net = N(links, tees=(tee,))
    s = solve(net)
    closes(net, s)
    on, off = flow(net, s, "on"), flow(net, s, "off")
    head = (on + off) ** 2 / (2.0 * float(s.density_kg_m3[0]) * (np.pi / 4 * 0.0202**2) ** 2)
    share = off / (on + off)
    assert EDGE < share < 1.0 - EDGE
    valve = 1e5 * 3600.0**2 / (1000.0 * float(s.density_kg_m3[0]) * 0.8**2)
    extra = [float(s.drop_pa[i]) - valve * m * m for i, m in ((2, on), (3, off))]
    # each link has a hair of resistance of its own
    assert extra[0] == pytest.approx(float(dividing_run(a(share), a(1.0))[0]) * head, abs=0.2)
    assert extra[1] == pytest.approx(float(dividing_branch(a(share), a(1.0))[0]) * head, abs=0.2)
    turned = N([*links[:3], link("off", "a", "t", bore_m=0.0202, kv_m3_h=0.8)], tees=(tee,))
    assert flow(turned, solve(turned), "off") == pytest.approx(-off, rel=1e-9)
