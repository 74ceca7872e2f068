"""D. MacKay, Sustainable Energy - without the hot air (2008), appendix E, Tables E.8 and E.9 (table from memory; method
and air changes seen): heat leaks of a house. Coefficient of air 1/3 Wh/m3K there."""

from collections.abc import Callable

import pytest

from wetside.house.air import air_conductance
from wetside.house.load import heat_loads
from wetside.house.spec import House

FABRIC = [
    ("pitched roof", 48.0, 0.6), ("flat roof", 1.6, 3.0), ("floor", 50.0, 0.8), ("extension walls", 24.1, 0.6),
    ("main walls", 50.0, 1.0), ("thin wall", 2.0, 3.0), ("single glazing", 7.35, 5.0), ("double glazing", 17.8, 2.9),
]  # fmt: skip
AIR = [(80.0, 0.5), (36.0, 2.0), (27.0, 3.0), (77.0, 1.0)]


def test_fabric(listed_house: Callable[..., House]) -> None:
    load = heat_loads(listed_house(FABRIC, 20.0, 0.0, 220.0, 0.0)).rooms[0]
    assert load.transmission_w / 20 == pytest.approx(232.4, abs=0.05)


def test_air() -> None:
    assert sum(air_conductance(v * n, 1 / 3) for v, n in AIR) == pytest.approx(90, abs=0.05)


def test_whole_in_kwh_per_day(listed_house: Callable[..., House]) -> None:
    load = heat_loads(listed_house(FABRIC, 20.0, 0.0, 220.0, 0.0)).rooms[0]
    whole = load.transmission_w / 20 + sum(air_conductance(v * n, 1 / 3) for v, n in AIR)
    assert round(whole) == 322
    assert whole * 24 / 1000 == pytest.approx(7.7, abs=0.05)
