"""Stock lengths that suffice."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.takeoff.sticks import first_fit, sticks_needed


@pytest.mark.parametrize(
    ("pieces", "kerf", "sticks"),
    [
        # three pieces that fill a stick leave nothing for two saw cuts
        ([1.0, 1.0, 1.0], 0.0, 1),
        ([1.0, 1.0, 1.0], 0.001, 2),
        ([0.999, 0.999, 0.999], 0.001, 1),
        ([0.998, 0.998, 0.998], 0.002, 1),
        ([], 0.002, 0),
        ([3.0], 0.002, 1),
        ([3.0, 3.0], 0.002, 2),
        # longer than the stock: whole sticks, and the rest shares one
        ([7.0], 0.002, 3),
        ([7.0, 1.9], 0.002, 3),
        ([7.0, 2.0], 0.002, 4),
    ],
)
def test_three_metre_sticks(pieces: list[float], kerf: float, sticks: int) -> None:
    assert sticks_needed(pieces, 3.0, kerf) == sticks


def test_no_stock() -> None:
    with pytest.raises(ValueError, match="longer than nothing"):
        sticks_needed([1.0], 0.0)


@given(st.lists(st.floats(0.01, 9.0), max_size=40), st.sampled_from([2.0, 3.0, 5.0]), st.sampled_from([0.0, 0.002]))
def test_enough_and_not_absurd(pieces: list[float], stock: float, kerf: float) -> None:
    n = sticks_needed(pieces, stock, kerf)
    assert n * stock >= sum(pieces) - 1e-6
    # two sticks that are not full share no piece: more than half of all is used
    assert n <= 2 * sum(p + kerf for p in pieces) / stock + len(pieces) * 2e-9 + 1


@given(st.lists(st.floats(0.01, 3.0), max_size=40))
def test_every_stick_holds_its_cuts(pieces: list[float]) -> None:
    cut = first_fit(sorted(pieces, reverse=True), 3.0, 0.002)
    assert sorted(p for c in cut for p in c) == sorted(pieces)
    assert all(sum(c) + 0.002 * (len(c) - 1) <= 3.0 + 1e-6 for c in cut)
    assert math.ceil(sum(pieces) / 3.0 - 1e-6) <= len(cut)
