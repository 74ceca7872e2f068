"""A net as columns of numbers, checked."""

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import cast

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.record import record
from wetside.network.curve import Curves, rises
from wetside.network.net import Net, NetLink, Regulation

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@record(kw_only=False)
class Columns:
    """One entry per link, in the net's order; `rated`, `sources`, `coils`, `curves` index the links that have one."""

    tail: list[int]
    head: list[int]
    length: Floats
    bore: Floats
    roughness: Floats
    k: Floats
    inverse_kv2: Floats
    extra: Floats
    loss: Floats
    ambient: Floats
    rise: Floats
    """Height of the head over the tail."""
    one_way: NDArray[np.bool_]
    shut: NDArray[np.bool_]
    rated: Ints
    sources: Ints
    coils: Ints
    curves: Ints
    opens: Floats
    """Pressure that opens a one-way link and stays lost in it."""
    steep: Floats
    """Pressure per flow that it loses besides."""
    thermostats: Ints
    exchangers: Ints
    temperatures: tuple[float, float]
    """No water in the net can settle outside of these."""


def total(index: Ints, weights: Floats, n: int) -> Floats:
    """Sum of the weights that fall on each of `n` indices."""
    # without weights it counts, and its stub knows only of that
    return cast("Floats", np.bincount(index, weights, n))


def listed(index: Ints) -> list[int]:
    return [int(i) for i in index]


def largest(values: Floats) -> float:
    """Largest magnitude; 0 of nothing."""
    return float(np.abs(values).max(initial=0.0))


def curves_of(net: Net, links: Iterable[int]) -> Curves:
    """The circulator curves in these links."""
    return Curves(c for i in links if (c := net.links[i].curve) is not None)


def check(net: Net) -> None:
    """:raises JobProblem: every unknown name, doubled name and impossible number in the net"""
    mistakes = MistakeList()
    nodes: set[str] = set()
    for node in net.nodes:
        if node.name in nodes:
            mistakes.add("node", node.name, "name", f'two nodes are called "{node.name}"', "give one another name")
        nodes.add(node.name)
        if not math.isfinite(node.height_m):
            mistakes.add("node", node.name, "height", "its height is not a number", "give it in metres")
    names: set[str] = set()
    for link in net.links:
        if link.name in names:
            mistakes.add("link", link.name, "name", f'two links are called "{link.name}"', "give one another name")
        names.add(link.name)
        for field, end in (("tail", link.tail), ("head", link.head)):
            if end not in nodes:
                mistakes.add("link", link.name, field, f'no node is called "{end}"', nearest(end, nodes))
        for field, value, wrong in _numbers(link):
            if wrong:
                mistakes.add("link", link.name, field, f"{value:g} can't be", "give a number that can be")
        if sum(x is not None for x in (link.curve, link.source, link.coil, link.rating, link.exchanger)) > 1:
            mistakes.add(
                "link", link.name, "", "it holds more than one of circulator, source, coil, rating and exchanger",
                "put them into links in series",
            )  # fmt: skip
        if link.curve is not None:
            _check_curve(link, mistakes)
    check_joins(net, nodes, names, mistakes)
    mistakes.raise_if_any()


def _numbers(link: NetLink) -> list[tuple[str, float, bool]]:
    """Field, value, and whether it is wrong (a comparison with NaN is never true)."""
    rows = [
        ("length", link.length_m, not 0.0 <= link.length_m < math.inf),
        ("bore", link.bore_m, not 0.0 < link.bore_m < math.inf),
        ("roughness", link.roughness_m, not 0.0 <= link.roughness_m < link.bore_m),
        ("k", link.k, not 0.0 <= link.k < math.inf),
        ("extra", link.extra_m, not 0.0 <= link.extra_m < math.inf),
        ("loss", link.loss_w_mk, not 0.0 <= link.loss_w_mk < math.inf),
        ("ambient", link.ambient_c, not math.isfinite(link.ambient_c)),
        ("opens", link.opens_pa, not 0.0 <= link.opens_pa < math.inf),
        ("steep", link.steep_pa_s_kg, not 0.0 <= link.steep_pa_s_kg < math.inf),
    ]
    if link.kv_m3_h is not None:
        rows.append(("kv", link.kv_m3_h, not 0.0 < link.kv_m3_h < math.inf))
    if (s := link.source) is not None:
        rows += [("flow_c", s.flow_c, not math.isfinite(s.flow_c)), ("output", s.output_w, not s.output_w >= 0.0)]
    if (c := link.coil) is not None:
        rows += [("store", c.store_c, not math.isfinite(c.store_c)), ("coil", c.coil_w_k, not c.coil_w_k >= 0.0)]
    if (r := link.rating) is not None:
        rows += [
            ("rated", r.rated_w, not 0.0 < r.rated_w < math.inf),
            ("rated excess", r.rated_excess_k, not 0.0 < r.rated_excess_k < math.inf),
            ("exponent", r.exponent, not 1.0 <= r.exponent < 3.0),
            ("room", r.room_c, not math.isfinite(r.room_c)),
        ]
    if (v := link.thermostat) is not None:
        rows += [
            ("thermostat", v.set_c, not math.isfinite(v.set_c)),
            ("thermostat", v.band_k, not 0.01 <= v.band_k < math.inf),
            ("thermostat", v.kv_m3_h, not 0.0 < v.kv_m3_h < math.inf),
        ]
    if (e := link.exchanger) is not None:
        rows.append(("exchanger", e.w_k, not 0.0 <= e.w_k < math.inf))
    return rows


def _check_curve(link: NetLink, mistakes: MistakeList) -> None:
    curve = link.curve
    assert curve is not None
    flows, heads = [q for q, _ in curve.points], [h for _, h in curve.points]
    sound = bool(flows or curve.terms) and all(
        map(math.isfinite, (*flows, *heads, *curve.terms, curve.speed, curve.set_pa))
    )
    if not sound or curve.speed < 0.0 or len(curve.terms) > 4 or (curve.terms and curve.points):
        wrong = "its curve has no points, or numbers that can't be"
        mistakes.add("circulator", curve.name, "curve", wrong, "give points of flow and head, flow ascending")
        return
    if curve.regulation is not Regulation.FIXED and curve.set_pa <= 0.0:
        wrong = f"it is to hold a {curve.regulation.value.split()[0]} pressure, but which is not said"
        mistakes.add("circulator", curve.name, "set", wrong, "give the head that it is set to")
    if curve.terms and (curve.terms[0] < 0.0 or rises(curve.terms)):
        mistakes.add(
            "circulator", curve.name, "terms", "its head rises with flow", "give terms whose head falls as flow grows"
        )
    if flows and (flows[0] < 0.0 or any(b <= a for a, b in pairwise(flows))):
        mistakes.add("circulator", curve.name, "curve", "its flows do not ascend", "list its points by rising flow")
    if any(b > a for a, b in pairwise(heads)):
        mistakes.add(
            "circulator", curve.name, "curve", "its head rises with flow", "leave out the points where the head rises"
        )


def check_joins(net: Net, nodes: set[str], links: set[str], mistakes: MistakeList) -> None:
    """Names and numbers of what joins several links."""
    by_name = {x.name: x for x in net.links}

    def known(kind: str, name: str, field: str, wanted: str, among: set[str], what: str) -> bool:
        if wanted not in among:
            mistakes.add(kind, name, field, f'no {what} is called "{wanted}"', nearest(wanted, among))
        return wanted in among

    for tee in net.tees:
        legs = (*tee.run, tee.branch)
        if not known("tee", tee.node, "node", tee.node, nodes, "node"):
            continue
        found = [known("tee", tee.node, "legs", x, links, "link") for x in legs]
        if all(found) and (
            len(set(legs)) < 3 or any((by_name[x].tail == tee.node) == (by_name[x].head == tee.node) for x in legs)
        ):
            mistakes.add("tee", tee.node, "legs", "its legs don't meet here", "name three links that end at it")
    for v in net.three_ways:
        known("three_way", v.name, "first", v.first, links, "link")
        known("three_way", v.name, "second", v.second, links, "link")
        if v.set_c is not None:
            known("three_way", v.name, "sensor", v.sensor, nodes, "node")
        if not (0.0 < v.kv_m3_h < math.inf and 0.0 <= v.position <= 1.0 and v.first != v.second):
            mistakes.add(
                "three_way", v.name, "kv", "its figures can't be", "give a Kv, a position from 0 to 1, two ways"
            )
    rooms = {r.name for r in net.rooms}
    for r in net.rooms:
        for other, w_k in r.links:
            if known("room", r.name, "links", other, rooms, "room") and not 0.0 <= w_k < math.inf:
                mistakes.add("room", r.name, "links", f"{w_k:g} W/K can't be", "give a number that can be")
        if any(not (0.0 <= w_k < math.inf and math.isfinite(t)) for w_k, t in r.fixed):
            mistakes.add("room", r.name, "fixed", "its conductances can't be", "give numbers that can be")
    for link in net.links:
        e = link.exchanger
        if e is None or not known("link", link.name, "exchanger", e.other, links, "link"):
            continue
        back = by_name[e.other].exchanger
        if back is None or back.other != link.name or back.w_k != e.w_k or e.other == link.name:
            mistakes.add("link", link.name, "exchanger", "its other side does not name it", "let both sides agree")


def columns(net: Net) -> Columns:
    """Lay a checked net out in columns."""
    links = net.links
    index = {n.name: i for i, n in enumerate(net.nodes)}
    tail, head = [index[x.tail] for x in links], [index[x.head] for x in links]
    table = np.array(
        [
            (
                x.length_m, x.bore_m, x.roughness_m, x.k, 0.0 if x.kv_m3_h is None else x.kv_m3_h**-2.0, x.extra_m,
                x.loss_w_mk, x.ambient_c, x.one_way, x.shut, net.nodes[h].height_m - net.nodes[t].height_m,
                x.opens_pa, x.steep_pa_s_kg,
            )
            for x, t, h in zip(links, tail, head, strict=True)
        ],
        dtype=np.float64,
    ).reshape(-1, 13).T.copy()  # fmt: skip

    def having(found: list[bool]) -> Ints:
        return np.flatnonzero(np.array(found, dtype=np.bool_))

    levels = [net.fill_c, *(x.ambient_c for x in links)]
    levels += [x.source.flow_c for x in links if x.source is not None]
    levels += [x.coil.store_c for x in links if x.coil is not None]
    levels += [x.rating.room_c for x in links if x.rating is not None]
    levels += [t for r in net.rooms for _, t in r.fixed]
    levels += [r.start_c for r in net.rooms]
    return Columns(
        tail=tail, head=head, length=table[0], bore=table[1], roughness=table[2], k=table[3], inverse_kv2=table[4],
        extra=table[5], loss=table[6], ambient=table[7], one_way=table[8] > 0.5, shut=table[9] > 0.5, rise=table[10],
        rated=having([x.rating is not None for x in links]), sources=having([x.source is not None for x in links]),
        coils=having([x.coil is not None for x in links]), curves=having([x.curve is not None for x in links]),
        opens=table[11], steep=table[12], thermostats=having([x.thermostat is not None for x in links]),
        exchangers=having([x.exchanger is not None for x in links]), temperatures=(min(levels), max(levels)),
    )  # fmt: skip
