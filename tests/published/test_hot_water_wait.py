"""A plumbing guide's example of the wait for hot water: 13 ft of 3/4 in and 8 ft of 1/2 in tube at 1.5 gpm.

Printed: 0.38 gal, 0.25 min (15 s), with nominal bores. Real type L bores make it 17.0 s.
"""

import pytest

from wetside.basis.quantity import FOOT, GALLON, INCH
from wetside.plant.hot_water import held_volume, wait_s


def volume(first_in: float, second_in: float) -> float:
    return held_volume(first_in * INCH, 13 * FOOT) + held_volume(second_in * INCH, 8 * FOOT)


def test_nominal_bores() -> None:
    held = volume(0.75, 0.5)
    assert held / GALLON == pytest.approx(0.38, abs=0.005)
    assert wait_s(held, 1.5 * GALLON / 60) / 60 == pytest.approx(0.25, abs=0.005)


def test_type_l_bores() -> None:
    assert wait_s(volume(0.785, 0.545), 1.5 * GALLON / 60) == pytest.approx(17.0, abs=0.05)
