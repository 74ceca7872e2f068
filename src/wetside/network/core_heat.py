"""Heat carried by the water of a big net, compiled: the laws of `heat` and `elements`, one step of Newton's at a time."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetside.network.core_jit import compiled
from wetside.network.core_math import (
    CREEP,
    PER,
    ROWS,
    SCALE,
    SQUARE,
    WIDE,
    cell,
    density,
    enthalpy,
    ex,
    heat_capacity,
    held,
    ln,
    temperature,
)
from wetside.network.core_water import Lay, Room, Water
from wetside.network.elements import Mode
from wetside.network.heat import CREEP as FADE
from wetside.network.heat import STILL

Floats = NDArray[np.float64]
Place = NDArray[np.uint32]
Index = NDArray[np.int32]
Marks = NDArray[np.uint8]

_LEAK = 1e-10
_HOLDS, _FULL, _IDLE = Mode.HOLDS, Mode.FULL, Mode.IDLE
PLAIN, EMITTER, SOURCE, COIL = range(4)
E_PER, E_SCALE, E_SQUARE, E_CREEP, E_RISE = range(5)
"""Rows of `Heat.basis`: what the block's rows are made of, without the water's properties; height gained, times g."""
EM_LOG, EM_N, EM_ROOM, EM_ENTER, EM_S, EM_DROP, EM_KEEP, EM_LOG_LOST, EM_RETURN, EM_SLOPE = range(10)
"""Rows of `Heat.emitter`: ln(rated W / rated excess^n), exponent, room; entering temperature, logarithm of what the law
turns on, its exponential, share of the excess kept, ln of the share lost; return temperature and slope."""
EM_ROWS = 10


class Heat(NamedTuple):
    """Links in the order of their chains; junctions; things in links."""

    table: Floats
    levels: Floats
    """Lowest and highest enthalpy, that of the fill; reference density; whether anything rises; whether needed."""
    basis: Floats
    kind: Marks
    thing: Index
    forward: Marks
    """Whether the chain passes the link from tail to head."""
    line: Floats
    ambient: Floats
    still: Floats
    capacity: Floats
    keep: Floats
    middle: Floats
    gain: Floats
    """Change of a link's mean temperature per kelvin at the chain's entry."""
    follow: Floats
    """Change of a link's mean temperature with its chain's flow (only where anything rises)."""
    mean: Floats
    junction: Floats
    emitter_link: Place
    emitter: Floats
    source_link: Place
    source_set: Floats
    source_most: Floats
    source_mode: Index
    coil_store: Floats
    coil_w_k: Floats
    change: Floats
    """Change of each chain's entering temperature by the last step."""


@compiled
def _emitters(lay: Lay, w: Water, h: Heat, first: bool) -> float:
    """One step of Newton's on every emitter's law; largest step.

    With hot excess x, ``L = ln(x / cold excess) = e^s`` and ``k = rated (x/rated_excess)^n / (capacity x)``:
    ``n s − (n−1) ln(1 − exp(−e^s)) = ln k``.
    """
    e = h.emitter
    logs, power, room, enter, state = e[EM_LOG], e[EM_N], e[EM_ROOM], e[EM_ENTER], e[EM_S]
    drops, keeps, lost_logs, back, slopes = e[EM_DROP], e[EM_KEEP], e[EM_LOG_LOST], e[EM_RETURN], e[EM_SLOPE]
    count = h.emitter_link.size
    # return and slope hold logarithm of the capacity and of the excess meanwhile
    for k in range(count):
        i = h.emitter_link[k]
        m = abs(w.q[lay.chain[i]])
        back[k] = (m if m > STILL else STILL) * h.capacity[i]
    for k in range(count):
        hot = abs(enter[k] - room[k])
        hot = hot if hot > 1e-9 else 1e-9
        back[k] = logs[k] + (power[k] - 1.0) * ln(hot) - ln(back[k])
    if first:
        for k in range(count):
            goal, n = back[k], power[k]
            s = goal if goal < 0.0 else goal / n
            for _ in range(3):
                drop = np.exp(s)
                keep = np.exp(-drop)
                lost = -np.expm1(-drop)
                s -= (n * s - (n - 1.0) * np.log(lost) - goal) / (n - (n - 1.0) * drop * keep / lost)
            drop = np.exp(s)
            state[k], drops[k], keeps[k] = s, drop, np.exp(-drop)
            lost_logs[k] = np.log(-np.expm1(-drop))
    largest = 0.0
    for k in range(count):
        n1 = power[k] - 1.0
        drop, keep = drops[k], keeps[k]
        lost = (1.0 - keep) if drop > 1e-4 else drop * (1.0 - drop * (0.5 - drop * (1.0 / 6.0)))
        step = (power[k] * state[k] - n1 * lost_logs[k] - back[k]) / (power[k] - n1 * drop * keep / lost)
        step = step if abs(step) < 2.0 else (2.0 if step > 0.0 else -2.0)
        size = abs(step)
        largest = size if size > largest else largest
        state[k] -= step
    for k in range(count):
        n1 = power[k] - 1.0
        drop = ex(state[k])
        keep = ex(-drop)
        lost = (1.0 - keep) if drop > 1e-4 else drop * (1.0 - drop * (0.5 - drop * (1.0 / 6.0)))
        drops[k], keeps[k] = drop, keep
        lost_logs[k] = ln(lost)
        back[k] = room[k] + (enter[k] - room[k]) * keep
        slopes[k] = keep * (1.0 - drop * n1 / (power[k] - n1 * drop * keep / lost))
    return largest


@compiled
def _source(h: Heat, k: int, before: float, flow: float) -> tuple[float, float, float]:
    """Enthalpy after a boiler, its slope, and how far that is from what the boiler's law would have outright."""
    wanted, most = h.source_set[k], h.source_most[k] / flow
    too_weak, too_warm = before + most < wanted, before > wanted
    mode = h.source_mode[k]
    if mode == _HOLDS:
        mode = _FULL if too_weak else (_IDLE if too_warm else _HOLDS)
    elif mode == _FULL:
        mode = _FULL if too_weak else _HOLDS
    else:
        mode = _IDLE if too_warm else _HOLDS
    h.source_mode[k] = mode
    after = wanted if mode == _HOLDS else (before + most if mode == _FULL else before)
    outright = max(before, min(wanted, before + most))
    return after, 0.0 if mode == _HOLDS else 1.0, abs(after - outright)


@compiled
def heat_step(lay: Lay, w: Water, room: Room, h: Heat, first: bool) -> tuple[float, float]:
    """Improve the junctions' enthalpies for the flows `w.q`, and bring the water's properties up to date.

    :return: largest imbalance before the step over the heat moved; largest step of an emitter's law
    """
    table, q, chain = h.table, w.q, lay.chain
    links = h.line.size
    for i in range(links):
        m = abs(q[chain[i]])
        h.keep[i] = ex(-h.line[i] / ((m if m > STILL else STILL) * h.capacity[i]))
    law = _emitters(lay, w, h, first)
    rises = h.levels[4] > 0.0
    d, up, down, r = room.diagonal, room.upper, room.lower, room.right
    d[:] = 0.0
    up[:] = 0.0
    down[:] = 0.0
    r[:] = 0.0
    moved = worst = 0.0
    for c in range(lay.a.size):
        flow = q[c]
        m = abs(flow)
        low, high = np.int64(lay.starts[c]), np.int64(lay.starts[c + 1])
        ahead = flow >= 0.0
        source, sink = (lay.a[c], lay.b[c]) if ahead else (lay.b[c], lay.a[c])
        h_in = h.junction[source]
        moved_here, bad, h_out, rate, bent = march(h, low, high, ahead, m, h_in, rises)
        moved += moved_here
        worst = max(worst, bad)
        law = max(law, bent)
        if m <= STILL:
            continue
        r[sink] += m * (h_out - h.junction[sink])
        d[sink] += m
        pull = m * rate
        if source == sink:
            d[sink] -= pull
        elif sink < source:
            up[lay.slot[c]] -= pull
        else:
            down[lay.slot[c]] -= pull
    for j in range(d.size):
        inflow = r[j]
        worst = max(worst, abs(inflow))
        if d[j] <= STILL:
            d[j] = 1.0
            r[j] = h.levels[2] - h.junction[j]
        else:
            d[j] *= 1.0 + _LEAK
    _eliminate(lay, room)
    r = room.right
    bottom, top = h.levels[0], h.levels[1]
    for j in range(r.size):
        old = h.junction[j]
        new = min(max(old + r[j], bottom), top)
        h.junction[j] = new
        r[j] = (new - old) * (1.0 / 4190.0)
    for c in range(lay.a.size):
        h.change[c] = r[lay.a[c] if q[c] >= 0.0 else lay.b[c]]
    _settle(lay, w, room, h)
    return worst / max(moved, 1.0), law


@compiled
def march(
    h: Heat, low: int, high: int, ahead: bool, m: float, h_in: float, rises: bool
) -> tuple[float, float, float, float, float]:
    """Follow the water along a chain.

    :return: heat moved, error of boilers [W], leaving enthalpy, its slope over the entering one, and how far emitters
        were entered from where their law was asked, over their excess
    """
    table = h.table
    t = temperature(h_in, table)
    s = 1.0
    moved = bad = grow = bent = 0.0
    before = h_in
    flow = m if m > STILL else STILL
    for step in range(high - low):
        i = low + step if ahead else high - 1 - step
        enter, s_in, here = t, s, before
        keep = h.keep[i]
        kind = h.kind[i]
        own = 1.0
        t = h.ambient[i] + (t - h.ambient[i]) * keep
        if kind == EMITTER:
            k = h.thing[i]
            e = h.emitter
            rate = e[EM_SLOPE, k]
            into = t
            bent = max(bent, abs(into - e[EM_ENTER, k]) / max(abs(into - e[EM_ROOM, k]), 1.0))
            t = e[EM_RETURN, k] + rate * (into - e[EM_ENTER, k])
            e[EM_ENTER, k] = into
            own = rate
        elif kind == COIL:
            k = h.thing[i]
            if t > h.coil_store[k]:
                rate = np.exp(-h.coil_w_k[k] / (flow * h.capacity[i]))
                t = h.coil_store[k] + (t - h.coil_store[k]) * rate
                own = rate
        elif kind == SOURCE:
            after, own, error = _source(h, h.thing[i], enthalpy(t, table), flow)
            t = temperature(after, table)
            bad = max(bad, error * m)
        t = h.ambient[i] + (t - h.ambient[i]) * keep
        own *= keep * keep
        s *= own
        if t != enter:
            before = enthalpy(t, table)
            change = t - enter
            if abs(change) > 1e-5:
                h.capacity[i] = (before - here) / change
            else:
                h.capacity[i] = heat_capacity(enter, table)
            moved += m * abs(before - here)
        h.middle[i] = 0.5 * (enter + t)
        h.gain[i] = 0.5 * (s_in + s)
        if rises:
            kept = min(max(own, 1e-300), 1.0 - 1e-9)
            after_grow = own * grow + (enter - t) * kept * -np.log(kept) / ((1.0 - kept) * flow)
            h.follow[i] = 0.5 * (grow + after_grow)
            grow = after_grow
    return moved, bad, before, s, bent


@compiled
def _eliminate(lay: Lay, room: Room) -> None:
    """Elimination without pivoting: the matrix is dominated by its diagonal. The answer replaces the right-hand side."""
    begin, row, listed, target = lay.begin, lay.row, lay.listed, lay.target
    d, up, down, r = room.diagonal, room.upper, room.lower, room.right
    n = begin.size - 1
    low = np.int64(begin[0])
    for j in range(n):
        high = np.int64(begin[j + 1])
        inverse = 1.0 / d[j]
        d[j] = inverse
        right = r[j]
        at = np.int64(listed[j])
        known = np.int64(listed[j + 1]) > at
        for s in range(low, high):
            v = down[s] * inverse
            u = up[s]
            i = row[s]
            d[i] -= v * u
            r[i] -= v * right
            if s + 1 == high:
                break
            if known:
                for k in range(s + 1, high):
                    place = target[at]
                    up[place] -= v * up[k]
                    down[place] -= u * inverse * down[k]
                    at += 1
            else:
                find = np.int64(begin[i])
                for k in range(s + 1, high):
                    while row[find] != row[k]:
                        find += 1
                    up[find] -= v * up[k]
                    down[find] -= u * inverse * down[k]
        low = high
    for j in range(n - 1, -1, -1):
        value = r[j]
        for s in range(np.int64(begin[j]), np.int64(begin[j + 1])):
            value -= up[s] * r[row[s]]
        r[j] = value * d[j]


@compiled
def _settle(lay: Lay, w: Water, room: Room, h: Heat) -> None:
    """Entering temperatures of emitters, mean temperatures, and what depends on them, after a step."""
    emitter = h.emitter
    for k in range(h.emitter_link.size):
        i = h.emitter_link[k]
        # the emitter sits between two halves of its link's own loss, nearly always none
        emitter[EM_ENTER, k] += h.change[lay.chain[i]] * min(2.0 * h.gain[i] / (1.0 + emitter[EM_SLOPE, k]), 1.0)
    table, size = h.table, h.table.shape[1]
    reference, rises = h.levels[3], h.levels[4] > 0.0
    links, t = h.line.size, room.slate
    if rises:
        w.weight[:] = 0.0
    for block in range(lay.chain.size // WIDE):
        low = block * WIDE
        here = min(WIDE, links - low)
        for i in range(here):
            c = lay.chain[low + i]
            square = w.q[c] * w.q[c]
            fade = square / (square + FADE * FADE)
            still = h.still[low + i]
            mean = still + fade * (h.middle[low + i] + h.gain[low + i] * h.change[c] - still)
            h.mean[low + i] = mean
            k = cell(mean, size)
            f = held(mean, size) - k
            rho = table[0, k] + f * (table[0, k + 1] - table[0, k])
            # the step of ln viscosity over one kelvin is small: these terms are exact to 1e-12
            z = f * (table[1, k + 1] - table[1, k])
            mu = table[4, k] * (1.0 + z * (1.0 + z * (0.5 + z * (1.0 / 6.0 + z * (1.0 / 24.0 + z * (1.0 / 120.0))))))
            t[i] = rho
            t[i + WIDE] = mu
            if rises:
                along = h.basis[(block * 5 + E_RISE) * WIDE + i]
                w.weight[c] += along * (rho - reference)
        from_block(h.basis, w.block, block, t)
    for k in range(w.pump_chain.size):
        w.pump_density[k] = density(h.mean[w.pump_link[k]], table)


@compiled
def from_block(basis: Floats, store: Floats, block: int, t: Floats) -> None:
    """Make a block's rows from densities and viscosities on the slate."""
    b = store[block * ROWS * WIDE : (block + 1) * ROWS * WIDE]
    base = basis[block * 5 * WIDE : (block + 1) * 5 * WIDE]
    for i in range(WIDE):
        rho, mu = t[i], t[i + WIDE]
        inverse = 1.0 / rho
        b[i + PER * WIDE] = base[i + E_PER * WIDE] / mu
        b[i + SCALE * WIDE] = base[i + E_SCALE * WIDE] * mu * mu * inverse
        b[i + SQUARE * WIDE] = base[i + E_SQUARE * WIDE] * inverse
        b[i + CREEP * WIDE] = base[i + E_CREEP * WIDE] * rho


@compiled
def weight_slope(lay: Lay, w: Water, h: Heat) -> None:
    """Add to chains' slopes how the weight of their water grows with flow, as it gets warmer or colder by it."""
    table = h.table
    for c in range(lay.a.size):
        m = abs(w.q[c])
        whole = m * m + FADE * FADE
        fade, fading = m * m / whole, 2.0 * m * (FADE / whole) ** 2
        more = 0.0
        for i in range(np.int64(lay.starts[c]), np.int64(lay.starts[c + 1])):
            along = h.basis[((i // WIDE) * 5 + E_RISE) * WIDE + i % WIDE]
            if along != 0.0:
                t = h.mean[i]
                per_k = density(t + 0.5, table) - density(t - 0.5, table)
                more += along * per_k * (fade * h.follow[i] + fading * (h.middle[i] - h.still[i]))
        more = more if w.q[c] >= 0.0 else -more
        if more > 0.0:
            w.slope[c] += more
