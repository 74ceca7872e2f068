"""EN 12831:2003, annex D and clause 7: default values, from memory where no other source is named."""

import pytest

from wetside.house.air import air_conductance, height_factor, infiltration, shielding_coefficient
from wetside.house.ground import F_G1, mean_factor, water_factor
from wetside.house.spec import Shielding

TABLE_D8 = {Shielding.NONE: (0, 0.03, 0.05), Shielding.MODERATE: (0, 0.02, 0.03), Shielding.HEAVY: (0, 0.01, 0.02)}


@pytest.mark.parametrize(
    ("shielding", "openings", "e"), [(s, n, e) for s, row in TABLE_D8.items() for n, e in enumerate(row)]
)
def test_shielding_coefficient(shielding: Shielding, openings: int, e: float) -> None:
    assert shielding_coefficient(shielding, openings) == e


def test_more_openings_than_two_change_nothing() -> None:
    assert shielding_coefficient(Shielding.NONE, 7) == 0.05


@pytest.mark.parametrize(("metres", "factor"), [(0, 1.0), (10, 1.0), (10.1, 1.2), (30, 1.2), (30.1, 1.5)])
def test_height_factor(metres: float, factor: float) -> None:
    assert height_factor(metres) == factor


def test_ground_factors() -> None:
    assert F_G1 == 1.45
    assert water_factor(False) == 1.00
    assert water_factor(True) == 1.15


def test_infiltration_and_air() -> None:
    """V_inf = 2 V n50 e ε and H_V = 0.34 V'."""
    assert infiltration(40.0, 3.0, 0.02, 1.0) == pytest.approx(4.8)
    assert air_conductance(20.0) == pytest.approx(6.8)


def test_mean_factor() -> None:
    """(20 − 8.5)/(20 + 12)."""
    assert mean_factor(20.0, 8.5, -12.0) == pytest.approx(0.359375)
