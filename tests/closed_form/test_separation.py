"""Heat balance of a low-loss header, worked apart from wetside with 1.163 kWh/m3 K; tolerance 0.01 K."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.plant.separation import blended, separate

W_K_PER_M3_H = 1163.0


def test_house_draws_more_than_the_boiler_pumps() -> None:
    seen = separate(70.0, 1.0 * W_K_PER_M3_H, 1.5 * W_K_PER_M3_H, 20e3)
    assert seen.supply_c == pytest.approx(64.268, abs=0.001)
    assert seen.return_c == pytest.approx(52.803, abs=0.001)
    assert seen.boiler_return_c == pytest.approx(seen.return_c, abs=1e-9)


def test_boiler_pumps_more_than_the_house_draws() -> None:
    seen = separate(70.0, 1.5 * W_K_PER_M3_H, 1.0 * W_K_PER_M3_H, 20e3)
    assert seen.supply_c == 70.0
    assert seen.return_c == pytest.approx(52.803, abs=0.001)
    assert seen.boiler_return_c == pytest.approx(58.535, abs=0.001)


@given(st.floats(10.0, 5e3), st.floats(10.0, 5e3), st.floats(0.0, 5e4))
def test_both_mixings_balance(primary: float, secondary: float, output_w: float) -> None:
    seen = separate(70.0, primary, secondary, output_w)
    across = abs(primary - secondary)
    if secondary > primary:
        mixed, expected = blended([primary, across], [70.0, seen.return_c]), seen.supply_c
    else:
        mixed, expected = blended([secondary, across], [seen.return_c, 70.0]), seen.boiler_return_c
    assert mixed == pytest.approx(expected, rel=1e-9, abs=1e-6 * (1 + output_w / min(primary, secondary)))


def test_a_side_that_stands_still_is_refused() -> None:
    with pytest.raises(ValueError, match="must flow"):
        separate(70.0, 0.0, 100.0, 1e3)
    with pytest.raises(ValueError, match="no stream"):
        blended([0.0, 0.0], [10.0, 20.0])
