"""The pipework as a frame: beams between nodes, masses, supports, and the ports that hold it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import pairwise

import numpy as np

from wetside.basis.quantity import G
from wetside.basis.record import record
from wetside.basis.si import Kilogram, Metre, Newton
from wetside.basis.tables import load, number
from wetside.frame.beam import Beams, Floats, tube_area_m2, tube_inertia_m4
from wetside.frame.mass import fitting_kg, item_kg, strength, tube_kg_m
from wetside.frame.place import Placed
from wetside.frame.solve import Frame
from wetside.frame.spec import SupportKind
from wetside.frame.track import Track
from wetside.pipework.reading import InLine, Leg, Node, NodeKind, Pipework, Straight, Turn
from wetside.pipework.spec import Item, Tube, Vec
from wetside.pipework.vec import unit

CARRIED = ("relief",)
"""Equipment that hangs on its tube; everything else with a port is taken to be fixed to the house."""
RELIEF_KG: Kilogram = 0.3
GRIP: Metre = 0.05
"""An anchor holds the tube over this length, which gives it its stiffness against turning."""


@record(kw_only=False)
class Bears:
    bears_n: Newton
    stiffness_n_m: float


@cache
def bears(kind: SupportKind) -> Bears:
    """What a support of a kind bears and how much it gives (table `support_kinds`, typical)."""
    row = load("support_kinds").by("kind")[kind.value]
    return Bears(number(row, "bears"), number(row, "stiffness"))


@record
class Extra:
    """A node wanted on a run beside those that it has."""

    run: str
    along_m: Metre
    mass_kg: Kilogram = 0.0


@dataclass(slots=True)
class Model:
    """A frame with the way back to the runs."""

    bare: Frame
    """Held at its ports alone."""
    beam_run: list[str]
    beam_leg: list[int]
    beam_tube: list[Tube]
    support_node: list[int]
    """Node of each support, in the order given."""
    extra_node: list[int]
    node_of: list[int]
    """Frame node of each node of the pipework."""


@dataclass(slots=True)
class _Build:
    at: list[Vec] = field(default_factory=list[Vec])
    mass: list[Kilogram] = field(default_factory=list[Kilogram])
    ends: list[tuple[int, int]] = field(default_factory=list[tuple[int, int]])
    leg: list[int] = field(default_factory=list[int])
    tube: list[Tube] = field(default_factory=list[Tube])

    def node(self, at: Vec) -> int:
        self.at.append(at)
        self.mass.append(0.0)
        return len(self.at) - 1


def model(
    pipework: Pipework,
    on: Mapping[str, Track],
    supports: Iterable[Placed],
    extras: Iterable[Extra],
    *,
    rise_k: Mapping[str, float],
    end_items: Mapping[str, Item],
) -> Model:
    """The frame of the whole pipework, with nodes where its supports go.

    :param rise_k: by leg, how much warmer than when it was put together
    :param end_items: valve at a port, by the port's name; its mass sits on the tube beside the port
    """
    supports, extras = tuple(supports), (*extras, *_end_extras(on, end_items))
    wanted: dict[int, list[tuple[int, Metre, int, bool]]] = {}
    for k, (run, along, is_support) in enumerate(
        [(s.run, s.along_m, True) for s in supports] + [(e.run, e.along_m, False) for e in extras]
    ):
        s = on[run].stretch(along)
        inside = min(max(along - s.from_m, 0.0), s.to_m - s.from_m)
        wanted.setdefault(s.leg, []).append((s.piece, inside, k, is_support))
    b = _Build()
    node_of = [b.node(n.at) for n in pipework.nodes]
    where = [0] * (len(supports) + len(extras))
    for i, leg in enumerate(pipework.legs):
        _lay(b, leg, i, node_of, sorted(wanted.get(i, ()), key=lambda w: (w[0], w[1])), where)
    _node_masses(b, pipework, node_of)
    for e, k in zip(extras, where[len(supports) :], strict=True):
        b.mass[k] += e.mass_kg
    frame = _frame(b, pipework, rise_k)
    _hold_ports(frame, pipework, node_of)
    return Model(
        frame,
        [pipework.legs[i].run for i in b.leg],
        b.leg,
        b.tube,
        where[: len(supports)],
        where[len(supports) :],
        node_of,
    )


def supported(made: Model, on: Mapping[str, Track], supports: Sequence[Placed]) -> tuple[Frame, Frame]:
    """The frame on its supports: on such as don't give, since they are fixed before the last union is made and carry
    what is there then; and on such as give as brackets do, when heat pushes them.

    :param supports: in the places that the model was made with, in its order; their kinds may be others
    """
    bare = made.bare
    axes = bare.axes.copy()
    firm = replace(bare, held=bare.held.copy(), axes=axes)
    soft = replace(bare, spring=bare.spring.copy(), axes=axes)
    for s, k in zip(supports, made.support_node, strict=True):
        axes[k], spring = grips(s.kind, on[s.run].stretch(s.along_m).way)
        # two supports on one node: the later one's axes hold for both
        firm.held[k] |= spring > 0.0
        soft.spring[k] += spring
    return firm, soft


def _end_extras(on: Mapping[str, Track], end_items: Mapping[str, Item]) -> list[Extra]:
    found: list[Extra] = []
    for t in on.values():
        for node, along, sign in ((t.start, 0.0, 1.0), (t.end, t.length_m, -1.0)):
            item = end_items.get(node.name)
            if item is not None:
                inboard = min(item.length_m / 2.0, t.length_m / 2.0)
                found.append(Extra(run=t.run, along_m=along + sign * inboard, mass_kg=item_kg(item)))
    return found


def _lay(
    b: _Build, leg: Leg, i: int, node_of: list[int], wanted: list[tuple[int, Metre, int, bool]], where: list[int]
) -> None:
    """Nodes and beams of one leg; a wanted place at the end of a straight shares that end's node."""
    straights = [j for j, p in enumerate(leg.pieces) if isinstance(p, Straight)]
    here = node_of[leg.a]
    for j, p in enumerate(leg.pieces):
        if isinstance(p, Straight):
            length = p.length_m
            for _, inside, k, _ in (w for w in wanted if w[0] == j):
                if inside < 1e-6:
                    where[k] = here
                    continue
                if length - inside < 1e-6:
                    where[k] = -1
                    continue
                share = inside / length
                place = (
                    p.a[0] + (p.b[0] - p.a[0]) * share,
                    p.a[1] + (p.b[1] - p.a[1]) * share,
                    p.a[2] + (p.b[2] - p.a[2]) * share,
                )
                if sum((x - y) ** 2 for x, y in zip(b.at[here], place, strict=True)) < 1e-12:
                    where[k] = here
                    continue
                here = _beam(b, here, b.node(place), i, p.tube)
                where[k] = here
            end = node_of[leg.b] if j == straights[-1] else b.node(p.b)
            here = _beam(b, here, end, i, p.tube)
            for w in wanted:
                if w[0] == j and where[w[2]] == -1:
                    where[w[2]] = here
        elif isinstance(p, InLine):
            b.mass[here] += item_kg(p.item) + fitting_kg(p.tube, 1 if p.item.on_branch else 0)
        else:
            b.mass[here] += fitting_kg(p.tube, 2) if not isinstance(p, Turn) or p.angle_deg > 1.0 else 0.0


def _beam(b: _Build, a: int, z: int, leg: int, tube: Tube) -> int:
    b.ends.append((a, z))
    b.leg.append(leg)
    b.tube.append(tube)
    return z


def _node_masses(b: _Build, pipework: Pipework, node_of: list[int]) -> None:
    """Tees, caps and connectors: one socket for each tube that meets there; a relief valve on its tube."""
    for leg in pipework.legs:
        tubes = leg.tubes
        for n, tube in ((leg.a, tubes[0]), (leg.b, tubes[-1])):
            b.mass[node_of[n]] += fitting_kg(tube, 1)
    for n, node in enumerate(pipework.nodes):
        if node.port is not None and node.port.owner_kind in CARRIED:
            b.mass[node_of[n]] += RELIEF_KG


def _frame(b: _Build, pipework: Pipework, rise_k: Mapping[str, float]) -> Frame:
    n, m = len(b.at), len(b.ends)
    elastic, shear, area, inertia, radius, weight, strain = (np.zeros(m) for _ in range(7))
    starts = [k for k in range(m) if k == 0 or b.leg[k] != b.leg[k - 1] or b.tube[k] is not b.tube[k - 1]]
    for k, z in pairwise([*starts, m]):
        tube, leg, same = b.tube[k], pipework.legs[b.leg[k]], slice(k, z)
        s = strength(tube.material)
        elastic[same], shear[same] = s.elastic_pa, s.shear_pa
        area[same] = tube_area_m2(tube.outside_m, tube.wall_m)
        inertia[same] = tube_inertia_m4(tube.outside_m, tube.wall_m)
        radius[same] = tube.outside_m / 2.0
        weight[same] = tube_kg_m(tube, leg.insulation_m) * G
        strain[same] = s.expansion_per_k * rise_k.get(leg.name, 0.0)
    load_n_m = np.zeros((m, 3))
    load_n_m[:, 2] = -weight
    on_node = np.zeros((n, 6))
    on_node[:, 2] = -np.array(b.mass) * G
    return Frame(
        at=np.array(b.at, dtype=np.float64),
        beams=Beams(
            ends=np.array(b.ends, dtype=np.intp),
            elastic_pa=elastic,
            shear_pa=shear,
            area_m2=area,
            inertia_m4=inertia,
            radius_m=radius,
            load_n_m=load_n_m,
            strain=strain,
        ),
        held=np.zeros((n, 6), dtype=bool),
        spring=np.zeros((n, 6)),
        axes=np.tile(np.eye(3), (n, 1, 1)),
        load=on_node,
    )


def is_held(node: Node) -> bool:
    """A port of something that is fixed to the house."""
    return node.kind is NodeKind.PORT and (node.port is None or node.port.owner_kind not in CARRIED)


def _hold_ports(frame: Frame, pipework: Pipework, node_of: list[int]) -> None:
    """Ports of fixed equipment hold their tube in every way; so does the first node of pipework that has none."""
    for n, node in enumerate(pipework.nodes):
        if is_held(node):
            frame.held[node_of[n]] = True
    group = list(range(len(pipework.nodes)))

    def root(x: int) -> int:
        while group[x] != x:
            group[x] = group[group[x]]
            x = group[x]
        return x

    for leg in pipework.legs:
        group[root(leg.a)] = root(leg.b)
    kept = {root(n) for n, node in enumerate(pipework.nodes) if is_held(node)}
    for n in range(len(pipework.nodes)):
        if root(n) not in kept:
            kept.add(root(n))
            frame.held[node_of[n]] = True


def axes_of(way: Vec) -> Floats:
    """A support's axes as rows: along the tube, level across it, and square to both."""
    flat = (way[1], -way[0], 0.0)
    across = unit(flat) if abs(way[2]) < 0.999999 else (1.0, 0.0, 0.0)
    (a, b, c), (d, e, f) = way, across
    return np.array([way, across, (b * f - c * e, c * d - a * f, a * e - b * d)], dtype=np.float64)


@cache
def grips(kind: SupportKind, way: Vec) -> tuple[Floats, Floats]:
    """Axes of a support (rows) and its six stiffnesses in them; not to be written into.

    A clip, standoff or guide holds the tube sideways and lets it slide; a hanger carries weight alone; a riser clamp
    also holds it lengthwise; an anchor holds everything.
    """
    k = bears(kind).stiffness_n_m
    if kind is SupportKind.HANGER:
        return np.eye(3), np.array([0.0, 0.0, k, 0.0, 0.0, 0.0])
    along = k if kind in (SupportKind.RISER_CLAMP, SupportKind.ANCHOR) else 0.0
    turn = k * GRIP**2 if kind is SupportKind.ANCHOR else 0.0
    return axes_of(way), np.array([along, k, k, turn, turn, turn])


def total_weight_n(frame: Frame) -> Newton:
    """Everything that the supports and ports carry together."""
    length = np.linalg.norm(frame.at[frame.beams.ends[:, 1]] - frame.at[frame.beams.ends[:, 0]], axis=1)
    return float(-(frame.beams.load_n_m[:, 2] @ length) - frame.load[:, 2].sum())
