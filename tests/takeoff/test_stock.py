"""Cuts laid onto stock lengths."""

import random
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.takeoff import CutPlan, plan_cuts
from wetside.takeoff.bounds import by_halves, by_length, by_rounding, fewest
from wetside.takeoff.fill import best_fit, first_fit
from wetside.takeoff.patterns import best_pattern


def sound(plan: CutPlan, lengths: list[float], stock: tuple[float, ...], kerf: float, own: list[float]) -> None:
    """Every piece once, every stick within its stock, nothing lost or made up."""
    assert sorted(i for s in plan.sticks for i in s.cuts) == list(range(len(lengths)))
    for s in plan.sticks:
        assert s.cuts_m == tuple(lengths[i] for i in s.cuts)
        assert s.stock_m in (own if s.own else stock)
        assert sum(s.cuts_m) + kerf * (len(s.cuts) - 1) <= s.stock_m + 1e-6
        assert sum(s.cuts_m) + s.kerf_m + s.offcut_m == pytest.approx(s.stock_m, abs=2e-6)
    used = [s.stock_m for s in plan.sticks if s.own]
    for length in used:
        assert used.count(length) <= own.count(length)
    assert plan.bound_cost <= plan.cost + 1e-9


@pytest.mark.parametrize(
    ("lengths", "kerf", "sticks"),
    [
        # three pieces that fill a stick leave nothing for two saw cuts
        ([1.0, 1.0, 1.0], 0.0, 1),
        ([1.0, 1.0, 1.0], 0.001, 2),
        ([0.999, 0.999, 0.999], 0.001, 1),
        ([0.998, 0.998, 0.998], 0.002, 1),
        ([], 0.002, 0),
        ([3.0], 0.002, 1),
        ([3.0, 3.0], 0.002, 2),
    ],
)
def test_the_saw_takes_its_kerf(lengths: list[float], kerf: float, sticks: int) -> None:
    plan = plan_cuts(lengths, 3.0, kerf)
    assert (len(plan.sticks), plan.bound, plan.proven) == (sticks, sticks, True)
    sound(plan, lengths, (3.0,), kerf, [])


@pytest.mark.parametrize(
    ("lengths", "stock", "more", "message"),
    [
        ([1.0], 0.0, {}, "longer than nothing"),
        ([1.0], [], {}, "longer than nothing"),
        ([3.2], 3.0, {}, "3.200 m is longer than every stock length, 3.000 m"),
        ([-1.0], 3.0, {}, "a piece must be longer than nothing"),
        ([1.0], 3.0, {"kerf_m": -0.1}, "less than nothing"),
        ([1.0], [3.0, 5.0], {"prices": [1.0]}, "needs a price"),
    ],
)
def test_what_cannot_be_cut(lengths: list[float], stock: float, more: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        plan_cuts(lengths, stock, **more)


def test_what_greedy_ways_miss() -> None:
    # 6 + 3 + 1 and 5 + 5 fill two sticks; first fit decreasing also; 4 4 2 | 3 3 2 2 needs looking ahead
    plan = plan_cuts([4, 4, 3, 3, 2, 2, 2], 10.0, 0.0)
    assert (len(plan.sticks), plan.proven) == (2, True)
    assert len(first_fit([5, 4, 3, 3, 3, 2], 10)) == 3
    plan = plan_cuts([5, 4, 3, 3, 3, 2], 10.0, 0.0)
    assert (len(plan.sticks), plan.proven) == (2, True)


def test_own_offcuts_first() -> None:
    plan = plan_cuts([2.0, 1.1, 0.9, 1.8], 3.0, 0.0, own_m=[2.05, 0.5, 0.95])
    assert plan.bought == 1
    assert plan.proven
    assert [s.own for s in plan.sticks] == [True, True, False]
    sound(plan, [2.0, 1.1, 0.9, 1.8], (3.0,), 0.0, [2.05, 0.5, 0.95])


def test_several_stock_lengths() -> None:
    # 2 + 1 from the short one, 4.9 from the long one
    plan = plan_cuts([4.9, 2.0, 1.0], [3.0, 5.0], 0.0)
    assert (plan.cost, plan.bound_cost, plan.proven) == (8.0, 8.0, True)
    # two long ones cost less than a long and a short one
    dear = plan_cuts([4.9, 2.0, 1.0], [3.0, 5.0], 0.0, prices=[11.0, 10.0])
    assert (dear.cost, dear.bought, dear.proven) == (20.0, 2, True)
    assert {s.stock_m for s in dear.sticks} == {5.0}


def test_a_gap_is_shown_when_the_time_is_up() -> None:
    rng = random.Random(4)
    lengths = [rng.randrange(400, 1600) / 1000 for _ in range(600)]
    plan = plan_cuts(lengths, [3.0, 4.0], 0.002, within_s=0.0)
    assert not plan.proven
    assert 0.0 < plan.gap < 0.1
    sound(plan, lengths, (3.0, 4.0), 0.002, [])


@pytest.mark.parametrize("count", [2000, 5000])
def test_a_great_many_cuts(count: int) -> None:
    rng = random.Random(count)
    lengths = [rng.randrange(80, 2900) / 1000 for _ in range(count)]
    plan = plan_cuts(lengths, 3.0, 0.002)
    assert plan.gap < 0.01
    sound(plan, lengths, (3.0,), 0.002, [])


def fewest_by_trying(pieces: list[int], stock: int) -> int:
    """All ways of putting pieces into sticks."""
    best = len(pieces)

    def put(k: int, left: list[int]) -> None:
        nonlocal best
        if len(left) >= best:
            return
        if k == len(pieces):
            best = len(left)
            return
        for i, room in enumerate(left):
            if pieces[k] <= room and room not in left[:i]:
                put(k + 1, [*left[:i], room - pieces[k], *left[i + 1 :]])
        put(k + 1, [*left, stock - pieces[k]])

    put(0, [])
    return best


@given(st.lists(st.integers(1, 20), min_size=1, max_size=9))
def test_bounds_and_plans_against_trying_everything(pieces: list[int]) -> None:
    best = fewest_by_trying(sorted(pieces, reverse=True), 20)
    for bound in (by_length, by_halves, by_rounding, fewest):
        assert bound(pieces, 20) <= best
    plan = plan_cuts([float(p) for p in pieces], 20.0, 0.0)
    assert (len(plan.sticks), plan.bound, plan.proven) == (best, best, True)
    for way in (first_fit, best_fit):
        cut = way(sorted(pieces, reverse=True), 20)
        assert len(cut) >= best


@given(
    st.lists(st.floats(0.05, 3.0), min_size=1, max_size=25),
    st.sampled_from([0.0, 0.0015]),
    st.lists(st.floats(0.1, 2.5), max_size=4),
)
def test_any_plan_is_sound(lengths: list[float], kerf: float, own: list[float]) -> None:
    plan = plan_cuts(lengths, [3.0, 4.0], kerf, own_m=own, within_s=0.2)
    sound(plan, lengths, (3.0, 4.0), kerf, own)


def cheapest_by_trying(pieces: list[int], stocks: dict[int, int], own: list[int]) -> int:
    """All ways of putting pieces into offcuts at hand and bought sticks."""

    def price(group: int) -> int:
        need = sum(p for i, p in enumerate(pieces) if group >> i & 1)
        return min((c for s, c in stocks.items() if s >= need), default=10**6)

    everything = (1 << len(pieces)) - 1
    best = {0: 0}
    for group in range(1, everything + 1):
        low = group & -group
        rest = group ^ low
        part, found = rest, 10**6
        while True:
            found = min(found, price(part | low) + best[rest ^ part])
            if part == 0:
                break
            part = (part - 1) & rest
        best[group] = found
    # what goes into offcuts: every choice of groups
    cheapest = best[everything]
    for places in product(range(len(own) + 1), repeat=len(pieces)):
        loads = [sum(p for p, at in zip(pieces, places, strict=True) if at == k) for k in range(len(own))]
        if all(load <= size for load, size in zip(loads, own, strict=True)):
            left = sum(1 << i for i, at in enumerate(places) if at == len(own))
            cheapest = min(cheapest, best[left])
    return cheapest


@given(
    st.lists(st.integers(1, 9), min_size=1, max_size=6),
    st.lists(st.integers(1, 9), max_size=2),
    st.sampled_from([{10: 10}, {10: 10, 7: 7}, {10: 9, 7: 8}]),
)
def test_stocks_and_offcuts_against_trying_everything(
    pieces: list[int], own: list[int], stocks: dict[int, int]
) -> None:
    plan = plan_cuts(
        [float(p) for p in pieces],
        [float(s) for s in stocks],
        0.0,
        own_m=[float(x) for x in own],
        prices=[float(c) for c in stocks.values()],
    )
    best = cheapest_by_trying(pieces, stocks, own)
    assert plan.bound_cost <= best <= plan.cost
    assert (plan.cost, plan.proven) == (best, True)


def test_the_knapsack_table_finds_the_best_pattern() -> None:
    import numpy as np

    rng = random.Random(7)
    for _ in range(40):
        lengths = sorted(rng.sample(range(2, 30), 5), reverse=True)
        wanted = np.array([rng.randrange(1, 4) for _ in lengths])
        worth = np.array([rng.random() for _ in lengths])
        value, cuts, most = best_pattern(lengths, wanted, worth, 40)
        every = [
            sum(w * n for w, n in zip(worth, ns, strict=True))
            for ns in product(*(range(n + 1) for n in wanted))
            if sum(x * n for x, n in zip(lengths, ns, strict=True)) <= 40
        ]
        assert value == pytest.approx(max(every))
        assert most == value
        assert sum(w * n for w, n in zip(worth, cuts, strict=True)) == pytest.approx(value)
        assert sum(x * n for x, n in zip(lengths, cuts, strict=True)) <= 40
        assert all(n <= m for n, m in zip(cuts, wanted, strict=True))


def test_rounded_tables_bound_from_both_sides() -> None:
    import numpy as np

    lengths, wanted, worth = [1_000_003, 700_001, 299_999], np.array([2, 2, 3]), np.array([1.0, 0.71, 0.3])
    value, cuts, most = best_pattern(lengths, wanted, worth, 2_000_006)
    exact = max(
        sum(w * n for w, n in zip(worth, ns, strict=True))
        for ns in product(range(3), range(3), range(4))
        if sum(x * n for x, n in zip(lengths, ns, strict=True)) <= 2_000_006
    )
    assert value <= exact <= most
    assert sum(x * n for x, n in zip(lengths, cuts, strict=True)) <= 2_000_006


def test_pairs_that_fill_a_stick_are_found() -> None:
    pairs = [(a, 3000 - a) for a in range(310, 1490, 7)]
    lengths = [x / 1000 for pair in pairs for x in pair]
    assert all(a + b == 3000 for a, b in pairs)
    plan = plan_cuts(lengths, 3.0, 0.0)
    assert (len(plan.sticks), plan.proven) == (len(pairs), True)
    assert len(list(combinations(lengths, 2))) > 50_000
