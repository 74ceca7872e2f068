"""Tube data sheet to EN 1057: bore (mm), mass (kg/m), water content (l/m).

Erratum: another copy prints the content of 42 x 1.5 as .1195 l/m, a slip of the point for 1.195. The masses belong to
8.90 g/cm3 (within 1 %); contents to half their last printed digit (35 x 1.5: 0.8042, printed .804).
"""

from math import pi

import pytest

from wetside.pipework.tubes import shipped_tubes
from wetside.takeoff.water import tube_content_m3

TUBES = {t.name: t for t in shipped_tubes()}


@pytest.mark.parametrize(
    ("name", "bore_mm", "kg_m", "l_m"),
    [
        ("copper 10x1", 8, 0.252, 0.050),
        ("copper 12x1", 10, 0.308, 0.079),
        ("copper 15x1", 13, 0.391, 0.133),
        ("copper 18x1", 16, 0.475, 0.201),
        ("copper 22x1", 20, 0.587, 0.314),
        ("copper 28x1.5", 25, 1.111, 0.491),
        ("copper 35x1.5", 32, 1.405, 0.804),
        ("copper 42x1.5", 39, 1.699, 1.195),
        ("copper 54x2", 50, 2.908, 1.963),
    ],
)
def test_bore_mass_content(name: str, bore_mm: float, kg_m: float, l_m: float) -> None:
    tube = TUBES[name]
    assert tube.bore_m * 1000 == pytest.approx(bore_mm, abs=1e-9)
    assert pi * (tube.outside_m - tube.wall_m) * tube.wall_m * 8900 == pytest.approx(kg_m, rel=0.01)
    assert tube_content_m3(1.0, tube.bore_m) * 1000 == pytest.approx(l_m, abs=0.0005)
