"""Moist air and flue gas: limits and directions."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.fluid.air import saturation_pressure, vapour_content, volume_heat_capacity
from wetside.fluid.fuel import NATURAL_GAS, PROPANE, dew_point, flue_vapour_share


@given(st.floats(-20.0, 59.0), st.floats(0.01, 1.0))
def test_saturation_pressure_rises(t_c: float, rise: float) -> None:
    assert saturation_pressure(t_c + rise) > saturation_pressure(t_c)


def test_saturation_pressure_is_joined_at_freezing() -> None:
    assert saturation_pressure(-1e-9) == pytest.approx(saturation_pressure(0.0), rel=1e-9)


def test_vapour_content_follows_humidity() -> None:
    assert vapour_content(20.0, 0.5) == pytest.approx(0.5 * vapour_content(20.0), rel=1e-12)


def test_thin_air_holds_less_heat() -> None:
    assert volume_heat_capacity(20.0, pressure_pa=80_000.0) == pytest.approx(
        volume_heat_capacity(20.0) * 80_000.0 / 101_325.0, rel=1e-12
    )


def test_vapour_changes_heat_capacity_by_the_swap_of_gases() -> None:
    # each mole of vapour takes the place of a mole of air: 33.5 J/(mol K) for 29.1 J/(mol K)
    gain = volume_heat_capacity(20.0, 1.0) / volume_heat_capacity(20.0) - 1.0
    share = saturation_pressure(20.0) / 101_325.0
    assert gain == pytest.approx(share * (33.51 / 29.14 - 1.0), rel=0.01)


def test_methane_without_excess_air_makes_two_parts_water_in_ten_and_a_half() -> None:
    assert flue_vapour_share(NATURAL_GAS, 0.0) == pytest.approx(2.0 / (3.0 + 2.0 * 79.05 / 20.95), rel=1e-12)


@given(st.floats(0.0, 1.0), st.floats(0.01, 1.0))
def test_more_air_lowers_the_dew_point(excess: float, more: float) -> None:
    for gas in (NATURAL_GAS, PROPANE):
        assert dew_point(gas, excess + more) < dew_point(gas, excess)
