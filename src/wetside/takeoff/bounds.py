"""Stock lengths that no cutting plan can do without: bounds from below by counting, without a solver.

All lengths are whole numbers, each piece with its kerf and the stock with one kerf more, so that pieces fit when their
sum is at most the stock.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]


def by_length(pieces: Sequence[int], stock: int) -> int:
    """All pieces laid end to end, rounded up."""
    return math.ceil(sum(pieces) / stock)


def by_halves(pieces: Sequence[int], stock: int) -> int:
    """Pieces of more than half a stock length need one each, and what they leave over holds little of the others.

    For each threshold K: pieces above stock - K are alone, those above half stand apart, and those from K to half fill
    what the second kind leaves. Martello and Toth, Knapsack Problems (1990), bound L2; from memory.
    """
    sizes = np.sort(np.asarray(pieces, dtype=np.int64))
    sums = np.concatenate(([0], np.cumsum(sizes)))
    half = int(np.searchsorted(sizes, stock // 2, side="right"))
    thresholds = np.unique(np.concatenate(([0], sizes[:half])))
    low = np.searchsorted(sizes, thresholds, side="left")
    alone = np.searchsorted(sizes, stock - thresholds, side="right")
    lone = len(sizes) - alone
    apart = np.maximum(alone - half, 0)
    left = apart * stock - (sums[np.maximum(alone, half)] - sums[half])
    rest = sums[half] - sums[np.minimum(low, half)]
    more = np.ceil(np.maximum(rest - left, 0) / stock)
    return int((lone + apart + more).max(initial=0))


def by_rounding(pieces: Sequence[int], stock: int, most: int = 30) -> int:
    """Lengths rounded so that whatever fits one stock length still counts for at most one.

    For whole k, a piece of share x counts floor((k + 1) x) / k, and x itself where (k + 1) x is whole. Fekete and
    Schepers (2001), function u(k), combined with dropping small pieces; from memory.
    """
    sizes = np.asarray(pieces, dtype=np.int64)
    best = 0
    for k in range(1, most + 1):
        scaled = sizes * (k + 1)
        # in units of 1 / (k stock), to stay whole
        counted = np.where(scaled % stock == 0, sizes * k, (scaled // stock) * stock)
        best = max(best, -(-int(counted.sum()) // (k * stock)))
    return best


def fewest(pieces: Sequence[int], stock: int) -> int:
    """The best of the bounds by counting."""
    if not pieces:
        return 0
    return max(by_length(pieces, stock), by_halves(pieces, stock), by_rounding(pieces, stock))
