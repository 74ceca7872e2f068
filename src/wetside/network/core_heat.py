"""Heat carried by the water of a big net, compiled: the laws of `heat` and `elements`, one step of Newton's at a time."""

# pyright: reportArgumentType=false
# Compiled functions take scalars and arrays of any integer width alike, which their Python annotations can't say.

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
    viscosity,
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
_FAR, _SLOW = 0.5, 1e-3
"""Drop [K] and flow [kg/s] beyond which the mean heat capacity of a tube is worked out exactly."""
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
    """Lowest and highest enthalpy, that of the fill; reference density; whether anything rises; whether needed; temperature
    of the fill."""
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
    after: Floats
    """Leaving enthalpy of each chain, and its slope over the entering one."""
    rate: Floats
    change: Floats
    """Change of each chain's entering temperature by the last step."""


@compiled
def chill(w: Water, room: Room, h: Heat) -> None:
    """Water of fill temperature everywhere."""
    fill, table, t = h.levels[6], h.table, room.slate
    w.pump_density[:] = h.levels[3]
    if h.levels[5] == 0.0:
        return
    w.weight[:] = 0.0
    h.emitter[EM_ENTER, :] = fill
    h.capacity[:] = heat_capacity(fill, table)
    h.junction[:] = h.levels[2]
    h.source_mode[:] = 0
    t[:WIDE] = h.levels[3]
    t[WIDE : 2 * WIDE] = viscosity(fill, table)
    for block in range(w.block.size // (ROWS * WIDE)):
        from_block(h.basis, w.block, block, t)


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
            s = back[k] if back[k] < 0.0 else back[k] / power[k]
            drop = ex(s)
            keep = ex(-drop)
            lost = (1.0 - keep) if drop > 1e-4 else drop * (1.0 - drop * (0.5 - drop * (1.0 / 6.0)))
            state[k], drops[k], keeps[k], lost_logs[k] = s, drop, keep, ln(lost)
    largest = 0.0
    for _ in range(4 if first else 1):
        largest = 0.0
        for k in range(count):
            n1 = power[k] - 1.0
            drop, keep = drops[k], keeps[k]
            lost = (1.0 - keep) if drop > 1e-4 else drop * (1.0 - drop * (0.5 - drop * (1.0 / 6.0)))
            step = (power[k] * state[k] - n1 * lost_logs[k] - back[k]) / (power[k] - n1 * drop * keep / lost)
            step = step if step < 2.0 else 2.0
            step = step if step > -2.0 else -2.0
            size = abs(step)
            largest = size if size > largest else largest
            s = state[k] - step
            drop = ex(s)
            keep = ex(-drop)
            lost = (1.0 - keep) if drop > 1e-4 else drop * (1.0 - drop * (0.5 - drop * (1.0 / 6.0)))
            state[k], drops[k], keeps[k], lost_logs[k] = s, drop, keep, ln(lost)
    for k in range(count):
        n1 = power[k] - 1.0
        drop, keep = drops[k], keeps[k]
        lost = (1.0 - keep) if drop > 1e-4 else drop * (1.0 - drop * (0.5 - drop * (1.0 / 6.0)))
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
def heat_step(lay: Lay, w: Water, room: Room, h: Heat, first: bool, enough: float) -> tuple[float, float]:
    """Improve the junctions' enthalpies for the flows `w.q`, and bring the water's properties up to date.

    :param enough: imbalance with which temperatures are left as they are
    :return: largest imbalance before the step over the heat moved; how far the emitters' law is behind
    """
    q, a, b, slot, junction = w.q, lay.a, lay.b, lay.slot, h.junction
    _keeps(lay, w, room, h)
    law = _emitters(lay, w, h, first)
    moved, worst, bent = march(lay, w, h)
    law = max(law, bent)
    d, up, down, r = room.heat_diagonal, room.heat_upper, room.heat_lower, room.right
    d[:] = 0.0
    up[:] = 0.0
    down[:] = 0.0
    r[:] = 0.0
    after, rates = h.after, h.rate
    for c in range(a.size):
        flow = q[c]
        m = abs(flow)
        if m <= STILL:
            continue
        source, sink = (a[c], b[c]) if flow >= 0.0 else (b[c], a[c])
        r[sink] += m * (after[c] - junction[sink])
        d[sink] += m
        pull = m * rates[c]
        if sink < source:
            up[slot[c]] -= pull
        elif sink > source:
            down[slot[c]] -= pull
        else:
            d[sink] -= pull
    for j in range(d.size):
        worst = max(worst, abs(r[j]))
    off = worst / max(moved, 1.0)
    if max(off, law * law) < enough:
        return off, law
    for j in range(d.size):
        if d[j] <= STILL:
            d[j] = 1.0
            r[j] = h.levels[2] - junction[j]
        else:
            d[j] *= 1.0 + _LEAK
    _eliminate(lay, room)
    bottom, top = h.levels[0], h.levels[1]
    for j in range(r.size):
        old = junction[j]
        new = min(max(old + r[j], bottom), top)
        junction[j] = new
        r[j] = (new - old) * (1.0 / 4190.0)
    for c in range(a.size):
        h.change[c] = r[a[c] if q[c] >= 0.0 else b[c]]
    _settle(lay, w, room, h)
    return off, law


@compiled
def _keeps(lay: Lay, w: Water, room: Room, h: Heat) -> None:
    """Share of its excess over the surroundings that water keeps along half of each link."""
    q, slate = w.q, room.slate
    links = h.line.size
    for low in range(0, links, WIDE):
        here = min(WIDE, links - low)
        near, t = lay.chain[low : low + here], slate[:here]
        line, capacity, keep = h.line[low : low + here], h.capacity[low : low + here], h.keep[low : low + here]
        for i in range(here):
            t[i] = abs(q[near[i]])
        for i in range(here):
            m = t[i] if t[i] > STILL else STILL
            keep[i] = ex(-line[i] / (m * capacity[i]))


@compiled
def march(lay: Lay, w: Water, h: Heat) -> tuple[float, float, float]:
    """Follow the water along every chain from the junction that it comes from.

    :return: heat moved, error of boilers [W], and how far emitters were entered from where their law was asked, over
        their excess
    """
    table, q, junction, starts, e = h.table, w.q, h.junction, lay.starts, h.emitter
    enter_at, returns, slopes, rooms = e[EM_ENTER], e[EM_RETURN], e[EM_SLOPE], e[EM_ROOM]
    kinds, things, keeps, ambient, capacity = h.kind, h.thing, h.keep, h.ambient, h.capacity
    middle, gain, follow, after, rates = h.middle, h.gain, h.follow, h.after, h.rate
    rises = h.levels[4] > 0.0
    moved = worst = bent = 0.0
    low = np.int64(0)
    for c in range(lay.a.size):
        high = np.int64(starts[c + 1])
        m = abs(q[c])
        ahead = q[c] >= 0.0
        flow = m if m > STILL else STILL
        t = temperature(junction[lay.a[c] if ahead else lay.b[c]], table)
        s, grow = 1.0, 0.0
        i = low if ahead else high - 1
        way = 1 if ahead else -1
        heat = 0.0
        for _ in range(high - low):
            enter, s_in = t, s
            keep, kind, air = keeps[i], kinds[i], ambient[i]
            own = keep * keep
            if kind == PLAIN:
                t = air + (t - air) * own
                cp = capacity[i]
                if abs(t - enter) > (_FAR if m > _SLOW else 1e-5):
                    # `capacity` is that half-way, and of water that fades into what stands: not near enough here
                    cp = (enthalpy(t, table) - enthalpy(enter, table)) / (t - enter)
                    own = np.exp(-2.0 * h.line[i] / (flow * cp))
                    t = air + (enter - air) * own
                heat += cp * abs(t - enter)
            else:
                k = things[i]
                t = air + (t - air) * keep
                if kind == EMITTER:
                    off = t - enter_at[k]
                    bent = max(bent, abs(off) / max(abs(t - rooms[k]), 1.0))
                    enter_at[k] = t
                    t = returns[k] + slopes[k] * off
                    own *= slopes[k]
                elif kind == COIL:
                    if t > h.coil_store[k]:
                        rate = np.exp(-h.coil_w_k[k] / (flow * capacity[i]))
                        t = h.coil_store[k] + (t - h.coil_store[k]) * rate
                        own *= rate
                else:
                    leaves, rate, error = _source(h, k, enthalpy(t, table), flow)
                    t = temperature(leaves, table)
                    own *= rate
                    worst = max(worst, error * m)
                t = air + (t - air) * keep
                if abs(t - enter) > 1e-5:
                    capacity[i] = (enthalpy(t, table) - enthalpy(enter, table)) / (t - enter)
                heat += capacity[i] * abs(t - enter)
            s *= own
            middle[i] = 0.5 * (enter + t)
            gain[i] = 0.5 * (s_in + s)
            if rises:
                kept = min(max(own, 1e-300), 1.0 - 1e-9)
                grown = own * grow + (enter - t) * kept * -np.log(kept) / ((1.0 - kept) * flow)
                follow[i] = 0.5 * (grow + grown)
                grow = grown
            i += way
        moved += heat * m
        after[c] = enthalpy(t, table)
        rates[c] = s
        low = high
    return moved, worst, bent


@compiled
def _eliminate(lay: Lay, room: Room) -> None:
    """Elimination without pivoting: the matrix is dominated by its diagonal. The answer replaces the right-hand side."""
    begin, row, listed, target = lay.begin, lay.row, lay.listed, lay.target
    d, up, down, r = room.heat_diagonal, room.heat_upper, room.heat_lower, room.right
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
    q, change = w.q, h.change
    for low in range(0, links, WIDE):
        here = min(WIDE, links - low)
        near, still, middle, gain = (
            lay.chain[low : low + here], h.still[low : low + here], h.middle[low : low + here], h.gain[low : low + here]
        )  # fmt: skip
        mean, capacity, kinds = h.mean[low : low + here], h.capacity[low : low + here], h.kind[low : low + here]
        for i in range(here):
            c = near[i]
            t[i] = q[c] * q[c]
            t[i + WIDE] = change[c]
        for i in range(here):
            fade = t[i] / (t[i] + FADE * FADE)
            mean[i] = still[i] + fade * (middle[i] + gain[i] * t[i + WIDE] - still[i])
        for i in range(here):
            k = cell(mean[i], size)
            f = held(mean[i], size) - k
            t[i] = table[0, k] + f * (table[0, k + 1] - table[0, k])
            t[i + WIDE] = f * (table[1, k + 1] - table[1, k])
            t[i + 2 * WIDE] = table[4, k]
            cp = table[2, k] + f * (table[2, k + 1] - table[2, k])
            # what gives heat has its own, over the whole of its drop
            capacity[i] = cp if kinds[i] == PLAIN else capacity[i]
        for i in range(here):
            # the step of ln viscosity over one kelvin is small: these terms are exact to 1e-12
            z = t[i + WIDE]
            z = 1.0 + z * (1.0 + z * (0.5 + z * (1.0 / 6.0 + z * (1.0 / 24.0 + z * (1.0 / 120.0)))))
            t[i + WIDE] = t[i + 2 * WIDE] * z
        if rises:
            for i in range(here):
                w.weight[near[i]] += h.basis[low * 5 + E_RISE * WIDE + i] * (t[i] - reference)
        from_block(h.basis, w.block, low // WIDE, t)
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
