"""Installation manuals of two condensing boilers: closely spaced tees.

At most 4 pipe diameters apart, at least 8 straight before, 4 after. In 1-1/4 in type M copper (bore 1.291 in): 5.16,
10.3 and 5.2 in.
"""

import pytest

from wetside.basis.quantity import INCH
from wetside.plant.separation import least_after, least_before, most_spacing

BORE = 1.291 * INCH


def test_distances() -> None:
    assert most_spacing(BORE) / INCH == pytest.approx(5.16, abs=0.005)
    assert least_before(BORE) / INCH == pytest.approx(10.3, abs=0.05)
    assert least_after(BORE) / INCH == pytest.approx(5.2, abs=0.05)
