"""A run as one line from its start to its end, over all its legs, with distances along it."""

from bisect import bisect_right
from itertools import groupby
from operator import attrgetter

from wetside.basis.record import record
from wetside.basis.si import Degree, Kilogram, Metre
from wetside.frame.mass import item_kg
from wetside.pipework.reading import InLine, Leg, Node, NodeKind, Pipework, Reducer, Straight, Turn
from wetside.pipework.rules import room_m
from wetside.pipework.spec import Tube, Vec
from wetside.pipework.vec import add, angle_between, dot, sub, times

BENT: Degree = 1.0
UPRIGHT = 0.7
"""A tube whose direction rises more than this per length is spaced as a vertical one."""


@record
class Stretch:
    """One straight of the run between two distances along it."""

    leg: int
    piece: int
    from_m: Metre
    to_m: Metre
    a: Vec
    way: Vec
    tube: Tube
    reach: int
    """Straights in one line, with items and tees between them, share a reach."""

    @property
    def vertical(self) -> bool:
        return abs(self.way[2]) > UPRIGHT

    def at(self, along: Metre) -> Vec:
        return add(self.a, times(self.way, along - self.from_m))


_from_m = attrgetter("from_m")


@record
class Mark:
    """Something on the run that a bracket can't sit on."""

    along_m: Metre
    clear_m: Metre
    mass_kg: Kilogram
    name: str


@record
class Track:
    run: str
    stretches: tuple[Stretch, ...]
    marks: tuple[Mark, ...]
    start: Node
    end: Node
    tees: tuple[tuple[str, Metre], ...]
    """The run's own tees by node name, with their distance along it."""

    @property
    def length_m(self) -> Metre:
        return self.stretches[-1].to_m

    def stretch(self, along: Metre) -> Stretch:
        return self.stretches[max(bisect_right(self.stretches, along, key=_from_m) - 1, 0)]

    def at(self, along: Metre) -> Vec:
        return self.stretch(along).at(along)

    def nearest(self, at: Vec) -> tuple[Metre, Metre]:
        """The distance along the run that is nearest to a place, and how far off the place is."""
        found = [_near(s, at) for s in self.stretches]
        return min(found, key=lambda x: x[1])

    def reaches(self) -> tuple[tuple[Stretch, ...], ...]:
        """Stretches gathered by reach, in order."""
        return tuple(tuple(mine) for _, mine in groupby(self.stretches, attrgetter("reach")))


def _near(s: Stretch, at: Vec) -> tuple[Metre, Metre]:
    along = min(max(dot(sub(at, s.a), s.way), 0.0), s.to_m - s.from_m)
    off = sub(at, add(s.a, times(s.way, along)))
    return s.from_m + along, dot(off, off) ** 0.5


def tracks(pipework: Pipework) -> dict[str, Track]:
    """Every run as a track, in the order of the job."""
    by_run: dict[str, list[int]] = {}
    for i, leg in enumerate(pipework.legs):
        by_run.setdefault(leg.run, []).append(i)
    return {run: _track(pipework, run, legs) for run, legs in by_run.items()}


def _track(pipework: Pipework, run: str, legs: list[int]) -> Track:
    nodes = pipework.nodes
    stretches: list[Stretch] = []
    marks: list[Mark] = []
    tees: list[tuple[str, Metre]] = []
    along, reach, way = 0.0, 0, None
    for k, i in enumerate(legs):
        leg = pipework.legs[i]
        _mark_node(marks, nodes[leg.a], leg, along, first=True)
        if k:
            tees.append((nodes[leg.a].name, along))
        for j, p in enumerate(leg.pieces):
            if isinstance(p, Straight):
                length = p.length_m
                here = times(sub(p.b, p.a), 1.0 / length)
                if way is not None and angle_between(way, here) > BENT:
                    reach += 1
                way = here
                stretches.append(
                    Stretch(
                        leg=i, piece=j, from_m=along, to_m=along + length, a=p.a, way=here, tube=p.tube, reach=reach
                    )
                )
                along += length
            else:
                marks.append(_mark(p, along))
    last = pipework.legs[legs[-1]]
    _mark_node(marks, nodes[last.b], last, along, first=False)
    return Track(
        run=run,
        stretches=tuple(stretches),
        marks=tuple(marks),
        start=nodes[pipework.legs[legs[0]].a],
        end=nodes[last.b],
        tees=tuple(tees),
    )


def _mark(p: Turn | Reducer | InLine, along: Metre) -> Mark:
    name = p.item.name if isinstance(p, InLine) else ("elbow" if isinstance(p, Turn) else "reducer")
    mass = item_kg(p.item) if isinstance(p, InLine) else 0.0
    return Mark(along_m=along, clear_m=room_m(p, p.tube), mass_kg=mass, name=name)


def _mark_node(marks: list[Mark], node: Node, leg: Leg, along: Metre, *, first: bool) -> None:
    tube = leg.tubes[0] if first else leg.tubes[-1]
    word = "tee" if node.kind is NodeKind.TEE else node.name
    marks.append(Mark(along_m=along, clear_m=room_m(node, tube), mass_kg=0.0, name=word))
