"""Invented buildings of any size, as arrays: lines of ten that feed lines of ten, down to lines of ten emitters.

Every number comes from a seed. Tubes are sized for their design flow, valves are set on a row of steps so that each
emitter gets between 0.9 and 1.15 of its design flow. In reverse return the return of every line runs on with its flow
and goes back from the far end.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from wetside.network.core_net import ArrayNet
from wetside.network.net import Curve

BORES = np.array([10e-3, 13e-3, 16e-3, 20e-3, 26e-3, 33e-3, 40e-3, 51e-3, 63e-3, 79e-3, 103e-3, 128e-3, 153e-3])
STEP = 1.12
"""Ratio between neighbouring settings of a valve."""
SPEED = 0.35
"""Design speed in the tubes, m/s."""


@dataclass(frozen=True)
class Row:
    """One link while a net is drawn."""

    tail: int
    head: int
    length: float
    flow: float
    k: float
    kind: str = "tube"
    back: bool = False


def building(emitters: int, topology: str, *, seed: int = 1, heat: bool = True, features: bool = False) -> ArrayNet:
    """:param topology: "direct", "reverse", or "looped" (direct, with the far ends of neighbouring lines joined)
    :param features: check valves in every line, thermostatic valves, a second circulator, a line that mixes its return
    """
    r = np.random.default_rng(seed)
    rows: list[Row] = []
    nodes = 2
    design = r.uniform(0.006, 0.02, emitters)
    taken = 0
    ends: list[tuple[int, int]] = []
    firsts: list[int] = []

    def new() -> int:
        nonlocal nodes
        nodes += 1
        return nodes - 1

    def emitter(f: int, b: int) -> float:
        nonlocal taken
        q = float(design[taken])
        taken += 1
        x, y = new(), new()
        rows.append(Row(f, x, float(r.uniform(0.5, 3.0)), q, 3.0, "valve"))
        rows.append(Row(x, y, 0.5, q, 2.5, "emitter"))
        rows.append(Row(y, b, float(r.uniform(0.5, 3.0)), q, 3.0, "tube", True))
        return q

    def line(f: int, b: int, count: int, level: int) -> float:
        """A line from flow `f` and return `b` that feeds `count` emitters."""
        groups = min(10, count)
        shares = [count // groups + (1 if g < count % groups else 0) for g in range(groups)]
        first = len(rows)
        at_f, at_b = [f], [b]
        marks: list[tuple[int, int]] = []
        flows: list[float] = []
        for share in shares:
            nf, nb = new(), new()
            marks.append((len(rows), level))
            rows.append(Row(at_f[-1], nf, float(r.uniform(1.0, 5.0)) * (1 + level), 0.0, 1.0))
            at_f.append(nf)
            at_b.append(nb)
            flows.append(emitter(nf, nb) if share == 1 and level == 0 else line(nf, nb, share, level - 1))
        total = sum(flows)
        below = total
        for (at, _), q in zip(marks, flows, strict=True):
            rows[at] = replace(rows[at], flow=below)
            below -= q
        lengths = [rows[at].length for at, _ in marks]
        if topology == "reverse":
            gathered = 0.0
            for g in range(1, groups):
                gathered += flows[g - 1]
                rows.append(Row(at_b[g], at_b[g + 1], lengths[g], gathered, 1.0, "tube", True))
            rows.append(Row(at_b[groups], b, sum(lengths), total, 2.0, "tube", True))
        else:
            below = total
            for g in range(groups):
                rows.append(Row(at_b[g + 1], at_b[g], lengths[g], below, 1.0, "tube", True))
                below -= flows[g]
        ends.append((at_f[-1], level))
        firsts.append(first)
        return total

    levels = max(0, math.ceil(math.log10(max(emitters, 1)) - 1e-9) - 1)
    total = line(1, 0, emitters, levels)
    if topology == "looped":
        for level in range(levels + 1):
            at = [node for node, x in ends if x == level]
            rows += [
                Row(a, b, float(r.uniform(5.0, 15.0)), float(design.mean()), 2.0)
                for a, b in zip(at[::2], at[1::2], strict=False)
            ]
    return _finished(rows, nodes, total, firsts, seed, heat, features)


def _finished(
    rows: list[Row], nodes: int, total: float, firsts: list[int], seed: int, heat: bool, features: bool
) -> ArrayNet:
    r = np.random.default_rng(seed + 1)
    n = len(rows)
    tail, head = np.array([x.tail for x in rows]), np.array([x.head for x in rows])
    length, flow, k = (np.array([getattr(x, f) for x in rows]) for f in ("length", "flow", "k"))
    valves = np.array([i for i, x in enumerate(rows) if x.kind == "valve"])
    emitters = np.array([i for i, x in enumerate(rows) if x.kind == "emitter"])
    wanted = np.sqrt(4.0 * flow / (math.pi * 980.0 * SPEED * (1.0 + 0.5 * np.log10(1.0 + 20.0 * flow))))
    large = wanted > BORES[-1]
    bore = np.where(large, np.round(wanted, 2), BORES[np.minimum(np.searchsorted(BORES, wanted), BORES.size - 1)])
    bore[emitters] = 16e-3
    # drop at design flow, by a friction factor that is near enough to set valves by
    speed = flow / (980.0 * math.pi / 4.0 * bore**2)
    reynolds = np.maximum(speed * bore / 4.7e-7, 100.0)
    factor = np.where(reynolds < 2300.0, 64.0 / reynolds, 0.3164 * reynolds**-0.25)
    drop = (factor * length / bore + k) * 490.0 * speed**2
    down, up = np.zeros(nodes), np.zeros(nodes)
    back = np.array([x.back for x in rows])
    _sum_along(tail, head, drop, ~back, down, forwards=True)
    _sum_along(tail, head, drop, back, up, forwards=False)
    way = down[tail[valves]] + drop[valves] + drop[valves + 1] + up[head[valves + 1]]
    most = float(way.max()) + 6e3
    kv = 3600.0 * flow[valves] / 1000.0 / np.sqrt((most - way) / 1e5)
    exact = np.log(kv) / math.log(STEP)
    kv_all = np.full(n, np.inf)
    kv_all[valves] = STEP ** np.round(exact + r.uniform(-0.2, 0.2, valves.size))
    boiler_k = 20.0
    main = float(np.round(math.sqrt(4.0 * total / (math.pi * 980.0 * 0.8)), 3))
    boiler_drop = boiler_k * 490.0 * (total / (980.0 * math.pi / 4.0 * main**2)) ** 2
    volume = total / 980.0
    lift = most + boiler_drop
    curve = Curve(name="main", points=((0.0, 1.3 * lift), (3.0 * volume, 0.4 * lift)))
    tail, head = np.append(tail, [0]), np.append(head, [1])
    ends = {
        "length_m": np.append(length, 0.5), "bore_m": np.append(bore, main), "k": np.append(k, boiler_k),
        "kv_m3_h": np.append(kv_all, np.inf),
    }  # fmt: skip
    # the circulator sits in the tube behind the boiler
    tail, head = np.append(tail, [nodes]), np.append(head, [nodes + 1])
    tail[n], head[n] = 0, nodes
    tail[n + 1], head[n + 1] = nodes, 1
    for name, value in (("length_m", 0.5), ("bore_m", main), ("k", 0.5), ("kv_m3_h", np.inf)):
        ends[name] = np.append(ends[name], value)
    pumps, curves = [n + 1], [curve]
    net = ArrayNet(
        nodes=nodes + 1, tail=tail, head=head, roughness_m=7e-6, pump_link=np.array(pumps), curves=tuple(curves),
        fill_c=60.0, **ends,
    )  # fmt: skip
    if heat:
        net = replace(
            net, source_link=np.array([n]), source_c=70.0, source_w=1e12, emitter_link=emitters,
            rated_w=flow[emitters] * 4185.0 * 15.0 * r.uniform(0.8, 1.2, emitters.size),
            room_c=r.choice(np.array([18.0, 20.0, 21.0, 22.0]), emitters.size),
            loss_w_mk=np.append(0.15 + 6.0 * bore, [0.0, 0.0]),
        )  # fmt: skip
    if features:
        net = _featured(net, firsts, valves, r)
    return net


def _sum_along(
    tail: np.ndarray, head: np.ndarray, drop: np.ndarray, use: np.ndarray, level: np.ndarray, *, forwards: bool
) -> None:
    """Add drops up from the root of a tree of links, nodes in any order."""
    near: dict[int, list[int]] = {}
    start = tail if forwards else head
    end = head if forwards else tail
    for i in np.flatnonzero(use):
        near.setdefault(int(start[i]), []).append(int(i))
    stack = [1 if forwards else 0]
    seen = set(stack)
    while stack:
        node = stack.pop()
        for i in near.get(node, ()):
            other = int(end[i])
            if other not in seen:
                seen.add(other)
                level[other] = level[node] + drop[i]
                stack.append(other)


def _featured(net: ArrayNet, firsts: list[int], valves: np.ndarray, r: np.random.Generator) -> ArrayNet:
    """Check valves at the heads of lines, thermostatic valves at half of the emitters, a second circulator in one line,
    and mixing there: a tube from its return back to its flow, with a check valve of its own."""
    n = len(net.tail)
    one_way = np.zeros(n + 1, dtype=np.bool_)
    one_way[firsts[:-1] or firsts] = True
    line = firsts[len(firsts) // 2]
    at = int(net.head[line])
    below = [i for i in range(line + 1, n) if int(net.tail[i]) == at][:1]
    second = below[0] if below else line
    curve = net.curves[0]
    weak = Curve(name="second", points=tuple((0.05 * q, 0.15 * h) for q, h in curve.points))
    chosen = r.choice(valves, valves.size // 2, replace=False)
    grown = {f: np.append(np.broadcast_to(getattr(net, f), n), v) for f, v in (
        ("length_m", 1.0), ("bore_m", 0.026), ("k", 5.0), ("kv_m3_h", 4.0), ("loss_w_mk", 0.0),
    )}  # fmt: skip
    one_way[n] = True
    return replace(
        net, tail=np.append(net.tail, 0), head=np.append(net.head, int(net.tail[second])), one_way=one_way,
        pump_link=np.append(net.pump_link, second), curves=(*net.curves, weak),
        thermostat_link=chosen, thermostat_kv_m3_h=np.asarray(grown["kv_m3_h"])[chosen] * 2.0, set_c=21.0, band_k=4.0,
        thermostat_room_c=r.uniform(19.5, 22.0, chosen.size), **grown,
    )  # fmt: skip
