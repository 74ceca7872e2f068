"""The net solver against pandapipes (BSD) on random looped nets: the same Colebrook, another solver.

Both are given one density and one viscosity. pandapipes takes flow as turbulent at every Reynolds number, so only links
above Re 4000 are compared; the circulators are strong enough for nearly all of them to be. Flows agree to 0.5 %, or to
0.05 % of the largest flow where a link carries less than a tenth of that.
"""

import random
import warnings

import numpy as np
import pytest

from wetside.fluid.water import liquid
from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import solve

# no part of the test environment: it asks for an older scipy than ours; where the bench runs, it is there
pp = pytest.importorskip("pandapipes")

FILL_C = 60.0
RHO, MU = liquid().density(FILL_C), liquid().viscosity(FILL_C)
BORES = (0.0136, 0.0202, 0.0262, 0.0326)


def looped(seed: int, nodes: int, chords: int) -> tuple[Net, float]:
    """A ring with chords, fed at one node and drained at the next by a circulator of constant pressure."""
    r = random.Random(seed)
    lift = r.uniform(4e5, 12e5)
    pairs = [(i, i + 1) for i in range(nodes - 1)] + [tuple(r.sample(range(nodes), 2)) for _ in range(chords)]
    links = [
        NetLink(name=f"p{k}", tail=f"n{a}", head=f"n{b}", length_m=r.uniform(1.0, 15.0), bore_m=r.choice(BORES),
                roughness_m=r.choice((7e-6, 4.6e-5, 1.5e-4)), k=r.uniform(0.0, 10.0))
        for k, (a, b) in enumerate(pairs)
    ]  # fmt: skip
    # a curve is stated with cold water: what it adds follows the density
    pump = Curve(name="P", points=((0.0, lift * 999.972 / RHO),))
    links.append(NetLink(name="pump", tail=f"n{nodes - 1}", head="n0", curve=pump))
    return Net(nodes=tuple(NetNode(name=f"n{i}") for i in range(nodes)), links=tuple(links), fill_c=FILL_C), lift


def by_pandapipes(net: Net, lift: float) -> np.ndarray:
    """Flow of every tube, kg/s."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its own libraries
        p = pp.create_empty_network()
        alike = {"density": RHO, "viscosity": MU, "heat_capacity": 4180.0}
        pp.create_fluid_from_lib(p, "water", overwrite=True)
        for name, value in alike.items():
            p.fluid.add_property(name, pp.FluidPropertyConstant(value), overwrite=True, warn_on_duplicates=False)
        at = {n.name: pp.create_junction(p, pn_bar=3.0, tfluid_k=273.15 + FILL_C) for n in net.nodes}
        for x in net.links[:-1]:
            pp.create_pipe_from_parameters(
                p, at[x.tail], at[x.head], length_km=x.length_m / 1e3, inner_diameter_mm=1e3 * x.bore_m,
                k_mm=1e3 * x.roughness_m, loss_coefficient=x.k,
            )  # fmt: skip
        pump = net.links[-1]
        pp.create_circ_pump_const_pressure(
            p, at[pump.tail], at[pump.head], p_flow_bar=5.0, plift_bar=lift / 1e5, t_flow_k=273.15 + FILL_C
        )
        pp.pipeflow(p, friction_model="colebrook", max_iter_hyd=200, max_iter_colebrook=100, tol_m=1e-8, tol_p=1e-8,
                    use_numba=False)  # fmt: skip
    return p.res_pipe["mdot_from_kg_per_s"].to_numpy()


@pytest.mark.parametrize("seed", range(8))
def test_same_flows(seed: int) -> None:
    net, lift = looped(seed, 6 + 3 * (seed % 5), 4 + 2 * (seed % 4))
    s = solve(net)
    theirs = by_pandapipes(net, lift)
    ours = s.flow_kg_s[:-1]
    bore = np.array([x.bore_m for x in net.links[:-1]])
    turbulent = 4.0 * np.abs(ours) / (np.pi * bore * MU) > 4000.0
    assert np.mean(turbulent) > 0.8
    most = float(np.max(np.abs(theirs)))
    allowed = np.where(np.abs(theirs) > 0.1 * most, 0.005 * np.abs(theirs), 5e-4 * most)
    assert np.all(np.abs(ours - theirs)[turbulent] < allowed[turbulent])
