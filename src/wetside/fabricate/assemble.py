"""The cut pieces and fittings put together in space, from the cut list alone, to see whether they meet the ports."""

import math
from collections.abc import Sequence

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.fabricate.cuts import bend_gain_m
from wetside.fabricate.reading import Body, Cut, Fabrication
from wetside.pipework.spec import Vec
from wetside.pipework.vec import add, times


@record
class Placed:
    """A body where the assembled pieces put it."""

    body: int
    at: Vec
    off_m: Metre
    """From where it is drawn."""


def assemble(fabrication: Fabrication) -> tuple[Placed, ...]:
    """Place every body that hangs on a port, piece after piece, each end of tube as deep as its take-out says.

    Only the first body of each assembly is taken from the drawing; all others follow from the lengths of the cuts, the
    take-outs, and the ways in which the fittings are turned. A second port of the assembly is then a check.
    """
    bodies, at = fabrication.bodies, dict[int, Vec]()
    leads: dict[int, list[tuple[Cut, bool]]] = {}
    for cut in (*fabrication.cuts, *fabrication.streets):
        leads.setdefault(cut.a, []).append((cut, True))
        leads.setdefault(cut.b, []).append((cut, False))
    for start in (*(k for k, b in enumerate(bodies) if b.port), *range(len(bodies))):
        if start in at:
            continue
        at[start] = bodies[start].at
        todo = [start]
        while todo:
            here = todo.pop()
            for cut, forward in leads.get(here, ()):
                there = cut.b if forward else cut.a
                if there not in at:
                    step = reach(bodies, cut)
                    at[there] = add(at[here], step if forward else times(step, -1.0))
                    todo.append(there)
    return tuple(Placed(body=k, at=at[k], off_m=math.dist(at[k], bodies[k].at)) for k in range(len(bodies)))


def reach(bodies: Sequence[Body], cut: Cut) -> Vec:
    """From the centre of a cut's first body to that of its second."""
    start, end = bodies[cut.a].ends[cut.a_end], bodies[cut.b].ends[cut.b_end]
    step = times(start.away, start.takeout_m)
    heading = start.away
    straight = cut.length_m + sum(bend_gain_m(b.angle_deg, b.radius_m) for b in cut.bends)
    for bend in cut.bends:
        step = add(step, times(heading, bend.from_last_m))
        straight -= bend.from_last_m
        heading = bend.out_of
    step = add(step, times(heading, straight))
    # the last fitting is turned to take the tube
    return add(step, times(end.away, -end.takeout_m))


def farthest(fabrication: Fabrication) -> Metre:
    """The largest distance between a body as assembled and as drawn, over bodies that cuts reach."""
    return max((p.off_m for p in assemble(fabrication)), default=0.0)
