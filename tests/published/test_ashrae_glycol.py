"""ASHRAE table of inhibited propylene glycol by volume, as transcribed in the source tree of the CoolProp library.

(dev/incompressible_liquids/CPIncomp/data/SecCool/xVolume/ASHRAE, Propylene Glycol.) The shipped table is fitted to the
same figures, so this only proves that the right fluid and a volume share are used.
Tolerances: density 0.1 %, heat capacity 0.2 %, viscosity 3 %.
"""

import pytest

from wetside.basis.quantity import BTU, GALLON
from wetside.fluid.water import liquid

ROWS = [
    (0.3, 0, 1036.24, 3793, 7.08), (0.3, 20, 1028.35, 3848, 3.06), (0.3, 40, 1018.42, 3903, 1.63),
    (0.3, 60, 1006.44, 3958, 1.01), (0.3, 80, 992.42, 4013, 0.70), (0.2, 20, 1019.01, 3973, 2.02),
    (0.4, 20, 1036.24, 3702, 4.57), (0.4, 60, 1012.30, 3834, 1.30),
]  # fmt: skip


@pytest.mark.parametrize(("share", "t_c", "density", "heat_capacity", "viscosity_mpa_s"), ROWS)
def test_row(share: float, t_c: float, density: float, heat_capacity: float, viscosity_mpa_s: float) -> None:
    fluid = liquid(share)
    assert fluid.density(t_c) == pytest.approx(density, rel=1e-3)
    assert fluid.heat_capacity(t_c) == pytest.approx(heat_capacity, rel=2e-3)
    assert fluid.viscosity(t_c) * 1e3 == pytest.approx(viscosity_mpa_s, rel=0.03)


def test_factor_of_the_rule_of_500_for_thirty_percent_at_60_c() -> None:
    # worked from the same rows: Btu/h = 476 gpm dF
    fluid = liquid(0.3)
    factor = GALLON * 60 * fluid.density(60.0) * fluid.heat_capacity(60.0) / 1.8 / BTU
    assert factor == pytest.approx(476.0, abs=0.5)
