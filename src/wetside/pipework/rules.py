"""Design rules of the pipework in space."""

from functools import cache
from itertools import pairwise

from wetside.basis.quantity import Kind
from wetside.basis.rules import Finding, Rule
from wetside.basis.si import Metre
from wetside.basis.tables import load, number
from wetside.pipework.clash import near_pairs
from wetside.pipework.reading import Closure, InLine, Node, NodeKind, Piece, Pipework, Reducer, Straight, Turn
from wetside.pipework.spec import Material, Tube
from wetside.pipework.vec import offset_words

CLOSURE = Rule(
    id="PIP-01",
    title="A run meets its end",
    sense="at most",
    kind=Kind.SIZE,
    source="common practice",
    places=1,
)
CLASH = Rule(
    id="PIP-03",
    title="Tubes keep clear of each other, centre to centre",
    sense="at least",
    kind=Kind.SIZE,
    source="common practice",
)
RULES = (CLOSURE, CLASH)

MISS: Metre = 0.002
"""A run may miss its end by this much; the slack of two joints takes it up."""


def judge(pipework: Pipework) -> tuple[Finding, ...]:
    """All rules of this floor, judged."""
    nodes = pipework.nodes
    ends = {leg.run: nodes[leg.b].name for leg in pipework.legs}
    found = [_closure(c, ends[c.run]) for c in pipework.closures]
    near = near_pairs(pipework)
    touching = [n for n in near if n.apart_m < n.needed_m]
    # without a clash, the nearest pair shows that the rule was looked at
    for n in touching or near[:1]:
        east, north, up = n.at
        remedy = (
            f"move one of them where they meet, at {east:.2f} m east, {north:.2f} m north, {up:.2f} m up"
            if touching
            else ""
        )
        subject = f"{n.first.name} and {n.second.name}"
        found.append(CLASH.judge(subject, n.apart_m, n.needed_m, place=n.first.name, remedy=remedy))
    return tuple(found)


def _closure(c: Closure, end: str) -> Finding:
    # the gap points from where the run arrives to where it should: the run lies on the other side
    miss = (-c.gap[0], -c.gap[1], -c.gap[2])
    words = offset_words(miss, 0.0005).replace(" up", " above").replace(" down", " below")
    joined = " " if words.endswith(("above", "below")) else " of "
    move = f"; look at {c.said}, move {c.move + 1}" if c.said else ""
    remedy = f"it ends {words}{joined}{end}{move}" if c.size_m > MISS else ""
    return CLOSURE.judge(f"run {c.run}", c.size_m, MISS, place=c.run, remedy=remedy)


@cache
def cup_m(tube: Tube) -> Metre:
    """How far tube goes into a fitting: solder cup, thread, or (pressed plastic) one outside diameter.

    Copper from CDA Table 14.10, steel from the NPT effective thread (table `cups`), interpolated on the outside
    diameter and held at the ends; pressed plastic: common practice, no source.
    """
    if tube.material in (Material.PEX, Material.MULTILAYER):
        return tube.outside_m
    rows = [(number(r, "outside"), number(r, "cup")) for r in load("cups").rows if r["material"] == tube.material.value]
    if tube.outside_m <= rows[0][0]:
        return rows[0][1] * tube.outside_m / rows[0][0]
    for (x0, y0), (x1, y1) in pairwise(rows):
        if tube.outside_m <= x1:
            return y0 + (y1 - y0) * (tube.outside_m - x0) / (x1 - x0)
    return rows[-1][1] * tube.outside_m / rows[-1][0]


def room_m(end: Piece | Node, tube: Tube) -> Metre:
    """What a fitting takes of a straight, from its centre: half the tube and the cup for a turning fitting, the cup
    for one in line, half its length for an item. Typical; the maker's take-out is what counts."""
    match end:
        case Turn():
            return tube.outside_m / 2.0 + cup_m(tube)
        case InLine() if not end.item.on_branch:
            return max(end.item.length_m / 2.0, cup_m(tube))
        case InLine():
            return tube.outside_m / 2.0 + cup_m(tube)
        case Node() if end.kind is NodeKind.TEE:
            return tube.outside_m / 2.0 + cup_m(tube)
        case Reducer() | Node() | Straight():
            return cup_m(tube)
