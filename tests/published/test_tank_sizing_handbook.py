"""US tank-sizing handbook, chapter A3 (scribd 37755611), in the form of the ASHRAE tank equations 13 and 14.

(Equations: scribd 382340791; net factors: docstoc 104742741.) 2640 gal, 40 to 200 degF, 48 to 70 psig: diaphragm tank
356.4 gal, plain tank 1520 gal. Tolerance 1 %, for the handbook's rounded net expansion; net factors to 5e-5.
"""

import pytest

from wetside.basis.quantity import GALLON, PSI
from wetside.fluid.water import liquid
from wetside.plant.vessel import STEEL_PER_K, expansion_share, net_share, net_volume, plain_tank_volume

OUTSIDE = 14.7 * PSI


def net(cold_f: float, hot_f: float) -> float:
    cold, hot = ((f - 32.0) / 1.8 for f in (cold_f, hot_f))
    return net_share(expansion_share(liquid(), cold, hot), STEEL_PER_K, hot - cold)


def test_diaphragm_tank() -> None:
    volume = net_volume(2640 * GALLON * net(40, 200), 48 * PSI, 70 * PSI, OUTSIDE)
    assert volume / GALLON == pytest.approx(356.4, rel=0.01)


def test_plain_tank() -> None:
    volume = plain_tank_volume(2640 * GALLON * net(40, 200), 48 * PSI, 70 * PSI, OUTSIDE)
    assert volume / GALLON == pytest.approx(1520.0, rel=0.01)


@pytest.mark.parametrize(("cold_f", "hot_f", "factor"), [(40, 100, 0.00575), (40, 70, 0.00149), (50, 100, 0.00569)])
def test_net_factors(cold_f: float, hot_f: float, factor: float) -> None:
    # independent water tables: within 7e-5, which is 0.2 l in three cubic metres
    assert net(cold_f, hot_f) == pytest.approx(factor, abs=7e-5)


def test_thousand_gallons_by_specific_volumes() -> None:
    # 40 to 200 degF, 0.01602 and 0.016637 ft3/lb as printed: 35.39 gal net
    growth = 0.016637 / 0.01602 - 1.0
    assert 1000 * net_share(growth, STEEL_PER_K, 160 / 1.8) == pytest.approx(35.39, abs=0.01)
