"""Hydraulic Institute, Engineering Data Book, open data set (2025): seamless copper water tube, ASTM B88 types K, L, M.

Printed bores (in) and masses (lb/ft); the data set's 0.050 in wall of 1 1/4 L is a misprint (its mass and its drawn row
belong to 0.055), so the other printed table's 0.055 stands. Mass from the density 0.323 lb/in3 that belongs to the
tables; the tolerance of 0.5 % is the rounding of three printed digits.
"""

from math import pi

import pytest

from wetside.basis.quantity import FOOT, INCH
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}
# nominal: K bore, K mass, L bore, L mass, M bore, M mass
PRINTED = {
    "3/8": (0.402, 0.269, 0.430, 0.198, 0.450, 0.145),
    "1/2": (0.527, 0.344, 0.545, 0.285, 0.569, 0.204),
    "5/8": (0.652, 0.418, 0.666, 0.362, None, None),
    "3/4": (0.745, 0.641, 0.785, 0.455, 0.811, 0.328),
    "1": (0.995, 0.839, 1.025, 0.655, 1.055, 0.465),
    "1 1/4": (1.245, 1.04, 1.265, 0.884, 1.291, 0.682),
    "1 1/2": (1.481, 1.36, 1.505, 1.14, 1.527, 0.940),
    "2": (1.959, 2.06, 1.985, 1.75, 2.009, 1.46),
}
CELLS = [
    (f"copper {kind} {nominal}", row[2 * k], row[2 * k + 1])
    for nominal, row in PRINTED.items()
    for k, kind in enumerate("KLM")
    if row[2 * k] is not None
]


@pytest.mark.parametrize(("name", "bore", "mass"), CELLS)
def test_bore_and_mass(name: str, bore: float, mass: float) -> None:
    tube = TUBES[name]
    assert tube.bore_m / INCH == pytest.approx(bore, abs=1e-9)
    metal = pi * (tube.outside_m - tube.wall_m) * tube.wall_m / INCH**2 * 12 * 0.323
    assert metal == pytest.approx(mass, rel=0.005)


def test_every_shipped_one_is_printed() -> None:
    shipped = {n for n in TUBES if n.startswith(("copper K", "copper L", "copper M"))}
    assert shipped == {name for name, _, _ in CELLS}
    # the size is nominal, the outside is 1/8 in more
    assert TUBES["copper L 3/4"].outside_m == pytest.approx((3 / 4 + 1 / 8) * INCH)
    assert TUBES["copper L 3/4"].stock_m == pytest.approx(20 * FOOT)
