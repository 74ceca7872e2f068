"""What water loses at tees: which legs run straight through, and which branch off."""

from collections.abc import Collection

from wetside.basis.record import record
from wetside.network.resist import Loss, fitting
from wetside.pipework.reading import InLine, Leg, Pipework, Straight, Turn
from wetside.pipework.spec import Tube, Vec

_STRAIGHT = -0.9
"""Two legs whose outward directions have a dot product below this run through."""


LegEnds = dict[int, list[tuple[Leg, bool, Vec, Tube]]]
"""Node → each leg that ends there, whether by the end that it is written from, where it leads from there, its tube."""


@record(kw_only=False)
class LegEnd:
    """One end of a leg: its name, and whether it is the end that it is written from."""

    leg: str
    start: bool


@record(kw_only=False)
class Tee:
    """Three legs at a node: two in line, one off."""

    node: int
    run: tuple[LegEnd, LegEnd]
    branch: LegEnd


def tees(at: LegEnds) -> tuple[Tee, ...]:
    """Every node where three different legs meet and two of them lie in line: there the split of the flow counts."""
    found: list[Tee] = []
    for node, ends in at.items():
        through = _in_line([direction for _, _, direction, _ in ends])
        if len(ends) != 3 or not through or len({leg.name for leg, _, _, _ in ends}) < 3:
            continue
        legs = [LegEnd(leg.name, start) for leg, start, _, _ in ends]
        i, j = sorted(through)
        found.append(Tee(node, (legs[i], legs[j]), legs[3 - i - j]))
    return tuple(found)


def tee_losses(at: LegEnds, but: Collection[int] = ()) -> dict[tuple[str, int], Loss]:
    """What each leg loses at its ends where the split is not reckoned with, by leg name and node.

    Of three or more legs at a node, the two that lie most nearly in line are the run: each bears half of the loss of
    going straight through. The others bear the whole loss of turning off. Where none are in line, all turn off.

    :param but: nodes left out
    """
    losses: dict[tuple[str, int], Loss] = {}
    for node, ends in at.items():
        if len(ends) < 3 or node in but:
            continue
        through = _in_line([direction for _, _, direction, _ in ends])
        for i, (leg, _, _, tube) in enumerate(ends):
            name, share = ("tee run", 0.5) if i in through else ("tee branch", 1.0)
            one = fitting(tube.material, name, tube.bore_m)
            already = losses.get((leg.name, node), Loss())
            losses[leg.name, node] = Loss(k=already.k + share * one.k, extra_m=already.extra_m + share * one.extra_m)
    return losses


def leg_ends(pipework: Pipework) -> LegEnds:
    """What meets at each node."""
    at: LegEnds = {}
    for leg in pipework.legs:
        for node, from_start in ((leg.a, True), (leg.b, False)):
            if (end := _leaving(leg, from_start)) is not None:
                at.setdefault(node, []).append((leg, from_start, *end))
    return at


def _leaving(leg: Leg, from_start: bool) -> tuple[Vec, Tube] | None:
    """Direction in which a leg leaves its node, and the tube there."""
    for piece in leg.pieces if from_start else reversed(leg.pieces):
        if isinstance(piece, Straight) and piece.length_m > 0.0:
            a, b = (piece.a, piece.b) if from_start else (piece.b, piece.a)
            return _towards(a, b, piece.length_m), piece.tube
        if isinstance(piece, Turn | InLine):
            x, y, z = piece.direction if isinstance(piece, InLine) else piece.into if from_start else piece.out_of
            return ((x, y, z) if from_start else (-x, -y, -z)), piece.tube
    return None


def _towards(a: Vec, b: Vec, length: float) -> Vec:
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length, (b[2] - a[2]) / length


def _in_line(directions: list[Vec]) -> set[int]:
    best, pair = _STRAIGHT, set[int]()
    for i, p in enumerate(directions):
        for j in range(i + 1, len(directions)):
            q = directions[j]
            dot = p[0] * q[0] + p[1] * q[1] + p[2] * q[2]
            if dot < best:
                best, pair = dot, {i, j}
    return pair
