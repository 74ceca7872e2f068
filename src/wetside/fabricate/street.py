"""Street elbows: where two fittings stand too close for a piece of tube, one of them goes right into the other."""

from dataclasses import replace

from wetside.basis.si import Metre
from wetside.fabricate.build import Bench, Link, Making, Way
from wetside.fabricate.reading import Body, Cut, End, FittingKind
from wetside.fabricate.spec import JointSystem
from wetside.pipework.reading import Leg
from wetside.pipework.spec import Tube

STREET = (JointSystem.SOLDERED, JointSystem.BRAZED, JointSystem.THREADED)
"""Joint systems in which street elbows are sold."""
SPARE: Metre = 0.0016
"""A street end is so much longer than the cup is deep (ASME B16.22: 1/16 in, from memory), and can be cut to fit."""
TRUE: Metre = 1e-4
"""The pieces meet the drawing this closely."""
_STREET = {FittingKind.ELBOW_90: FittingKind.STREET_90, FittingKind.ELBOW_45: FittingKind.STREET_45}


def street_move_m(body: Body | Making, end: End, other: End, centres: Metre) -> Metre | None:
    """How far two fittings must move apart (negative: together) for a street elbow at `body` to sit right in the other;
    0 where it does as they stand.

    :param end: of `body`, towards the other
    :param centres: distance of their centres as drawn
    :returns: nothing where no street fitting does the same as `body`, or the other's joint is of another kind
    """
    if body.street is None or end.kind is not other.kind or end.insertion_m < 0.0 or other.insertion_m < 0.0:
        return None
    least = body.street + other.takeout_m
    if centres < least - TRUE:
        return least - centres
    return min(least + SPARE + TRUE - centres, 0.0)


def sits_in(bench: Bench, first: tuple[int, int], last: tuple[int, int], centres: Metre) -> int | None:
    """Which of two fittings, 0 or 1, can be a street one that goes into the other as they stand."""
    bodies = [bench.bodies[k] for k, _ in (first, last)]
    ends = [b.ends[e] for b, (_, e) in zip(bodies, (first, last), strict=True)]
    for k in (0, 1):
        if street_move_m(bodies[k], ends[k], ends[1 - k], centres) == 0.0:
            return k
    return None


def make_street(bench: Bench, body: int) -> None:
    """Turn an elbow into the street elbow of its size."""
    made = bench.bodies[body]
    old = bench.fittings[made.fitting]
    kind = _STREET[old.kind]
    bench.fittings[made.fitting] = replace(old, kind=kind, sockets=1)
    for e in made.ends:
        if e.joint:
            bench.rename_joint(e.joint, kind.value)
    for cuts in (bench.cuts, bench.blocked):
        if cuts and cuts[-1].b == body:
            cuts[-1] = replace(cuts[-1], end=cuts[-1].end.replace(made.name, kind.value))
    made.name, made.street = kind.value, None


def renamed(way: Way, of: str) -> Way:
    """The same way into a body that has another name now."""
    links = tuple(Link(x.kind, x.size, of if k == 0 else x.of, x.fitting) for k, x in enumerate(way.links))
    return Way(links, way.added_m, way.insertion_m, way.source)


def seat(
    bench: Bench, leg: Leg, tube: Tube, first: tuple[int, int], last: tuple[int, int], k: int, centres: Metre
) -> None:
    """Write down that a street elbow sits in the other fitting, whose joint is made.

    :param k: which of the two it is
    """
    (mine, end), (other, into) = (first, last) if k == 0 else (last, first)
    there = bench.bodies[other].ends[into]
    made = bench.bodies[mine]
    made.ends[end] = replace(
        made.ends[end],
        takeout_m=centres - there.takeout_m,
        insertion_m=-there.insertion_m,
        joint=there.joint,
    )
    bench.streets.append(
        Cut(
            name="",
            run=leg.run,
            leg=leg.name,
            room=leg.room,
            tube=tube,
            length_m=0.0,
            least_m=0.0,
            a=first[0],
            a_end=first[1],
            b=last[0],
            b_end=last[1],
            start=f"{bench.bodies[first[0]].name} (joint {there.joint})",
            end=f"{bench.bodies[last[0]].name} (joint {there.joint})",
        )
    )
