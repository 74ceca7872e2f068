"""The pieces of tube that are cut: from body to body, with bends inside them, coupled where longer than the stock."""

import math
from collections.abc import Callable, Iterator, Sequence

from wetside.basis.record import record
from wetside.basis.si import Degree, Metre
from wetside.fabricate.build import Bench, Link, Way, direction
from wetside.fabricate.reading import Bend, Cut, FittingKind
from wetside.fabricate.sizes import insertion, joint_gap_m, takeout
from wetside.fabricate.spec import Take
from wetside.pipework.reading import Leg, Straight, Turn
from wetside.pipework.spec import Tube, Vec
from wetside.pipework.vec import add, angle_between, times

SQUARE, HALF = 90.0, 45.0
STOCK_ANGLE = 0.5
"""Degrees by which a turn may differ from 90° or 45° and still be made with a stock elbow."""
BEND_RADIUS = 4.0
"""Radius of a bend in outside diameters of the tube (typical of a bender)."""
REST: Metre = 0.1
"""A coupled run does not end in a piece shorter than this."""


def is_bend(turn: Turn) -> bool:
    """No stock elbow makes this angle, so the tube is bent."""
    return abs(turn.angle_deg - SQUARE) > STOCK_ANGLE and abs(turn.angle_deg - HALF) > STOCK_ANGLE


def bend_gain_m(angle_deg: Degree, radius: Metre) -> Metre:
    """By how much a bend is shorter than the straights that meet at its corner: ``2 R tan(a/2) - R a``."""
    angle = math.radians(angle_deg)
    return 2.0 * radius * math.tan(angle / 2.0) - radius * angle


def bend_shortage_m(bends: Sequence[Bend], straight: Metre, first: Metre, last: Metre) -> Metre:
    """By how much the tightest straight beside a bend is too short: it holds the bends' own ends, ``R tan(a/2)`` from
    each corner, and what goes into a fitting. Not positive where there is room.

    :param straight: length of the piece along the straights, corner to corner
    """
    ends = [b.radius_m * math.tan(math.radians(b.angle_deg) / 2.0) for b in bends]
    sides = [b.from_last_m for b in bends] + [straight - sum(b.from_last_m for b in bends)]
    needed = [a + b for a, b in zip([first, *ends], [*ends, last], strict=True)]
    return max(n - s for n, s in zip(needed, sides, strict=True))


@record(kw_only=False)
class Stretch:
    """What lies between two bodies of a leg."""

    leg: Leg
    straights: tuple[Straight, ...]
    """None where the bodies stand in one place; more than one where the tube is bent."""
    tube: Tube
    at: Vec

    @property
    def length_m(self) -> Metre:
        return sum(s.length_m for s in self.straights)

    def along(self, distance: Metre) -> tuple[Vec, Vec]:
        """The place at a distance from the stretch's start, and the way that it goes there."""
        for s in self.straights:
            if distance <= s.length_m:
                return add(s.a, times(direction(s), distance)), direction(s)
            distance -= s.length_m
        return self.straights[-1].b, direction(self.straights[-1])

    def bends(self, start: Metre, end: Metre) -> Iterator[Bend]:
        """The bends between two distances along the straights."""
        corner, last = 0.0, start
        for one, two in zip(self.straights, self.straights[1:], strict=False):
            corner += one.length_m
            if start < corner < end:
                turned = angle_between(direction(one), direction(two))
                yield Bend(
                    from_last_m=corner - last,
                    angle_deg=turned,
                    radius_m=BEND_RADIUS * self.tube.outside_m,
                    out_of=direction(two),
                )
                last = corner


def cut_between(
    bench: Bench, stretch: Stretch, first: tuple[int, int], last: tuple[int, int], arrive: Callable[[], None]
) -> None:
    """Cut the tube from one body's end to another's, with couplings where it is longer than its stock.

    The joints of the first body are made; `arrive` makes those of the second when the tube has come to it.
    """
    tube = stretch.tube
    start = bench.bodies[first[0]].ends[first[1]].takeout_m
    stop = stretch.length_m - bench.bodies[last[0]].ends[last[1]].takeout_m
    stock = dict(bench.shop.stock_m).get(tube.name, tube.stock_m)
    half = takeout(bench.shop, Take.COUPLING, tube).value_m
    for at in couplings(start, stop, stock, half, REST, list(stretch.bends(start, stop))):
        place, heading = stretch.along(at)
        depth = insertion(bench.shop, tube)
        way = Way((Link(bench.kind(tube), tube.size, FittingKind.COUPLING.value),), 0.0, depth.value_m, depth.source)
        body = bench.body(FittingKind.COUPLING.value, place)
        bench.fitting(FittingKind.COUPLING, (tube.size,), place, 2, tube.material)
        ends = [bench.end(body, d, half, way, "typical") for d in (times(heading, -1.0), heading)]
        bench.join(body, ends[0], way, False)
        _cut(bench, stretch, first, (body, ends[0]), start, at - half)
        bench.join(body, ends[1], way, True)
        first, start = (body, ends[1]), at + half
    arrive()
    _cut(bench, stretch, first, last, start, stop)


def couplings(start: Metre, stop: Metre, stock: Metre, half: Metre, rest: Metre, bends: list[Bend]) -> Iterator[Metre]:
    """Where couplings sit in a stretch of tube from `start` to `stop`: whole sticks first, and the last piece no
    shorter than `rest`.

    :param half: half of what a coupling leaves between the tubes
    """
    gains: list[tuple[Metre, Metre]] = []
    corner = start
    for b in bends:
        corner += b.from_last_m
        gains.append((corner, bend_gain_m(b.angle_deg, b.radius_m)))

    def length(a: Metre, b: Metre) -> Metre:
        return b - a - sum(g for c, g in gains if a < c < b)

    while length(start, stop) > stock + 1e-9:
        end = start + stock
        # a bend inside the piece lets it reach further
        for _ in gains:
            end = start + stock + sum(g for c, g in gains if start < c < end)
        left = stop - (end + 2.0 * half)
        if left < rest:
            end -= rest - left
        yield end + half
        start = end + 2.0 * half


def _cut(
    bench: Bench, stretch: Stretch, first: tuple[int, int], last: tuple[int, int], start: Metre, stop: Metre
) -> None:
    tube, leg = stretch.tube, stretch.leg
    bends = tuple(stretch.bends(start, stop))
    length = stop - start - sum(bend_gain_m(b.angle_deg, b.radius_m) for b in bends)
    a, b = (bench.bodies[x].ends[e] for x, e in (first, last))
    real = length > 1e-9
    cut = Cut(
        name=f"C{len(bench.cuts) + 1}"
        if real
        else f"between {bench.bodies[first[0]].name} and {bench.bodies[last[0]].name}",
        run=leg.run,
        leg=leg.name,
        room=leg.room,
        tube=tube,
        length_m=length,
        least_m=max(
            a.insertion_m + b.insertion_m + joint_gap_m(bench.shop, bench.shop.system(tube.material)),
            length + bend_shortage_m(bends, stop - start, a.insertion_m, b.insertion_m) if bends else 0.0,
        ),
        a=first[0],
        a_end=first[1],
        b=last[0],
        b_end=last[1],
        start=f"{bench.bodies[first[0]].name} (joint {a.joint})",
        end=f"{bench.bodies[last[0]].name} (joint {b.joint})",
        bends=bends,
    )
    (bench.cuts if real else bench.blocked).append(cut)
    if real:
        bench.name_cut(cut.name, a.joint, b.joint)
