"""Heat lost by tube."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.network.losses import bare_w_mk, convection, lagged_w_mk, radiation


def test_lagged_closed_form() -> None:
    """22 mm, 25 mm of .040 W/mK, 9 W/m2K outside: by hand."""
    through = math.log(72.0 / 22.0) / (2 * math.pi * 0.040)
    outside = 1.0 / (math.pi * 0.072 * 9.0)
    assert lagged_w_mk(0.022, 0.025, 0.040) == pytest.approx(1.0 / (through + outside))


def test_lagged_copper_of_the_handbooks_range() -> None:
    """25 mm of .043 W/mK at 55 K with 8 to 10 W/m2K outside: 22 mm 11.1 to 11.4 W/m, 28 mm 12.8 to 13.1 W/m."""
    assert 11.1 <= 55.0 * lagged_w_mk(0.022, 0.025, 0.043) <= 11.4
    assert 12.8 <= 55.0 * lagged_w_mk(0.028, 0.025, 0.043) <= 13.1


def test_radiation_of_a_black_body() -> None:
    assert radiation(70.0, 20.0, 1.0) * 50.0 == pytest.approx(5.670374e-8 * (343.15**4 - 293.15**4))


@given(st.floats(0.01, 0.06), st.floats(25.0, 90.0))
def test_thicker_and_hotter_tube_loses_more(outside: float, surface: float) -> None:
    at = bare_w_mk(outside, surface, 20.0, 0.4)
    assert bare_w_mk(outside * 1.1, surface, 20.0, 0.4) > at
    assert bare_w_mk(outside, surface + 5.0, 20.0, 0.4) > at
    assert convection(outside, surface, 20.0) > 0.0


@given(st.floats(0.012, 0.06), st.floats(0.006, 0.05))
def test_lagging_always_helps_tube_of_trade_sizes(outside: float, insulation: float) -> None:
    assert lagged_w_mk(outside, insulation, 0.035) < bare_w_mk(outside, 60.0, 20.0, 0.4)
