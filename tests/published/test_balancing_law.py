"""CIBSE Journal CPD module 183 (August 2021), on proportional balancing: two parallel branches share a flow as
Q1/Q2 = sqrt(R2/R1), whatever the total.

The numbers for R 4 and 9 are worked from that law; the article's own table was not at hand.
"""

import pytest

from wetside.fluid.water import liquid
from wetside.network.duty import flow_by_drop
from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import solve


@pytest.mark.parametrize(("total", "first"), [(1.0, 0.600), (0.8, 0.480), (0.5, 0.300)])
def test_branches_of_resistance_4_and_9(total: float, first: float) -> None:
    """A circulator of any head; its speed scales the total and leaves the shares."""
    curve = Curve(name="P", points=((0.0, 2e4), (1e-3, 2e4)), speed=total)
    net = Net(
        nodes=(NetNode(name="a"), NetNode(name="b")),
        links=(
            NetLink(name="P", tail="b", head="a", curve=curve),
            NetLink(name="1", tail="a", head="b", k=4e4),
            NetLink(name="2", tail="a", head="b", k=9e4),
        ),
    )
    flows = solve(net).flow_kg_s
    assert float(flows[1] / flows[2]) == pytest.approx(1.5, rel=1e-4)
    full = solve(
        Net(
            nodes=net.nodes,
            links=(NetLink(name="P", tail="b", head="a", curve=Curve(name="P", points=curve.points)), *net.links[1:]),
        )
    )
    assert float(flows[1] / full.flow_kg_s[0]) == pytest.approx(first, rel=1e-4)


@pytest.mark.parametrize(("watts", "drop", "low", "high"), [(1500, 11, 117, 120), (1000, 20, 43, 44)])
def test_flow_for_a_drop(watts: float, drop: float, low: float, high: float) -> None:
    """V = P / (1.163 dT) in l/h (definition, from memory); by the density used 117 to 120, and 43 to 44."""
    for supply in (50.0, 70.0):
        mass = flow_by_drop(watts, supply, drop, liquid())
        litres = 3600e3 * mass / liquid().density(supply - drop / 2)
        assert low - 0.5 <= litres <= high + 1.0
