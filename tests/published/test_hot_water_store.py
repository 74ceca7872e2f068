"""A heating forum's worked example of a hot-water store (heatinghelp.com 130703).

One gallon from 40 to 120 degF takes 666 Btu; 80 gal at 150 degF hold 73,300 Btu over 40 degF; four fifths of it are
58,640 Btu, 88 gal of water at 120 degF; share of hot water in the mix 0.727. The example counts 8.33 lb to the gallon
and 1 Btu/lb F; real water stays within 0.3 %.
"""

import pytest

from wetside.basis.quantity import BTU, POUND
from wetside.plant.hot_water import hot_share, power_for

GALLON_KG = 8.33 * POUND


def celsius(f: float) -> float:
    return (f - 32.0) / 1.8


def btu(gallons: float, cold_f: float, hot_f: float) -> float:
    """Heat of so many gallons; a second's flow is taken for the amount."""
    return power_for(gallons * GALLON_KG, celsius(cold_f), celsius(hot_f)) / BTU


def test_one_gallon() -> None:
    assert btu(1, 40, 120) == pytest.approx(666.0, rel=0.003)


def test_store() -> None:
    assert btu(80, 40, 150) == pytest.approx(73_300, rel=0.003)
    usable = 0.8 * btu(80, 40, 150)
    assert usable == pytest.approx(58_640, rel=0.003)
    assert usable / btu(1, 40, 120) == pytest.approx(88.0, rel=0.003)


def test_share_of_hot_water() -> None:
    assert hot_share(celsius(150), celsius(40), celsius(120)) == pytest.approx(0.727, abs=0.001)
