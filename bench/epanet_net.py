"""A `Net` handed to EPANET 2.3 through its own toolkit, for timing and for comparing flows. Flows only: no heat."""

import contextlib
import math
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from epanet import toolkit as en

from wetside.basis.quantity import WATER_4C, G
from wetside.fluid.water import liquid
from wetside.network.net import Net, NetLink

FT2_S = 0.3048**2


@dataclass
class EpanetNet:
    """An open EPANET project of a net."""

    project: Any
    net: Net
    density: float
    inside: set[str]

    def solve(self) -> float:
        """One cold solve; seconds it took."""
        begin = time.perf_counter()
        en.initH(self.project, en.INITFLOW)
        en.runH(self.project)
        return time.perf_counter() - begin

    def flows(self) -> dict[str, float]:
        """kg/s by link name."""
        p = self.project
        return {
            x.name: en.getlinkvalue(p, en.getlinkindex(p, _id(i)), en.FLOW) / 3600.0 * self.density
            for i, x in enumerate(self.net.links)
            if not x.shut and x.tail in self.inside
        }


def _id(i: int) -> str:
    return f"p{i}"


def total_k(link: NetLink, density: float) -> float:
    """Loss coefficient of everything in the link but its tube; Kv is defined with cold water."""
    k = link.k
    if link.kv_m3_h is not None:
        area = math.pi / 4.0 * link.bore_m**2
        # Kv: 1e5 Pa at Kv m3/h of water of 1000 kg/m3, so dp = 1e5 (q/Kv)^2 rho/1000 = k rho v^2/2
        k += 1e5 * (3600.0 * area / link.kv_m3_h) ** 2 * 2.0 / 1000.0
    return k


def _driven_part(net: Net) -> set[str]:
    """Nodes joined to the first circulator by open links: EPANET takes no part without a fixed head."""
    near: dict[str, list[str]] = {}
    for x in net.links:
        if not x.shut:
            near.setdefault(x.tail, []).append(x.head)
            near.setdefault(x.head, []).append(x.tail)
    first = next(x.tail for x in net.links if x.curve is not None)
    found, edge = {first}, [first]
    while edge:
        for other in near[edge.pop()]:
            if other not in found:
                found.add(other)
                edge.append(other)
    return found


@contextlib.contextmanager
def epanet_net(net: Net, *, water_c: float, accuracy: float = 1e-5, head_error_m: float = 1e-4) -> Iterator[EpanetNet]:
    """Open a net in EPANET with the water's properties at one temperature.

    :param head_error_m: 1e-4 m is 1 Pa, the error in head that is demanded of both sides
    """
    water = liquid()
    density, viscosity = float(water.density(water_c)), float(water.viscosity(water_c))
    with tempfile.TemporaryDirectory() as folder:
        p = en.createproject()
        en.init(p, str(Path(folder) / "report"), "", en.CMH, en.DW)
        en.setflowunits(p, en.CMH)
        en.setoption(p, en.HEADLOSSFORM, en.DW)
        en.setoption(p, en.SP_VISCOS, viscosity / density / (1.1e-5 * FT2_S))
        en.setoption(p, en.ACCURACY, accuracy)
        en.setoption(p, en.HEADERROR, head_error_m)
        en.setoption(p, en.TRIALS, 500)
        inside = _driven_part(net)
        names = {n.name: f"n{i}" for i, n in enumerate(net.nodes) if n.name in inside}
        for name in names.values():
            en.addnode(p, name, en.JUNCTION)
        fixed = en.addnode(p, "fixed", en.RESERVOIR)
        en.setnodevalue(p, fixed, en.ELEVATION, 100.0)
        tie = en.addlink(p, "tie", en.PIPE, "fixed", next(iter(names.values())))
        en.setpipedata(p, tie, 1.0, 300.0, 0.01, 0.0)
        for i, x in enumerate(net.links):
            if x.shut or x.tail not in inside:
                continue
            tail = names[x.tail]
            if x.curve is not None:
                tail = f"c{i}"
                en.addnode(p, tail, en.JUNCTION)
                pump = en.addlink(p, f"u{i}", en.PUMP, names[x.tail], tail)
                en.addcurve(p, f"k{i}")
                at = en.getcurveindex(p, f"k{i}")
                rows = [(3600.0 * q, h / (WATER_4C * G)) for q, h in x.curve.points]
                for row, (flow, head) in enumerate(rows, start=1):
                    en.setcurvevalue(p, at, row, flow, head)
                en.setheadcurveindex(p, pump, at)
                en.setlinkvalue(p, pump, en.INITSETTING, x.curve.speed)
            en.addlink(p, _id(i), en.CVPIPE if x.one_way else en.PIPE, tail, names[x.head])
            at = en.getlinkindex(p, _id(i))
            en.setpipedata(p, at, max(x.length_m, 0.01), 1e3 * x.bore_m, 1e3 * x.roughness_m, total_k(x, density))
        en.openH(p)
        try:
            yield EpanetNet(p, net, density, inside)
        finally:
            en.closeH(p)
            en.deleteproject(p)
