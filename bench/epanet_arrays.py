"""An `ArrayNet` handed to EPANET 2.3 by an input file, for timing and for comparing flows. Flows only: no heat."""

import contextlib
import math
import tempfile
import time
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from epanet import toolkit as en

from wetside.basis.quantity import WATER_4C, G
from wetside.fluid.water import liquid
from wetside.network.core_net import ArrayNet, numbers

FT2_S = 0.3048**2


@dataclass
class EpanetArrays:
    """An open project; seconds that opening and its ordering took."""

    project: Any
    links: int
    density: float
    open_s: float
    order_s: float

    def solve(self) -> float:
        """One cold solve; seconds it took."""
        begin = time.perf_counter()
        en.initH(self.project, en.INITFLOW)
        en.runH(self.project)
        return time.perf_counter() - begin

    def set_k(self, link: int, k: float) -> None:
        en.setlinkvalue(self.project, en.getlinkindex(self.project, f"p{link}"), en.MINORLOSS, k)

    @property
    def iterations(self) -> int:
        return int(en.getstatistic(self.project, en.ITERATIONS))

    @property
    def head_error_pa(self) -> float:
        return float(en.getstatistic(self.project, en.MAXHEADERROR)) * self.density * G

    def flows(self) -> np.ndarray:
        """kg/s of each link."""
        p = self.project
        first = en.getlinkindex(p, "p0")
        found = [en.getlinkvalue(p, first + i, en.FLOW) for i in range(self.links)]
        return np.array(found) / 3600.0 * self.density


def link_k(net: ArrayNet) -> np.ndarray:
    """Loss coefficient of everything in each link but its tube, thermostatic valves as they stand."""
    n = numbers(net)
    area = math.pi / 4.0 * n.bore**2
    return n.k + 2e5 * (3600.0 * area) ** 2 * n.inverse_kv2 / 1000.0


@contextlib.contextmanager
def epanet_arrays(net: ArrayNet, *, accuracy: float = 1e-5, head_error_m: float = 1e-4) -> Iterator[EpanetArrays]:
    """Open a net with the water's properties at its fill temperature.

    :param head_error_m: 1e-4 m is 1 Pa, the error in head that is demanded of both sides
    """
    n = numbers(net)
    water = liquid()
    rho, mu = float(water.density(net.fill_c)), float(water.viscosity(net.fill_c))
    pumps = {int(i): c for i, c in zip(n.pump_link, n.curves, strict=True)}
    k = link_k(net)
    rows = ["[JUNCTIONS]", *(f"n{i} 0 0" for i in range(n.nodes)), *(f"u{i} 0 0" for i in pumps)]
    rows += ["[RESERVOIRS]", "fixed 100", "[PIPES]"]
    for i in range(n.tail.size):
        tail = f"u{i}" if i in pumps else f"n{n.tail[i]}"
        state = "CV" if n.one_way[i] else "OPEN"
        rows.append(
            f"p{i} {tail} n{n.head[i]} {max(n.length[i], 0.01):.9g} {1e3 * n.bore[i]:.9g} {1e3 * n.roughness[i]:.9g} "
            f"{k[i]:.12g} {state}"
        )
    rows += ["tie fixed n0 1 300 0.01 0 OPEN", "[PUMPS]"]
    rows += [f"c{i} n{n.tail[i]} u{i} HEAD k{i}" for i in pumps]
    rows.append("[CURVES]")
    for i, c in pumps.items():
        rows += [f"k{i} {3600.0 * q * c.speed:.9g} {h * c.speed**2 / (WATER_4C * G):.9g}" for q, h in c.points]
    rows += [
        "[OPTIONS]", "UNITS CMH", "HEADLOSS D-W", f"VISCOSITY {mu / rho / (1.1e-5 * FT2_S):.9g}",
        f"ACCURACY {accuracy:g}", f"HEADERROR {head_error_m:g}", "TRIALS 500", "UNBALANCED STOP", "QUALITY NONE",
        "[TIMES]", "DURATION 0", "[REPORT]", "STATUS NO", "SUMMARY NO", "[END]",
    ]  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "net.inp"
        file.write_text("\n".join(rows))
        del rows
        p = en.createproject()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            begin = time.perf_counter()
            en.open(p, str(file), str(Path(folder) / "report"), "")
            opened = time.perf_counter() - begin
            begin = time.perf_counter()
            en.openH(p)
            ordered = time.perf_counter() - begin
            try:
                yield EpanetArrays(p, n.tail.size, rho, opened, ordered)
            finally:
                en.closeH(p)
                en.deleteproject(p)
