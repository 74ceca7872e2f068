"""The emitter law: ends, inverses, and what can never happen."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from wetside.emitter.law import (
    arithmetic_excess,
    excess_for_output,
    flow_for_output,
    logarithmic_excess,
    output,
    output_from_excess,
    outputs,
)  # fmt: skip

RATED = st.floats(50.0, 10_000.0)
EXPONENT = st.floats(1.0, 1.6)
FLOW = st.floats(1e-3, 1e5)
SUPPLY = st.floats(21.0, 110.0)
ROOM = st.floats(-5.0, 20.0)


@given(RATED, EXPONENT, FLOW, SUPPLY, ROOM)
def test_law_and_heat_balance_both_hold(rated: float, n: float, flow: float, supply: float, room: float) -> None:
    at_work = output(rated, 50.0, n, flow, supply, room)
    assert at_work.output_w == pytest.approx(flow * (supply - at_work.return_c), rel=1e-9, abs=flow * 1e-11)
    cold = at_work.return_c - room
    if cold > 1e-6:  # closer to the room the subtraction alone has no digits left
        mean = logarithmic_excess(supply, at_work.return_c, room)
        assert output_from_excess(rated, 50.0, n, mean) == pytest.approx(at_work.output_w, rel=1e-6)


@given(RATED, EXPONENT, FLOW, SUPPLY, ROOM)
def test_return_stays_between_room_and_supply(rated: float, n: float, flow: float, supply: float, room: float) -> None:
    at_work = output(rated, 50.0, n, flow, supply, room)
    assert room - 1e-9 <= at_work.return_c <= supply
    assert 0.0 <= at_work.output_w <= output_from_excess(rated, 50.0, n, supply - room) * (1 + 1e-12)


@given(RATED, EXPONENT, FLOW, st.floats(1.0, 10.0), SUPPLY, ROOM)
def test_more_flow_never_gives_less(
    rated: float, n: float, flow: float, times: float, supply: float, room: float
) -> None:
    less = output(rated, 50.0, n, flow, supply, room).output_w
    assert output(rated, 50.0, n, flow * times, supply, room).output_w >= less * (1 - 1e-12)


@given(RATED, EXPONENT, st.floats(0.02, 0.98), SUPPLY, ROOM)
def test_flow_for_output_is_the_inverse(rated: float, n: float, share: float, supply: float, room: float) -> None:
    wanted = share * output_from_excess(rated, 50.0, n, supply - room)
    flow = flow_for_output(rated, 50.0, n, wanted, supply, room)
    assert output(rated, 50.0, n, flow, supply, room).output_w == pytest.approx(wanted, rel=1e-9)


@given(RATED, EXPONENT, st.floats(0.1, 100.0))
def test_excess_for_output_is_the_inverse(rated: float, n: float, excess: float) -> None:
    given_w = output_from_excess(rated, 50.0, n, excess)
    assert excess_for_output(rated, 50.0, n, given_w) == pytest.approx(excess, rel=1e-12)


@pytest.mark.parametrize("n", [0.8, 1.0, 1.1, 1.3, 1.6])
@pytest.mark.parametrize("flow", [0.5, 5.0, 50.0, 500.0, 5e4])
def test_same_return_as_a_bracketing_search(n: float, flow: float) -> None:
    def off(return_c: float) -> float:
        excess = logarithmic_excess(70.0, return_c, 20.0)
        return output_from_excess(1500.0, 50.0, n, excess) - flow * (70.0 - return_c)

    try:
        expected = brentq(off, 20.0 + 1e-12, 70.0, xtol=1e-13, rtol=1e-15)
    except ValueError:
        expected = 20.0  # so little flow that it leaves at room temperature in every digit
    assert output(1500.0, 50.0, n, flow, 70.0, 20.0).return_c == pytest.approx(expected, abs=1e-6)


def test_linear_emitter_has_a_closed_form() -> None:
    # exponent 1: heat exchanger against air of one temperature, 1 - exp(-UA / C)
    at_work = output(1500.0, 50.0, 1.0, 40.0, 70.0, 20.0)
    assert at_work.output_w == pytest.approx(40.0 * 50.0 * -math.expm1(-30.0 / 40.0), rel=1e-12)


def test_no_flow_gives_no_heat_and_room_temperature() -> None:
    at_work = output(1000.0, 50.0, 1.3, 0.0, 70.0, 20.0)
    assert (at_work.output_w, at_work.return_c, at_work.supply_c) == (0.0, 20.0, 70.0)


def test_endless_flow_gives_the_law_at_supply_temperature() -> None:
    at_work = output(1000.0, 50.0, 1.3, math.inf, 70.0, 20.0)
    assert at_work.output_w == pytest.approx(1000.0, rel=1e-12)
    assert at_work.return_c == 70.0


@pytest.mark.parametrize("supply", [20.0, 15.0, -3.0])
@pytest.mark.parametrize("flow", [0.0, 10.0, math.inf])
def test_water_no_warmer_than_the_room_gives_nothing(supply: float, flow: float) -> None:
    at_work = output(1000.0, 50.0, 1.3, flow, supply, 20.0)
    assert (at_work.output_w, at_work.return_c) == (0.0, supply)


def test_many_answers_are_those_of_one_each() -> None:
    flows = np.array([0.0, 1e-9, 3.0, 80.0, math.inf])
    supplies = np.array([[70.0], [20.0], [45.0]])
    many = outputs(1200.0, 50.0, 1.28, flows, supplies, 20.0)
    assert many.output_w.shape == (3, 5)
    for i, supply in enumerate(supplies[:, 0]):
        for j, flow in enumerate(flows):
            one = output(1200.0, 50.0, 1.28, float(flow), float(supply), 20.0)
            assert many.output_w[i, j] == pytest.approx(one.output_w, rel=1e-12)
            assert many.return_c[i, j] == pytest.approx(one.return_c, rel=1e-12)


@pytest.mark.parametrize("flow", [-1.0, math.nan])
def test_backward_or_undefined_flow_is_refused(flow: float) -> None:
    with pytest.raises(ValueError, match="not negative"):
        output(1000.0, 50.0, 1.3, flow, 70.0, 20.0)


@pytest.mark.parametrize(("rated", "excess", "n"), [(0.0, 50.0, 1.3), (1000.0, 0.0, 1.3), (1000.0, 50.0, -1.0)])
def test_rating_that_cannot_be_is_refused(rated: float, excess: float, n: float) -> None:
    with pytest.raises(ValueError, match="must be positive"):
        output(rated, excess, n, 10.0, 70.0, 20.0)


def test_output_out_of_reach_says_what_can_be_had() -> None:
    with pytest.raises(ValueError, match="stays under 1000 W"):
        flow_for_output(1000.0, 50.0, 1.3, 1200.0, 70.0, 20.0)
    with pytest.raises(ValueError, match="stays under 0 W"):
        flow_for_output(1000.0, 50.0, 1.3, 1.0, 18.0, 20.0)


def test_no_output_takes_no_flow() -> None:
    assert flow_for_output(1000.0, 50.0, 1.3, 0.0, 70.0, 20.0) == 0.0


def test_logarithmic_mean_next_to_no_drop() -> None:
    assert logarithmic_excess(70.0, 70.0, 20.0) == 50.0
    # series of the log mean: mean - drop**2 / (12 mean)
    assert logarithmic_excess(70.0, 69.99, 20.0) == pytest.approx(49.995 - 1e-4 / (12 * 49.995), abs=1e-9)
    assert logarithmic_excess(70.0, 20.0, 20.0) == 0.0


@given(SUPPLY, st.floats(0.01, 0.99), ROOM)
def test_logarithmic_mean_is_under_the_arithmetic(supply: float, share: float, room: float) -> None:
    back = room + share * (supply - room)
    assert logarithmic_excess(supply, back, room) <= arithmetic_excess(supply, back, room) * (1 + 1e-12)
