"""engineeringtoolbox.com/copper-tubes-heat-capacity-d_476: heat carried by type L copper at a 20 °F drop, kBtu/h, at
friction of so many milinch of water per foot. A band check: the head recomputed for hot water (170 °F) lies within 14 %
of the heading in every cell (6 % or so on the flow).

The first column (headed 920) and two cells of 2 in (258 at 180, 200 at 120) are misprints and left out.
"""

import numpy as np
import pytest

from wetside.basis.quantity import FOOT, GALLON, INCH, G
from wetside.fluid.water import liquid
from wetside.network.friction import tube_drop

HEADS = (600, 480, 360, 300, 240, 180, 120, 60)
TABLE = {
    0.545: (18, 16, 13.5, 12, 11, 9, 7, 5),
    0.785: (46, 40, 34, 31, 28, 23, 18, 12),
    1.025: (94, 82, 70, 63, 56, 47, 37, 25),
    1.265: (169, 149, 125, 112, 100, 84, 66, 44),
    1.985: (560, 495, 420, 375, 335, None, None, 150),
}
T_C = (170 - 32) / 1.8


@pytest.mark.parametrize("bore_in", TABLE)
def test_band(bore_in: float) -> None:
    rho, mu = liquid().density(T_C), liquid().viscosity(T_C)
    for head, kbtu in zip(HEADS, TABLE[bore_in], strict=True):
        if kbtu is None:
            continue
        m = kbtu / 10 * GALLON / 60 * rho
        drop, _ = tube_drop(*(np.array([x]) for x in (m, FOOT, bore_in * INCH, 5e-6 * FOOT, rho, mu)))
        milinch = drop[0] / (rho * G) / INCH * 1000
        assert milinch == pytest.approx(head, rel=0.14), (head, kbtu)
