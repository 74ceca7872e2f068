"""What emitters, coils and boilers do to water."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.emitter.law import outputs
from wetside.network.elements import Mode, coil_return, emitter_return, source_enthalpy, source_mode


def a(*values: float) -> np.ndarray:
    return np.array(values)


def emitter(
    supply: float, capacity: float, n: float = 1.3, rated: float = 1000.0, excess: float = 50.0
) -> tuple[float, float]:
    out, slope = emitter_return(a(supply), a(capacity), a(rated), a(excess), a(n), a(20.0))
    return float(out[0]), float(slope[0])


@given(st.floats(20.01, 95.0), st.floats(-2.0, 6.0), st.floats(1.0, 1.6), st.floats(50.0, 6000.0))
def test_same_return_as_the_emitter_law(supply: float, log_capacity: float, n: float, rated: float) -> None:
    capacity = math.exp(log_capacity)
    law = outputs(rated, 50.0, n, capacity, supply, 20.0)
    assert emitter(supply, capacity, n, rated)[0] == pytest.approx(float(law.return_c), abs=1e-8)


@given(st.floats(21.0, 95.0), st.floats(0.0, 6.0), st.floats(1.0, 1.6))
def test_slope_is_the_derivative(supply: float, log_capacity: float, n: float) -> None:
    capacity = math.exp(log_capacity)
    high, low = (emitter(supply + s, capacity, n)[0] for s in (1e-4, -1e-4))
    assert emitter(supply, capacity, n)[1] == pytest.approx((high - low) / 2e-4, rel=1e-4, abs=1e-6)


@given(st.floats(0.1, 40.0), st.floats(0.0, 6.0))
def test_cold_water_is_warmed_by_the_same_law(excess: float, log_capacity: float) -> None:
    warm, cold = emitter(20.0 + excess, math.exp(log_capacity))[0], emitter(20.0 - excess, math.exp(log_capacity))[0]
    assert warm - 20.0 == pytest.approx(20.0 - cold, abs=1e-9)


def test_return_temperature_closed_form() -> None:
    """Derived: 1000 W at 75/65/20 °C (logarithmic mean 49.83 K), n 1.3, room 20 °C, 60 kg/h of 4186 J/(kg K) at
    60 °C: return 50.866 °C, 637.25 W. And 600 W at 70 °C: return 41.310 °C, 17.98 l/h of 1.163 Wh/(l K)."""
    excess = 10.0 / math.log(55.0 / 45.0)
    capacity = 60.0 / 3600.0 * 4186.0
    back, _ = emitter(60.0, capacity, excess=excess)
    assert back == pytest.approx(50.866, abs=5e-4)
    assert emitter(70.0, 17.98 * 1.163, excess=excess)[0] == pytest.approx(41.310, abs=0.02)
    assert capacity * (60.0 - back) == pytest.approx(637.25, abs=0.05)


def test_coil_closed_form_and_never_warms() -> None:
    out, slope = coil_return(a(70.0, 30.0), a(500.0, 500.0), a(300.0, 300.0), a(50.0, 50.0))
    assert out == pytest.approx([50.0 + 20.0 * math.exp(-0.6), 30.0])
    assert slope == pytest.approx([math.exp(-0.6), 1.0])


@pytest.mark.parametrize(
    ("before", "mode", "after"),
    [(200e3, Mode.HOLDS, 250e3), (100e3, Mode.FULL, 200e3), (260e3, Mode.IDLE, 260e3)],
)
def test_boiler_reaches_its_mode_from_any_other(before: float, mode: int, after: float) -> None:
    """10 kW into 0.1 kg/s lifts by 100 kJ/kg; set point 250 kJ/kg."""
    for start in (Mode.HOLDS, Mode.FULL, Mode.IDLE):
        now = np.array([start])
        for _ in range(3):
            now = source_mode(now, a(before), a(0.1), a(250e3), a(10e3))
        assert now[0] == mode
        assert source_enthalpy(now, a(before), a(0.1), a(250e3), a(10e3))[0][0] == pytest.approx(after)


def test_boiler_goes_from_full_to_idle_by_way_of_holding() -> None:
    assert source_mode(np.array([Mode.FULL]), a(260e3), a(0.1), a(250e3), a(10e3))[0] == Mode.HOLDS
    assert source_mode(np.array([Mode.IDLE]), a(100e3), a(0.1), a(250e3), a(10e3))[0] == Mode.HOLDS
