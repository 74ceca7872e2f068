"""Tees and crosses at the nodes where legs meet."""

from wetside.fabricate.build import Bench, Way, direction, way_out
from wetside.fabricate.compose import compose
from wetside.fabricate.reading import FittingKind
from wetside.fabricate.sizes import ranks, sized_like, takeout
from wetside.fabricate.spec import Take
from wetside.pipework.reading import Leg, Node, Pipework, Straight
from wetside.pipework.vec import dot, times

Ends = dict[tuple[int, int], tuple[int, Way]]
"""(index of leg, 0 for its start or 1 for its end) → end of the tee's body, and how the tube goes in."""


class TeeEnd:
    """A leg's end at a tee."""

    __slots__ = ("away", "comes", "key", "run", "tube")

    def __init__(self, leg: Leg, k: int, first: bool) -> None:
        s = first_straight(leg, first)
        self.run, self.tube, self.comes = leg.run, s.tube, not first
        self.key = (k, 0 if first else 1)
        self.away = direction(s) if first else times(direction(s), -1.0)


def first_straight(leg: Leg, first: bool) -> Straight:
    pieces = leg.pieces if first else reversed(leg.pieces)
    return next(p for p in pieces if isinstance(p, Straight))


def ends_at(pipework: Pipework) -> dict[int, list[TeeEnd]]:
    ends: dict[int, list[TeeEnd]] = {}
    for k, leg in enumerate(pipework.legs):
        for n, first in ((leg.a, True), (leg.b, False)):
            ends.setdefault(n, []).append(TeeEnd(leg, k, first))
    return ends


def lay_tee(bench: Bench, node: Node, ends: list[TeeEnd], name: str) -> tuple[int, Ends]:
    """The tee or cross at a node: its body, and the end that each leg has at it.

    Its run is the two ends in line; of two equally straight pairs, as in a cross, the tee's own run comes first. A run
    that misses a tee still joins it.
    """
    shop = bench.shop
    owner = next(e.run for e in ends if e.comes and any(x.run == e.run and not x.comes for x in ends))
    pairs = [(i, j) for i in range(len(ends)) for j in range(i + 1, len(ends))]
    i, j = min(pairs, key=lambda p: (round(dot(ends[p[0]].away, ends[p[1]].away), 6), ends[p[0]].run != owner))
    through = sorted((ends[i], ends[j]), key=lambda e: (e.run != owner, not e.comes))
    ordered = [*through, *(e for k, e in enumerate(ends) if k not in (i, j))]
    base = max((e.tube for e in through), key=lambda t: t.outside_m)
    series = ranks(shop, base)
    # an end in another material gets an adapter: the tee's own end is what comes nearest to it
    wanted = tuple(
        e.tube.size if e.tube.material is base.material and e.tube.size in series
        else min(series, key=lambda s: abs(series[s] - e.tube.outside_m))
        for e in ordered
    )  # fmt: skip
    if base.size not in series:
        wanted = tuple(e.tube.size for e in ordered)
    made = compose(base.material, wanted, series)
    sockets = [sized_like(shop, base, s) if s in series else e.tube for s, e in zip(made.sizes, ordered, strict=True)]
    body = bench.body(name, node.at)
    kind = FittingKind.CROSS if len(ends) > 3 else FittingKind.TEE
    bench.run = owner
    bench.fitting(kind, made.sizes, node.at, len(ends), base.material, made.sold)
    run = max(sockets[:2], key=lambda t: t.outside_m)
    branch = max(sockets[2:], key=lambda t: t.outside_m)
    found: Ends = {}
    for e, socket in zip(ordered, sockets, strict=True):
        along = e in through
        way = way_out(bench, socket, e.tube, name)
        take = takeout(shop, Take.TEE_RUN if along else Take.TEE_BRANCH, socket, branch if along else run)
        found[e.key] = (bench.end(body, e.away, take.value_m, way, take.source), way)
    return body, found
