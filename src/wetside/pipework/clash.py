"""Tubes that would run through each other: straights of different legs whose centre lines come too near."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.pipework.reading import Leg, Pipework, Straight
from wetside.pipework.spec import Vec
from wetside.pipework.vec import SAME, same

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

AT_ONCE = 500
"""Straights up to this many are held against each other all at once; more, one by one along an axis."""


@record(kw_only=False)
class Near:
    """Two legs at the place where they come nearest to touching."""

    first: Leg
    second: Leg
    apart_m: Metre
    """Between the centre lines."""
    needed_m: Metre
    """Sum of the outside radii."""
    at: Vec


def segment_distance(p: Array, p2: Array, q: Array, q2: Array) -> tuple[Array, Array]:
    """Shortest distance between segments p–p2 and q–q2, row by row, and the point of the first that is nearest.

    Closest point of two segments by clamping each parameter in turn; parallel and zero-length segments included.
    """
    d1, d2, r = p2 - p, q2 - q, p - q
    a, e, b = (d1 * d1).sum(1), (d2 * d2).sum(1), (d1 * d2).sum(1)
    c, f = (d1 * r).sum(1), (d2 * r).sum(1)
    tiny = 1e-18
    a_, e_ = np.maximum(a, tiny), np.maximum(e, tiny)
    crossing = a * e - b * b
    skew = crossing > 1e-12 * a_ * e_
    s = np.where(skew, np.clip((b * f - c * e) / np.where(skew, crossing, 1.0), 0.0, 1.0), 0.0)
    t = (b * s + f) / e_
    s = np.where(e < tiny, np.clip(-c / a_, 0.0, 1.0), s)
    s = np.where(t < 0.0, np.clip(-c / a_, 0.0, 1.0), np.where(t > 1.0, np.clip((b - c) / a_, 0.0, 1.0), s))
    t = np.clip(t, 0.0, 1.0)
    on_first = p + d1 * s[:, None]
    gap = on_first - (q + d2 * t[:, None])
    return np.sqrt((gap * gap).sum(1)), on_first


def near_pairs(pipework: Pipework, within: Metre = 0.1) -> list[Near]:
    """Pairs of legs whose outsides come nearer than `within`, each at its worst place, worst first.

    Straights that meet at a node that both legs share are left alone there.
    """
    straights = [(leg, s) for leg in pipework.legs for s in leg.pieces if isinstance(s, Straight)]
    worst: dict[tuple[str, str], Near] = {}
    for i, j, apart, at in _close(straights, within):
        (first, s), (second, t) = straights[i], straights[j]
        if first is second or _meet(pipework, first, s, second, t):
            continue
        near = Near(first, second, apart, (s.tube.outside_m + t.tube.outside_m) / 2.0, at)
        known = worst.get((first.name, second.name))
        if known is None or near.apart_m - near.needed_m < known.apart_m - known.needed_m:
            worst[first.name, second.name] = near
    return sorted(worst.values(), key=lambda n: (round(n.apart_m - n.needed_m, 9), n.first.name, n.second.name))


def _close(straights: list[tuple[Leg, Straight]], within: Metre) -> Iterator[tuple[int, int, Metre, Vec]]:
    """Pairs of straights nearer than `within`, found by sweeping along the axis on which they spread most."""
    if len(straights) < 2:
        return
    a = np.array([s.a for _, s in straights], dtype=float)
    b = np.array([s.b for _, s in straights], dtype=float)
    radius = np.array([s.tube.outside_m / 2.0 for _, s in straights])
    low = np.minimum(a, b) - radius[:, None] - within / 2.0
    high = np.maximum(a, b) + radius[:, None] + within / 2.0
    axis = int(np.argmin((high - low).sum(0) / np.maximum(high.max(0) - low.min(0), SAME)))
    order = np.argsort(low[:, axis], kind="stable")
    low, high = low[order], high[order]
    i, j = _overlapping(low, high, axis, order)
    apart, at = segment_distance(a[i], b[i], a[j], b[j])
    for m in np.flatnonzero(apart < radius[i] + radius[j] + within).tolist():
        first, second = sorted((int(i[m]), int(j[m])))
        x, y, z = at[m].tolist()
        yield first, second, float(apart[m]), (x, y, z)


def _overlapping(low: Array, high: Array, axis: int, order: Ints) -> tuple[Ints, Ints]:
    """Pairs of boxes that overlap. Boxes are in the order of their lower ends along the axis; `order` names them."""
    if len(order) <= AT_ONCE:
        over = np.ones((len(order), len(order)), dtype=bool)
        for k in range(3):
            below = low[:, None, k] <= high[None, :, k]
            over &= below & below.T
        i, j = np.nonzero(np.triu(over, 1))
        return order[i], order[j]
    reach = np.searchsorted(low[:, axis], high[:, axis], side="right")
    pairs: list[tuple[Ints, Ints]] = []
    for k in range(len(order)):
        rest = slice(k + 1, int(reach[k]))
        overlap = np.all((low[rest] <= high[k]) & (high[rest] >= low[k]), axis=1)
        found = order[np.flatnonzero(overlap) + k + 1]
        pairs.append((np.full(found.size, order[k]), found))
    i, j = (np.concatenate(side) for side in zip(*pairs, strict=True))
    return i, j


def _meet(pipework: Pipework, first: Leg, s: Straight, second: Leg, t: Straight) -> bool:
    for n in {first.a, first.b} & {second.a, second.b}:
        at = pipework.nodes[n].at
        if (same(s.a, at) or same(s.b, at)) and (same(t.a, at) or same(t.b, at)):
            return True
    return False
