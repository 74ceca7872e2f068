"""What near a boiler can be put together on a bench: pieces that stay whole, and joints left to be made in place."""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.fabricate.reading import Body, Cut, Fabrication, Joint, JointKind
from wetside.pipework.reading import InLine, Pipework
from wetside.pipework.spec import ItemKind, Vec

REACH: Metre = 2.0
"""A fitting this far from the middle of a boiler's connections still belongs to its assemblies (no source: what one
person can hold up)."""
LONGEST: Metre = 1.2
"""A longer piece of tube is no part of an assembly: it leads on from it (no source: what goes through a door)."""
HOT = frozenset((JointKind.SOLDER, JointKind.BRAZE))
"""Joints made with a flame."""

CARE: Mapping[ItemKind, str] = {
    ItemKind.ISOLATING_VALVE: "open it half, wrap it in a wet rag",
    ItemKind.GATE_VALVE: "open it, wrap it in a wet rag",
    ItemKind.GLOBE_VALVE: "open it, take the spindle out or wrap it in a wet rag",
    ItemKind.CHECK_VALVE: "take its insert out, or wrap it in a wet rag",
    ItemKind.ZONE_VALVE: "take its motor off, wrap it in a wet rag",
    ItemKind.BALANCING_VALVE: "open it, wrap it in a wet rag",
    ItemKind.LOCKSHIELD: "open it, wrap it in a wet rag",
    ItemKind.THERMOSTATIC: "take its head off, wrap it in a wet rag",
    ItemKind.BYPASS: "wrap it in a wet rag",
    ItemKind.STRAINER: "take its screen and gasket out",
    ItemKind.AIR_SEPARATOR: "unscrew its vent and insides, or wrap it in a wet rag",
    ItemKind.DIRT_SEPARATOR: "unscrew its drain and insides, or wrap it in a wet rag",
    ItemKind.FLOW_METER: "take its glass out, or wrap it in a wet rag",
    ItemKind.CIRCULATOR: "solder its union tails with the circulator off",
    ItemKind.UNION: "take it apart, keep its gasket out",
    ItemKind.FILLING_LOOP: "screw it in when all is cool",
    ItemKind.DRAIN_COCK: "screw it in when all is cool",
    ItemKind.AIR_VENT: "screw it in when all is cool",
    ItemKind.GAUGE: "screw it in when all is cool",
    ItemKind.RELIEF_VALVE: "screw it in when all is cool",
    ItemKind.VESSEL: "screw it in when all is cool",
}
"""What to do with an item before there is a flame beside it (common practice, no source)."""


@record
class Piece:
    """Bodies and cuts that become one thing on the bench."""

    name: str
    """``"A"``, ``"B"``, … in building order."""
    bodies: tuple[int, ...]
    cuts: tuple[Cut, ...]
    joints: tuple[int, ...]
    """Joints made on the bench, in order."""


@record
class BenchWork:
    """One assembly by a boiler: what hangs together there, whole."""

    name: str
    """The run that it begins with, or all of them."""
    runs: tuple[str, ...]
    bodies: tuple[int, ...]
    """Indices into the fabrication's bodies, in building order."""
    cuts: tuple[Cut, ...]
    pieces: tuple[Piece, ...]
    loose: tuple[int, ...]
    """Bodies that are no part of a piece: they are put on in place."""
    fit_last: tuple[Cut, ...]
    """Measured and cut when the rest hangs."""
    leaving: tuple[Cut, ...]
    """Pieces of tube that lead on from here; they are joined in place."""
    in_place: tuple[int, ...]
    """Joints made in place, in order."""
    screwed: tuple[int, ...]
    """Threaded joints of side outlets, made on the bench when all is cool."""
    ports: tuple[str, ...]
    streets: tuple[Cut, ...] = ()
    """Street elbows that sit right in another fitting."""


def benches(
    pipework: Pipework,
    fabrication: Fabrication,
    boilers: Iterable[str],
    fit_last: Collection[str] = (),
    *,
    reach: Metre = REACH,
    longest: Metre = LONGEST,
) -> tuple[BenchWork, ...]:
    """Assemblies by the boilers, each joined to a boiler's connection by tube that stays within reach.

    An assembly falls into pieces at unions, at circulators, which are bolted in, and at the tube that is cut last.

    :param boilers: names
    :param fit_last: names of the cuts to be made last, from the stack-ups
    """
    owners = {n.name: n.port.owner for n in pipework.nodes if n.port is not None}
    wanted = set(boilers)
    bodies = fabrication.bodies
    starts = [k for k, b in enumerate(bodies) if owners.get(b.port) in wanted]
    if not starts:
        return ()
    middle = _middle([bodies[k].at for k in starts])
    near = {k for k, b in enumerate(bodies) if math.dist(b.at, middle) <= reach}
    near |= set(starts)
    inside = [c for c in fabrication.cuts if c.a in near and c.b in near and c.length_m <= longest]
    groups = _spread(len(bodies), ((c.a, c.b) for c in (*inside, *fabrication.streets)))
    found: list[BenchWork] = []
    for group in dict.fromkeys(groups[k] for k in starts):
        cuts = tuple(c for c in inside if groups[c.a] == group)
        streets = [c for c in fabrication.streets if groups[c.a] == group]
        if len(cuts) > 1:
            found.append(_work(fabrication, cuts, streets, set(fit_last)))
    return tuple(found)


def _work(fabrication: Fabrication, cuts: Sequence[Cut], streets: Sequence[Cut], names: set[str]) -> BenchWork:
    bodies = fabrication.bodies
    members = tuple(sorted({k for c in (*cuts, *streets) for k in (c.a, c.b)}))
    last = tuple(c for c in cuts if c.name in names)
    mine = {c.name for c in cuts}
    leaving = tuple(c for c in fabrication.cuts if c.name not in mine and (c.a in members or c.b in members))
    at_body = joints_by_body(fabrication, members)
    apart = {k for k in members if not bodies[k].port and any(j.kind is JointKind.UNION for j in at_body[k])}
    fixed = [c for c in cuts if c not in last]
    parts = _spread(len(bodies), ((c.a, c.b) for c in (*fixed, *streets) if c.a not in apart and c.b not in apart))
    by_part: dict[int, list[Cut]] = {}
    for c in fixed:
        # a cut between two circulators is a piece of its own
        key = parts[c.a] if c.a not in apart else parts[c.b] if c.b not in apart else -1 - c.a
        by_part.setdefault(key, []).append(c)
    seated: dict[int, list[Cut]] = {}
    for c in streets:
        seated.setdefault(parts[c.a] if c.a not in apart else parts[c.b], []).append(c)
    on_bench = {n for c in fixed for n in ends_of(fabrication, c)}
    pieces: list[Piece] = []
    for key, mine_ in by_part.items():
        every = (*mine_, *seated.get(key, ()))
        its = sorted({k for c in every for k in (c.a, c.b)})
        tube = {n for c in every for n in ends_of(fabrication, c)}
        pieces.append(
            Piece(
                name=_letter(len(pieces)),
                bodies=tuple(its),
                cuts=tuple(mine_),
                joints=tuple(sorted(tube | _bushings(at_body, its, tube, apart))),
            )
        )
    joined = {n for p in pieces for n in p.joints}
    held = {k for p in pieces for k in p.bodies}
    screwed = {j.number for k in members for j in at_body[k] if j.kind is JointKind.THREAD and not j.cut and k in held}
    screwed -= on_bench | {n for c in streets for n in ends_of(fabrication, c)}
    rest = {j.number for k in members for j in at_body[k]} - joined - screwed
    runs = tuple(dict.fromkeys(c.run for c in cuts))
    return BenchWork(
        name=runs[0],
        runs=runs,
        bodies=members,
        cuts=tuple(cuts),
        pieces=tuple(pieces),
        loose=tuple(k for k in members if k not in held),
        fit_last=last,
        leaving=leaving,
        in_place=tuple(sorted(rest)),
        screwed=tuple(sorted(screwed - joined)),
        ports=tuple(dict.fromkeys(bodies[k].port for k in members if bodies[k].port)),
        streets=tuple(streets),
    )


def ends_of(fabrication: Fabrication, cut: Cut) -> tuple[int, int]:
    """Numbers of the joints at both ends of a cut."""
    a, b = fabrication.bodies[cut.a], fabrication.bodies[cut.b]
    return a.ends[cut.a_end].joint, b.ends[cut.b_end].joint


def joints_by_body(fabrication: Fabrication, members: Iterable[int]) -> dict[int, list[Joint]]:
    """Joints of each body: those at its ends, its bushings' and its faces."""
    bodies = fabrication.bodies
    found: dict[int, list[Joint]] = {k: [] for k in members}
    of_end = {e.joint: k for k in found for e in bodies[k].ends}
    by_place: dict[Vec, list[int]] = {}
    for k in found:
        by_place.setdefault(bodies[k].at, []).append(k)
    for joint in fabrication.joints:
        k = of_end.get(joint.number)
        if k is None and not joint.cut:
            k = next((k for k in by_place.get(joint.at, ()) if _belongs(joint, bodies[k])), None)
        if k is not None:
            found[k].append(joint)
    return found


def _belongs(joint: Joint, body: Body) -> bool:
    return joint.of == body.port or body.name.endswith(joint.of) or joint.of.endswith(body.name)


def _bushings(at_body: dict[int, list[Joint]], bodies: Iterable[int], tube: set[int], apart: set[int]) -> set[int]:
    """Joints of bushings, which go in with the tube that they take."""
    return {
        j.number
        for k in bodies
        if k not in apart
        for j in at_body[k]
        if not j.cut and j.kind is not JointKind.UNION and j.kind is not JointKind.THREAD and j.number not in tube
    }


def item_kinds(pipework: Pipework, fabrication: Fabrication) -> dict[int, ItemKind]:
    """Kind of item that a body is, or has on its side outlet, by the body's index."""
    by_place: dict[tuple[str, Vec], list[InLine]] = {}
    for leg in pipework.legs:
        for p in leg.pieces:
            if isinstance(p, InLine):
                by_place.setdefault((leg.run, p.at), []).append(p)
    found: dict[int, ItemKind] = {}
    for k, body in enumerate(fabrication.bodies):
        for p in by_place.get((body.run, body.at), ()):
            if body.name in (p.item.name, f"tee for {p.item.name}"):
                found[k] = p.item.kind
    return found


def _middle(points: Sequence[Vec]) -> Vec:
    n = len(points)
    return (sum(p[0] for p in points) / n, sum(p[1] for p in points) / n, sum(p[2] for p in points) / n)


def _spread(count: int, pairs: Iterable[tuple[int, int]]) -> list[int]:
    """Group of each of `count` things, by the least of its members, where pairs hang together."""
    parent = list(range(count))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, j in pairs:
        a, b = root(i), root(j)
        parent[max(a, b)] = min(a, b)
    return [root(i) for i in range(count)]


def _letter(k: int) -> str:
    return chr(65 + k) if k < 26 else f"{chr(64 + k // 26)}{chr(65 + k % 26)}"
