"""What must hold for any net at all."""

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from randomnets import random_net, tube

from wetside.network.net import Curve, Net, NetLink, NetNode
from wetside.network.solve import Solution, solve

SEEDS = st.integers(0, 100_000)
SIZES = st.sampled_from([1, 2, 4, 8])


def by_name(net: Net, values: np.ndarray) -> dict[str, float]:
    return {x.name: float(v) for x, v in zip(net.links, values, strict=True)}


def same(a: dict[str, float], b: dict[str, float], within: float = 1e-9) -> None:
    largest = max(map(abs, a.values()), default=0.0)
    for name, value in a.items():
        assert b[name] == pytest.approx(value, rel=within, abs=within * max(largest, 1e-3))


def closes(net: Net, s: Solution) -> None:
    """Pressure on every link, mass and heat at every node; told by the answer itself, not by the solver."""
    index = {x.name: i for i, x in enumerate(net.nodes)}
    mass = np.zeros(len(net.nodes))
    for link, m in zip(net.links, s.flow_kg_s, strict=True):
        mass[index[link.tail]] -= m
        mass[index[link.head]] += m
    assert np.max(np.abs(mass)) < 1e-9
    assert s.residuals.head_pa < 0.1
    assert s.energy_residual < 1e-6
    moved = float(np.sum(np.abs(s.given_w + s.loss_w)))
    assert float(np.sum(s.given_w + s.loss_w)) == pytest.approx(0.0, abs=1e-6 * max(moved, 1.0))


@given(SEEDS, SIZES)
def test_balances_close(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.3)
    closes(net, solve(net))


@settings(max_examples=15)
@given(SEEDS, st.integers(10, 120))
def test_large_nets_converge(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 4, wild=0.2)
    closes(net, solve(net))


@settings(max_examples=40)
@given(SEEDS, SIZES)
def test_with_heights_and_loops_converges(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.2, heights=True)
    closes(net, solve(net))


@settings(max_examples=30)
@given(SEEDS, SIZES)
def test_a_pumped_house_with_heights_converges(seed: int, size: int) -> None:
    net = random_net(seed, size, heights=True)
    closes(net, solve(net))


@given(SEEDS, SIZES)
def test_order_and_names_do_not_matter(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.1)
    r = random.Random(seed)
    renamed = {x.name: f"n{i}" for i, x in enumerate(net.nodes)}
    links = [replace(x, tail=renamed[x.tail], head=renamed[x.head]) for x in net.links]
    nodes = [replace(x, name=renamed[x.name]) for x in net.nodes]
    r.shuffle(links)
    r.shuffle(nodes)
    other = replace(net, nodes=tuple(nodes), links=tuple(links))
    a, b = solve(net), solve(other)
    same(by_name(net, a.flow_kg_s), by_name(other, b.flow_kg_s))
    same(by_name(net, a.given_w), by_name(other, b.given_w), 1e-7)


@given(SEEDS, SIZES)
def test_turning_a_link_round_flips_its_sign_only(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2)
    r = random.Random(seed)
    turned = {x.name for x in net.links if x.curve is None and not x.one_way and r.random() < 0.5}
    links = [replace(x, tail=x.head, head=x.tail) if x.name in turned else x for x in net.links]
    other = replace(net, links=tuple(links))
    a, b = by_name(net, solve(net).flow_kg_s), by_name(other, solve(other).flow_kg_s)
    same(a, {n: -v if n in turned else v for n, v in b.items()})


@given(SEEDS, SIZES)
def test_a_shut_link_changes_nothing(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.1)
    r = random.Random(seed)
    ends = r.sample([x.name for x in net.nodes], 2)
    more = replace(net, links=(*net.links, replace(tube(r, "shut", *ends), shut=True)))
    same(by_name(net, solve(net).flow_kg_s), by_name(more, solve(more).flow_kg_s))


@given(SEEDS, SIZES)
def test_a_dead_end_changes_nothing_and_stands(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.1)
    r = random.Random(seed)
    node = replace(net.nodes[0], name="cap")
    dead = tube(r, "dead", r.choice(net.nodes).name, "cap")
    more = replace(net, nodes=(*net.nodes, node), links=(*net.links, dead))
    got = by_name(more, solve(more).flow_kg_s)
    assert got["dead"] == 0.0
    same(by_name(net, solve(net).flow_kg_s), got)


@given(SEEDS, SIZES)
def test_a_tube_cut_in_two_is_the_same_tube(seed: int, size: int) -> None:
    """Without heat, where the water is the same all along."""
    net = random_net(seed, size, loops=size // 2)
    bare = [replace(x, source=None, rating=None, loss_w_mk=0.0) for x in net.links]
    first = replace(bare[0], name="half", head="middle", length_m=bare[0].length_m / 2, k=0.0, kv_m3_h=None, curve=None)
    second = replace(bare[0], tail="middle", length_m=bare[0].length_m / 2)
    whole = replace(net, links=tuple(bare))
    cut = replace(net, nodes=(*net.nodes, replace(net.nodes[0], name="middle")), links=(first, second, *bare[1:]))
    same(by_name(whole, solve(whole).flow_kg_s), by_name(cut, solve(cut).flow_kg_s), 1e-6)


@given(SEEDS, SIZES, st.floats(0.5, 3.0))
def test_scaling(seed: int, size: int, factor: float) -> None:
    """Valves only: heads times f² and nothing else gives flows times f (the square law), cold all over."""
    net = random_net(seed, size)
    links = []
    for x in net.links:
        x = replace(x, length_m=0.0, k=0.0, kv_m3_h=x.kv_m3_h or 1.0, source=None, rating=None, loss_w_mk=0.0)
        if x.curve is not None:
            x = replace(x, curve=replace(x.curve, points=((0.0, 3e4),), speed=1.0))
        links.append(x)
    base = replace(net, links=tuple(links))
    scaled = [
        replace(x, curve=replace(x.curve, points=((0.0, 3e4 * factor**2),))) if x.curve is not None else x
        for x in links
    ]
    other = replace(net, links=tuple(scaled))
    a, b = by_name(base, solve(base).flow_kg_s), by_name(other, solve(other).flow_kg_s)
    same({n: v * factor for n, v in a.items()}, b, 1e-3)


@given(SEEDS, SIZES)
def test_no_water_is_hotter_than_the_hottest_source_or_colder_than_the_coldest_place(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.3)
    s = solve(net)
    levels = [net.fill_c, *(x.ambient_c for x in net.links)]
    levels += [x.source.flow_c for x in net.links if x.source] + [x.rating.room_c for x in net.links if x.rating]
    levels += [x.coil.store_c for x in net.links if x.coil]
    assert np.all(s.temperature_c <= max(levels) + 1e-6)
    assert np.all(s.temperature_c >= min(levels) - 1e-6)


@given(SEEDS, SIZES)
def test_check_valves_let_nothing_back(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size, wild=0.6)
    s = solve(net)
    for x, m in zip(net.links, s.flow_kg_s, strict=True):
        assert not x.one_way or m >= 0.0
        assert not x.shut or m == 0.0


@pytest.mark.parametrize("lift", [1e5, 1e6, 1e7])
def test_great_pressures_leave_no_water_out_of_balance(lift: float) -> None:
    """Beside a circulator's link without any resistance, rounding of the pressures alone is more than is allowed."""

    def tube(name: str, a: int, b: int) -> NetLink:
        return NetLink(name=name, tail=f"n{a}", head=f"n{b}", length_m=3.0, bore_m=0.0262)

    links = [tube(f"p{i}", i, i + 1) for i in range(5)] + [tube("across", 0, 5), tube("over", 1, 4)]
    pump = NetLink(name="pump", tail="n5", head="n0", curve=Curve(name="P", points=((0.0, lift),)))
    net = Net(nodes=tuple(NetNode(name=f"n{i}") for i in range(6)), links=(*links, pump))
    s = solve(net)
    closes(net, s)
    assert s.residuals.mass_kg_s < 1e-9
