"""Cuts laid onto stock lengths, the fewest that will do, with the proof or the gap."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from math import gcd
from time import monotonic

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.takeoff.bounds import fewest
from wetside.takeoff.fill import best_fit, first_fit, fullest

KERF: Metre = 0.002
"""Lost at each cut by a saw (typical); a wheel cutter loses nothing."""
_GRAIN = 1_000_000
"""Lengths are compared in whole micrometres."""
_CENT = 10_000


@record
class Stick:
    """One stock length and what is cut from it."""

    stock_m: Metre
    cuts: tuple[int, ...]
    """Indices of the pieces, longest first."""
    cuts_m: tuple[Metre, ...]
    kerf_m: Metre
    """Lost to the cuts, and a rest shorter than one cut."""
    offcut_m: Metre
    """Left over in one piece. Cuts, kerf and offcut make up the stock length."""
    own: bool = False
    """An offcut that was there already."""


@record
class CutPlan:
    sticks: tuple[Stick, ...]
    """Own offcuts first."""
    cost: float
    """What was made least: the length bought, or its price where prices are given."""
    bound_cost: float
    """No plan can cost less."""
    bound: int
    """No plan gets by with fewer stock lengths bought."""
    proven: bool

    @property
    def bought(self) -> int:
        return sum(1 for s in self.sticks if not s.own)

    @property
    def gap(self) -> float:
        """By how much the plan may exceed the best one, as a share; 0 when proven."""
        return 0.0 if self.proven or self.cost <= 0.0 else 1.0 - self.bound_cost / self.cost

    @property
    def waste(self) -> float:
        """Kerf and offcuts as a share of the stock used."""
        stock = sum(s.stock_m for s in self.sticks)
        return (stock - sum(sum(s.cuts_m) for s in self.sticks)) / stock if stock > 0.0 else 0.0


@record(kw_only=False)
class Kind:
    """A stock length in whole units (with one kerf), its cost, and how many there are."""

    size: int
    cost: int
    count: int | None = None


Sticks = tuple[tuple[int, tuple[int, ...]], ...]
"""A plan: kind and indices of pieces, for each stick."""


@record(kw_only=False)
class Laid:
    """A plan, and the least cost that any can have."""

    sticks: Sticks
    bound: int


def plan_cuts(
    lengths_m: Iterable[Metre],
    stock_m: Metre | Sequence[Metre],
    kerf_m: Metre = KERF,
    *,
    own_m: Iterable[Metre] = (),
    prices: Sequence[float] | None = None,
    within_s: float = 8.0,
) -> CutPlan:
    """Lay cuts onto stock lengths so that least is bought.

    Pieces fit one stock length when ``sum(piece + kerf) <= stock + kerf``: n pieces need n - 1 cuts. With one stock
    length the fewest are sought; with several the least length, or the least price where `prices` are given. Offcuts
    that are there already cost nothing. First bounds by counting and quick plans, which settle most houses; then column
    generation (Gilmore and Gomory 1961) with whole-number solves over the patterns found, and a flow over all patterns
    where that is small.

    :param stock_m: the length of a stick or coil on sale, or several
    :param own_m: offcuts at hand
    :param prices: of one stick of each stock length
    :param within_s: stop looking for better after about this time; the gap is then shown
    :raises ValueError: a length is not positive, or a piece is longer than every stock length
    """
    lengths = tuple(float(x) for x in lengths_m)
    stocks = (float(stock_m),) if isinstance(stock_m, int | float) else tuple(float(x) for x in stock_m)
    own = sorted((float(x) for x in own_m), reverse=True)
    _check(lengths, stocks, own, kerf_m, prices)
    until = monotonic() + within_s
    pieces = [round((x + kerf_m) * _GRAIN) for x in lengths]
    kinds, metres = _kinds(stocks, own, kerf_m, prices)
    laid = lay_out(pieces, kinds, until)
    scale = _GRAIN if prices is None else _CENT
    cost = sum(kinds[k].cost for k, _ in laid.sticks)
    return CutPlan(
        sticks=tuple(
            sorted(
                (_stick(metres[k], kinds[k].count is not None, cuts, lengths, kerf_m) for k, cuts in laid.sticks),
                key=lambda s: (not s.own, [-x for x in s.cuts_m]),
            )
        ),
        cost=cost / scale,
        bound_cost=laid.bound / scale,
        bound=-(-laid.bound // max(k.cost for k in kinds)),
        proven=laid.bound >= cost,
    )


def _check(
    lengths: Sequence[Metre], stocks: Sequence[Metre], own: Sequence[Metre], kerf: Metre, prices: Sequence[float] | None
) -> None:
    if not stocks or min(stocks) <= 0.0 or (own and min(own) <= 0.0):
        raise ValueError("a stock length must be longer than nothing")
    if kerf < 0.0:
        raise ValueError("a cut can't lose less than nothing")
    if prices is not None and (len(prices) != len(stocks) or min(prices) <= 0.0):
        raise ValueError("each stock length needs a price above nothing")
    if lengths and min(lengths) <= 0.0:
        raise ValueError("a piece must be longer than nothing")
    if lengths and max(lengths) > max(stocks) + 0.5 / _GRAIN:
        raise ValueError(f"a piece of {max(lengths):.3f} m is longer than every stock length, {max(stocks):.3f} m")


def _kinds(
    stocks: Sequence[Metre], own: Sequence[Metre], kerf: Metre, prices: Sequence[float] | None
) -> tuple[list[Kind], list[Metre]]:
    kinds: list[Kind] = []
    metres: list[Metre] = []
    for i, stock in enumerate(stocks):
        cost = round(stock * _GRAIN) if prices is None else round(prices[i] * _CENT)
        kinds.append(Kind(round((stock + kerf) * _GRAIN), max(cost, 1)))
        metres.append(stock)
    for length, count in Counter(own).items():
        kinds.append(Kind(round((length + kerf) * _GRAIN), 0, count))
        metres.append(length)
    return kinds, metres


def _stick(stock: Metre, own: bool, cuts: Sequence[int], lengths: Sequence[Metre], kerf: Metre) -> Stick:
    ordered = tuple(sorted(cuts, key=lambda i: -lengths[i]))
    used = sum(lengths[i] for i in ordered)
    lost = min(len(ordered) * kerf, max(stock - used, 0.0))
    return Stick(
        stock_m=stock,
        cuts=ordered,
        cuts_m=tuple(lengths[i] for i in ordered),
        kerf_m=lost,
        offcut_m=max(stock - used - lost, 0.0),
        own=own,
    )


def lay_out(pieces: Sequence[int], kinds: Sequence[Kind], until: float) -> Laid:
    """The plan in whole units. The first kinds are bought (no count), the others are at hand (cost nothing)."""
    if not pieces:
        return Laid((), 0)
    unit = gcd(*pieces, *(k.size for k in kinds))
    kinds = [Kind(k.size // unit, k.cost, k.count) for k in kinds]
    order = sorted(range(len(pieces)), key=lambda i: -pieces[i])
    sizes = [pieces[i] // unit for i in order]
    bound = _bound(sizes, kinds)
    best = _quick(sizes, kinds, bound, until)
    if _cost(best, kinds) > bound:
        from wetside.takeoff.patterns import solve

        best = _mend(sizes, kinds, best, bound, until)
        best, bound = solve(sizes, kinds, best, bound, until)
    return Laid(tuple((k, tuple(order[i] for i in cuts)) for k, cuts in best), bound)


def _bound(sizes: Sequence[int], kinds: Sequence[Kind]) -> int:
    """By counting; with several stocks the length that own offcuts can't hold, at the best price per length."""
    if len(kinds) == 1:
        return fewest(sizes, kinds[0].size) * kinds[0].cost
    bought = [k for k in kinds if k.count is None]
    short = max(sum(sizes) - sum(k.size * k.count for k in kinds if k.count is not None), 0)
    step = gcd(*(k.cost for k in bought))
    return step * -(-min(-(-short * k.cost // k.size) for k in bought) // step)


def _quick(sizes: Sequence[int], kinds: Sequence[Kind], bound: int, until: float) -> Sticks:
    """The cheapest of a few quick plans; stops at one that meets the bound."""
    soon = monotonic() + 0.4 * max(until - monotonic(), 0.0)
    bought = [k for k, kind in enumerate(kinds) if kind.count is None]
    at_hand = [k for k, kind in enumerate(kinds) for _ in range(kind.count or 0)]

    def searched() -> Sticks:
        stocks = [(kinds[k].size, kinds[k].cost) for k in bought]
        cut = fullest(sizes, stocks, [kinds[k].size for k in at_hand], soon)
        return tuple((bought[s] if s >= 0 else at_hand[-1 - s], tuple(cuts)) for s, cuts in cut)

    def greedy(way: Callable[[Sequence[int], int], list[list[int]]]) -> Sticks:
        return tuple((0, tuple(cuts)) for cuts in way(sizes, kinds[0].size))

    ways: list[Callable[[], Sticks]] = [searched]
    if len(kinds) == 1:
        ways = [lambda: greedy(first_fit), lambda: greedy(best_fit), searched]
    best: Sticks = ()
    for way in ways:
        plan = way()
        if not best or _cost(plan, kinds) < _cost(best, kinds):
            best = plan
        if _cost(best, kinds) <= bound:
            break
    return best


def _mend(sizes: Sequence[int], kinds: Sequence[Kind], best: Sticks, bound: int, until: float) -> Sticks:
    """The bought sticks with most left over cut anew by themselves, more of them while that saves nothing."""
    from wetside.takeoff.patterns import solve

    count = 8
    while _cost(best, kinds) > bound and count < len(best) and monotonic() < until:
        left = [kinds[k].size - sum(sizes[i] for i in cuts) for k, cuts in best]
        worst = sorted((s for s in range(len(best)) if kinds[best[s][0]].count is None), key=lambda s: -left[s])[:count]
        part = [i for s in worst for i in best[s][1]]
        bought = [k for k in kinds if k.count is None]
        order = sorted(part, key=lambda i: -sizes[i])
        some = [sizes[i] for i in order]
        soon = min(until, monotonic() + 2.0)
        floor = _bound(some, bought)
        plan = _quick(some, bought, floor, soon)
        if _cost(plan, bought) > floor:
            plan, _ = solve(some, bought, plan, floor, soon)
        now = sum(kinds[best[s][0]].cost for s in worst)
        if _cost(plan, bought) < now:
            kept = tuple(stick for s, stick in enumerate(best) if s not in set(worst))
            best = (*kept, *((k, tuple(order[i] for i in cuts)) for k, cuts in plan))
        else:
            count *= 2
    return best


def _cost(sticks: Sticks, kinds: Sequence[Kind]) -> int:
    return sum(kinds[k].cost for k, _ in sticks)
