"""How many spares to buy: the chance of another trip against money left over."""

import heapq
import math
from collections.abc import Iterable, Sequence

import numpy as np

from wetside.basis.record import record
from wetside.basis.si import Metre, Ratio

LEAST_CHANCE: Ratio = 1e-4
"""The curve ends where another trip is this unlikely."""


@record
class Demand:
    """Something that is bought once, and how many more may be needed than drawn."""

    item: str
    size: str
    price: float
    more: tuple[float, ...]
    """Chance that 0, 1, 2, … more are needed."""
    short: float = 0.0
    """What each missing one costs beyond the trip."""


@record
class CurvePoint:
    """One way to stock up."""

    chance: Ratio
    """Of another trip."""
    left: float
    """Expected price of what is left over."""
    cost: float
    """Expected loss on what goes back, plus trips."""
    spares: tuple[int, ...]
    """Of each demand, in order."""


@record
class Spares:
    curve: tuple[CurvePoint, ...]
    """From no spares on; each point adds one."""
    chosen: int
    """The cheapest point whose chance is at most the one accepted."""
    accepted: Ratio

    @property
    def choice(self) -> CurvePoint:
        return self.curve[self.chosen]


def spoilt_before(good: int, chance: Ratio, most: int = 60) -> tuple[float, ...]:
    """Chance of 0, 1, 2, … spoilt ones before so many good ones are made, each spoilt with the same chance.

    Negative binomial: ``C(k + n - 1, k) q^k (1 - q)^n``. What replaces a spoilt one may be spoilt too.

    :raises ValueError: the chance is not from 0 to below 1
    """
    if not 0.0 <= chance < 1.0:
        raise ValueError("a chance of spoiling lies from 0 to below 1")
    found = [(1.0 - chance) ** good]
    while good > 0 and chance > 0.0 and len(found) < most and sum(found) < 1.0 - 1e-9:
        k = len(found)
        found.append(found[-1] * chance * (k + good - 1) / k)
    return tuple(found)


def any_spoilt(joints: int, chance: Ratio) -> Ratio:
    """Chance that one of a fitting's joints is spoilt: ``1 - (1 - p)^joints``."""
    return 1.0 - (1.0 - chance) ** joints


def sticks_more(
    cuts: Iterable[Metre], chance: Ratio, stock: Metre, free: Metre = 0.0, most: int = 12, cell: Metre = 0.01
) -> tuple[float, ...]:
    """Chance that 0, 1, 2, … more sticks are needed for cuts that are spoilt and made again.

    The spoilt length is compounded cut by cut, on cells of 1 cm rounded up. A piece counts for the share of a stick
    that it takes when only its like lie beside it (a half for anything from a third to a half), since pieces of more
    than half a stick can't share one. An approximation on the safe side; a simulation holds it.

    :param free: offcuts of the plan that are long enough for any of the cuts
    """
    room = round((free + most * stock) / cell) + 1
    chances = np.zeros(room)
    chances[0] = 1.0
    for cut in cuts:
        k = max(int(stock / cut + 1e-9), 1)
        width = math.ceil((stock / k if k <= 3 else cut * (k + 1) / k) / cell - 1e-9)
        # this cut is spoilt 0, 1, 2, … times: each time with the same chance
        spoilt, share = chances * (1.0 - chance), 1.0 - chance
        chances = spoilt.copy()
        for times in range(1, 4):
            share *= chance
            if times * width >= room or share < 1e-12:
                break
            chances[times * width :] += spoilt[: room - times * width] * chance**times
    whole = np.cumsum(chances)
    at = [float(whole[min(int((free + s * stock) / cell + 1e-9), room - 1)]) for s in range(most)]
    return tuple(max(b - a, 0.0) for a, b in zip([0.0, *at], at, strict=False))


def plan_spares(
    demands: Sequence[Demand], *, trip: float, return_fee: Ratio, accepted: Ratio, most: int = 400
) -> Spares:
    """The curve of spares and the point on it that costs least with a chance of another trip of at most `accepted`.

    Starting from none, the spare is added that lowers the logarithm of the chance of having enough the most for the
    money left over. As that chance is log-concave and what is left over convex in each number, every point is the best
    for its money (marginal allocation). A trip fetches all that is missing.

    :param return_fee: share of the price that is lost on what is brought back
    :raises ValueError: a price is not positive, or the accepted chance is not above 0
    """
    if accepted <= 0.0:
        raise ValueError("a chance of another trip of nothing can't be bought; accept a small one, such as 1 %")
    if any(d.price <= 0.0 for d in demands):
        raise ValueError("every item needs a price above nothing")
    enough = [np.cumsum(d.more) for d in demands]
    numbers = [0] * len(demands)

    def has(i: int, n: int) -> float:
        """Chance that n spares of an item are enough."""
        return min(float(enough[i][min(n, len(enough[i]) - 1)]), 1.0)

    def gain(i: int) -> float:
        now, then = has(i, numbers[i]), has(i, numbers[i] + 1)
        if then <= now or numbers[i] + 1 >= len(enough[i]):
            return 0.0
        return (math.log(then) - math.log(max(now, 1e-300))) / (demands[i].price * max(now, 1e-12))

    left = 0.0
    short = sum(d.short * sum(k * p for k, p in enumerate(d.more)) for d in demands)

    def point() -> CurvePoint:
        chance = 1.0 - math.prod(has(i, n) for i, n in enumerate(numbers))
        cost = return_fee * left + trip * chance + short
        return CurvePoint(chance=max(chance, 0.0), left=left, cost=cost, spares=tuple(numbers))

    curve = [point()]
    queue = [(-gain(i), i) for i in range(len(demands))]
    heapq.heapify(queue)
    while queue and len(curve) <= most and curve[-1].chance > LEAST_CHANCE:
        worth, i = heapq.heappop(queue)
        if worth >= 0.0:
            break
        # one more is left over whenever no more than the present number is needed
        left += demands[i].price * has(i, numbers[i])
        short -= demands[i].short * (1.0 - has(i, numbers[i]))
        numbers[i] += 1
        curve.append(point())
        heapq.heappush(queue, (-gain(i), i))
    within = [k for k, p in enumerate(curve) if p.chance <= accepted] or [len(curve) - 1]
    return Spares(curve=tuple(curve), chosen=min(within, key=lambda k: curve[k].cost), accepted=accepted)


def critical_ratio(short: float, left: float) -> Ratio:
    """Share of cases to be covered when one too few costs `short` and one too many `left` (newsvendor)."""
    return short / (short + left)


def covering(more: Sequence[float], ratio: Ratio) -> int:
    """The smallest number that covers this share of cases."""
    return int(np.searchsorted(np.cumsum(more), ratio - 1e-12))
