"""Circulator curves: through the points, never rising, affinity laws, what happens beyond the points."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.network.curve import Curves, at_speed, head_at
from wetside.network.net import Curve

POINTS = ((0.0, 6e4), (2e-4, 5.6e4), (5e-4, 4.0e4), (8e-4, 1.0e4))


def curve(points: tuple[tuple[float, float], ...] = POINTS, speed: float = 1.0) -> Curve:
    return Curve(name="P", points=points, speed=speed)


def test_goes_through_its_points() -> None:
    for flow, head in POINTS:
        assert head_at(curve(), flow) == pytest.approx(head)


def test_backwards_flow_meets_the_shut_off_head() -> None:
    assert head_at(curve(), -1e-3) == pytest.approx(6e4)


def test_last_slope_goes_on() -> None:
    one, two, three = (head_at(curve(), 8e-4 + s) for s in (0.0, 1e-4, 2e-4))
    assert two - one == pytest.approx(three - two)
    assert two < one


def test_one_point_is_a_constant_head() -> None:
    assert head_at(curve(((0.0, 3e4),)), 1e-3) == pytest.approx(3e4)


def test_two_points_are_a_straight_line() -> None:
    assert head_at(curve(((0.0, 3e4), (1e-3, 1e4))), 0.5e-3) == pytest.approx(2e4)


def test_stopped_circulator_adds_nothing() -> None:
    assert head_at(curve(speed=0.0), 1e-4) == 0.0


@given(st.floats(0.2, 1.5), st.floats(0.0, 1e-3))
def test_affinity(speed: float, flow: float) -> None:
    assert head_at(curve(speed=speed), flow * speed) == pytest.approx(head_at(curve(), flow) * speed**2, abs=1e-6)
    assert at_speed(POINTS, speed)[2] == pytest.approx((5e-4 * speed, 4e4 * speed**2))


@given(st.lists(st.floats(1e-5, 1e-3), min_size=1, max_size=8), st.lists(st.floats(0.0, 3e4), min_size=8, max_size=8))
def test_never_rises_and_slope_is_the_derivative(steps: list[float], falls: list[float]) -> None:
    flows = np.concatenate([[0.0], np.cumsum(steps)])
    heads = 3e5 - np.concatenate([[0.0], np.cumsum(falls)])[: flows.size]
    asked = np.linspace(-0.2 * flows[-1], 1.3 * flows[-1], 301)
    c = Curves([curve(tuple(zip(flows.tolist(), heads.tolist(), strict=True)))] * asked.size)
    got, slope = c.heads(asked)
    assert np.all(np.diff(got) <= 1e-6)
    assert np.all(slope <= 1e-6 * 3e5 / flows[-1])
    step = 1e-7 * flows[-1]
    smooth = np.min(np.abs(asked[:, None] - flows[None, :]), axis=1) > 2 * step
    numeric = (c.heads(asked + step)[0] - c.heads(asked - step)[0]) / (2 * step)
    assert slope[smooth] == pytest.approx(numeric[smooth], rel=1e-3, abs=1e-3 * 3e5 / flows[-1])
