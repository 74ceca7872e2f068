"""A small two-pipe net with every section written out by hand: derived, not published.

Water of 983.2 kg/m3 and 4.664e-4 Pa s (60 °C), roughness 1.5e-6 m, Colebrook. Three radiators of 2000, 1500, 2500 W at
20 K; mains M1 (20.2 mm bore, 20 m, K 6), M2 (20.2 mm, 12 m, K 2), M3 (13.6 mm, 16 m, K 3); branches 13.6 mm of 4, 4,
6 m with K 4 and a valve of Kv .6 each; boiler Kv 2.0.
"""

import pytest

from wetside.network.duty import kv_for_drop, valve_drop
from wetside.network.forced import forced
from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import Solution, solve

RHO = 983.2
WATER_4C = 999.972
FLOWS = [p / (4185 * 20) for p in (2000, 1500, 2500)]


def curve(head_pa: float, fall: float = 0.0) -> Curve:
    """`head - fall m2` [Pa] of water at 60 °C, by close points; a curve is stated with cold water."""
    points = tuple((m / RHO, (head_pa - fall * m * m) * WATER_4C / RHO) for m in [0.002 * k for k in range(80)])
    return Curve(name="P", points=points if fall else points[:1])


def net(pump: Curve, kvs: list[float]) -> Net:
    def tube(name: str, tail: str, head: str, length: float, bore: float, k: float, kv: float | None = None) -> NetLink:
        return NetLink(
            name=name, tail=tail, head=head, length_m=length, bore_m=bore, roughness_m=1.5e-6, k=k, kv_m3_h=kv
        )

    return Net(
        nodes=tuple(NetNode(name=n) for n in ("cold", "warm", "hot", "A", "B", "C")),
        links=(
            NetLink(name="pump", tail="cold", head="warm", curve=pump),
            NetLink(name="boiler", tail="warm", head="hot", kv_m3_h=2.0),
            tube("M1", "hot", "A", 20, 0.0202, 6),
            tube("R1", "A", "cold", 4, 0.0136, 4, kvs[0]),
            tube("M2", "A", "B", 12, 0.0202, 2),
            tube("R2", "B", "cold", 4, 0.0136, 4, kvs[1]),
            tube("M3", "B", "C", 16, 0.0136, 3),
            tube("R3", "C", "cold", 6, 0.0136, 4, kvs[2]),
        ),
    )  # fmt: skip


def radiators(s: Solution) -> list[float]:
    return [float(s.flow_kg_s[i]) for i in (3, 5, 7)]


def test_sections_at_design_flow() -> None:
    s = forced(net(curve(20e3), [0.6] * 3), dict(zip((3, 5, 7), FLOWS, strict=True))).solution
    drops = {x: float(s.drop_pa[i]) for x, i in (("boiler", 1), ("M1", 2), ("M2", 4), ("M3", 6))}
    assert drops == pytest.approx({"boiler": 1693.4, "M1": 940.1, "M2": 256.9, "M3": 966.1}, rel=1e-3)
    valves = [valve_drop(m, 0.6, RHO) for m in FLOWS]
    assert valves == pytest.approx([2090.6, 1176.0, 3266.6], rel=1e-3)
    # the second branch runs at Re 3600, where friction blends from laminar to Colebrook instead of jumping at 2300
    branches = [float(s.drop_pa[i]) - v for i, v in ((3, valves[0]), (7, valves[2]))]
    assert branches == pytest.approx([208.7, 424.1], rel=1e-3)


def test_valves_that_balance() -> None:
    """The third circuit is the index, 7547.1 Pa with its valve open: the others take what is over."""
    found = forced(net(curve(7547.1), [0.6] * 3), dict(zip((3, 5, 7), FLOWS, strict=True)))
    assert abs(found.spare_pa[7]) < 5.0
    kvs = [
        kv_for_drop(m, found.spare_pa[i] + valve_drop(m, 0.6, RHO), RHO) for m, i in zip(FLOWS, (3, 5, 7), strict=True)
    ]
    assert kvs == pytest.approx([0.4000, 0.3056, 0.6], rel=1e-3)
    assert radiators(solve(net(curve(7547.1), kvs))) == pytest.approx(FLOWS, rel=1e-3)


def test_unbalanced() -> None:
    s = solve(net(curve(9433.8, 367_169.0), [0.6] * 3))
    assert radiators(s) == pytest.approx([0.02956, 0.02823, 0.02457], rel=1e-3)
    assert float(s.flow_kg_s[0]) == pytest.approx(0.08236, rel=1e-3)
    assert float(s.lift_pa[0]) == pytest.approx(6943.5, rel=1e-3)


def test_forcing_what_flows_already_leaves_nothing_over() -> None:
    s = solve(net(curve(9433.8, 367_169.0), [0.6, 0.3, 0.9]))
    found = forced(net(curve(9433.8, 367_169.0), [0.6, 0.3, 0.9]), dict(zip((3, 5, 7), radiators(s), strict=True)))
    assert all(abs(x) < 2.0 for x in found.spare_pa.values())


def test_a_flow_against_the_arrow_is_held_too() -> None:
    found = forced(net(curve(9433.8, 367_169.0), [0.6] * 3), {7: -0.01})
    assert float(found.solution.flow_kg_s[7]) == pytest.approx(-0.01, rel=1e-3)
    assert found.spare_pa[7] < 0.0, "the regulator has to push"
