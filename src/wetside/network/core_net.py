"""A net as plain arrays: the door for nets too big to be written link by link.

A boiler, a circulator and two radiators side by side. Nodes are numbers from 0; what is the same everywhere may be
given once:

    >>> import numpy as np
    >>> from wetside.network.core import solve_arrays
    >>> from wetside.network.net import Curve
    >>> net = ArrayNet(
    ...     nodes=4,
    ...     tail=np.array([0, 1, 2, 2, 3]), head=np.array([1, 2, 3, 3, 0]),
    ...     length_m=np.array([0.0, 8.0, 5.0, 9.0, 8.0]), bore_m=0.0136, k=4.0,
    ...     kv_m3_h=np.array([3.0, np.inf, 0.2, 0.2, np.inf]),
    ...     pump_link=np.array([1]), curves=(Curve(name="P", points=((0.0, 40e3), (0.3e-3, 20e3), (0.5e-3, 0.0))),),
    ...     source_link=np.array([0]), source_c=70.0, source_w=12e3,
    ...     emitter_link=np.array([2, 3]), rated_w=np.array([1500.0, 1000.0]), room_c=20.0,
    ... )
    >>> answer = solve_arrays(net)
    >>> [round(3600 * float(q)) for q in answer.flow_kg_s[2:4]], "kg/h"
    ([110, 110], 'kg/h')
    >>> [round(float(w)) for w in answer.given_w[2:4]], "W"
    ([1298, 906], 'W')
"""

import math
from dataclasses import field

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import MistakeList
from wetside.basis.record import record
from wetside.basis.si import Celsius
from wetside.network.columns import Columns
from wetside.network.net import Curve, Net, Regulation
from wetside.network.rooms import SEAT

Floats = NDArray[np.float64]
Given = NDArray[np.float64] | float
Index = NDArray[np.integer]


def _none() -> Index:
    return np.zeros(0, dtype=np.intp)


@record(eq=False)
class ArrayNet:
    """Links by the numbers of the nodes that they run between, and where emitters, boilers, coils, circulators and
    thermostatic valves sit. Numbers may be given for each link (or each thing), or one for all. Units, and what each
    number means, are those of `NetLink`."""

    nodes: int
    tail: Index
    head: Index
    length_m: Given = 0.0
    bore_m: Given = 0.02
    roughness_m: Given = 1.5e-6
    k: Given = 0.0
    kv_m3_h: Given = math.inf
    """Infinite: none."""
    extra_m: Given = 0.0
    loss_w_mk: Given = 0.0
    ambient_c: Given = 20.0
    shut: NDArray[np.bool_] | bool = False
    one_way: NDArray[np.bool_] | bool = False
    opens_pa: Given = 0.0
    steep_pa_s_kg: Given = 0.0
    height_m: Given = 0.0
    """Of nodes."""
    emitter_link: Index = field(default_factory=_none)
    rated_w: Given = 0.0
    rated_excess_k: Given = 50.0
    exponent: Given = 1.3
    room_c: Given = 20.0
    source_link: Index = field(default_factory=_none)
    source_c: Given = 0.0
    source_w: Given = 0.0
    coil_link: Index = field(default_factory=_none)
    store_c: Given = 0.0
    coil_w_k: Given = 0.0
    pump_link: Index = field(default_factory=_none)
    curves: tuple[Curve, ...] = ()
    thermostat_link: Index = field(default_factory=_none)
    thermostat_kv_m3_h: Given = 1.0
    set_c: Given = 20.0
    band_k: Given = 2.0
    thermostat_room_c: Given = 20.0
    fill_c: Celsius = 60.0


@record(kw_only=False)
class Numbers:
    """An `ArrayNet` spread out and checked: one number each. 1/Kv² takes thermostatic valves in."""

    nodes: int
    tail: NDArray[np.int32]
    head: NDArray[np.int32]
    length: Floats
    bore: Floats
    roughness: Floats
    k: Floats
    inverse_kv2: Floats
    extra: Floats
    loss: Floats
    ambient: Floats
    shut: NDArray[np.bool_]
    one_way: NDArray[np.bool_]
    opens: Floats
    steep: Floats
    height: Floats
    emitter_link: NDArray[np.int32]
    rating: Floats
    """Rows: rated W, rated excess, exponent, room."""
    source_link: NDArray[np.int32]
    source_c: Floats
    source_w: Floats
    coil_link: NDArray[np.int32]
    store_c: Floats
    coil_w_k: Floats
    pump_link: NDArray[np.int32]
    curves: tuple[Curve, ...]
    opening: Floats
    fill_c: Celsius
    thermostat_inverse_kv2: Floats
    """Of thermostatic valves alone."""


def _spread(value: Given, n: int) -> Floats:
    return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), n))


def _same(value: Given, n: int) -> Floats:
    """As `_spread`, without memory for what is the same everywhere; not for compiled code."""
    return np.broadcast_to(np.asarray(value, dtype=np.float64), n)


def _marks(value: NDArray[np.bool_] | bool, n: int) -> NDArray[np.bool_]:
    return np.array(np.broadcast_to(np.asarray(value, dtype=np.bool_), n))


def numbers(net: ArrayNet) -> Numbers:
    """Spread a net out over its links, and check it.

    :raises JobProblem: each kind of number that can't be, with the first link that has it
    """
    n = len(net.tail)
    mistakes = MistakeList()

    def see(kind: str, field: str, wrong: NDArray[np.bool_]) -> None:
        if np.any(wrong):
            first = int(np.argmax(wrong))
            others = int(np.sum(wrong)) - 1
            more = f", and in {others} others" if others else ""
            mistakes.add(kind, f"number {first}", field, f"its {field} can't be{more}", "give a number that can be")

    tail, head = np.asarray(net.tail), np.asarray(net.head)
    see("link", "tail", (tail < 0) | (tail >= net.nodes))
    see("link", "head", (head < 0) | (head >= net.nodes))
    bore = _spread(net.bore_m, n)
    roughness = _spread(net.roughness_m, n)
    see("link", "bore", ~((bore > 0.0) & (bore < math.inf)))
    see("link", "roughness", ~((roughness >= 0.0) & (roughness < bore)))
    plain: dict[str, Floats] = {}
    for name, value in (
        ("length", net.length_m), ("k", net.k), ("extra", net.extra_m), ("loss", net.loss_w_mk),
        ("opens", net.opens_pa), ("steep", net.steep_pa_s_kg),
    ):  # fmt: skip
        plain[name] = (_spread if name in ("length", "k") else _same)(value, n)
        see("link", name, ~((plain[name] >= 0.0) & (plain[name] < math.inf)))
    kv = _spread(net.kv_m3_h, n)
    see("link", "kv", ~(kv > 0.0))
    ambient, height = _same(net.ambient_c, n), _spread(net.height_m, net.nodes)
    see("link", "ambient", ~np.isfinite(ambient))
    see("node", "height", ~np.isfinite(height))
    held = np.zeros(n, dtype=np.intp)
    places: dict[str, NDArray[np.int32]] = {}
    for kind, links in (
        ("emitter", net.emitter_link), ("source", net.source_link), ("coil", net.coil_link), ("pump", net.pump_link),
        ("thermostat", net.thermostat_link),
    ):  # fmt: skip
        at = np.asarray(links)
        outside = (at < 0) | (at >= n)
        see(kind, "link", outside)
        places[kind] = np.where(outside, 0, at).astype(np.int32)
        if kind != "thermostat":
            held += np.bincount(places[kind], minlength=n)
    see("link", "things", held > 1)
    count = len(places["emitter"])
    rating = np.array([_spread(x, count) for x in (net.rated_w, net.rated_excess_k, net.exponent, net.room_c)])
    see("emitter", "rating", ~((rating[0] > 0.0) & (rating[1] > 0.0) & np.all(np.isfinite(rating), axis=0)))
    see("emitter", "exponent", ~((rating[2] >= 1.0) & (rating[2] < 3.0)))
    source_c, source_w = (_spread(x, len(places["source"])) for x in (net.source_c, net.source_w))
    see("source", "output", ~((source_w >= 0.0) & np.isfinite(source_c)))
    store_c, coil_w_k = (_spread(x, len(places["coil"])) for x in (net.store_c, net.coil_w_k))
    see("coil", "coil", ~((coil_w_k >= 0.0) & np.isfinite(store_c)))
    valves = len(places["thermostat"])
    set_c, band, warm, size = (
        _spread(x, valves) for x in (net.set_c, net.band_k, net.thermostat_room_c, net.thermostat_kv_m3_h)
    )
    see("thermostat", "band", ~((band >= 0.01) & np.isfinite(set_c) & np.isfinite(warm) & (size > 0.0)))
    if len(net.curves) != len(places["pump"]):
        mistakes.add("pump", "", "curves", "there is not one curve for each circulator", "give as many as links")
    mistakes.raise_if_any()
    share = np.clip((set_c - warm) / band + 0.5, 0.0, 1.0)
    opening, throttle, inverse = _same(1.0, n), _same(0.0, n), kv**-2.0
    del kv
    if valves:
        opening, throttle = np.ones(n), np.zeros(n)
        opening[places["thermostat"]] = share
        np.add.at(throttle, places["thermostat"], (size * np.maximum(share, SEAT)) ** -2.0)
        inverse += throttle
    return Numbers(
        net.nodes, tail.astype(np.int32), head.astype(np.int32), plain["length"], bore, roughness, plain["k"], inverse,
        plain["extra"], plain["loss"], ambient, _marks(net.shut, n), _marks(net.one_way, n), plain["opens"],
        plain["steep"], height, places["emitter"], rating, places["source"], source_c, source_w, places["coil"],
        store_c, coil_w_k, places["pump"], net.curves, opening, net.fill_c,
        throttle,
    )  # fmt: skip


def fits(net: Net) -> bool:
    """Whether the compiled solver knows everything that a net holds. Nets moved by nothing but weight are left out."""
    if net.tees or net.three_ways or net.rooms:
        return False
    if not any(x.curve is not None and x.curve.speed > 0.0 for x in net.links):
        return False
    return all(
        x.exchanger is None and (x.curve is None or x.curve.regulation is not Regulation.PROPORTIONAL)
        for x in net.links
    )


def numbers_of(net: Net, table: Columns) -> Numbers:
    """The numbers of a checked net of links and nodes."""
    links = net.links
    int32 = np.int32
    throttle, opening = np.zeros(len(links)), np.ones(len(links))
    for i in table.thermostats:
        x = links[int(i)]
        if (v := x.thermostat) is not None:
            room = x.rating.room_c if x.rating else x.ambient_c
            opening[i] = min(max((v.set_c - room) / v.band_k + 0.5, 0.0), 1.0)
            throttle[i] = (v.kv_m3_h * max(opening[i], SEAT)) ** -2.0
    ratings = [r for i in table.rated if (r := links[int(i)].rating) is not None]
    sources = [s for i in table.sources if (s := links[int(i)].source) is not None]
    coils = [c for i in table.coils if (c := links[int(i)].coil) is not None]
    return Numbers(
        len(net.nodes), np.array(table.tail, dtype=int32), np.array(table.head, dtype=int32), table.length, table.bore,
        table.roughness, table.k, table.inverse_kv2 + throttle, table.extra, table.loss, table.ambient, table.shut, table.one_way,
        table.opens, table.steep, np.array([x.height_m for x in net.nodes], dtype=np.float64),
        table.rated.astype(int32),
        np.array([(r.rated_w, r.rated_excess_k, r.exponent, r.room_c) for r in ratings]).reshape(-1, 4).T,
        table.sources.astype(int32), np.array([s.flow_c for s in sources], dtype=np.float64),
        np.array([s.output_w for s in sources], dtype=np.float64), table.coils.astype(int32),
        np.array([c.store_c for c in coils], dtype=np.float64), np.array([c.coil_w_k for c in coils], dtype=np.float64),
        table.curves.astype(int32), tuple(c for i in table.curves if (c := links[int(i)].curve) is not None), opening,
        net.fill_c, throttle,
    )  # fmt: skip
