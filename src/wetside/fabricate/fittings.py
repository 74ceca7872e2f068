"""Sized fittings put on the centre lines, and the joints that they make, in building order."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from wetside.basis.si import Degree
from wetside.fabricate.cuts import SQUARE, STOCK_ANGLE, couplings_needed, cuts, is_bend
from wetside.fabricate.reading import Fabrication, Fitting, FittingKind, Joint, JointKind
from wetside.pipework.reading import InLine, Leg, Node, NodeKind, Piece, Pipework, Reducer, Straight, Turn
from wetside.pipework.spec import ItemKind, Material, Tube, Vec
from wetside.pipework.vec import dot, times

JOINT_KIND: dict[Material, JointKind] = {
    Material.COPPER: JointKind.SOLDER,
    Material.STEEL: JointKind.THREAD,
    Material.PEX: JointKind.PRESS,
    Material.MULTILAYER: JointKind.PRESS,
}
OUTLET = "1/2 in"
"""Thread of a side outlet that takes a drain cock, gauge or vent (typical)."""


def fit(pipework: Pipework) -> Fabrication:
    """Fittings and joints of the whole pipework.

    A port gets a connector (a joint to the tube and a union face to the port); a turn of 90° or 45° a stock elbow and
    any other a bend of the tube itself; a tee takes up the changes of tube that lie at it; an item on a side outlet
    gets a tee and one threaded joint. An item in line has a joint at each end, a union a ground face besides, a
    circulator two. Tube longer than its stock length is coupled. Common practice, no source.
    """
    shop = _Shop()
    ends = _ends_at(pipework)
    made: set[int] = set()
    for leg in pipework.legs:
        _end(shop, pipework, leg, leg.a, first=True)
        _body(shop, pipework, leg)
        _end(shop, pipework, leg, leg.b, first=False)
        for n in (leg.a, leg.b):
            node = pipework.nodes[n]
            if node.kind is NodeKind.TEE and n not in made:
                made.add(n)
                shop.fittings.append(_tee(node, ends[n]))
    return Fabrication(fittings=tuple(shop.fittings), joints=tuple(shop.joints))


@dataclass(slots=True)
class _Shop:
    fittings: list[Fitting] = field(default_factory=list[Fitting])
    joints: list[Joint] = field(default_factory=list[Joint])

    def joint(self, tube: Tube, at: Vec, run: str, of: str, kind: JointKind | None = None, size: str = "") -> None:
        self.joints.append(
            Joint(
                number=len(self.joints) + 1,
                kind=kind or JOINT_KIND[tube.material],
                size=size or tube.size,
                at=at,
                run=run,
                of=of,
            )
        )

    def fitting(self, kind: FittingKind, sizes: Iterable[str], at: Vec, run: str, sockets: int) -> None:
        self.fittings.append(Fitting(kind=kind, sizes=tuple(sizes), at=at, run=run, sockets=sockets))


@dataclass(frozen=True, slots=True)
class _End:
    """A leg's end at a tee."""

    run: str
    tube: Tube
    away: Vec
    """Unit direction away from the tee."""
    comes: bool
    """The leg ends here (else it starts here)."""


def _first_straight(leg: Leg, first: bool) -> Straight:
    pieces = leg.pieces if first else reversed(leg.pieces)
    return next(p for p in pieces if isinstance(p, Straight))


def _away(s: Straight, first: bool) -> Vec:
    a, b = (s.a, s.b) if first else (s.b, s.a)
    return times((b[0] - a[0], b[1] - a[1], b[2] - a[2]), 1.0 / s.length_m)


def _ends_at(pipework: Pipework) -> dict[int, list[_End]]:
    ends: dict[int, list[_End]] = {}
    for leg in pipework.legs:
        for n, first in ((leg.a, True), (leg.b, False)):
            s = _first_straight(leg, first)
            ends.setdefault(n, []).append(_End(leg.run, s.tube, _away(s, first), comes=not first))
    return ends


def _tee(node: Node, ends: list[_End]) -> Fitting:
    """The tee or cross at a node; sizes run in, run out, branches: the two ends in line are its run.

    Its sockets are the tubes that meet; a run that misses a tee still joins it.
    """
    # the tee's own run is the one that comes and goes on
    owner = next(e.run for e in ends if e.comes and any(x.run == e.run and not x.comes for x in ends))
    pairs = [(i, j) for i in range(len(ends)) for j in range(i + 1, len(ends))]
    # of two equally straight pairs, as in a cross, the tee's own run comes first
    i, j = min(pairs, key=lambda p: (round(dot(ends[p[0]].away, ends[p[1]].away), 6), ends[p[0]].run != owner))
    through = sorted((ends[i], ends[j]), key=lambda e: (e.run != owner, not e.comes))
    branches = [e for k, e in enumerate(ends) if k not in (i, j)]
    return Fitting(
        kind=FittingKind.CROSS if len(ends) > 3 else FittingKind.TEE,
        sizes=tuple(e.tube.size for e in (*through, *branches)),
        at=node.at,
        run=owner,
        sockets=len(ends),
    )


def _end(shop: _Shop, pipework: Pipework, leg: Leg, n: int, first: bool) -> None:
    """The joints of a leg's end, outermost first at its start and last at its end."""
    node = pipework.nodes[n]
    tube = _first_straight(leg, first).tube
    match node.kind:
        case NodeKind.TEE:
            shop.joint(tube, node.at, leg.run, f"tee {node.name}")
        case NodeKind.CAP:
            shop.fitting(FittingKind.CAP, (tube.size,), node.at, leg.run, 1)
            shop.joint(tube, node.at, leg.run, "cap")
        case NodeKind.PORT:
            if not first:
                shop.joint(tube, node.at, leg.run, f"connector at {node.name}")
            shop.fitting(FittingKind.CONNECTOR, (tube.size,), node.at, leg.run, 1)
            shop.joint(tube, node.at, leg.run, node.name, JointKind.UNION)
            if first:
                shop.joint(tube, node.at, leg.run, f"connector at {node.name}")


def _body(shop: _Shop, pipework: Pipework, leg: Leg) -> None:
    pieces = list(leg.pieces)
    # changes of tube right at a tee are the tee's own
    if pipework.nodes[leg.a].kind is NodeKind.TEE:
        while isinstance(pieces[0], Reducer):
            del pieces[0]
    if pipework.nodes[leg.b].kind is NodeKind.TEE:
        while isinstance(pieces[-1], Reducer):
            del pieces[-1]
    coupled = {id(c.straights[0]): c for c in cuts(leg)}
    for p in pieces:
        if isinstance(p, Straight):
            if (c := coupled.get(id(p))) is not None:
                for k in range(couplings_needed(c.length_m, c.tube.stock_m)):
                    at = c.along((k + 1) * c.tube.stock_m)
                    _fitting_in_line(shop, FittingKind.COUPLING, c.tube, c.tube, at, leg.run)
        else:
            _piece(shop, p, leg.run)


def _piece(shop: _Shop, p: Piece, run: str) -> None:
    match p:
        case Turn():
            if is_bend(p):
                shop.fitting(FittingKind.BEND, (p.tube.size,), p.at, run, 0)
            else:
                _fitting_in_line(shop, elbow_kind(p.angle_deg), p.tube, p.tube, p.at, run)
        case Reducer():
            kind = FittingKind.COUPLING if p.tube.size == p.to.size else FittingKind.REDUCER
            _fitting_in_line(shop, kind, p.tube, p.to, p.at, run)
        case InLine():
            _item(shop, p, run)
        case Straight():
            pass


def elbow_kind(angle_deg: Degree) -> FittingKind:
    """The stock elbow nearest to a turn of about 90° or 45°."""
    return FittingKind.ELBOW_90 if abs(angle_deg - SQUARE) <= STOCK_ANGLE else FittingKind.ELBOW_45


def _fitting_in_line(shop: _Shop, kind: FittingKind, before: Tube, after: Tube, at: Vec, run: str) -> None:
    sizes = (before.size,) if before.size == after.size else (before.size, after.size)
    shop.fitting(kind, sizes, at, run, 2)
    shop.joint(before, at, run, kind.value)
    shop.joint(after, at, run, kind.value)


def _item(shop: _Shop, p: InLine, run: str) -> None:
    name = p.item.name
    if p.item.on_branch:
        shop.fitting(FittingKind.TEE, (p.tube.size, p.tube.size, OUTLET), p.at, run, 2)
        shop.joint(p.tube, p.at, run, f"tee for {name}")
        shop.joint(p.tube, p.at, run, name, JointKind.THREAD, OUTLET)
        shop.joint(p.tube, p.at, run, f"tee for {name}")
        return
    faces = {ItemKind.UNION: 1, ItemKind.CIRCULATOR: 2}.get(p.item.kind, 0)
    shop.joint(p.tube, p.at, run, name)
    for _ in range(faces):
        shop.joint(p.tube, p.at, run, name, JointKind.UNION)
    shop.joint(p.tube, p.at, run, name)
