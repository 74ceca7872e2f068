"""A net solved from the answer to another one: sooner, and no other answer."""

import random
from dataclasses import replace

import numpy as np
import pytest
from nets import closes
from randomnets import random_net

from wetside.basis.errors import NoSolution
from wetside.network.net import Net
from wetside.network.solve import solve


def changed(net: Net, seed: int) -> Net:
    """One link shut, another narrowed, the boiler set otherwise."""
    r = random.Random(seed)
    links = list(net.links)
    i, j = r.sample([k for k, x in enumerate(links) if x.curve is None and x.source is None], 2)
    links[i] = replace(links[i], shut=not links[i].shut)
    links[j] = replace(links[j], kv_m3_h=r.uniform(0.05, 2.0))
    for k, x in enumerate(links):
        if x.source is not None:
            links[k] = replace(x, source=replace(x.source, flow_c=r.uniform(40.0, 80.0)))
    return replace(net, links=tuple(links))


@pytest.mark.parametrize("seed", range(60))
def test_no_other_answer(seed: int) -> None:
    net = random_net(seed, 3 + seed % 9, loops=seed % 4, wild=0.3 if seed % 3 else 0.0)
    other = changed(net, seed)
    cold, warm = solve(other), solve(other, start=solve(net))
    closes(other, warm)
    most = float(np.max(np.abs(cold.flow_kg_s), initial=1e-6))
    assert warm.flow_kg_s == pytest.approx(cold.flow_kg_s, abs=1e-5 * most)
    passes = np.abs(cold.flow_kg_s) > 1e-3 * most
    assert warm.tail_c[passes] == pytest.approx(cold.tail_c[passes], abs=1e-3)


def test_the_same_net_takes_hardly_a_step() -> None:
    net = random_net(7, 12, loops=3)
    first = solve(net)
    assert first.iterations > 6
    assert 2 * solve(net, start=first).iterations <= first.iterations


def test_a_start_from_far_off_is_given_up() -> None:
    """Flows a hundred times too large and temperatures from nowhere lead to the same answer."""
    net = random_net(7, 12, loops=3)
    first = solve(net)
    wild = replace(
        first, flow_kg_s=-100.0 * first.flow_kg_s, tail_c=first.tail_c - 300.0, head_c=first.head_c + 400.0
    )  # fmt: skip
    assert solve(net, start=wild).flow_kg_s == pytest.approx(first.flow_kg_s, abs=1e-7)


def test_a_net_that_has_no_answer_has_none_from_a_start_either() -> None:
    net = random_net(7, 12, loops=3)
    first = solve(net)
    with pytest.raises(NoSolution) as stuck:
        solve(net, start=first, most_steps=0)
    assert stuck.value.cause
