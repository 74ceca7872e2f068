"""Hydraulic Institute, Engineering Data Book (open data set, github hydraulic-institute/edb, commit f1aaddd).

Friction of water at 60 °F in schedule 40 steel, roughness 0.00015 ft, head in ft per 100 ft (flw3..6-us.csv). Printed
to three digits; the tables were made with water of 1.13e-6 m2/s or so: 1 %. Two of the twenty cells compared are
misprinted (1/2 in at 1.0 gpm, 3/4 in at 1.0 gpm) and left out. At 1/2 in 0.7 gpm (Re 3173) the table follows the
turbulent line, so Colebrook alone is compared, not this program's transition.
"""

import numpy as np
import pytest

from wetside.basis.quantity import FOOT, GALLON, INCH, PSI, WATER_4C, G
from wetside.fluid.water import liquid
from wetside.network.curve import Curves, at_speed, head_at
from wetside.network.friction import colebrook
from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import solve

GPM = GALLON / 60.0
T_C = (60.0 - 32.0) / 1.8
TABLE = {
    0.493: {1: 4.30, 2: 15.0, 3: 31.8},
    0.622: {0.7: 0.74, 2: 4.78, 4: 17.1, 6: 36.5},
    0.824: {2: 1.21, 3: 2.50, 4: 4.21, 6: 8.87, 10: 23.0},
    1.049: {2: 0.379, 4: 1.295, 6: 2.68, 8: 4.54, 10: 6.86, 20: 25.1},
}


@pytest.mark.parametrize(("bore_in", "gpm", "head"), [(d, q, h) for d, row in TABLE.items() for q, h in row.items()])
def test_friction_of_steel_pipe(bore_in: float, gpm: float, head: float) -> None:
    rho, mu = liquid().density(T_C), liquid().viscosity(T_C)
    d = bore_in * INCH
    v = gpm * GPM / (np.pi / 4 * d * d)
    f = colebrook(np.array([rho * v * d / mu]), np.array([0.00015 * FOOT / d]))[0]
    assert f * 100.0 * FOOT / d * v * v / (2 * G) / FOOT == pytest.approx(head, rel=0.01)


# pc-data.csv: a pump's test curve, gpm and ft; the system curve is 155 (Q/900)² ft
PUMP = {0: 200, 100: 199, 200: 196, 300: 192, 400: 190, 500: 186, 600: 180, 700: 175, 800: 165, 900: 155, 1000: 140,
        1100: 125, 1200: 100}  # fmt: skip
FT = FOOT * G * WATER_4C


def test_pump_curve_meets_system_curve() -> None:
    """Printed: 900 gpm, 155 ft. (900, 155) is a point of both curves, so this proves the path, not the physics."""
    rho = liquid().density(15.0)
    kv = 900 * GPM * 3600.0 / np.sqrt(155 * FOOT * G * rho / 1e5 / (rho / 1000.0))
    curve = Curve(name="P", points=tuple((q * GPM, h * FT) for q, h in PUMP.items()))
    net = Net(
        nodes=(NetNode(name="a"), NetNode(name="b")),
        links=(NetLink(name="pump", tail="a", head="b", bore_m=1.0, curve=curve),
               NetLink(name="system", tail="b", head="a", bore_m=1.0, kv_m3_h=float(kv))),
        fill_c=15.0,
    )  # fmt: skip
    s = solve(net)
    assert s.flow_kg_s[1] / rho / GPM == pytest.approx(900.0, rel=1e-3)
    assert s.lift_pa[0] / rho / G / FOOT == pytest.approx(155.0, rel=1e-3)


def test_system_curve_scales_as_printed() -> None:
    """155 (500/900)² = 47.84, (1000/900)² → 191.36 ft."""
    assert [155 * (q / 900) ** 2 for q in (500, 1000)] == pytest.approx([47.84, 191.36], abs=5e-3)


def test_affinity_of_a_whole_curve() -> None:
    """1740 → 1566 rpm: heads 213 / 206 / 198 → 173 / 167 / 160 ft (worked example 1.B), printed to 1 ft."""
    old = ((0.0, 213 * FT), (1.0, 206 * FT), (2.0, 198 * FT))
    new = [h / FT for _, h in at_speed(old, 1566 / 1740)]
    assert new == pytest.approx([173, 167, 160], abs=0.6)
    slow = Curve(name="P", points=old, speed=1566 / 1740)
    assert head_at(slow, 1566 / 1740) / FT == pytest.approx(206 * 0.81)


def test_friction_of_a_system_with_lift() -> None:
    """Worked example 1.A: 4.026 in, 1255 ft, f .02, sum K 3.79: head 1.22 v² ft; 31 ft at 200 gpm over the lift."""
    d, k = 4.026 * INCH, 0.02 * 1255 * FOOT / (4.026 * INCH) + 3.79
    rho = liquid().density(15.0)
    net = Net(
        nodes=(NetNode(name="a"), NetNode(name="b")),
        links=(NetLink(name="system", tail="a", head="b", bore_m=d, k=k),
               NetLink(name="lift", tail="b", head="a", bore_m=1.0,
                       curve=Curve(name="P", points=((0.0, 31.01 * FT),)))),
        fill_c=15.0,
    )  # fmt: skip
    s = solve(net)
    assert s.flow_kg_s[0] / rho / GPM == pytest.approx(200.0, rel=2e-3)
    v = s.velocity_m_s[0] / FOOT
    assert s.drop_pa[0] / (rho * G * FOOT) / v**2 == pytest.approx(1.22, abs=5e-3)


def test_pressure_units_of_this_file() -> None:
    assert pytest.approx(0.4335, rel=1e-3) == FT / PSI
    assert Curves([]).heads(np.zeros(0))[0].size == 0
