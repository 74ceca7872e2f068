"""Examination item on a vertical one-pipe riser (m.274949.com/5413/t32847956, in Chinese): two floors, 3000 W in all,
1600 W of it below, 95/70 °C; water enters the lower radiator at 83.33 °C."""

import pytest
from scipy.optimize import brentq

from wetside.emitter.law import outputs
from wetside.fluid.water import liquid
from wetside.network.net import Curve, Net, NetLink, NetNode, Rating, Source
from wetside.network.solve import solve


def rated(watts: float, supply_c: float, capacity: float) -> float:
    return float(brentq(lambda r: float(outputs(r, 50.0, 1.3, capacity, supply_c, 18.0).output_w) - watts, 1.0, 1e4))


def test_water_between_the_floors() -> None:
    """70 + 25 × 1600/3000 = 83.33 °C with water of one heat capacity; within .03 K with the real one."""
    water = liquid()
    flow = 3000.0 / (water.enthalpy(95.0) - water.enthalpy(70.0))
    capacity = flow * water.heat_capacity(82.0)
    upper, lower = rated(1400.0, 95.0, capacity), rated(1600.0, 83.333, capacity)
    # a valve that passes just that flow at a constant head
    kv = flow * 3600.0 / water.density(70.0) / (2e4 / 1e5 * 1000.0 / water.density(70.0)) ** 0.5

    def rating(name: str, watts: float) -> Rating:
        return Rating(name=name, rated_w=watts, rated_excess_k=50.0, exponent=1.3, room_c=18.0)

    pump = Curve(name="P", points=((0.0, 2e4 * 999.975 / water.density(95.0)),))
    net = Net(
        nodes=tuple(NetNode(name=n) for n in ("low", "hot", "top", "middle", "end")),
        links=(
            NetLink(name="boiler", tail="low", head="hot", source=Source(name="B", flow_c=95.0, output_w=1e5)),
            NetLink(name="pump", tail="hot", head="top", curve=pump),
            NetLink(name="upper", tail="top", head="middle", rating=rating("upper", upper)),
            NetLink(name="lower", tail="middle", head="end", rating=rating("lower", lower)),
            NetLink(name="valve", tail="end", head="low", kv_m3_h=kv),
        ),
    )
    s = solve(net)
    assert float(s.flow_kg_s[0]) == pytest.approx(flow, rel=1e-3)
    assert s.given_w[2:4] == pytest.approx([1400.0, 1600.0], rel=2e-3)
    assert float(s.temperature_c[3]) == pytest.approx(83.33, abs=0.03)
