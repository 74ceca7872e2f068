"""Pressure along chains and Newton's step towards balance, compiled."""

# pyright: reportArgumentType=false
# Compiled functions take scalars and arrays of any integer width alike, which their Python annotations can't say.

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetside.basis.quantity import WATER_4C
from wetside.network.core_jit import compiled
from wetside.network.core_math import DROP, FLOW, ROOT_F, ROWS, SLOPE, SQUARE, WIDE, friction, friction_swamee

Floats = NDArray[np.float64]
Place = NDArray[np.uint32]
Marks = NDArray[np.uint8]

MIDDLE_ROOT = 6.5
"""Colebrook's root to begin with: of a friction factor of 0.024."""
CHECK = 1e9
"""Resistance [Pa s/kg] of a check valve against its arrow while it is not yet settled whether it shuts."""
_GONE = 1e-13
"""A pivot this much smaller than it began is rounding: its part of the net hangs on nothing, and is set to zero."""


class Lay(NamedTuple):
    """Where everything lies. Junctions are numbered in the order of their elimination, chains follow their earlier end,
    links their chains; one chain more than there are stands for what fills up the last block."""

    chain: Place
    starts: Place
    a: Place
    b: Place
    slot: Place
    begin: Place
    row: Place
    listed: Place
    target: Place


class Water(NamedTuple):
    """Numbers of links by block, of chains, of check valves (chain, sign of the chain along the arrow, opening pressure,
    rate, whether held) and circulators (chain, sign, density, pieces of their curves)."""

    block: Floats
    q: Floats
    fall: Floats
    slope: Floats
    across: Floats
    change: Floats
    hair: Floats
    weight: Floats
    held: Marks
    pressure: Floats
    guard_chain: Place
    guard_link: Place
    guard_sign: Floats
    guard_opens: Floats
    guard_rate: Floats
    guard_held: Marks
    pump_chain: Place
    pump_sign: Floats
    pump_density: Floats
    pump_link: Place
    opening: Floats
    stiff: Floats
    previous: Floats
    boost_chain: Place
    boost: Floats
    pump_begin: Floats
    pump_terms: Floats
    pump_level: Floats


class Room(NamedTuple):
    """Working room: of the elimination (for water what it leaves is kept, to be used again), slate, marks."""

    diagonal: Floats
    first: Floats
    upper: Floats
    right: Floats
    conductance: Floats
    slate: Floats
    heat_diagonal: Floats
    heat_upper: Floats
    heat_lower: Floats
    lazy: Marks
    """Chains whose fall was taken on along its slope, instead of being asked."""
    asked: Marks
    """Blocks that hold any other chain."""


@compiled
def falls(lay: Lay, w: Water, room: Room, law: int) -> tuple[float, float]:
    """Fall of every chain and its slope at the flows `w.q`.

    :return: largest difference from the pressures across the chains, and the fall along the last change of flow
    """
    q, fall, slope, t, chain = w.q, w.fall, w.slope, room.slate, lay.chain
    count = lay.a.size
    before = np.uint32(count + 1)
    drop = rate = 0.0
    links = np.int64(lay.starts[count])
    for k in range(chain.size // WIDE):
        here = min(WIDE, links - k * WIDE)
        near = chain[k * WIDE : k * WIDE + here]
        for i in range(here):
            t[i + FLOW * WIDE] = q[near[i]]
        if law == 0:
            friction(w.block, k * ROWS * WIDE, here, t)
        else:
            friction_swamee(w.block, k * ROWS * WIDE, here, t)
        for i in range(here):
            c = near[i]
            keep = 1.0 if c == before else 0.0
            drop = t[i + DROP * WIDE] + keep * drop
            rate = t[i + SLOPE * WIDE] + keep * rate
            fall[c] = drop
            slope[c] = rate
            before = c
    hair, weight = w.hair, w.weight
    for c in range(count):
        d = fall[c]
        fall[c] = (d if q[c] >= 0.0 else -d) + hair[c] * q[c] + weight[c]
        slope[c] += hair[c]
    room.lazy[:] = 0
    _things(w, room.lazy)
    return measure(lay, w)


@compiled
def falls_near(lay: Lay, w: Water, room: Room, most_pa: float) -> tuple[float, float]:
    """As `falls` after a change so small that most chains may go along their slopes.

    A chain may when ten times what a square law would bend is less than `most_pa`: a flow on the verge of turbulence
    bends no more.
    """
    q, fall, slope, change, chain, t = w.q, w.fall, w.slope, w.change, lay.chain, room.slate
    lazy, asked = room.lazy, room.asked
    count = lay.a.size
    asked[:] = 0
    for c in range(count):
        before = abs(q[c] - change[c])
        bend = 10.0 * slope[c] * change[c] * change[c]
        lazy[c] = 1 if bend <= most_pa * before else 0
    for c in range(count):
        if lazy[c]:
            fall[c] += slope[c] * change[c]
        else:
            for k in range(np.int64(lay.starts[c]) // WIDE, (np.int64(lay.starts[c + 1]) - 1) // WIDE + 1):
                asked[k] = 1
            sign = 1.0 if q[c] >= 0.0 else -1.0
            fall[c] = w.hair[c] * abs(q[c]) + sign * w.weight[c]
            slope[c] = w.hair[c]
    links = np.int64(lay.starts[count])
    for k in range(chain.size // WIDE):
        if not asked[k]:
            continue
        here = min(WIDE, links - k * WIDE)
        near = chain[k * WIDE : k * WIDE + here]
        for i in range(here):
            t[i + FLOW * WIDE] = q[near[i]]
        friction(w.block, k * ROWS * WIDE, here, t)
        for i in range(here):
            c = near[i]
            if not lazy[c]:
                fall[c] += t[i + DROP * WIDE]
                slope[c] += t[i + SLOPE * WIDE]
    for c in range(count):
        if not lazy[c] and q[c] < 0.0:
            fall[c] = -fall[c]
    _things(w, lazy)
    return measure(lay, w)


@compiled
def water_step_again(lay: Lay, w: Water, room: Room) -> tuple[float, float, float]:
    """As `water_step`, with the slopes that were last eliminated."""
    a, b = lay.a, lay.b
    q, fall, g, r = w.q, w.fall, room.conductance, room.right
    r[:] = 0.0
    for c in range(a.size):
        push = q[c] - g[c] * fall[c]
        r[b[c]] += push
        r[a[c]] -= push
    begin, row, d, e, x = lay.begin, lay.row, room.diagonal, room.upper, w.pressure
    n = begin.size - 1
    low = np.int64(begin[0])
    for j in range(n):
        high = np.int64(begin[j + 1])
        right = r[j]
        for s in range(low, high):
            r[row[s]] -= e[s] * right
        low = high
    for j in range(n - 1, -1, -1):
        value = r[j] * d[j]
        for s in range(np.int64(begin[j]), np.int64(begin[j + 1])):
            value -= e[s] * x[row[s]]
        x[j] = value
    return _changes(lay, w, room)


@compiled
def change_valve(
    lay: Lay, w: Water, room: Room, basis: Floats, i: int, more: float, rho: float, opening: float
) -> None:
    """Change the square coefficient of the link at place i, and take the flow that the pressures at its chain's ends
    push through it as they are.

    :param more: of `c` in ``drop = c m²``, times density
    :param opening: flow at which a solve opens, over the density of the fill
    """
    at, block = i % WIDE, i // WIDE
    basis[(block * 5 + 2) * WIDE + at] += more
    w.block[(block * ROWS + SQUARE) * WIDE + at] += more / rho
    c = lay.chain[i]
    w.opening[c] += more * opening
    low, high, t = np.int64(lay.starts[c]), np.int64(lay.starts[c + 1]), room.slate
    q = w.q[c]
    for _ in range(6):
        drop = rate = 0.0
        for k in range(low // WIDE, (high - 1) // WIDE + 1):
            first, last = max(low - k * WIDE, 0), min(high - k * WIDE, WIDE)
            here = last - first
            t[FLOW * WIDE : FLOW * WIDE + here] = q
            friction(w.block, k * ROWS * WIDE + first, here, t)
            for j in range(here):
                drop += t[j + DROP * WIDE]
                rate += t[j + SLOPE * WIDE]
        fall = (drop if q >= 0.0 else -drop) + w.hair[c] * q + w.weight[c]
        rate += w.hair[c]
        w.fall[c], w.slope[c], w.q[c] = fall, rate, q
        step = (w.across[c] - fall) / rate
        if abs(step) <= 1e-6 * abs(q) + 1e-15:
            break
        q += step


@compiled
def rest(lay: Lay, w: Water, room: Room) -> None:
    """Falls of standing water, with slopes to open from."""
    for c in range(lay.a.size):
        w.q[c] = w.change[c] = w.across[c] = 0.0
        w.fall[c] = w.weight[c]
        w.slope[c] = w.opening[c]
    for k in range(w.block.size // (ROWS * WIDE)):
        low = (k * ROWS + ROOT_F) * WIDE
        w.block[low : low + WIDE] = MIDDLE_ROOT
    room.lazy[:] = 0
    _things(w, room.lazy)


@compiled
def _things(w: Water, lazy: Marks) -> None:
    """Add check valves, circulators and what pushes a net without any to begin with, but not to lazy chains."""
    q, fall, slope = w.q, w.fall, w.slope
    for k in range(w.guard_chain.size):
        c = w.guard_chain[k]
        if lazy[c]:
            continue
        sign = w.guard_sign[k]
        m = q[c] * sign
        if m < 0.0:
            fall[c] += sign * CHECK * m
            slope[c] += CHECK
        else:
            rate = w.guard_rate[k]
            fall[c] += sign * rate * m
            slope[c] += rate
        fall[c] += sign * w.guard_opens[k]
    for k in range(w.pump_chain.size):
        c = w.pump_chain[k]
        if lazy[c]:
            continue
        rho, sign = w.pump_density[k], w.pump_sign[k]
        head, rate = pump(w.pump_begin[k], w.pump_terms[:, k], w.pump_level[k], q[c] * sign / rho)
        fall[c] -= sign * head * rho / WATER_4C
        slope[c] -= rate / WATER_4C
    for k in range(w.boost_chain.size):
        if not lazy[w.boost_chain[k]]:
            fall[w.boost_chain[k]] -= w.boost[k]


@compiled
def measure(lay: Lay, w: Water) -> tuple[float, float]:
    """Largest difference of falls from the pressures across the chains; the fall along the last change of flow."""
    off = along = 0.0
    fall, across, change, held = w.fall, w.across, w.change, w.held
    for c in range(lay.a.size):
        e = 0.0 if held[c] else abs(across[c] - fall[c])
        off = e if e > off else off
        along += fall[c] * change[c]
    if np.isnan(along):
        off = np.inf
    return off, along


@compiled
def pump(begin: Floats, terms: Floats, level: float, flow: float) -> tuple[float, float]:
    """Head and its slope of one circulator at a volume flow."""
    k = 0
    while k + 1 < begin.size and begin[k + 1] <= flow:
        k += 1
    u = flow - begin[k]
    b, c, d = terms[1, k], terms[2, k], terms[3, k]
    head = terms[0, k] + u * (b + u * (c + u * d))
    if head > level:
        return level, 0.0
    return head, b + u * (2.0 * c + 3.0 * u * d)


@compiled
def water_step(lay: Lay, w: Water, room: Room, any_held: bool) -> tuple[float, float, float]:
    """Junction pressures, and the change of flows, that balance the linear model of the net.

    :return: sizes of all changes and of all flows added up, and the fall along the changes
    """
    a, b, slot = lay.a, lay.b, lay.slot
    q, fall, slope, held, g = w.q, w.fall, w.slope, w.held, room.conductance
    d, e, r = room.diagonal, room.upper, room.right
    d[:] = 0.0
    e[:] = 0.0
    r[:] = 0.0
    count = a.size
    for c in range(count):
        g[c] = 0.0 if held[c] else 1.0 / slope[c]
    for c in range(count):
        i, j = a[c], b[c]
        push = q[c] - g[c] * fall[c]
        apart = g[c] if i != j else 0.0
        d[i] += apart
        d[j] += apart
        e[slot[c]] -= apart
        r[j] += push
        r[i] -= push
    if any_held:
        room.first[:] = d
    _eliminate(lay, room, w.pressure, any_held)
    return _changes(lay, w, room)


@compiled
def _changes(lay: Lay, w: Water, room: Room) -> tuple[float, float, float]:
    """Changes of flows that the pressures found ask for."""
    a, b, q, fall, g = lay.a, lay.b, w.q, w.fall, room.conductance
    p, across, change = w.pressure, w.across, w.change
    moved = total = along = 0.0
    for c in range(a.size):
        x = p[a[c]] - p[b[c]]
        across[c] = x
        dq = g[c] * (x - fall[c])
        change[c] = dq
        moved += abs(dq)
        total += abs(q[c] + dq)
        along += fall[c] * dq
    return moved, total, along


@compiled
def _eliminate(lay: Lay, room: Room, x: Floats, any_held: bool) -> None:
    """Symmetric elimination without pivoting; the last junction of each part is the one of pressure nothing."""
    begin, row, listed, target = lay.begin, lay.row, lay.listed, lay.target
    d, e, r = room.diagonal, room.upper, room.right
    n = begin.size - 1
    low = np.int64(begin[0])
    for j in range(n):
        high = np.int64(begin[j + 1])
        many = high - low
        pivot = d[j]
        if many == 0 or pivot <= 0.0 or (any_held and pivot <= _GONE * room.first[j]):
            d[j] = 0.0
            e[low:high] = 0.0
            low = high
            continue
        inverse = 1.0 / pivot
        d[j] = inverse
        right = r[j]
        if many == 1:
            u = e[low]
            v = u * inverse
            i = row[low]
            d[i] -= u * v
            r[i] -= v * right
            e[low] = v
        elif many == 2:
            u0, u1 = e[low], e[low + 1]
            v0, v1 = u0 * inverse, u1 * inverse
            i0, i1 = row[low], row[low + 1]
            d[i0] -= u0 * v0
            d[i1] -= u1 * v1
            e[target[listed[j]]] -= u0 * v1
            r[i0] -= v0 * right
            r[i1] -= v1 * right
            e[low], e[low + 1] = v0, v1
        else:
            at = np.int64(listed[j])
            known = np.int64(listed[j + 1]) > at
            for s in range(low, high):
                u = e[s]
                v = u * inverse
                i = row[s]
                d[i] -= u * v
                r[i] -= v * right
                if known:
                    for k in range(s + 1, high):
                        e[target[at]] -= v * e[k]
                        at += 1
                else:
                    find = np.int64(begin[i])
                    for k in range(s + 1, high):
                        while row[find] != row[k]:
                            find += 1
                        e[find] -= v * e[k]
            for s in range(low, high):
                e[s] *= inverse
        low = high
    for j in range(n - 1, -1, -1):
        low, high = np.int64(begin[j]), np.int64(begin[j + 1])
        value = r[j] * d[j]
        for s in range(low, high):
            value -= e[s] * x[row[s]]
        x[j] = value


@compiled
def imbalance(lay: Lay, w: Water, room: Room) -> float:
    """Largest imbalance of water at any junction."""
    r = room.right
    r[:] = 0.0
    for c in range(lay.a.size):
        r[lay.a[c]] -= w.q[c]
        r[lay.b[c]] += w.q[c]
    return float(np.max(np.abs(r))) if r.size else 0.0
