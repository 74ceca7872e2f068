"""The rule of 500, Btu/h = 500 gpm dF, in two trade magazines (pmmag.com 95877 and 95958, achrnews.com 125638).

8 gpm at 20 degF and 16 gpm at 10 degF are 80,000 Btu/h; 10.5 at 19 are 99,750; 1.1 at 16.5 are 9,075. The factor
belongs to cold water: real water gives 500.3 at 60 degF and 487.2 at 180 degF.
"""

import pytest

from wetside.basis.quantity import BTU, GALLON
from wetside.fluid.water import liquid


def celsius(f: float) -> float:
    return (f - 32.0) / 1.8


def factor(t_f: float) -> float:
    """Btu/h per gpm and degF."""
    water = liquid()
    return GALLON * 60 * water.density(celsius(t_f)) * water.heat_capacity(celsius(t_f)) / 1.8 / BTU


@pytest.mark.parametrize(("t_f", "printed"), [(60, 500.3), (100, 496.3), (140, 492.1), (160, 489.7), (180, 487.2)])
def test_true_factor(t_f: float, printed: float) -> None:
    assert factor(t_f) == pytest.approx(printed, abs=0.06)


@pytest.mark.parametrize(
    ("gpm", "drop_f", "btu_h"), [(8, 20, 80_000), (16, 10, 80_000), (10.5, 19, 99_750), (1.1, 16.5, 9_075)]
)
def test_printed_examples_with_water_at_60(gpm: float, drop_f: float, btu_h: float) -> None:
    # the rule's 500 against 500.3: 0.1 %
    water = liquid()
    flow = gpm * GALLON / 60 * water.density(celsius(60))
    half = drop_f / 2
    heat = flow * (water.enthalpy(celsius(60 + half)) - water.enthalpy(celsius(60 - half)))
    assert heat / (BTU / 3600) == pytest.approx(btu_h, rel=1e-3)


def test_rule_overstates_hot_water_by_two_and_a_half_percent() -> None:
    assert 500.0 / factor(180) - 1.0 == pytest.approx(0.026, abs=0.0005)
