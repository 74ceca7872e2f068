"""A heating forum's table of mixing in a tee (heatinghelp.com 194236): two equal streams.

88 and 68 degF give 78, 160 and 68 give 114, 180 and 160 give 170. It prints 132 for 180 and 88, which is wrong: 134.
"""

import pytest

from wetside.plant.separation import blended


@pytest.mark.parametrize(("a", "b", "mixed"), [(88, 68, 78), (160, 68, 114), (180, 160, 170)])
def test_equal_streams(a: float, b: float, mixed: float) -> None:
    assert blended([6.0, 6.0], [a, b]) == pytest.approx(mixed, abs=1e-9)


def test_slip_in_the_source() -> None:
    assert blended([6.0, 6.0], [180, 88]) == pytest.approx(134.0, abs=1e-9)
