"""Friction: Colebrook solved, laminar joined to turbulent without a kink, fittings by K and Kv."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.network.friction import (
    CREEP,
    colebrook,
    friction_number,
    k_from_kv,
    square_coefficient,
    square_drop,
    tube_drop,
)  # fmt: skip

ROUGH = st.floats(0.0, 0.05)


def by_bisection(reynolds: float, roughness: float) -> float:
    """Colebrook's own equation, solved slowly and surely for 1/sqrt(f)."""
    low, high = 1.0, 30.0
    for _ in range(200):
        x = 0.5 * (low + high)
        if x + 2.0 * math.log10(roughness / 3.7 + 2.51 * x / reynolds) > 0.0:
            high = x
        else:
            low = x
    return x**-2.0


def a(*values: float) -> np.ndarray:
    return np.array(values)


@given(st.floats(math.log(4e3), math.log(1e8)), ROUGH)
def test_colebrook_is_solved_over_its_range(log_reynolds: float, roughness: float) -> None:
    reynolds = math.exp(log_reynolds)
    got = colebrook(a(reynolds), a(roughness))[0]
    assert got == pytest.approx(by_bisection(reynolds, roughness), rel=1e-6)


def test_laminar_is_64_over_reynolds() -> None:
    number, slope = friction_number(a(10.0, 1999.0), a(0.0, 0.05))
    assert number / a(10.0, 1999.0) ** 2 == pytest.approx(64.0 / a(10.0, 1999.0))
    assert slope == pytest.approx([64.0, 64.0])


@given(st.floats(0.0, 0.05))
def test_rises_with_reynolds_everywhere(roughness: float) -> None:
    reynolds = np.concatenate([np.linspace(0.0, 6000.0, 1201), np.geomspace(6100.0, 1e8, 200)])
    number, slope = friction_number(reynolds, np.full_like(reynolds, roughness))
    assert np.all(np.diff(number) > 0.0)
    assert np.all(slope > 0.0)


@given(st.floats(1.0, 1e6), ROUGH)
def test_slope_is_the_derivative(reynolds: float, roughness: float) -> None:
    step = 1e-5 * reynolds
    high, low = (friction_number(a(reynolds + s), a(roughness))[0][0] for s in (step, -step))
    assert friction_number(a(reynolds), a(roughness))[1][0] == pytest.approx((high - low) / (2 * step), rel=2e-3)


@pytest.mark.parametrize("edge", [2000.0, 4000.0])
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 0.05])
def test_value_and_slope_join_at_the_edges_of_transition(edge: float, roughness: float) -> None:
    below, above = (friction_number(a(edge * (1 + s)), a(roughness)) for s in (-1e-9, 1e-9))
    assert below[0][0] == pytest.approx(above[0][0], rel=1e-7)
    assert below[1][0] == pytest.approx(above[1][0], rel=1e-5)


@given(st.floats(-2.0, 2.0), st.floats(0.004, 0.06), st.floats(2e-4, 2e-3))
def test_drop_is_odd(flow: float, bore: float, viscosity: float) -> None:
    def drop(m: float) -> tuple[float, float]:
        d, s = tube_drop(a(m), a(7.0), a(bore), a(1e-6), a(980.0), a(viscosity))
        return float(d[0]), float(s[0])

    assert drop(-flow)[0] == -drop(flow)[0]
    assert drop(-flow)[1] == drop(flow)[1] > 0.0


def test_darcy_weisbach_laminar_closed_form() -> None:
    """Hagen and Poiseuille: dp = 128 mu L m / (pi rho d^4)."""
    drop, _ = tube_drop(a(1e-3), a(2.0), a(0.02), a(0.0), a(980.0), a(5e-4))
    assert drop[0] == pytest.approx(128 * 5e-4 * 2.0 * 1e-3 / (math.pi * 980.0 * 0.02**4))


def test_one_kv_of_cold_water_is_one_bar() -> None:
    c = square_coefficient(a(0.0), a(2.5**-2.0), a(0.02), a(1000.0))
    m = a(2.5 * 1000.0 / 3600.0)
    assert square_drop(m, c, a(0.0))[0][0] == pytest.approx(1e5)


def test_k_is_velocity_heads() -> None:
    area = math.pi / 4 * 0.02**2
    c = square_coefficient(a(3.0), a(0.0), a(0.02), a(980.0))
    assert square_drop(a(0.5 * 980.0 * area), c, a(0.0))[0][0] == pytest.approx(3.0 * 980.0 * 0.5**2 / 2)


def test_creep_leaves_working_flows_alone() -> None:
    """At 0.1 m/s the square law is off by 2 parts in a million, and the slope at rest is not nothing."""
    area, rho = math.pi / 4 * 0.02**2, 980.0
    c, creep = a(1e6), a(CREEP * rho * area)
    m = a(0.1 * rho * area)
    assert square_drop(m, c, creep)[0][0] == pytest.approx(1e6 * m[0] ** 2, rel=3e-6)
    assert square_drop(a(0.0), c, creep)[1][0] > 0.0


@given(st.floats(0.1, 20.0), st.floats(0.01, 0.05))
def test_k_from_kv_drops_the_same(kv: float, bore: float) -> None:
    by_kv = square_coefficient(a(0.0), a(kv**-2.0), a(bore), a(1000.0))
    by_k = square_coefficient(a(k_from_kv(kv, bore)), a(0.0), a(bore), a(1000.0))
    assert by_k == pytest.approx(by_kv)
