"""Circulator curves: through their points, smooth, never rising."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from wetside.basis.si import M3PerSecond, Pascal
from wetside.network.net import Curve

Floats = NDArray[np.float64]


def at_speed(points: Sequence[tuple[M3PerSecond, Pascal]], speed: float) -> tuple[tuple[M3PerSecond, Pascal], ...]:
    """The points of a curve at another relative speed: flow by the speed, head by its square (affinity laws)."""
    return tuple((q * speed, h * speed * speed) for q, h in points)


def _slopes(x: Floats, y: Floats) -> Floats:
    """Slopes at the points of the monotone cubic: Fritsch and Carlson 1980, harmonic mean form (from memory)."""
    if x.size == 1:
        return np.zeros(1)
    step = np.diff(x)
    secant = np.diff(y) / step
    if x.size == 2:
        return np.array([secant[0], secant[0]])
    slope = np.zeros_like(x)
    w1, w2 = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    product = secant[:-1] * secant[1:]
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (w1 + w2) / (w1 / secant[:-1] + w2 / secant[1:])
    slope[1:-1] = np.where(product > 0.0, mean, 0.0)
    slope[0] = _end(step[0], step[1], secant[0], secant[1])
    slope[-1] = _end(step[-1], step[-2], secant[-1], secant[-2])
    return slope


def _end(h0: float, h1: float, s0: float, s1: float) -> float:
    """Slope at an end, by the parabola through three points, kept within what monotony allows."""
    d = ((2.0 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
    if d * s0 <= 0.0:
        return 0.0
    return 3.0 * s0 if s0 * s1 <= 0.0 and abs(d) > 3.0 * abs(s0) else d


class Curves:
    """Many curves, answered together. Curve `i` is asked with `flow[i]`.

    Backwards flow meets the shut-off head (the head at the first point); beyond the last point the last slope goes on.
    A circulator at speed 0 adds nothing.
    """

    def __init__(self, curves: Iterable[Curve]) -> None:
        rows = [at_speed(c.points, c.speed) if c.speed > 0.0 else ((0.0, 0.0),) for c in curves]
        pieces = max((len(r) for r in rows), default=1) + 1
        n = len(rows)
        # piece 0 lies before the first point, piece k begins at point k: a + b u + c u² + d u³, u counted from there
        self._begin = np.full((n, pieces), np.inf)
        self._terms = np.zeros((4, n, pieces))
        for i, row in enumerate(rows):
            x, y = np.array([q for q, _ in row]), np.array([h for _, h in row])
            slope = _slopes(x, y)
            step, rise = np.diff(x), np.diff(y)
            self._begin[i, 1 : x.size + 1] = x
            self._terms[0, i, 0], self._terms[0, i, 1 : x.size + 1] = y[0], y
            self._terms[1, i, 1 : x.size + 1] = slope
            inner = slice(1, x.size)
            self._terms[2, i, inner] = (3.0 * rise / step - 2.0 * slope[:-1] - slope[1:]) / step
            self._terms[3, i, inner] = (slope[:-1] + slope[1:] - 2.0 * rise / step) / step**2
        self._begin[:, 0] = 0.0
        self._rows = np.arange(n)

    def heads(self, flow: Floats) -> tuple[Floats, Floats]:
        """Head [Pa] and its slope [Pa s/m3] (never positive) at volume flows [m3/s]."""
        piece = np.sum(self._begin[:, 1:] <= flow[:, None], axis=1)
        a, b, c, d = self._terms[:, self._rows, piece]
        u = flow - self._begin[self._rows, piece]
        return a + u * (b + u * (c + u * d)), b + u * (2.0 * c + 3.0 * u * d)


def head_at(curve: Curve, flow_m3_s: M3PerSecond) -> Pascal:
    """Head [Pa] of one circulator at a flow [m3/s]; see `Curves`."""
    return float(Curves([curve]).heads(np.array([flow_m3_s]))[0][0])
