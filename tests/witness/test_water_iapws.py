"""Witness: the iapws library (IAPWS-IF97 with the 2008 viscosity and 2011 conductivity), at 3 bar absolute.

IF97 is the industrial formulation; it may differ from IAPWS-95 by up to 0.01 % in density and 0.1 % in heat capacity.
"""

import pytest
from iapws import IAPWS97

from wetside.fluid.water import liquid, vapour_pressure


@pytest.mark.parametrize("t_c", [0.5, 4.0, 10.25, 20.0, 39.5, 60.0, 79.75, 95.0, 110.5, 119.5])
def test_water(t_c: float) -> None:
    water = liquid()
    other = IAPWS97(T=t_c + 273.15, P=0.3)
    assert water.density(t_c) == pytest.approx(other.rho, rel=1e-4)
    assert water.heat_capacity(t_c) == pytest.approx(other.cp * 1e3, rel=1e-3)
    assert water.viscosity(t_c) == pytest.approx(other.mu, rel=5e-4)
    assert water.conductivity(t_c) == pytest.approx(other.k, rel=2e-3)


@pytest.mark.parametrize("t_c", [5.5, 50.0, 99.5, 119.5])
def test_vapour_pressure(t_c: float) -> None:
    assert vapour_pressure(t_c) == pytest.approx(IAPWS97(T=t_c + 273.15, x=0).P * 1e6, rel=5e-4)
