"""Copper's lengthening by heat.

Source: a tube dealer's AS 1571 page: 9.4e-6 per °F from 70 to 212 °F, 100 ft and 100 °F give 1.128 in. A sheet to EN
1057 has 17e-6 per K: 10 m and 60 K give 10.15 to 10.20 mm. Within 1 %. (A third page uses 10.4e-6 per °F and is 10 %
above both: a conflict, not averaged.)
"""

import pytest

from wetside.basis.quantity import FOOT, INCH
from wetside.frame.heat import growth_m
from wetside.frame.mass import strength
from wetside.pipework.spec import Material

ALPHA = strength(Material.COPPER).expansion_per_k


def test_hundred_feet_hundred_degrees() -> None:
    assert pytest.approx(9.4e-6 * 9 / 5, rel=0.005) == ALPHA
    assert growth_m(100 * FOOT, ALPHA, 100 * 5 / 9) / INCH == pytest.approx(1.128, rel=0.01)


def test_ten_metres_sixty_kelvin() -> None:
    growth = growth_m(10.0, ALPHA, 60.0) * 1000
    assert 10.15 * 0.99 <= growth <= 10.20 * 1.01


def test_the_third_source_stays_apart() -> None:
    # 75 ft, 155 °F: prints 1.451 in with 10.4e-6 per °F
    assert growth_m(75 * FOOT, 10.4e-6 * 9 / 5, 155 * 5 / 9) / INCH == pytest.approx(1.451, rel=1e-3)
    assert growth_m(75 * FOOT, ALPHA, 155 * 5 / 9) / INCH < 1.451 / 1.09
