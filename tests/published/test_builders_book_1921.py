"""Building with Assurance (US builder's book, about 1921), page on sizing steam radiators: a room in Btu/h.

The glass's U of 1.09 and the air's 0.02105 Btu/ft3F are implied by the printed results."""

from collections.abc import Callable

import pytest

from wetside.basis.quantity import BTU, FOOT
from wetside.house.load import heat_loads
from wetside.house.spec import House

U = BTU / 3600 / FOOT**2 * 9 / 5
WATT = BTU / 3600
AIR_WH_M3K = 3031 / (1800 * 80) * BTU / 3600 / FOOT**3 * 9 / 5
ROWS = [("wall", 200.0, 0.35, 5600), ("glass", 70.0, 1.09, 6104), ("ceiling", 180.0, 0.26, 3744)]


def room(listed_house: Callable[..., House]) -> tuple[dict[str, float], float]:
    rows = [(name, ft2 * FOOT**2, btu * U) for name, ft2, btu, _ in ROWS]
    change = AIR_WH_M3K / 0.34
    load = heat_loads(listed_house(rows, 70 / 1.8, (70 - 80) / 1.8, 1800 * FOOT**3, change)).rooms[0]
    return {s.name: s.load_w / WATT for s in load.surfaces}, load.load_w / WATT


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_surface(listed_house: Callable[..., House], row: tuple[str, float, float, int]) -> None:
    assert room(listed_house)[0][row[0]] == pytest.approx(row[3], abs=0.5)


def test_whole_room(listed_house: Callable[..., House]) -> None:
    assert room(listed_house)[1] == pytest.approx(18_479, abs=1)


def test_radiator_surface(listed_house: Callable[..., House]) -> None:
    """79 square feet at 232 Btu/h each, the fraction dropped."""
    assert int(room(listed_house)[1] / 232) == 79
