"""Real fittings put on the centre lines, the joints that they make in building order, and the cuts between them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

from wetside.basis.si import Degree, Metre
from wetside.fabricate.build import (
    Bench,
    Link,
    Station,
    Way,
    adapter_gap_m,
    adapter_kind,
    direction,
    item_length_m,
    way_out,
)
from wetside.fabricate.cuts import SQUARE, STOCK_ANGLE, Stretch, cut_between, is_bend
from wetside.fabricate.reading import Fabrication, FittingKind, JointKind
from wetside.fabricate.sizes import insertion, joint_gap_m, reducers, sold_reducers, takeout
from wetside.fabricate.spec import JointSystem, Shop, Take
from wetside.fabricate.street import STREET, make_street, renamed, seat, sits_in
from wetside.fabricate.tees import Ends, ends_at, first_straight, lay_tee
from wetside.pipework.reading import InLine, Node, NodeKind, Pipework, Reducer, Straight, Turn
from wetside.pipework.spec import Item, ItemKind, Material, Tube, Vec
from wetside.pipework.vec import times

OUTLET = "1/2 in"
"""Thread of a side outlet that takes a drain cock, gauge or vent (typical)."""
_OUTLET_M: Metre = 0.0213
"""Outside diameter of that thread."""


def fit(
    pipework: Pipework,
    shop: Shop | None = None,
    valves: Mapping[str, Item] | None = None,
    three_ways: Mapping[str, str] | None = None,
) -> Fabrication:
    """Fittings, joints and cuts of the whole pipework.

    A port gets a connector (a joint to the tube and a union face to the port), or the valve that stands there, whose
    tube joint is a compression one on copper; either is angled where the run turns at the port. A turn of 90° or 45° is
    a stock elbow, any other a bend of the tube itself. A tee takes up the changes of tube that lie at it; where no such
    tee is sold, it is a sold one with bushings. A change of tube right at an elbow or item is a bushing in it. An item
    on a side outlet gets a tee and one threaded joint; an item in line has a joint at each end, a union a ground face
    besides, a circulator two. Copper meets steel in a dielectric union. Tube longer than its stock is coupled. Where
    two fittings stand so close that a street elbow fits into the other and tube does not, it is one. Runs are built in
    the order of the job, those that start at a tee after the run that leaves it. Common practice, no source.

    :param valves: port → the item that stands between it and the tube
    :param three_ways: tee → the three-way valve that stands in its place; it is taken to be as large as a tee
    """
    bench = Bench(shop or Shop())
    instead = three_ways or {}
    legs = _order(pipework)
    ends = ends_at(pipework)
    tees: dict[int, tuple[int, Ends]] = {}
    for k in legs:
        leg = pipework.legs[k]
        bench.run, bench.room = leg.run, leg.room
        for n in (leg.a, leg.b):
            if pipework.nodes[n].kind is NodeKind.TEE and n not in tees:
                node = pipework.nodes[n]
                tees[n] = lay_tee(bench, node, ends[n], instead.get(node.name, f"tee {node.name}"))
        _Walk(bench, pipework, k, tees, valves or {}).build()
    return bench.done()


def _order(pipework: Pipework) -> list[int]:
    """Legs in building order: by run as the job has them, but after the run that a run's start tee belongs to."""
    by_run: dict[str, list[int]] = {}
    for k, leg in enumerate(pipework.legs):
        by_run.setdefault(leg.run, []).append(k)
    waiting = dict(by_run)
    order: list[int] = []
    while waiting:
        for run, legs in waiting.items():
            start = pipework.nodes[pipework.legs[legs[0]].a]
            owner = start.name.rpartition(".")[0] if start.kind is NodeKind.TEE else ""
            if owner == run or owner not in waiting:
                break
        else:
            run, legs = next(iter(waiting.items()))
        order += legs
        del waiting[run]
    return order


class _Walk:
    """One leg built from its start to its end."""

    def __init__(
        self,
        bench: Bench,
        pipework: Pipework,
        k: int,
        tees: dict[int, tuple[int, Ends]],
        valves: Mapping[str, Item],
    ) -> None:
        self.bench, self.leg, self.k = bench, pipework.legs[k], k
        bench.run, bench.room = self.leg.run, self.leg.room
        self.a, self.b = pipework.nodes[self.leg.a], pipework.nodes[self.leg.b]
        self.tees, self.valves = tees, valves
        self.before: tuple[int, int] | None = None
        self.stretch: list[Straight] = []

    def build(self) -> None:
        pieces = list(self.leg.pieces)
        # changes of tube right at a tee are the tee's own
        if self.a.kind is NodeKind.TEE:
            while isinstance(pieces[0], Reducer):
                del pieces[0]
        if self.b.kind is NodeKind.TEE:
            while isinstance(pieces[-1], Reducer):
                del pieces[-1]
        at_start, at_end = pieces[0], pieces[-1]
        first = at_start if isinstance(at_start, Turn) and self.a.kind is NodeKind.PORT else None
        last = at_end if isinstance(at_end, Turn) and self.b.kind is NodeKind.PORT else None
        pieces = pieces[first is not None : len(pieces) - (last is not None)]
        self._node(self.a, True, first)
        i = 0
        while i < len(pieces):
            p, after = pieces[i], pieces[i + 1] if i + 1 < len(pieces) else None
            i += 1
            if isinstance(p, Straight):
                self.stretch.append(p)
                continue
            into = out = p.tube
            if isinstance(p, Reducer) and isinstance(after, Turn | InLine) and self._takes(after, p.tube, p.to):
                p, into, out = after, p.tube, p.to
                i += 1
            elif isinstance(p, Turn | InLine) and isinstance(after, Reducer) and self._takes(p, after.tube, after.to):
                out = after.to
                i += 1
            self._piece(p, into, out)
        self._node(self.b, False, last)

    def _takes(self, p: Turn | InLine, a: Tube, b: Tube) -> bool:
        """Whether a change of tube can be a bushing in this elbow or item."""
        if a.material is not b.material or (isinstance(p, Turn) and is_bend(p)):
            return False
        big, small = (a, b) if a.outside_m >= b.outside_m else (b, a)
        if isinstance(p, InLine) and (p.item.on_branch or p.tube.size != big.size):
            return False
        return bool(reducers(a.material, big.size, small.size))

    def _station(self, s: Station, into: Way | None, out: Way | None, between: Sequence[Link] = ()) -> None:
        """Cut the tube up to a station, then make its joints."""
        bench = self.bench
        if into is not None:
            first = self.before
            assert first is not None
            tube = self._tube(into, s)
            street = self._street(first, s, tube)
            if street is None:
                stretch = Stretch(self.leg, tuple(self.stretch), tube, bench.bodies[s.body].at)
                cut_between(bench, stretch, first, (s.body, s.into), lambda: bench.join(s.body, s.into, into, False))
            elif street == 0:
                make_street(bench, first[0])
                bench.unmake_last()
                bench.join(s.body, s.into, into, False)
            else:
                make_street(bench, s.body)
                out = out and renamed(out, bench.bodies[s.body].name)
            if street is not None:
                seat(bench, self.leg, tube, first, (s.body, s.into), street, self.stretch[0].length_m)
        for link in between:
            bench.joint(link.kind, link.size, bench.bodies[s.body].at, link.of)
        if out is not None:
            bench.join(s.body, s.out, out, True)
        self.before = (s.body, s.out)
        self.stretch = []

    def _street(self, first: tuple[int, int], s: Station, tube: Tube) -> int | None:
        """Which of the two fittings goes into the other, where there is no room for tube between them."""
        if len(self.stretch) != 1:
            return None
        bench, centres = self.bench, self.stretch[0].length_m
        a, b = bench.bodies[first[0]].ends[first[1]], bench.bodies[s.body].ends[s.into]
        gap = joint_gap_m(bench.shop, bench.shop.system(tube.material))
        if centres - a.takeout_m - b.takeout_m >= a.insertion_m + b.insertion_m + gap:
            return None
        return sits_in(bench, first, (s.body, s.into), centres)

    def _tube(self, into: Way, s: Station) -> Tube:
        if self.stretch:
            return self.stretch[0].tube
        sizes = (into.links[-1].size,)
        return next((t for t in self.leg.tubes if t.size in sizes), self.leg.tubes[0])

    def _node(self, node: Node, first: bool, turn: Turn | None) -> None:
        bench, shop = self.bench, self.bench.shop
        straight = first_straight(self.leg, first)
        tube, at = straight.tube, straight.a if first else straight.b
        away = direction(straight) if first else times(direction(straight), -1.0)
        if node.kind is NodeKind.TEE:
            body, ends = self.tees[self.leg.a if first else self.leg.b]
            end, way = ends[self.k, 0 if first else 1]
            self._place(body, end, way, first)
            return
        if node.kind is NodeKind.CAP:
            way = Way((Link(bench.kind(tube), tube.size, "cap"),), 0.0, *_pair(shop, tube))
            body = bench.body("cap", at)
            bench.fitting(FittingKind.CAP, (tube.size,), at, 1, tube.material)
            self._place(body, bench.end(body, away, 0.0, way, way.source), way, first)
            return
        valve = self.valves.get(node.name)
        if valve is not None:
            of, kind = f"{valve.name} at {node.name}", bench.kind(tube)
            inner = shop
            if tube.material is Material.COPPER:
                kind, inner = JointKind.COMPRESSION, _compressed(shop)
            way = Way((Link(kind, tube.size, of),), 0.0, *_pair(inner, tube))
            # an angle valve: the port is the valve's centre, and the tube goes in by its insertion
            length = item_length_m(valve)
            reach = max(length / 2.0 - way.insertion_m, length / 4.0) if turn else length
            source = "typical"
        else:
            angled = turn is not None
            of = f"{'angle ' if angled else ''}connector at {node.name}"
            way = Way((Link(bench.kind(tube), tube.size, of),), 0.0, *_pair(shop, tube))
            take = takeout(shop, Take.ELBOW_90 if angled else Take.CONNECTOR, tube)
            reach, source = take.value_m, take.source
            kind = FittingKind.ANGLE_CONNECTOR if angled else FittingKind.CONNECTOR
            bench.fitting(kind, (tube.size,), at, 1, tube.material)
        body = bench.body(of, node.at if first else at, port=node.name)
        end = bench.end(body, away, reach, way, source)
        face = Link(JointKind.UNION, tube.size, node.name)
        if first:
            self._station(Station(body, -1, end), None, way, (face,))
        else:
            self._station(Station(body, end, -1), way, None)
            bench.joint(face.kind, face.size, at, face.of)

    def _place(self, body: int, end: int, way: Way, first: bool) -> None:
        if first:
            self._station(Station(body, -1, end), None, way)
        else:
            self._station(Station(body, end, -1), way, None)

    def _piece(self, p: Turn | Reducer | InLine, into: Tube, out: Tube) -> None:
        match p:
            case Turn() if is_bend(p):
                self.bench.fitting(FittingKind.BEND, (p.tube.size,), p.at, 0, p.tube.material)
            case Turn():
                self._elbow(p, into, out)
            case Reducer():
                self._reducer(p)
            case InLine():
                self._item(p, into, out)

    def _ends(
        self, body: int, name: str, base: Tube, into: Tube, out: Tube, at: tuple[Vec, Vec], take: Metre, source: str,
        between: Sequence[Link] = (),
    ) -> None:  # fmt: skip
        bench = self.bench
        ways = way_out(bench, base, into, name), way_out(bench, base, out, name)
        ends = [bench.end(body, d, take, w, source) for d, w in zip(at, ways, strict=True)]
        self._station(Station(body, *ends), *ways, between)

    def _elbow(self, p: Turn, into: Tube, out: Tube) -> None:
        bench = self.bench
        base = max(into, out, key=lambda t: t.outside_m)
        kind = elbow_kind(p.angle_deg)
        take = takeout(bench.shop, Take.ELBOW_90 if kind is FittingKind.ELBOW_90 else Take.ELBOW_45, base)
        street = None
        if bench.shop.system(base.material) in STREET and into.size == out.size:
            street = take.value_m + insertion(bench.shop, base).value_m
        body = bench.body(kind.value, p.at, street=street)
        bench.fitting(kind, (base.size,), p.at, 2, base.material)
        bench.bodies[body].fitting = len(bench.fittings) - 1
        self._ends(body, kind.value, base, into, out, (times(p.into, -1.0), p.out_of), take.value_m, take.source)

    def _reducer(self, p: Reducer) -> None:
        bench, shop = self.bench, self.bench.shop
        a, b = p.tube, p.to
        links: list[Link] = []
        if a.material is not b.material:
            kind, gap, source = adapter_kind(a, b), adapter_gap_m(shop, a, b), "typical"
            if kind is FittingKind.DIELECTRIC:
                links.append(Link(JointKind.UNION, a.size, kind.value))
        elif a.size == b.size:
            take = takeout(shop, Take.COUPLING, a)
            kind, gap, source = FittingKind.COUPLING, 2.0 * take.value_m, take.source
        else:
            big, small = (a, b) if a.outside_m >= b.outside_m else (b, a)
            chain = reducers(a.material, big.size, small.size)
            kind, source = FittingKind.REDUCER, "typical"
            if chain is None:
                kind, gap = FittingKind.ADAPTER, adapter_gap_m(shop, a, b)
            elif len(chain) == 1:
                gap = sold_reducers(a.material)[chain[0]]
            else:
                self._chained(p, big)
                return
        sizes = (a.size,) if a.size == b.size else (a.size, b.size)
        body = bench.body(kind.value, p.at)
        bench.fitting(kind, sizes, p.at, 2, a.material)
        self._two(body, kind.value, p, gap / 2.0, source, links)

    def _chained(self, p: Reducer, big: Tube) -> None:
        """A coupling of the larger size with bushings in its further end."""
        bench = self.bench
        take = takeout(bench.shop, Take.COUPLING, big)
        body = bench.body(FittingKind.COUPLING.value, p.at)
        bench.fitting(FittingKind.COUPLING, (big.size,), p.at, 2, big.material)
        heading = self._heading()
        self._ends(
            body,
            FittingKind.COUPLING.value,
            big,
            p.tube,
            p.to,
            (times(heading, -1.0), heading),
            take.value_m,
            "typical",
        )

    def _two(self, body: int, name: str, p: Reducer, half: Metre, source: str, links: Sequence[Link]) -> None:
        bench, heading = self.bench, self._heading()
        ways = [Way((Link(bench.kind(t), t.size, name),), 0.0, *_pair(bench.shop, t)) for t in (p.tube, p.to)]
        ends = [bench.end(body, d, half, w, source) for d, w in zip((times(heading, -1.0), heading), ways, strict=True)]
        self._station(Station(body, *ends), ways[0], ways[1], links)

    def _heading(self) -> Vec:
        """The way that the leg goes where it has come to."""
        if self.stretch:
            return direction(self.stretch[-1])
        assert self.before is not None
        return self.bench.bodies[self.before[0]].ends[self.before[1]].away

    def _item(self, p: InLine, into: Tube, out: Tube) -> None:
        bench, shop, name = self.bench, self.bench.shop, p.item.name
        way_in, way_on = times(p.direction, -1.0), p.direction
        if p.item.on_branch:
            body = bench.body(f"tee for {name}", p.at)
            bench.fitting(FittingKind.TEE, (p.tube.size, p.tube.size, OUTLET), p.at, 2, p.tube.material)
            outlet = replace(p.tube, outside_m=min(_OUTLET_M, p.tube.outside_m))
            take = takeout(shop, Take.TEE_RUN, p.tube, outlet)
            thread = (Link(JointKind.THREAD, OUTLET, name),)
            self._ends(body, f"tee for {name}", p.tube, into, out, (way_in, way_on), take.value_m, take.source, thread)
            return
        faces = {ItemKind.UNION: 1, ItemKind.CIRCULATOR: 2}.get(p.item.kind, 0)
        body = bench.body(name, p.at)
        links = [Link(JointKind.UNION, p.tube.size, name)] * faces
        source = "typical" if p.item.length_m <= 0.0 or p.item.name == p.item.kind.value else "own"
        self._ends(body, name, p.tube, into, out, (way_in, way_on), item_length_m(p.item) / 2.0, source, links)


@cache
def _compressed(shop: Shop) -> Shop:
    """The same shop where copper goes into a valve."""
    return replace(shop, systems=((Material.COPPER, JointSystem.COMPRESSION),))


def _pair(shop: Shop, tube: Tube) -> tuple[Metre, str]:
    depth = insertion(shop, tube)
    return depth.value_m, depth.source


def elbow_kind(angle_deg: Degree) -> FittingKind:
    """The stock elbow nearest to a turn of about 90° or 45°."""
    return FittingKind.ELBOW_90 if abs(angle_deg - SQUARE) <= STOCK_ANGLE else FittingKind.ELBOW_45
