"""Newsvendor examples from course pages: cost 10, price 15, salvage 3, demand normal 10000/2000 (inputs printed,
answer own); revenue 140, cost 100, value 90, and 130, 100, 80, normal 1000/200 (tutorsglobe.com question; answers own);
a page that prints 92.6 with a critical ratio of 0.35 contradicts itself: 68.7 belongs to 0.35, 92.9 to 0.667. Own case:
Poisson 6, 30 a piece short, 2 a piece left: 10. Tolerance: one unit."""

import math
from statistics import NormalDist

import pytest

from wetside.takeoff.spares import Demand, covering, critical_ratio, plan_spares


def normal(mean: float, sigma: float) -> list[float]:
    whole = NormalDist(mean, sigma)
    top = int(mean + 6 * sigma)
    return [whole.cdf(k + 0.5) - whole.cdf(k - 0.5) for k in range(top)]


def poisson(mean: float) -> tuple[float, ...]:
    return tuple(math.exp(-mean) * mean**k / math.factorial(k) for k in range(40))


@pytest.mark.parametrize(
    ("short", "left", "mean", "sigma", "ratio", "answer"),
    [
        (15 - 10, 10 - 3, 10000, 2000, 0.4167, 9579),
        (140 - 100, 100 - 90, 1000, 200, 0.8, 1169),
        (130 - 100, 100 - 80, 1000, 200, 0.6, 1051),
        (60, 30, 80, 30, 0.667, 92.9),
        (60, 110, 80, 30, 0.353, 68.7),
    ],
)
def test_normal_demand(short: float, left: float, mean: float, sigma: float, ratio: float, answer: float) -> None:
    assert critical_ratio(short, left) == pytest.approx(ratio, abs=5e-4)
    assert covering(normal(mean, sigma), critical_ratio(short, left)) == pytest.approx(answer, abs=1.0)


def test_the_inconsistent_page() -> None:
    printed = 92.6
    assert covering(normal(80, 30), 0.353) != pytest.approx(printed, abs=1.0)


def test_spare_fittings() -> None:
    assert critical_ratio(30.0, 2.0) == pytest.approx(0.9375)
    assert covering(poisson(6.0), 0.9375) == 10
    assert sum(poisson(6.0)[:11]) == pytest.approx(0.957, abs=5e-4)


def test_spares_without_a_trip_are_the_newsvendors() -> None:
    """A single item whose shortage costs by the piece: the cheapest point of the curve is the newsvendor's."""
    elbow = Demand(item="elbow", size="22 mm", price=2.0, more=poisson(6.0), short=30.0)
    s = plan_spares([elbow], trip=0.0, return_fee=1.0, accepted=1.0)
    assert s.choice.spares == (10,)
