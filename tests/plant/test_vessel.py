"""Vessel, relief valve, hot water: what can never happen, and what is refused."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from wetside.fluid.water import liquid
from wetside.plant.hot_water import hot_share, power_for, wait_s, warmed_flow
from wetside.plant.static import column_pressure, gravity_drive, pressure_at
from wetside.plant.vessel import (
    expansion_share,
    needed_volume,
    net_volume,
    plain_tank_volume,
    pressure_after,
    relief_margin,
    reserve,
)  # fmt: skip

BAR = 1e5
LITRE = 1e-3


@given(st.floats(0.01, 200.0), st.floats(10.0, 5000.0), st.floats(0.0, 3.0), st.floats(0.1, 5.0))
def test_vessel_as_needed_reaches_the_final_pressure_with_its_reserve(
    grown_l: float, system_l: float, charge: float, over: float
) -> None:
    final = charge + over
    needed = needed_volume(grown_l * LITRE, system_l * LITRE, charge * BAR, final * BAR)
    assert needed is not None
    kept = reserve(system_l * LITRE) if needed > 15.0 * LITRE * (1 + 1e-9) else 0.2 * needed
    assume(abs(needed / (15.0 * LITRE) - 1.0) > 1e-9)
    gas = needed - grown_l * LITRE - kept
    assert needed * (charge + 1.0) / gas - 1.0 == pytest.approx(final, rel=1e-9)


def test_small_and_large_reserve_meet_at_15_litres() -> None:
    # 3.43 l grown at (2.5 + 1) / (2.5 - 1) = 2.33
    low = needed_volume(3.4285 * LITRE, 100 * LITRE, 1.0 * BAR, 2.5 * BAR)
    high = needed_volume(3.4286 * LITRE, 100 * LITRE, 1.0 * BAR, 2.5 * BAR)
    assert low == pytest.approx(15.0 * LITRE, rel=1e-4)
    assert high == pytest.approx(15.0 * LITRE, rel=1e-4)


@pytest.mark.parametrize("charge", [2.5, 2.6])
def test_charge_at_the_final_pressure_takes_nothing(charge: float) -> None:
    assert needed_volume(LITRE, 100 * LITRE, charge * BAR, 2.5 * BAR) is None
    with pytest.raises(ValueError, match="below the final pressure"):
        net_volume(LITRE, charge * BAR, 2.5 * BAR)
    with pytest.raises(ValueError, match="below the final pressure"):
        plain_tank_volume(LITRE, charge * BAR, 2.5 * BAR)


def test_vessel_that_is_too_small_has_no_pressure() -> None:
    assert pressure_after(5 * LITRE, BAR, 1.5 * BAR, 6 * LITRE) == math.inf


def test_empty_vessel_starts_from_its_charge() -> None:
    # filled under the charge: the water that comes first finds the whole gas volume
    assert pressure_after(10 * LITRE, 1.5 * BAR, 1.0 * BAR, 5 * LITRE) == pytest.approx(4.0 * BAR)
    assert pressure_after(10 * LITRE, 1.5 * BAR, 1.5 * BAR, 5 * LITRE) == pytest.approx(4.0 * BAR)


@given(st.floats(0.0, 4.0), st.floats(0.01, 2.0))
def test_pressure_rises_with_expansion(grown_l: float, more_l: float) -> None:
    less = pressure_after(12 * LITRE, BAR, 1.5 * BAR, grown_l * LITRE)
    assert pressure_after(12 * LITRE, BAR, 1.5 * BAR, (grown_l + more_l) * LITRE) > less


@pytest.mark.parametrize(("opens", "margin"), [(3.0, 0.5), (5.0, 0.5), (6.0, 0.6), (10.0, 1.0)])
def test_margin_under_the_relief_valve(opens: float, margin: float) -> None:
    assert relief_margin(opens * BAR) == pytest.approx(margin * BAR)


@given(st.floats(5.0, 90.0), st.floats(0.1, 20.0))
def test_expansion_adds_up(hot_c: float, rise: float) -> None:
    water = liquid()
    first, second = expansion_share(water, 5.0, hot_c), expansion_share(water, hot_c, hot_c + rise)
    assert (1 + first) * (1 + second) - 1 == pytest.approx(expansion_share(water, 5.0, hot_c + rise), abs=1e-12)


@given(st.floats(-10.0, 10.0), st.floats(-10.0, 10.0))
def test_there_and_back_is_the_same_pressure(a: float, b: float) -> None:
    up = pressure_at(b, 2e5, a, 1000.0)
    assert pressure_at(a, up, b, 1000.0) == pytest.approx(2e5, rel=1e-12)
    assert pressure_at(a, 2e5, a, 1000.0) == 2e5


def test_ten_metres_of_water_are_nearly_a_bar() -> None:
    assert column_pressure(1000.0, 10.0) == pytest.approx(98_066.5)


def test_same_temperatures_drive_nothing() -> None:
    assert gravity_drive(liquid(), 60.0, 60.0, 5.0) == 0.0


@given(st.floats(1e3, 5e4), st.floats(4.0, 20.0), st.floats(5.0, 50.0))
def test_power_and_flow_are_inverse(power: float, cold: float, rise: float) -> None:
    flow = warmed_flow(power, cold, cold + rise)
    assert power_for(flow, cold, cold + rise) == pytest.approx(power, rel=1e-12)


def test_hot_water_that_is_not_hot_is_refused() -> None:
    with pytest.raises(ValueError, match="isn't hotter"):
        warmed_flow(24e3, 10.0, 10.0)
    with pytest.raises(ValueError, match="can't mix"):
        hot_share(60.0, 10.0, 61.0)
    with pytest.raises(ValueError, match="can't mix"):
        hot_share(10.0, 10.0, 10.0)
    with pytest.raises(ValueError, match="never arrives"):
        wait_s(1.0, 0.0)


def test_ends_of_a_mix() -> None:
    assert hot_share(60.0, 10.0, 10.0) == 0.0
    assert hot_share(60.0, 10.0, 60.0) == 1.0
