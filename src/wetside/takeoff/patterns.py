"""The cutting problem over patterns: column generation, whole-number solves, and a flow over all patterns.

A pattern is what one stock length is cut into. Whole lengths, each piece with its kerf and the stock with one more.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from time import monotonic
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record

if TYPE_CHECKING:
    from wetside.takeoff.stock import Kind, Sticks

Cuts = tuple[int, ...]
"""How many of each distinct length a pattern holds."""

GRID = 20_000
"""Cells of the stock length in the knapsack table; longer stock is rounded to them."""
MOST_LENGTHS = 400
"""Distinct lengths beyond which the linear programme is not tried."""
MOST_ARCS = 60_000
MOST_PATTERNS = 30_000
COMPANIONS = 12
"""Patterns that one round of column generation may add for a stock length."""
_TINY = 1e-7


def _solver() -> Any:
    """scipy.optimize, loaded only when a solver is needed."""
    from importlib import import_module

    return import_module("scipy.optimize")


@dataclass(slots=True)
class Shop:
    """The problem in distinct lengths, and every pattern found so far."""

    lengths: tuple[int, ...]
    """Longest first."""
    wanted: NDArray[np.int64]
    kinds: "Sequence[Kind]"
    patterns: list[tuple[int, Cuts]] = field(default_factory=list[tuple[int, Cuts]])
    known: set[tuple[int, Cuts]] = field(default_factory=set[tuple[int, Cuts]])

    def add(self, kind: int, cuts: Cuts) -> bool:
        if (kind, cuts) in self.known:
            return False
        self.known.add((kind, cuts))
        self.patterns.append((kind, cuts))
        return True

    @property
    def limited(self) -> list[int]:
        return [k for k, kind in enumerate(self.kinds) if kind.count is not None]


def solve(
    pieces: Sequence[int], kinds: "Sequence[Kind]", start: "Sticks", bound: int, until: float
) -> "tuple[Sticks, int]":
    """Better the plan `start` and its bound until they meet or the time is up."""
    counted = Counter(pieces)
    lengths = tuple(sorted(counted, reverse=True))
    shop = Shop(lengths, np.array([counted[x] for x in lengths], dtype=np.int64), kinds)
    index = {x: i for i, x in enumerate(lengths)}
    best = [(k, _counts(cuts, pieces, index)) for k, cuts in start]
    step = math.gcd(*(k.cost for k in kinds if k.count is None))
    for k, cuts in best:
        shop.add(k, cuts)
    cost = _cost(best, kinds)
    if cost > bound and len(lengths) <= MOST_LENGTHS:
        lower, shares = _generate(shop, cost, step, until)
        bound = max(bound, lower)
        for attempt in (_whole, _dive, _flow, _every):
            if cost <= bound or monotonic() > until:
                break
            found = attempt(shop, shares, cost, until)
            if found.plan is not None and _cost(found.plan, kinds) < cost:
                best, cost = found.plan, _cost(found.plan, kinds)
            bound = max(bound, min(found.bound, cost))
    return _named(best, pieces, lengths), bound


@record(kw_only=False)
class Found:
    plan: list[tuple[int, Cuts]] | None
    bound: int = 0


def _counts(cuts: Sequence[int], pieces: Sequence[int], index: dict[int, int]) -> Cuts:
    found = [0] * len(index)
    for i in cuts:
        found[index[pieces[i]]] += 1
    return tuple(found)


def _cost(plan: Sequence[tuple[int, Cuts]], kinds: "Sequence[Kind]") -> int:
    return sum(kinds[k].cost for k, _ in plan)


def _named(plan: Sequence[tuple[int, Cuts]], pieces: Sequence[int], lengths: Sequence[int]) -> "Sticks":
    """Distinct lengths back to pieces; what a plan holds too much of is left out."""
    who: dict[int, list[int]] = {x: [] for x in lengths}
    for i in reversed(range(len(pieces))):
        who[pieces[i]].append(i)
    sticks: list[tuple[int, tuple[int, ...]]] = []
    for k, cuts in plan:
        taken = [who[x].pop() for x, n in zip(lengths, cuts, strict=True) for _ in range(n) if who[x]]
        if taken:
            sticks.append((k, tuple(taken)))
    return tuple(sticks)


def _generate(shop: Shop, cost: int, step: int, until: float) -> tuple[int, NDArray[np.float64]]:
    """Patterns that the linear programme asks for; the bound that it proves, and its shares of the patterns.

    The bound is Farley's: the value of the lengths at the programme's prices, divided by the most that any pattern is
    worth per cost.
    """
    linprog = _solver().linprog
    limited = shop.limited
    wanted = shop.wanted.astype(float)
    bound = 0
    shares = np.zeros(0)
    while True:
        matrix = _matrix(shop)
        costs = np.array([shop.kinds[k].cost for k, _ in shop.patterns], dtype=float)
        supply = np.array([[-1.0 if k == s else 0.0 for k, _ in shop.patterns] for s in limited]).reshape(
            len(limited), len(shop.patterns)
        )
        have = np.array([-float(shop.kinds[s].count or 0) for s in limited])
        solved: Any = linprog(
            costs,
            A_ub=-np.vstack((matrix, supply)),
            b_ub=-np.concatenate((wanted, have)),
            bounds=(0, None),
            method="highs",
        )
        if solved.status != 0:
            return bound, shares
        shares = np.asarray(solved.x, dtype=float)
        prices = -np.asarray(solved.ineqlin.marginals, dtype=float)
        worth, rent = prices[: len(wanted)], prices[len(wanted) :]
        new = False
        over = 1.0
        feasible_rents = 0.0
        for k, kind in enumerate(shop.kinds):
            value, cuts, most = best_pattern(shop.lengths, shop.wanted, worth, kind.size)
            if kind.count is None:
                over = max(over, most / kind.cost)
            else:
                # a stick at hand costs nothing but its rent; what a pattern is worth beyond it weakens the bound
                beyond = most - rent[limited.index(k)]
                feasible_rents += kind.count * (rent[limited.index(k)] + max(beyond, 0.0))
            allowed = kind.cost + (rent[limited.index(k)] if kind.count is not None else 0.0)
            # further patterns of what the first ones leave aside save many rounds
            others = shop.wanted.copy()
            for _ in range(COMPANIONS):
                if value <= allowed * (1 + _TINY) + _TINY:
                    break
                new = shop.add(k, cuts) or new
                others[np.array(cuts) > 0] = 0
                value, cuts, _ = best_pattern(shop.lengths, others, worth, kind.size)
        # worth / over prices every bought pattern at no more than its cost
        lower = (float(worth @ wanted) - feasible_rents) / over
        bound = max(bound, step * math.ceil(lower / step - 1e-6))
        if not new or bound >= cost or monotonic() > until:
            return bound, shares


def _matrix(shop: Shop) -> NDArray[np.float64]:
    return np.array([cuts for _, cuts in shop.patterns], dtype=float).T.reshape(len(shop.lengths), len(shop.patterns))


def best_pattern(
    lengths: Sequence[int], wanted: NDArray[np.int64], worth: NDArray[np.float64], stock: int
) -> tuple[float, Cuts, float]:
    """The pattern worth most in a stock length: its worth, the pattern, and a bound that no pattern exceeds.

    By a knapsack table over the stock length. Stock of more than `GRID` units is rounded to cells: pieces up for the
    pattern, so that it fits; pieces down for the bound, so that it holds.
    """
    cell = -(-stock // GRID)
    table, chosen, copies = _knapsack([-(-x // cell) for x in lengths], wanted, worth, stock // cell)
    left = len(table) - 1
    found = [0] * len(lengths)
    for row in range(len(copies) - 1, -1, -1):
        i, n, size = copies[row]
        if chosen[row][left]:
            found[i] += n
            left -= size
    value = float(table[-1])
    if cell == 1:
        return value, tuple(found), value
    relaxed, _, _ = _knapsack([x // cell for x in lengths], wanted, worth, -(-stock // cell))
    return value, tuple(found), float(relaxed[-1])


def _knapsack(
    sizes: Sequence[int], wanted: NDArray[np.int64], worth: NDArray[np.float64], room: int
) -> tuple[NDArray[np.float64], list[NDArray[np.bool_]], list[tuple[int, int, int]]]:
    table = np.zeros(room + 1)
    chosen: list[NDArray[np.bool_]] = []
    copies: list[tuple[int, int, int]] = []
    for i, size in enumerate(sizes):
        if worth[i] <= 0.0 or size > room:
            continue
        # bundles of 1, 2, 4, … and a rest stand for every number of pieces
        left = min(int(wanted[i]), room // max(size, 1))
        bundle = 1
        while left > 0:
            n = min(bundle, left)
            left -= n
            bundle *= 2
            width = n * size
            if width > room:
                continue
            better = np.zeros(room + 1, dtype=bool)
            raised = table[: room + 1 - width] + n * worth[i]
            np.greater(raised, table[width:], out=better[width:])
            table[width:] = np.maximum(table[width:], raised)
            chosen.append(better)
            copies.append((i, n, width))
    return table, chosen, copies


def _whole(shop: Shop, shares: NDArray[np.float64], cost: int, until: float) -> Found:
    """The best plan made of the patterns that are known."""
    return Found(_choose(shop, min(0.5 * max(until - monotonic(), 0.0), 5.0)).plan)


def _choose(shop: Shop, within: float) -> Found:
    """The best plan of the known patterns, and what any such plan costs at least where the solver says so."""
    solver = _solver()
    matrix = _matrix(shop)
    costs = np.array([float(shop.kinds[k].cost) for k, _ in shop.patterns])
    rules = [solver.LinearConstraint(matrix, lb=shop.wanted.astype(float))]
    for s in shop.limited:
        row = np.array([[1.0 if k == s else 0.0 for k, _ in shop.patterns]])
        rules.append(solver.LinearConstraint(row, ub=float(shop.kinds[s].count or 0)))
    solved: Any = solver.milp(
        costs / max(costs.max(), 1.0),
        constraints=rules,
        integrality=np.ones(len(costs)),
        bounds=solver.Bounds(0, np.inf),
        options={"time_limit": max(within, 0.05)},
    )
    if solved.x is None:
        return Found(None)
    bound = 0
    if solved.mip_dual_bound is not None and math.isfinite(solved.mip_dual_bound):
        bound = math.ceil(solved.mip_dual_bound * max(costs.max(), 1.0) * (1.0 - 1e-9) - 1e-3)
    plan = [p for p, n in zip(shop.patterns, [round(float(x)) for x in solved.x], strict=True) for _ in range(n)]
    return Found(plan, bound)


def _every(shop: Shop, shares: NDArray[np.float64], cost: int, until: float) -> Found:
    """The best plan over all patterns that hold as much as they can; skipped where there are many."""
    full = Shop(shop.lengths, shop.wanted, shop.kinds)
    for k, kind in enumerate(shop.kinds):
        for cuts in _full_patterns(shop.lengths, shop.wanted.tolist(), kind.size):
            full.add(k, cuts)
            if len(full.patterns) > MOST_PATTERNS or monotonic() > until:
                return Found(None)
    step = math.gcd(*(k.cost for k in shop.kinds if k.count is None))
    found = _choose(full, max(until - monotonic(), 0.0))
    return Found(found.plan, step * -(-found.bound // step))


def _full_patterns(lengths: Sequence[int], wanted: Sequence[int], room: int) -> Iterator[Cuts]:
    """Patterns to which no wanted piece can be added."""
    counts = [0] * len(lengths)

    def put(i: int, left: int) -> Iterator[Cuts]:
        if i == len(lengths):
            if not any(counts[j] < wanted[j] and lengths[j] <= left for j in range(len(lengths))) and any(counts):
                yield tuple(counts)
            return
        for n in range(min(wanted[i], left // lengths[i]), -1, -1):
            counts[i] = n
            yield from put(i + 1, left - n * lengths[i])
        counts[i] = 0

    yield from put(0, room)


def _dive(shop: Shop, shares: NDArray[np.float64], cost: int, until: float) -> Found:
    """Whole parts of the programme's shares are taken, patterns are generated anew for the rest, and so on; where no
    share has a whole part the largest is taken."""
    left = Shop(shop.lengths, shop.wanted.copy(), shop.kinds)
    for k, cuts in shop.patterns:
        left.add(k, cuts)
    plan: list[tuple[int, Cuts]] = []
    used: dict[int, int] = {}
    while left.wanted.any() and monotonic() < until:
        taken = [(p, math.floor(x + 1e-6)) for p, x in zip(left.patterns, shares.tolist(), strict=False)]
        taken = [(p, n) for p, n in taken if n > 0]
        if not taken:
            at = int(np.argmax(shares))
            taken = [(left.patterns[at], 1)]
        for (k, cuts), n in taken:
            for _ in range(n):
                if shop.kinds[k].count is not None and used.get(k, 0) >= (shop.kinds[k].count or 0):
                    break
                part = np.minimum(np.array(cuts), left.wanted)
                if not part.any():
                    break
                left.wanted -= part
                used[k] = used.get(k, 0) + 1
                plan.append((k, cuts))
        if left.wanted.any():
            fitting = [p for p in left.patterns if (np.array(p[1]) <= left.wanted).all()]
            left = Shop(left.lengths, left.wanted, _less(shop.kinds, used))
            for k, cuts in fitting:
                left.add(k, cuts)
            for i in range(len(left.lengths)):
                single = tuple(int(j == i) for j in range(len(left.lengths)))
                longest = max(
                    (k for k, kind in enumerate(left.kinds) if kind.count is None), key=lambda k: left.kinds[k].size
                )
                left.add(longest, single)
            _, shares = _generate(left, 1 << 62, 1, until)
            if not len(shares):
                return Found(None)
    return Found(None if left.wanted.any() else plan)


def _less(kinds: "Sequence[Kind]", used: dict[int, int]) -> "list[Kind]":
    from dataclasses import replace

    return [
        kind if kind.count is None else replace(kind, count=kind.count - used.get(k, 0)) for k, kind in enumerate(kinds)
    ]


def _flow(shop: Shop, shares: NDArray[np.float64], cost: int, until: float) -> Found:
    """Every pattern at once, as a path from 0 to the stock length whose arcs are pieces, longest first (Valério de
    Carvalho 1999). One stock length only; skipped where the graph is large."""
    if len(shop.kinds) != 1:
        return Found(None)
    room, unit = shop.kinds[0].size, shop.kinds[0].cost
    arcs = _arcs(shop.lengths, shop.wanted, room)
    if arcs is None:
        return Found(None)
    from scipy.sparse import coo_array

    solver = _solver()
    nodes = sorted({a for a, _, _ in arcs} | {b for _, b, _ in arcs} | {0, room})
    number = {x: i for i, x in enumerate(nodes)}
    # one variable per arc, one for each step to the next node (nothing cut), and the number of sticks
    steps = [(nodes[i], nodes[i + 1], -1) for i in range(len(nodes) - 1)]
    every = arcs + steps
    z = len(every)
    rows = [number[a] for a, _, _ in every] + [number[b] for _, b, _ in every] + [number[0], number[room]]
    cols = [*range(z), *range(z), z, z]
    data = [-1.0] * z + [1.0] * z + [1.0, -1.0]
    balance = coo_array((data, (rows, cols)), shape=(len(nodes), z + 1))
    of = [(i, j) for j, (_, _, i) in enumerate(every) if i >= 0]
    demand = coo_array(([1.0] * len(of), ([i for i, _ in of], [j for _, j in of])), shape=(len(shop.lengths), z + 1))
    goal = np.zeros(z + 1)
    goal[z] = 1.0
    solved: Any = solver.milp(
        goal,
        constraints=[
            solver.LinearConstraint(balance.tocsr(), 0.0, 0.0),
            solver.LinearConstraint(demand.tocsr(), lb=shop.wanted.astype(float)),
        ],
        integrality=np.ones(z + 1),
        bounds=solver.Bounds(0, np.inf),
        options={"time_limit": max(until - monotonic(), 0.05)},
    )
    bound = 0
    if solved.mip_dual_bound is not None and math.isfinite(solved.mip_dual_bound):
        bound = unit * math.ceil(solved.mip_dual_bound - 1e-6)
    if solved.x is None:
        return Found(None, bound)
    counts = [round(float(x)) for x in solved.x[:z]]
    out: dict[int, list[list[int]]] = {}
    for j, (a, b, i) in enumerate(every):
        if counts[j]:
            out.setdefault(a, []).append([b, i, counts[j]])
    plan: list[tuple[int, Cuts]] = []
    for _ in range(round(solved.x[z])):
        at, cuts = 0, [0] * len(shop.lengths)
        while at != room:
            arc = next(x for x in out[at] if x[2] > 0)
            arc[2] -= 1
            at = arc[0]
            if arc[1] >= 0:
                cuts[arc[1]] += 1
        plan.append((0, tuple(cuts)))
    return Found(plan, bound)


def _arcs(lengths: Sequence[int], wanted: NDArray[np.int64], room: int) -> list[tuple[int, int, int]] | None:
    """Arcs (from, to, which length), or nothing where there would be too many."""
    reached = {0}
    arcs: set[tuple[int, int, int]] = set()
    for i, x in enumerate(lengths):
        # a length follows only longer ones, at most as often as it is wanted
        for a in tuple(reached):
            at = a
            for _ in range(int(wanted[i])):
                if at + x > room:
                    break
                arcs.add((at, at + x, i))
                at += x
                reached.add(at)
            if len(arcs) > MOST_ARCS:
                return None
    return list(arcs)
