"""Spares: chance of another trip against money left over."""

import math
import random
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.takeoff.spares import Demand, any_spoilt, critical_ratio, plan_spares, spoilt_before, sticks_more


def demand(more: tuple[float, ...], price: float = 1.0, item: str = "elbow") -> Demand:
    return Demand(item=item, size="22 mm", price=price, more=more)


def test_spoilt_before_enough_are_good() -> None:
    more = spoilt_before(3, 0.1)
    # none, one, two: C(k + 2, k) 0.1^k 0.9^3
    assert more[:3] == pytest.approx((0.9**3, 3 * 0.1 * 0.9**3, 6 * 0.01 * 0.9**3))
    assert sum(more) == pytest.approx(1.0, abs=1e-8)
    mean = sum(k * p for k, p in enumerate(more))
    assert mean == pytest.approx(3 * 0.1 / 0.9, abs=1e-6)
    assert spoilt_before(0, 0.3) == (1.0,)
    assert spoilt_before(5, 0.0) == (1.0,)
    with pytest.raises(ValueError, match="below 1"):
        spoilt_before(1, 1.0)
    assert any_spoilt(3, 0.02) == pytest.approx(1 - 0.98**3)


def test_the_curve_falls_and_the_choice_keeps_the_promise() -> None:
    demands = [
        demand(spoilt_before(40, 0.04)),
        demand(spoilt_before(6, 0.06), 4.0),
        demand(spoilt_before(2, 0.06), 9.0),
    ]
    s = plan_spares(demands, trip=40.0, return_fee=0.15, accepted=0.05)
    assert s.curve[0].spares == (0, 0, 0)
    assert s.curve[0].left == 0.0
    for a, b in zip(s.curve, s.curve[1:], strict=False):
        assert b.chance < a.chance
        assert b.left > a.left
        assert sum(b.spares) == sum(a.spares) + 1
    assert s.choice.chance <= 0.05
    within = [p for p in s.curve if p.chance <= 0.05]
    assert s.choice.cost == min(p.cost for p in within)


def expected(demands: list[Demand], spares: tuple[int, ...]) -> tuple[float, float]:
    """Chance of another trip and money left over, from the definition."""
    enough = math.prod(sum(d.more[: n + 1]) for d, n in zip(demands, spares, strict=True))
    left = sum(
        d.price * sum((n - k) * p for k, p in enumerate(d.more[: n + 1])) for d, n in zip(demands, spares, strict=True)
    )
    return 1.0 - enough, left


@given(st.lists(st.tuples(st.integers(1, 12), st.floats(0.01, 0.3), st.floats(0.5, 9.0)), min_size=1, max_size=3))
def test_no_other_stock_beats_a_point_in_both(things: list[tuple[int, float, float]]) -> None:
    demands = [demand(spoilt_before(n, q), price) for n, q, price in things]
    s = plan_spares(demands, trip=30.0, return_fee=0.2, accepted=0.05)
    for p in s.curve[:12]:
        assert expected(demands, p.spares) == pytest.approx((p.chance, p.left), abs=1e-9)
    others = [expected(demands, n) for n in product(range(6), repeat=len(demands))]
    for p in s.curve[:8]:
        assert not any(c < p.chance - 1e-9 and left < p.left - 1e-9 for c, left in others)


def test_simulation_agrees() -> None:
    """Every joint of every fitting is made and may be spoilt; the shop is visited again when something runs out."""
    kinds = [(40, 2, 0.02, 1.4), (7, 3, 0.02, 2.5), (3, 3, 0.02, 3.6), (9, 2, 0.01, 2.5)]
    demands = [demand(spoilt_before(n, any_spoilt(j, q)), price) for n, j, q, price in kinds]
    s = plan_spares(demands, trip=40.0, return_fee=0.15, accepted=0.05)
    rng = random.Random(20261125)
    trips, left, rounds = 0, 0.0, 20_000
    for _ in range(rounds):
        out = False
        for (n, j, q, price), spare in zip(kinds, s.choice.spares, strict=True):
            used = 0
            for _ in range(n):
                while any(rng.random() < q for _ in range(j)):
                    used += 1
            out = out or used > spare
            left += price * max(spare - used, 0)
        trips += out
    sigma = math.sqrt(s.choice.chance * (1 - s.choice.chance) / rounds)
    assert trips / rounds == pytest.approx(s.choice.chance, abs=4 * sigma)
    assert left / rounds == pytest.approx(s.choice.left, rel=0.02)


def test_spare_tube_against_simulation() -> None:
    rng = random.Random(11)
    cuts = [rng.randrange(30, 2900) / 1000 for _ in range(100)]
    more = sticks_more(cuts, 0.02, 3.0)
    needs: list[int] = []
    for _ in range(4000):
        again: list[float] = []
        for cut in cuts:
            while rng.random() < 0.02:
                again.append(cut)
        room: list[float] = []
        for cut in sorted(again, reverse=True):
            k = next((i for i, r in enumerate(room) if r >= cut), None)
            if k is None:
                room.append(3.0 - cut)
            else:
                room[k] -= cut
        needs.append(len(room))
    for s in range(4):
        simulated = sum(n <= s for n in needs) / len(needs)
        # on the safe side, and not by much
        assert sum(more[: s + 1]) <= simulated + 0.02
        assert sum(more[: s + 1]) >= simulated - 0.12


def test_spare_tube_simple() -> None:
    assert sticks_more([1.0], 0.1, 3.0)[0] == pytest.approx(0.9)
    # 1 m of offcut takes the first spoilt piece
    assert sticks_more([1.0], 0.1, 3.0, free=1.0)[0] == pytest.approx(0.9 * 1.1)
    assert sum(sticks_more([2.0, 1.0, 0.5], 0.2, 3.0)) == pytest.approx(1.0, abs=1e-2)


def test_mistakes() -> None:
    with pytest.raises(ValueError, match="accept a small one"):
        plan_spares([demand((1.0,))], trip=1.0, return_fee=0.1, accepted=0.0)
    with pytest.raises(ValueError, match="price above nothing"):
        plan_spares([demand((1.0,), 0.0)], trip=1.0, return_fee=0.1, accepted=0.1)
    nothing = plan_spares([], trip=1.0, return_fee=0.1, accepted=0.1)
    assert nothing.choice.chance == 0.0
    assert critical_ratio(3.0, 1.0) == 0.75
