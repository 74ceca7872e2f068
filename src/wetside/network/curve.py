"""Circulator curves: through their points, smooth, never rising."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from wetside.basis.si import M3PerSecond, Pascal
from wetside.network.net import Curve, Regulation

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


def _pieces(curve: Curve) -> tuple[Floats, Floats]:
    """Where each piece begins, and its terms ``a + b u + c u² + d u³`` with u counted from there (4 rows).

    Piece 0 lies before the first point.
    """
    if curve.speed <= 0.0:
        return np.zeros(1), np.zeros((4, 1))
    if curve.terms:
        n = curve.speed
        h0, h1, h2, h3 = (*curve.terms, 0.0, 0.0, 0.0)[:4]
        h0, h1, h3 = h0 * n * n, h1 * n, h3 / n
        end = ends_at((h0, h1, h2, h3))
        begin, terms = np.array([0.0, 0.0]), np.array([[h0, h0], [0.0, h1], [0.0, h2], [0.0, h3]])
        if end < np.inf:
            last = h1 + end * (2.0 * h2 + 3.0 * h3 * end)
            begin = np.append(begin, end)
            terms = np.column_stack([terms, [h0 + end * (h1 + end * (h2 + end * h3)), last, 0.0, 0.0]])
        return begin, terms
    row = at_speed(curve.points, curve.speed)
    x, y = np.array([q for q, _ in row]), np.array([h for _, h in row])
    slope = _slopes(x, y)
    step, rise = np.diff(x), np.diff(y)
    terms = np.zeros((4, x.size + 1))
    terms[0, 0], terms[0, 1:], terms[1, 1:] = y[0], y, slope
    terms[2, 1:-1] = (3.0 * rise / step - 2.0 * slope[:-1] - slope[1:]) / step
    terms[3, 1:-1] = (slope[:-1] + slope[1:] - 2.0 * rise / step) / step**2
    return np.append(0.0, x), terms


def ends_at(terms: Sequence[float]) -> M3PerSecond:
    """Flow at which a curve by terms comes to no head; endless for one that never does."""
    roots = np.roots(terms[::-1])
    found = [float(r.real) for r in roots if abs(r.imag) < 1e-9 * abs(r) and r.real > 0.0]
    return min(found, default=np.inf)


def rises(terms: Sequence[float]) -> bool:
    """Whether a curve by terms rises anywhere before it comes to no head."""
    h1, h2, h3 = (*terms[1:], 0.0, 0.0, 0.0)[:3]
    end = ends_at((*terms, 0.0, 0.0, 0.0)[:4])
    if end == np.inf:
        return max(h1, h2, h3) > 0.0
    places = [0.0, end] + ([-h2 / (3.0 * h3)] if h3 and 0.0 < -h2 / (3.0 * h3) < end else [])
    most = max(h1 + x * (2.0 * h2 + 3.0 * h3 * x) for x in places)
    return most > 1e-9 * abs(terms[0]) / end


class Curves:
    """Many curves, answered together. Curve `i` is asked with `flow[i]`.

    Backwards flow meets the shut-off head; beyond the last point the last slope goes on. A circulator at speed 0 adds
    nothing. One that regulates its pressure holds `level`, as far as its curve reaches.
    """

    def __init__(self, curves: Iterable[Curve]) -> None:
        curves = list(curves)
        rows = [_pieces(c) for c in curves]
        pieces = max((begin.size for begin, _ in rows), default=1)
        n = len(rows)
        self._begin = np.full((n, pieces), np.inf)
        self._terms = np.zeros((4, n, pieces))
        for i, (begin, terms) in enumerate(rows):
            self._begin[i, : begin.size] = begin
            self._terms[:, i, : begin.size] = terms
        self._begin[:, 0] = 0.0
        self._rows = np.arange(n)
        self.level = np.full(n, np.inf)
        """Pressure [Pa] that it does not go above."""
        running = [c.speed > 0.0 and c.regulation is not Regulation.FIXED for c in curves]
        held = np.array([c.set_pa if on else np.inf for c, on in zip(curves, running, strict=True)])
        shut_off, _ = self.heads(np.zeros(n))
        self._held = np.where(held < shut_off, held, np.inf)
        self.level = self._held.copy()
        rising = np.array([c.regulation is Regulation.PROPORTIONAL for c in curves], dtype=np.bool_)
        self.rising = np.flatnonzero(rising & np.isfinite(self._held))
        """Curves whose level follows the flow."""
        self._meets = np.array([self._meeting(int(i)) for i in self.rising])

    def _meeting(self, i: int) -> M3PerSecond:
        """Flow at which a curve comes down to its set pressure, by bisection."""
        self.level[i] = np.inf
        asked, low, high = np.zeros(self._rows.size), 0.0, 1e-5
        while high < 1e3 and self._one(asked, i, high) > self._held[i]:
            high *= 2.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self._one(asked, i, middle) > self._held[i] else (low, middle)
        self.level[i] = 0.75 * self._held[i]
        return high

    def _one(self, asked: Floats, i: int, flow: M3PerSecond) -> Pascal:
        asked[i] = flow
        return float(self.heads(asked)[0][i])

    def tables(self) -> tuple[Floats, Floats]:
        """Where each piece of each curve begins, and its terms (see `_pieces`)."""
        return self._begin, self._terms

    def wanted(self, flow: Floats) -> Floats:
        """Level that each curve of `rising` wants at its flow: half of what is set at none, all of it where met."""
        share = np.clip(flow[self.rising] / self._meets, 0.0, 1.0)
        return self._held[self.rising] * (0.5 + 0.5 * share)

    def heads(self, flow: Floats) -> tuple[Floats, Floats]:
        """Head [Pa] and its slope [Pa s/m3] (never positive) at volume flows [m3/s]."""
        piece = np.sum(self._begin[:, 1:] <= flow[:, None], axis=1)
        a, b, c, d = self._terms[:, self._rows, piece]
        u = flow - self._begin[self._rows, piece]
        head, slope = a + u * (b + u * (c + u * d)), b + u * (2.0 * c + 3.0 * u * d)
        return np.minimum(head, self.level), np.where(head > self.level, 0.0, slope)


def head_at(curve: Curve, flow_m3_s: M3PerSecond) -> Pascal:
    """Head [Pa] of one circulator at a flow [m3/s]; see `Curves`."""
    one = Curves([curve])
    flow = np.array([flow_m3_s])
    one.level[one.rising] = one.wanted(flow)
    return float(one.heads(flow)[0][0])
