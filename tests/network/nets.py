"""Nets by hand, and what must hold for any answer."""

from typing import Any

import numpy as np
import pytest

from wetside.network.net import Curve, Net, NetLink, NetNode, Rating, Source
from wetside.network.solve import Solution

P = Curve(name="P", points=((0.0, 4.0e4), (0.3e-3, 2.5e4), (0.6e-3, 5e3)))
BOILER = Source(name="boiler", flow_c=70.0, output_w=20e3)


def link(name: str, tail: str, head: str, **more: Any) -> NetLink:
    return NetLink(name=name, tail=tail, head=head, **more)


def N(links: list[NetLink], heights: dict[str, float] | None = None, **more: Any) -> Net:
    names = sorted({n for x in links for n in (x.tail, x.head)})
    at = heights or {}
    return Net(nodes=tuple(NetNode(name=n, height_m=at.get(n, 0.0)) for n in names), links=tuple(links), **more)


def radiator(name: str, watts: float = 1500.0, room: str = "", **more: Any) -> Rating:
    return Rating(name=name, rated_w=watts, rated_excess_k=50.0, exponent=1.3, room_c=20.0, room=room, **more)


def at(net: Net, name: str) -> int:
    return [x.name for x in net.links].index(name)


def flow(net: Net, s: Solution, name: str) -> float:
    return float(s.flow_kg_s[at(net, name)])


def warm(net: Net, s: Solution, node: str) -> float:
    return float(s.temperature_c[[x.name for x in net.nodes].index(node)])


def closes(net: Net, s: Solution) -> None:
    """Mass at every node, pressure around every loop, heat as a whole; told by the answer itself."""
    index = {x.name: i for i, x in enumerate(net.nodes)}
    mass = np.zeros(len(net.nodes))
    for x, m in zip(net.links, s.flow_kg_s, strict=True):
        mass[index[x.tail]] -= m
        mass[index[x.head]] += m
    assert np.max(np.abs(mass)) < 1e-9
    assert s.residuals.head_pa < 1.0
    assert s.energy_residual < 1e-6
    moved = float(np.sum(np.abs(s.given_w + s.loss_w)))
    assert float(np.sum(s.given_w + s.loss_w)) == pytest.approx(0.0, abs=1e-6 * max(moved, 1.0))
    for r, t in zip(net.rooms, s.rooms_c, strict=True):
        others = {n.name: float(c) for n, c in zip(net.rooms, s.rooms_c, strict=True)}
        out = sum(w * (t - c) for w, c in r.fixed) + sum(w * (t - others[n]) for n, w in r.links)
        out += sum(w * (t - others[n.name]) for n in net.rooms for x, w in n.links if x == r.name)
        given = sum(float(s.given_w[i]) for i, x in enumerate(net.links) if x.rating and x.rating.room == r.name)
        lost = sum(float(s.loss_w[i]) for i, x in enumerate(net.links) if x.room == r.name)
        assert out == pytest.approx(given + lost + r.gains_w, abs=1e-6 * max(moved, 1.0))
