"""Emitter arithmetic without a book: log means, and return temperatures found by bracketing outside wetside.

Worked apart from the code (bracketing between room and supply, unrounded); tolerance 0.01 K as computed then.
"""

import pytest

from wetside.emitter.law import arithmetic_excess, flow_for_output, logarithmic_excess, output, output_from_excess

RATED_LOG_K = 49.8329
"""A radiator rated at 75/65/20, whose rating is meant to hold for the logarithmic mean too."""
W_PER_L_H_K = 1.163


@pytest.mark.parametrize(
    ("supply", "back", "room", "mean"),
    [
        (75, 65, 20, 49.8329), (80, 60, 20, 49.3261), (90, 70, 20, 59.4403), (70, 55, 20, 42.0551),
        (70, 50, 20, 39.1523), (55, 45, 20, 29.7201), (45, 35, 20, 19.5762),
    ],
)  # fmt: skip
def test_log_mean(supply: float, back: float, room: float, mean: float) -> None:
    assert logarithmic_excess(supply, back, room) == pytest.approx(mean, abs=5e-5)


@pytest.mark.parametrize(
    ("supply", "back", "arithmetic", "logarithmic"),
    [
        (80, 60, 1.0000, 0.9868), (70, 55, 0.8096, 0.8020), (70, 50, 0.7482, 0.7308), (60, 50, 0.6290, 0.6261),
        (55, 45, 0.5148, 0.5107), (50, 40, 0.4061, 0.4008), (45, 35, 0.3039, 0.2968), (40, 30, 0.2091, 0.1996),
    ],
)  # fmt: skip
def test_factor_by_either_mean(supply: float, back: float, arithmetic: float, logarithmic: float) -> None:
    by_sum = output_from_excess(1.0, 50.0, 1.3, arithmetic_excess(supply, back, 20.0))
    by_log = output_from_excess(1.0, RATED_LOG_K, 1.3, logarithmic_excess(supply, back, 20.0))
    assert by_sum == pytest.approx(arithmetic, abs=6e-5)
    assert by_log == pytest.approx(logarithmic, abs=6e-5)


def test_flow_for_600_watts_of_a_1000_watt_radiator() -> None:
    flow = flow_for_output(1000.0, RATED_LOG_K, 1.3, 600.0, 70.0, 20.0)
    assert flow / W_PER_L_H_K == pytest.approx(17.98, abs=0.005)
    assert output(1000.0, RATED_LOG_K, 1.3, flow, 70.0, 20.0).return_c == pytest.approx(41.310, abs=0.001)


def test_return_at_a_fixed_flow() -> None:
    at_work = output(1000.0, RATED_LOG_K, 1.3, 60.0 / 3600 * 4186.0, 60.0, 20.0)
    assert at_work.return_c == pytest.approx(50.866, abs=0.001)
    assert at_work.output_w == pytest.approx(637.25, abs=0.01)
