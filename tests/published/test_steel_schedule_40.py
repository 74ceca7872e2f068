"""ASME B36.10 web tables, schedule 40: bore (in) and mass (lb/ft) with steel of 0.2833 lb/in3.

Erratum: one copy prints 3.853 lb/ft for 2 in; 3.653 is right.
"""

from math import pi

import pytest

from wetside.basis.quantity import INCH
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}


@pytest.mark.parametrize(
    ("nominal", "bore", "mass"),
    [
        ("1/2", 0.622, 0.851), ("3/4", 0.824, 1.131), ("1", 1.049, 1.679),
        ("1 1/4", 1.380, 2.273), ("1 1/2", 1.610, 2.718), ("2", 2.067, 3.653),
    ],
)  # fmt: skip
def test_bore_and_mass(nominal: str, bore: float, mass: float) -> None:
    tube = TUBES[f"steel schedule 40 {nominal}"]
    assert tube.bore_m / INCH == pytest.approx(bore, abs=1e-9)
    metal = pi * (tube.outside_m - tube.wall_m) * tube.wall_m / INCH**2 * 12 * 0.2833
    assert metal == pytest.approx(mass, abs=0.0015)
