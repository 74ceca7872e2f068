"""The compiled solver against EPANET 2.3 (public domain, US EPA) on invented buildings, under the same friction law.

EPANET rounds the constant of its losses, 8/(π² g), to 0.02517 s²/ft; with every loss here scaled by as much, and Swamee
and Jain's friction on both sides, flows agree to 2e-4 in every tube that carries a hundredth of the median flow (in
looped nets, where a small flow between nodes of nearly equal pressure shows what is left magnified, to 2e-4 of that
median besides).
"""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("numba")
sys.path.insert(0, str(Path(__file__).parents[2] / "bench"))

from buildings import building
from epanet_arrays import epanet_arrays
from network import EPANET_G
from wetside.network.core import Aim, CoreNet, solve_arrays
from wetside.network.core_math import SWAMEE_JAIN
from wetside.network.core_net import ArrayNet, numbers

AIM = Aim(head_pa=1e-3, head_accepted_pa=1.0).numbers()


def both(net: ArrayNet) -> tuple[np.ndarray, np.ndarray]:
    n = numbers(net)
    n.length[:], n.k[:], n.inverse_kv2[:] = EPANET_G * n.length, EPANET_G * n.k, EPANET_G * n.inverse_kv2
    core = CoreNet.of(n)
    assert core.solve(AIM, law=SWAMEE_JAIN).settled
    with epanet_arrays(net, accuracy=1e-7, head_error_m=1e-6) as other:
        other.solve()
        his = other.flows()
    mine = core.answer().flow_kg_s
    flows = np.abs(his) > 0.01 * np.median(np.abs(his))
    return mine[flows], his[flows]


@pytest.mark.parametrize("topology", ["direct", "reverse", "looped"])
@pytest.mark.parametrize("emitters", [7, 60, 700])
def test_flows(topology: str, emitters: int) -> None:
    mine, his = both(building(emitters, topology, seed=emitters, heat=False))
    beside = 2e-4 * float(np.median(np.abs(his))) if topology == "looped" else 0.0
    assert mine == pytest.approx(his, rel=2e-4, abs=beside)


@pytest.mark.parametrize("seed", [1, 2])
def test_flows_with_valves_shut(seed: int) -> None:
    """Thirty of a hundred valves shut as K = 1e12: where a test on flows alone stops thousands of Pa too early."""
    net = building(300, "direct", seed=seed, heat=False)
    kv = np.asarray(net.kv_m3_h)
    k = np.array(np.broadcast_to(net.k, kv.size))
    k[np.random.default_rng(seed).choice(np.flatnonzero(np.isfinite(kv)), 90, replace=False)] = 1e12
    shut = replace(net, k=k)
    mine, his = both(shut)
    assert mine == pytest.approx(his, rel=1e-3)
    assert solve_arrays(shut, aim=Aim(head_pa=1.0, head_accepted_pa=1.0)).residuals.head_pa < 1.0


@pytest.mark.parametrize("topology", ["direct", "reverse", "looped"])
def test_energy_closes(topology: str) -> None:
    s = solve_arrays(building(200, topology, features=True))
    assert s.energy_residual < 1e-9
    assert float(np.sum(s.given_w + s.loss_w)) == pytest.approx(0.0, abs=1e-6 * float(np.sum(np.abs(s.given_w))))
