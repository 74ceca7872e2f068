"""A net in which some links are given the flow that they are meant to have.

Behind each such link a regulator is put in: a source of pressure that changes so steeply with flow that it holds the
flow. What it takes away is what a valve there has to take; what it adds is what the circulator lacks. So valve
settings come out of one solve of the whole net, whatever its shape, with all temperatures right.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated

from wetside.basis.quantity import WATER_4C
from wetside.basis.record import record
from wetside.basis.si import KgPerSecond, Pascal, Ratio
from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import Solution, solve

M3PerKg = Annotated[float, "m3/kg"]

STEEP_PA = 3e6
"""What a regulator adds at no flow, and takes at twice its flow."""
CLOSE = 1e-4
"""How near the flows must come, relative to what is wanted."""
_MOST_PASSES = 6


@record(kw_only=False, eq=False)
class ForcedFlow:
    solution: Solution
    """Of the net with regulators; the first links and nodes are the net's own."""
    spare_pa: Mapping[int, Pascal]
    """Link → pressure that is left over for a valve in it; negative: what is lacking."""
    off: Ratio
    """Largest difference of a held flow from what is wanted, relative."""


def _with_regulators(net: Net, wanted: Mapping[int, KgPerSecond], at: Mapping[int, M3PerKg]) -> Net:
    nodes, links = list(net.nodes), list(net.links)
    height = {n.name: n.height_m for n in net.nodes}
    for i, flow in wanted.items():
        link = links[i]
        between = f"{link.name} | before regulator"
        volume = abs(flow) * at[i]
        points = ((0.0, STEEP_PA), (2.0 * volume, -STEEP_PA))
        curve = Curve(name=f"{link.name} regulator", points=points)
        if flow > 0.0:
            links[i] = replace(link, head=between)
            nodes.append(NetNode(name=between, height_m=height[link.head]))
            links.append(NetLink(name=f"{link.name} | regulator", tail=between, head=link.head, curve=curve))
        else:
            links[i] = replace(link, tail=between)
            nodes.append(NetNode(name=between, height_m=height[link.tail]))
            links.append(NetLink(name=f"{link.name} | regulator", tail=between, head=link.tail, curve=curve))
    return replace(net, nodes=tuple(nodes), links=tuple(links))


def force_once(
    net: Net, wanted: Mapping[int, KgPerSecond], volume: dict[int, M3PerKg], *, glycol_share: Ratio = 0.0
) -> ForcedFlow:
    """Solve a net with regulators that hold given flows nearly.

    :param wanted: link → flow from its tail to its head, not 0
    :param volume: the volume, per mass wanted, at which each regulator does nothing; brought nearer to what holds the
        flow wanted
    :raises NoSolution: the net did not settle
    """
    for i in wanted:
        volume.setdefault(i, 1.0 / 980.0)
    found = solve(_with_regulators(net, wanted, volume), glycol_share=glycol_share)
    off = 0.0
    spare: dict[int, Pascal] = {}
    for k, (i, signed) in enumerate(wanted.items(), start=len(net.links)):
        density, lift = float(found.density_kg_m3[k]), float(found.lift_pa[k])
        spare[i] = -lift
        q = abs(signed)
        off = max(off, abs(float(found.flow_kg_s[k]) / q - 1.0))
        # a regulator that pushes by `lift` at the flow wanted does nothing at a slightly larger one
        volume[i] = 1.0 / density / (1.0 - lift * WATER_4C / (density * STEEP_PA))
    return ForcedFlow(found, spare, off)


def forced(net: Net, wanted: Mapping[int, KgPerSecond], *, glycol_share: Ratio = 0.0) -> ForcedFlow:
    """Solve a net with given flows in some of its links, each held to within `CLOSE`.

    :param wanted: link → flow from its tail to its head, not 0
    :raises NoSolution: the net did not settle
    """
    volume: dict[int, M3PerKg] = {}
    found = force_once(net, wanted, volume, glycol_share=glycol_share)
    for _ in range(_MOST_PASSES):
        if found.off < CLOSE:
            break
        found = force_once(net, wanted, volume, glycol_share=glycol_share)
    return found
