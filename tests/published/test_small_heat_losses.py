"""Small worked examples: Fabric Heat Loss note (scribd.com/document/391749735), a wall of 6 m x 2.5 m at 22 K;
"Figuring heat loss" (popularenergy.org/figuring_heat_loss.html), a US wall and its windows at 50 °F."""

from collections.abc import Callable

import pytest

from wetside.basis.quantity import BTU, FOOT
from wetside.house.load import heat_loads
from wetside.house.spec import House

US_U = BTU / 3600 / FOOT**2 * 9 / 5


@pytest.mark.parametrize(
    ("surfaces", "printed"),
    [
        ([("wall", 15.0, 3.0)], 990.0),
        ([("wall", 15.0, 0.317)], 104.6),
        ([("window", 2.0, 2.8), ("wall", 13.0, 0.317)], 213.86),
    ],
    ids=["bare wall", "insulated wall", "wall with window"],
)
def test_wall_at_22_k(
    listed_house: Callable[..., House], surfaces: list[tuple[str, float, float]], printed: float
) -> None:
    load = heat_loads(listed_house(surfaces, 20.0, -2.0, 30.0, 0.0)).rooms[0]
    assert load.load_w == pytest.approx(printed, abs=0.06 if printed < 200 else 0.006)


@pytest.mark.parametrize(
    ("area_ft2", "btu_u", "printed"), [(420.0, 0.055, 1155), (60.0, 0.251, 753)], ids=["wall", "windows"]
)
def test_us_surface_at_50_f(listed_house: Callable[..., House], area_ft2: float, btu_u: float, printed: int) -> None:
    house = listed_house([("s", area_ft2 * FOOT**2, btu_u * US_U)], 68 / 1.8, 18 / 1.8, 30.0, 0.0)
    assert heat_loads(house).rooms[0].load_w / (BTU / 3600) == pytest.approx(printed, abs=0.5)
