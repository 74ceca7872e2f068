"""University of Iceland, course BYG601G, notes on heat loss by B. Marteinsson, ch. 2, Table 2.4 (after DS 418 and
EN ISO 6946): resistance of unventilated air layers, m2K/W, by thickness in mm for heat going up, sideways, down."""

import pytest

from wetside.house.uvalue import Direction, air_layer_resistance

TABLE = """
0 0.00 0.00 0.00
5 0.11 0.11 0.11
7 0.13 0.13 0.13
10 0.15 0.15 0.15
15 0.16 0.17 0.17
25 0.16 0.18 0.19
50 0.16 0.18 0.21
100 0.16 0.18 0.22
300 0.16 0.18 0.23
"""
CASES = [
    (float(cells[0]) / 1000, direction, float(printed))
    for cells in (line.split() for line in TABLE.strip().splitlines())
    for direction, printed in zip(("up", "horizontal", "down"), cells[1:], strict=True)
]


@pytest.mark.parametrize(("thickness", "direction", "printed"), CASES)
def test_air_layer(thickness: float, direction: Direction, printed: float) -> None:
    assert air_layer_resistance(thickness, direction) == pytest.approx(printed, abs=1e-9)
