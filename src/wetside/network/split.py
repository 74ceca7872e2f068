"""What water loses in a tee, by how it splits or joins there.

Loss coefficients refer to the speed of the undivided water. They may be negative: a fast stream drags a slow one
along. Sources: Crane TP-410 (2009) for a tee of 90 degrees whose run has one bore (its coefficients from memory; the
printed example 7.35 is a test). Where the tables of the source step, or say nothing, the formulas here go on without a
step, so that a net always has an answer; each place says so.
"""

import numpy as np

from wetside.network.columns import Columns, Floats, Ints, total
from wetside.network.graph import Shape
from wetside.network.net import Net

EDGE = 0.05
"""Share of the undivided flow about which a leg's loss turns from that of an inlet to that of an outlet."""


def dividing_branch(share: Floats, area: Floats) -> Floats:
    """Loss coefficient from the run into the branch: ``1 + h (share/area)²``.

    h is 0.3 for a branch as wide as the run and 1 for one of two thirds of its bore or less; in between, where the
    source is silent, it goes straight over with the area.

    :param share: flow of the branch over the undivided flow
    :param area: cross-section of the branch over that of the undivided leg
    """
    h = np.clip(1.0 - 0.7 * (area - 4.0 / 9.0) * 9.0 / 5.0, 0.3, 1.0)
    return 1.0 + h * (share / area) ** 2


def dividing_run(share: Floats, area: Floats) -> Floats:
    """Loss coefficient straight through while a share leaves by the branch: ``M share²``."""
    over = 2.0 * share - 1.0
    wide = np.where(share <= 0.5, 2.0 * over, 0.3 * over)
    return np.where(area <= 0.4, 0.4, wide) * share**2


def joining_branch(share: Floats, area: Floats) -> Floats:
    """Loss coefficient from the branch into the run: ``C (1 + (share/area)² − 2 (1 − share)²)``.

    C is 1 for a branch of up to 0.35 of the run's area; else ``0.9 (1 − share)``, but 0.55 at least (the source steps
    from 0.54 to 0.55 at a share of 0.4).
    """
    c = np.where(area <= 0.35, 1.0, np.maximum(0.9 * (1.0 - share), 0.55))
    return c * (1.0 + (share / area) ** 2 - 2.0 * (1.0 - share) ** 2)


def joining_run(share: Floats) -> Floats:
    """Loss coefficient straight through while a share joins from the branch: ``1.55 share − share²``."""
    return 1.55 * share - share**2


def across(share: Floats) -> Floats:
    """Loss coefficient of each run leg when all water comes from, or leaves by, the branch: ``1 + 0.3 share²``.

    The source is silent; each stream turns by a right angle as into a branch of full width.
    """
    return 1.0 + 0.3 * share**2


def tee_falls(leaving: Floats, area: Floats, density: Floats) -> Floats:
    """Fall of pressure [Pa] from the node of each tee outwards along its legs, beyond what the undivided leg has.

    :param leaving: mass flow out of the node, three rows (run, run, branch), sum nothing
    :param area: cross-sections, three rows
    """
    size = np.abs(leaving)
    n = size.shape[1]
    at = np.arange(n, dtype=np.intp)
    least = size.argmin(axis=0)
    small = leaving[least, at]
    through = 0.5 * (size.sum(axis=0) - np.abs(small))
    edge = EDGE * through
    near = np.abs(small) < edge
    if not near.any():
        return _falls(leaving, area, density)
    # both sides of the turn at once, in one row after the other; what passes from one great leg to the other is kept
    one, other = np.where(least == 0, 1, 0), np.where(least == 2, 1, 2)
    both = np.concatenate([leaving, leaving], axis=1)
    half = np.concatenate([-0.5 * edge, 0.5 * edge])
    turn = np.flatnonzero(np.concatenate([near, near]))
    link = turn % n
    along = np.copysign(through, leaving[one, at])[link]
    both[least[link], turn] = 2.0 * half[turn]
    both[one[link], turn] = along - half[turn]
    both[other[link], turn] = -along - half[turn]
    falls = _falls(both, np.concatenate([area, area], axis=1), np.concatenate([density, density]))
    weight = np.where(near, 0.5 * (small / np.maximum(edge, 1e-300) + 1.0), 1.0)
    return (1.0 - weight) * falls[:, :n] + weight * falls[:, n:]


def _falls(leaving: Floats, area: Floats, density: Floats) -> Floats:
    size = np.abs(leaving)
    undivided = size.argmax(axis=0)
    at = np.arange(undivided.size, dtype=np.intp)
    whole, wide = size[undivided, at], area[undivided, at]
    head = whole * whole / (2.0 * density * wide * wide)
    apart = leaving[undivided, at] < 0.0
    shares = size / np.maximum(whole, 1e-300)
    share, ratio = shares[2], area[2] / wide
    k = np.empty_like(leaving)
    k[:2] = np.where(
        undivided == 2, across(shares[:2]), np.where(apart, dividing_run(share, ratio), joining_run(share))
    )
    k[2] = np.where(apart, dividing_branch(share, ratio), joining_branch(share, ratio))
    k[undivided, at] = 0.0
    return np.where(apart, head, -head) * k


class Splits:
    """The tees of a net, as seen from the links of `Shape.live`."""

    def __init__(self, net: Net, columns: Columns, shape: Shape) -> None:
        names = {x.name: i for i, x in enumerate(net.links)}
        nodes = {x.name: i for i, x in enumerate(net.nodes)}
        place = np.full(columns.shut.size + 1, shape.live.size, dtype=np.intp)
        place[shape.live] = np.arange(shape.live.size)
        legs: list[tuple[int, int, int]] = []
        away: list[list[float]] = []
        for tee in net.tees:
            three = (names[tee.run[0]], names[tee.run[1]], names[tee.branch])
            if np.count_nonzero(place[list(three)] < shape.live.size) < 2:
                continue
            node = nodes[tee.node]
            legs.append(three)
            away.append([1.0 if columns.tail[i] == node else -1.0 for i in three])
        links = np.array(legs, dtype=np.intp).reshape(-1, 3).T
        self.any = bool(legs)
        self._leg: Ints = place[links]
        self._flat = self._leg.ravel()
        self._away = np.array(away).reshape(-1, 3).T
        self._area = np.pi / 4.0 * columns.bore[links] ** 2
        self._live = shape.live.size
        self._legs = np.count_nonzero(self._leg < self._live, axis=0)
        self._m, self._rho = np.zeros(self._live + 1), np.zeros(self._live + 1)

    def losses(self, m: Floats, density: Floats) -> tuple[Floats, Floats]:
        """What the tees add to the fall of each live link, along its arrow; and the slope of a loss of one velocity
        head in each leg, which is what Newton's steps reckon with instead of the true one."""
        self._m[:-1], self._rho[:-1] = m, density
        flow, rho = self._m[self._leg], self._rho[self._leg]
        fall = self._away * tee_falls(flow * self._away, self._area, rho.sum(axis=0) / self._legs)
        stiff = np.abs(flow) / (np.maximum(rho, 1.0) * self._area**2)
        n = self._live + 1
        return total(self._flat, fall.ravel(), n)[:-1], total(self._flat, stiff.ravel(), n)[:-1]
