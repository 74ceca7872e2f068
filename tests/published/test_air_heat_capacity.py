"""Heat capacity of a cubic metre of air as different books round it.

MacKay, Sustainable Energy - without the hot air: 1.2 kJ/m3K, a third of a Wh; UK practice 0.33; EN 12831 0.34 (from
memory). US: 0.075 lb/ft3 times 0.24 Btu/lb F = 0.018 Btu/ft3 F. The four figures at given temperatures are real dry air
at 1.01325 bar (printed to four digits, computed apart from wetside).
"""

import pytest

from wetside.basis.quantity import BTU, FOOT
from wetside.fluid.air import volume_heat_capacity


@pytest.mark.parametrize(("t_c", "wh_m3k"), [(-10, 0.3750), (0, 0.3612), (10, 0.3485), (20, 0.3366)])
def test_real_dry_air(t_c: float, wh_m3k: float) -> None:
    # an ideal gas of constant heat capacity stays within 0.1 % of it
    assert volume_heat_capacity(t_c) / 3600.0 == pytest.approx(wh_m3k, rel=1e-3)


def test_kilojoules_of_mackay() -> None:
    assert volume_heat_capacity(20.0) / 1000.0 == pytest.approx(1.2, abs=0.05)


def test_us_figure() -> None:
    btu_ft3_f = volume_heat_capacity(21.1) / BTU * FOOT**3 / 1.8
    assert btu_ft3_f == pytest.approx(0.018, abs=0.0005)


def test_en_12831_figure_is_met_by_indoor_air_in_its_digits() -> None:
    assert volume_heat_capacity(20.0, 0.5) / 3600.0 == pytest.approx(0.34, abs=0.005)
