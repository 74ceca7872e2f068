"""Open University, OpenLearn "Energy in buildings", sect. 2.4.1, Table 7: end-of-terrace house, fabric only."""

from collections.abc import Callable

import pytest

from wetside.house.load import heat_loads
from wetside.house.spec import House

# name, m2, W/m2K, W/K as printed
TABLE_7 = [
    ("floor", 48.0, 0.25, 12.0), ("roof", 48.0, 0.16, 7.7), ("walls", 80.0, 0.35, 28.0),
    ("windows and doors", 20.0, 2.0, 40.0),
]  # fmt: skip


def test_whole(listed_house: Callable[..., House]) -> None:
    load = heat_loads(listed_house([row[:3] for row in TABLE_7], 20.0, 0.0, 120.0, 0.0)).rooms[0]
    assert load.transmission_w / 20 == pytest.approx(87.7, abs=0.05)


@pytest.mark.parametrize("row", TABLE_7, ids=lambda row: row[0])
def test_row(listed_house: Callable[..., House], row: tuple[str, float, float, float]) -> None:
    load = heat_loads(listed_house([row[:3]], 20.0, 0.0, 120.0, 0.0)).rooms[0]
    assert load.transmission_w / 20 == pytest.approx(row[3], abs=0.05)
