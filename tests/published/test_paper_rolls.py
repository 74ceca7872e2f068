"""The paper-roll example of encyclopedia articles on the cutting stock problem: master rolls of 5600 mm, thirteen
widths, 73 rolls at least, 0.401 % of the stock wasted; the printed solution has ten patterns."""

import pytest

from wetside.takeoff import plan_cuts
from wetside.takeoff.bounds import by_length

WANTED = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12, 2100: 14, 2140: 16,
    2150: 18, 2200: 20,
}  # fmt: skip
PRINTED = (
    (2, (1820, 1820, 1820)), (3, (1380, 2150, 1930)), (12, (1380, 2150, 2050)), (7, (1380, 2100, 2100)),
    (12, (2200, 1820, 1560)), (8, (2200, 1520, 1880)), (1, (1520, 1930, 2150)), (16, (1520, 1930, 2140)),
    (10, (1710, 2000, 1880)), (2, (1710, 1710, 2150)),
)  # fmt: skip
PIECES = [float(w) for w, n in WANTED.items() for _ in range(n)]


def test_seventy_three_rolls_proven() -> None:
    plan = plan_cuts(PIECES, 5600.0, 0.0)
    assert (len(plan.sticks), plan.bound, plan.proven, plan.gap) == (73, 73, True, 0.0)
    assert plan.waste == pytest.approx(0.00401, abs=5e-6)


def test_the_printed_solution() -> None:
    assert sum(PIECES) == 407160
    assert by_length([int(p) for p in PIECES], 5600) == 73
    made = sorted(w for n, pattern in PRINTED for w in pattern * n)
    assert made == sorted(int(p) for p in PIECES)
    assert all(sum(pattern) <= 5600 for _, pattern in PRINTED)
    assert sum(n for n, _ in PRINTED) == 73
