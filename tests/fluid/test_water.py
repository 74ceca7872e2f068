"""Water and glycol: shapes, ends of the table, balances that close."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.basis.errors import TableProblem
from wetside.basis.tables import load
from wetside.fluid import water as water_module
from wetside.fluid.water import boiling_temperature, liquid, vapour_pressure

SHARES = st.sampled_from([0.0, 0.1, 0.25, 0.3, 0.5])
ANY_C = st.floats(-40.0, 200.0)


def test_float_gives_float_and_array_gives_array() -> None:
    water = liquid()
    many = np.array([[10.0, 20.0], [30.0, 90.0]])
    for read in (water.density, water.viscosity, water.heat_capacity, water.conductivity, water.enthalpy):
        assert type(read(20.0)) is float
        assert read(many).shape == many.shape
        assert read(many)[0, 1] == read(20.0)
    assert type(water.temperature(4e4)) is float


def test_each_liquid_is_made_once() -> None:
    assert liquid() is liquid(0.0)
    assert liquid(0.3) is liquid(0.3)
    assert liquid(0.3) is not liquid()


def test_tables_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        liquid()._density[0] = 1.0


@pytest.mark.parametrize("share", [-0.1, 0.05, 0.51, math.nan])
def test_share_outside_the_table_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="glycol share"):
        liquid(share)


@given(SHARES, ANY_C)
def test_enthalpy_is_inverted(share: float, t_c: float) -> None:
    fluid = liquid(share)
    assert fluid.temperature(fluid.enthalpy(t_c)) == pytest.approx(t_c, abs=1e-9)


@given(SHARES, ANY_C, st.floats(1e-3, 60.0))
def test_enthalpy_rises(share: float, t_c: float, rise: float) -> None:
    fluid = liquid(share)
    assert fluid.enthalpy(t_c + rise) > fluid.enthalpy(t_c)


@given(SHARES, st.floats(-5.0, 125.0))
def test_heat_capacity_is_the_slope_of_enthalpy(share: float, t_c: float) -> None:
    # over a span d the central difference is the mean of heat capacity, off by at most its change over the span
    fluid, d = liquid(share), 0.01
    slope = (fluid.enthalpy(t_c + d) - fluid.enthalpy(t_c - d)) / (2.0 * d)
    assert slope == pytest.approx(fluid.heat_capacity(t_c), abs=0.05)


@given(SHARES, ANY_C)
def test_ends_of_the_table_hold_beyond_it(share: float, t_c: float) -> None:
    fluid = liquid(share)
    inside = min(max(t_c, 0.0), fluid.most_c)
    assert fluid.density(t_c) == fluid.density(inside)
    assert fluid.viscosity(t_c) == fluid.viscosity(inside)
    assert fluid.heat_capacity(t_c) == fluid.heat_capacity(inside)
    assert fluid.conductivity(t_c) == fluid.conductivity(inside)


def test_enthalpy_goes_on_with_the_end_s_heat_capacity() -> None:
    water = liquid()
    assert water.enthalpy(-7.0) == pytest.approx(-7.0 * water.heat_capacity(0.0), rel=1e-12)
    above = water.enthalpy(131.0) - water.enthalpy(120.0)
    assert above == pytest.approx(11.0 * water.heat_capacity(120.0), rel=1e-12)


def test_share_between_two_of_the_table_lies_between() -> None:
    low, middle, high = liquid(0.3), liquid(0.35), liquid(0.4)
    assert middle.density(20.0) == pytest.approx(0.5 * (low.density(20.0) + high.density(20.0)), rel=1e-12)
    assert middle.viscosity(20.0) == pytest.approx(math.sqrt(low.viscosity(20.0) * high.viscosity(20.0)), rel=1e-12)


@given(st.floats(0.0, 120.0))
def test_boiling_temperature_inverts_vapour_pressure(t_c: float) -> None:
    assert boiling_temperature(vapour_pressure(t_c)) == pytest.approx(t_c, abs=1e-9)


@pytest.mark.parametrize("pressure", [0.0, -5.0, 600.0, 2.0e5])
def test_boiling_outside_the_table_is_refused(pressure: float) -> None:
    with pytest.raises(ValueError, match="vapour pressures"):
        boiling_temperature(pressure)


def test_water_boils_at_100_degrees_at_one_atmosphere() -> None:
    # 99.974 °C by IAPWS; ITS-90 moved it off the round number
    assert boiling_temperature(101_325.0) == pytest.approx(99.974, abs=0.001)


@pytest.mark.parametrize(("name", "share"), [("water", 0.0), ("glycol", 0.3)])
def test_table_off_its_grid_is_refused(name: str, share: float, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = load(name)
    short = replace(whole, rows=(*whole.rows[:5], *whole.rows[6:]))
    monkeypatch.setattr(water_module, "load", lambda _: short)
    with pytest.raises(TableProblem, match=name):
        water_module._liquid.__wrapped__(share)
