"""Measures the two tees of a hydraulic separation on the laid pipework."""

from collections.abc import Sequence

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.network.reading import FlowReading
from wetside.pipework.reading import Leg, Piece, Pipework, Straight
from wetside.pipework.spec import Vec
from wetside.plant.spec import SeparationPair

_PLACES = 7
"""Distances are differences of coordinates: rounded, so that 100 mm drawn is 100 mm measured."""


@record(kw_only=False)
class PairMeasure:
    """What stands at two closely set tees."""

    bore_m: Metre
    """Of the tube between them."""
    spacing_m: Metre
    before_m: Metre
    after_m: Metre
    """Straight tube of the run before and after the pair, up to the next turn, tee or item."""


def measure(pair: SeparationPair, pipework: Pipework, flow: FlowReading | None) -> PairMeasure | None:
    """The pair as laid; before and after follow the water, or the written direction where the flow isn't known.

    :returns: `None` when no single leg joins the two tees
    """
    at = {node.name: index for index, node in enumerate(pipework.nodes)}
    if pair.first not in at or pair.second not in at:
        return None
    ends = {at[pair.first], at[pair.second]}
    between = next((leg for leg in pipework.legs if {leg.a, leg.b} == ends), None)
    if between is None or not between.tubes:
        return None
    upstream, downstream = between.a, between.b
    if flow is not None and any(f.name == between.name and f.flow_kg_s < 0.0 for f in flow.legs):
        upstream, downstream = downstream, upstream
    return PairMeasure(
        bore_m=round(min(tube.bore_m for tube in between.tubes), _PLACES),
        spacing_m=round(between.length_m, _PLACES),
        before_m=round(_straight_from(pipework, upstream, between), _PLACES),
        after_m=round(_straight_from(pipework, downstream, between), _PLACES),
    )


def _straight_from(pipework: Pipework, node: int, between: Leg) -> Metre:
    """Straight tube that goes on from a tee in line with the leg between the tees."""
    inward = _away(_outward(between, node))
    best = 0.0
    for leg in pipework.legs:
        if leg is between or node not in (leg.a, leg.b):
            continue
        outward = _outward(leg, node)
        if _along(_away(outward), inward) < -0.999:
            best = max(best, _run_length(outward))
    return best


def _outward(leg: Leg, node: int) -> tuple[Piece, ...]:
    """Pieces of a leg in the order met when leaving a node, straights turned to point away from it."""
    if leg.a == node:
        return leg.pieces
    return tuple(Straight(p.b, p.a, p.tube) if isinstance(p, Straight) else p for p in reversed(leg.pieces))


def _away(pieces: Sequence[Piece]) -> Vec:
    """Unit direction of the first straight; no direction when a leg has no tube."""
    for piece in pieces:
        if isinstance(piece, Straight) and piece.length_m > 0.0:
            long = piece.length_m
            return (
                (piece.b[0] - piece.a[0]) / long,
                (piece.b[1] - piece.a[1]) / long,
                (piece.b[2] - piece.a[2]) / long,
            )
    return (0.0, 0.0, 0.0)


def _along(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _run_length(pieces: Sequence[Piece]) -> Metre:
    """Tube up to the first piece that isn't straight tube."""
    total = 0.0
    for piece in pieces:
        if not isinstance(piece, Straight):
            break
        total += piece.length_m
    return total
