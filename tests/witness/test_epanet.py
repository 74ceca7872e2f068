"""The net solver against EPANET 2.3 (public domain, US EPA) on random looped nets.

Both use Darcy and Weisbach. EPANET's friction is the explicit form of Swamee and Jain above Re 4000 and a cubic of its
own between Re 2000 and 4000. In smooth tube that form is up to 3 % off Colebrook, so the tube here is rough
(galvanised) and the circulators are strong: flows then agree to 0.5 %. For links that carry less than a tenth of the
largest flow the allowance is 0.05 % of that largest flow, since a small flow between two nodes of nearly equal pressure
shows the friction of the whole net magnified.
"""

import math
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from epanet import toolkit as en

from wetside.basis.quantity import WATER_4C, G
from wetside.fluid.water import liquid
from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import solve

FILL_C = 60.0
RHO, MU = liquid().density(FILL_C), liquid().viscosity(FILL_C)
BORES = (0.0136, 0.0202, 0.0262, 0.0326)


def looped(seed: int, nodes: int, links: int) -> Net:
    """A ring with chords, every eighth tube of the ring with a circulator, no heat."""
    r = random.Random(seed)
    names = [f"n{i}" for i in range(nodes)]
    pairs = [(names[i], names[(i + 1) % nodes]) for i in range(nodes)]
    while len(pairs) < links:
        a, b = r.sample(names, 2)
        pairs.append((a, b))
    found = [
        NetLink(name=f"p{i}", tail=a, head=b, length_m=r.uniform(1.0, 15.0), bore_m=r.choice(BORES),
                roughness_m=1.52e-4, k=r.uniform(0.0, 10.0))
        for i, (a, b) in enumerate(pairs)
    ]  # fmt: skip
    for i in range(0, nodes, 8):
        found[i] = replace(found[i], bore_m=BORES[-1], curve=parabola(r))
    return Net(nodes=tuple(NetNode(name=n) for n in names), links=tuple(found), fill_c=FILL_C)


def parabola(r: random.Random) -> Curve:
    """Head 4/3 h − h/3 (q/q0)²: what EPANET makes of a single point (q0, h), here by many points."""
    h, q0 = r.uniform(15.0, 40.0), r.uniform(2.0, 5.0) / 3600.0
    heads = ((q0 * x, WATER_4C * G * h * (4.0 - x * x) / 3.0) for x in np.linspace(0.0, 2.0, 81))
    return Curve(name=f"{h:.6f} {q0 * 3600.0:.9f}", points=tuple(heads))


def by_epanet(net: Net, folder: Path) -> dict[str, float]:
    """Flow of each link, m3/s."""
    project = en.createproject()
    en.init(project, str(folder / "report"), "", en.CMH, en.DW)
    en.setflowunits(project, en.CMH)
    en.setoption(project, en.HEADLOSSFORM, en.DW)
    en.setoption(project, en.SP_VISCOS, MU / RHO / (1.1e-5 * 0.3048**2))  # relative to 1.1e-5 ft2/s
    en.setoption(project, en.ACCURACY, 1e-8)
    en.setoption(project, en.HEADERROR, 1e-7)
    en.setoption(project, en.TRIALS, 200)
    for node in net.nodes:
        en.addnode(project, node.name, en.JUNCTION)
    # EPANET needs a fixed head somewhere: a reservoir that nothing flows out of
    at = en.addnode(project, "fixed", en.RESERVOIR)
    en.setnodevalue(project, at, en.ELEVATION, 100.0)
    tie = en.addlink(project, "tie", en.PIPE, "fixed", net.nodes[0].name)
    en.setpipedata(project, tie, 1.0, 300.0, 0.01, 0.0)
    for link in net.links:
        tail = link.tail
        if link.curve is not None:
            tail = f"{link.name}i"
            en.addnode(project, tail, en.JUNCTION)
            pump = en.addlink(project, f"{link.name}u", en.PUMP, link.tail, tail)
            head, flow = link.curve.name.split()
            en.addcurve(project, f"c{link.name}")
            en.setcurvevalue(project, en.getcurveindex(project, f"c{link.name}"), 1, float(flow), float(head))
            en.setheadcurveindex(project, pump, en.getcurveindex(project, f"c{link.name}"))
        pipe = en.addlink(project, link.name, en.PIPE, tail, link.head)
        en.setpipedata(project, pipe, link.length_m, 1e3 * link.bore_m, 1e3 * link.roughness_m, link.k)
    en.openH(project)
    en.initH(project, en.INITFLOW)
    en.runH(project)
    flows = {x.name: en.getlinkvalue(project, en.getlinkindex(project, x.name), en.FLOW) / 3600.0 for x in net.links}
    en.closeH(project)
    en.deleteproject(project)
    return flows


@pytest.mark.parametrize(
    ("seed", "nodes", "links"), [(1, 4, 6), (2, 6, 9), (3, 9, 14), (4, 12, 20), (5, 20, 30), (6, 40, 60), (7, 30, 34)]
)
def test_same_flows(seed: int, nodes: int, links: int, tmp_path: Path) -> None:
    net = looped(seed, nodes, links)
    ours = {x.name: float(m) / RHO for x, m in zip(net.links, solve(net).flow_kg_s, strict=True)}
    theirs = by_epanet(net, tmp_path)
    largest = max(map(abs, theirs.values()))
    assert largest > 1e-5
    wrong = {n: (q, theirs[n]) for n, q in ours.items() if abs(q - theirs[n]) > 0.005 * max(abs(q), 0.1 * largest)}
    assert not wrong
    assert math.isfinite(sum(ours.values()))
