"""Mass of tube full of water, kg/m and lb/ft.

Source: CDA Table 14.2b, type L, as remembered (from memory); millimetre sizes recomputed from 8940 and 998 kg/m3.
Within 1 %.
"""

import pytest

from wetside.basis.quantity import FOOT, POUND
from wetside.frame.mass import filled_kg_m, tube_kg_m
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}


@pytest.mark.parametrize(
    ("tube", "lb_ft"), [("copper L 1/2", 0.386), ("copper L 3/4", 0.664), ("copper L 1", 1.01), ("copper L 2", 3.09)]
)
def test_type_l(tube: str, lb_ft: float) -> None:
    assert tube_kg_m(TUBES[tube]) / POUND * FOOT == pytest.approx(lb_ft, rel=0.01)


@pytest.mark.parametrize(
    ("outside", "wall", "kg_m"),
    [(15, 0.7, 0.426), (22, 0.9, 0.853), (28, 0.9, 1.223), (35, 1.2, 1.972), (42, 1.2, 2.604), (54, 1.2, 3.867)],
)
def test_thin_walled(outside: float, wall: float, kg_m: float) -> None:
    assert filled_kg_m(outside / 1000, wall / 1000, 8940.0) == pytest.approx(kg_m, abs=0.0006)
