"""xon.sdsu.edu pump and pipe notes: 60 − .8 Q meets 20 + .5 Q² at Q 8.18, H 53.46.

Here in the solver: Q in l/min, H in kPa, and the 20 kPa as a second circulator that works against the first.
"""

import math

import pytest

from wetside.basis.quantity import WATER_4C
from wetside.fluid.water import liquid
from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import solve

Q = 1e-3 / 60.0


def test_operating_point() -> None:
    rho = liquid().density(20.0)
    cold = 1e3 * WATER_4C / rho
    kv = Q * 3600.0 / math.sqrt(0.5e3 / 1e5 / (rho / 1000.0))
    pump = Curve(name="P", points=((0.0, 60.0 * cold), (20.0 * Q, 44.0 * cold)))
    against = Curve(name="S", points=((0.0, 20.0 * cold),))
    net = Net(
        nodes=tuple(NetNode(name=n) for n in "abc"),
        links=(NetLink(name="pump", tail="a", head="b", curve=pump),
               NetLink(name="system", tail="b", head="c", kv_m3_h=kv),
               NetLink(name="lift", tail="a", head="c", curve=against)),
        fill_c=20.0,
    )  # fmt: skip
    s = solve(net)
    assert s.flow_kg_s[0] / rho / Q == pytest.approx(8.18, abs=5e-3)
    assert s.lift_pa[0] / 1e3 == pytest.approx(53.46, abs=5e-3)
