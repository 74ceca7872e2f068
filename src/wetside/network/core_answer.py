"""From a settled big net to its answer, link by link and node by node, compiled."""

# pyright: reportArgumentType=false
# Compiled functions take scalars and arrays of any integer width alike, which their Python annotations can't say.

import numpy as np
from numpy.typing import NDArray

from wetside.basis.quantity import WATER_4C, G
from wetside.network.core_graph import Walk
from wetside.network.core_heat import COIL, EM_ENTER, EM_RETURN, EM_SLOPE, EMITTER, PLAIN, Heat, march
from wetside.network.core_jit import compiled
from wetside.network.core_load import tube
from wetside.network.core_math import DROP, FLOW, ROWS, WIDE, density, enthalpy, friction, temperature, viscosity
from wetside.network.core_water import CHECK, Lay, Room, Water, pump
from wetside.network.heat import STILL

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Flags = NDArray[np.bool_]

FLOWS, DROPS, LIFTS, TAIL_C, HEAD_C, GIVEN, LOSS, DENSITY, SPEED, GRADIENT = range(10)
"""Rows of what is answered for each link."""
ANSWERS = 10


@compiled
def spread(
    lay: Lay, w: Water, h: Heat, room: Room, links: Index, between: Index, hair: Floats, junctions: Index, tail: Index,
    head: Index, found: Walk, still_c: Floats, still_fall: Floats, bore: Floats, roughness: Floats,
    fill: float, gone: Flags, out: Floats, pressure: Floats, warm: Floats,
) -> tuple[float, float, float, float]:  # fmt: skip
    """Fill in the answer.

    :param found: walk over the links that are open, held check valves taken out
    :param still_fall: of every link when it stands; changed here
    :param gone: links that no water can pass
    :return: what is left of pressure on any link, of water at any node, of heat at any node, and the heat moved
    """
    table, needed = h.table, h.levels[5] > 0.0
    for e in range(tail.size):
        out[TAIL_C, e] = out[HEAD_C, e] = still_c[e]
    _temperatures(lay, w, h, links, needed, fill, gone, out)
    for e in range(tail.size):
        rho = density(0.5 * (out[TAIL_C, e] + out[HEAD_C, e]), table)
        out[DENSITY, e] = rho
    # pressure along chains
    pressure[:] = np.nan
    for j in range(junctions.size):
        pressure[junctions[j]] = w.pressure[j]
    left = 0.0
    t, count = room.slate, lay.a.size
    run, before = 0.0, np.uint32(count + 1)
    # two rows that are filled in last serve as room until then, by the links' places
    guards, lifts = out[GRADIENT], out[SPEED]
    for k in range(w.guard_chain.size):
        i = w.guard_link[k]
        m = w.q[w.guard_chain[k]] * w.guard_sign[k]
        guards[i] += w.guard_sign[k] * ((CHECK if m < 0.0 else w.guard_rate[k]) * m + w.guard_opens[k])
    for k in range(w.pump_chain.size):
        i, sign, rho = w.pump_link[k], w.pump_sign[k], w.pump_density[k]
        head_pa, _ = pump(w.pump_begin[k], w.pump_terms[:, k], w.pump_level[k], w.q[w.pump_chain[k]] * sign / rho)
        lifts[i] = sign * head_pa * rho / WATER_4C
    reference = h.levels[3]
    for block in range(lay.chain.size // WIDE):
        low = block * WIDE
        for i in range(WIDE):
            t[i + FLOW * WIDE] = w.q[lay.chain[low + i]]
        friction(w.block, block * ROWS * WIDE, WIDE, t)
        for i in range(min(WIDE, links.size - low)):
            at = low + i
            c = lay.chain[at]
            q = w.q[c]
            drop = t[i + DROP * WIDE]
            drop = (drop if q >= 0.0 else -drop) + hair[at] * q + guards[at]
            weight = 0.0
            if h.levels[4] > 0.0:
                weight = h.basis[(block * 5 + 4) * WIDE + i] * (density(h.mean[at], table) - reference)
            fall = drop - lifts[at] + weight
            e = links[at]
            sign = 1.0 if h.forward[at] else -1.0
            if not gone[e]:
                out[FLOWS, e] = q * sign
                out[DROPS, e] = drop * sign
                out[LIFTS, e] = lifts[at] * sign
            if c != before:
                run = w.pressure[lay.a[c]]
                before = c
            run -= fall
            if w.held[c]:
                continue
            if between[at] >= 0:
                if not gone[e]:
                    pressure[between[at]] = run
            else:
                left = max(left, abs(run - w.pressure[lay.b[c]]))
    for k in range(w.pump_chain.size):
        e = links[w.pump_link[k]]
        if gone[e]:
            rho = out[DENSITY, e]
            head_pa, _ = pump(w.pump_begin[k], w.pump_terms[:, k], w.pump_level[k], 0.0)
            out[LIFTS, e] = head_pa * rho / WATER_4C
    _carry(tail, head, found, still_fall, gone, pressure)
    mass = np.zeros(pressure.size, np.float64)
    given = out[GIVEN]
    loss = out[LOSS]
    moved = 0.0
    for e in range(tail.size):
        q = out[FLOWS, e]
        mass[tail[e]] -= q
        mass[head[e]] += q
        if abs(q) <= STILL:
            out[FLOWS, e] = out[DROPS, e] = 0.0
            given[e] = loss[e] = 0.0
        moved += abs(given[e] + loss[e])
        rho = out[DENSITY, e]
        d = bore[e]
        out[SPEED, e] = abs(q) / (rho * 0.25 * np.pi * d * d)
        middle = 0.5 * (out[TAIL_C, e] + out[HEAD_C, e])
        mu = viscosity(middle, table)
        per = 4.0 / (np.pi * d * mu)
        number, _ = tube(abs(q) * per, roughness[e] / d / 3.7)
        out[GRADIENT, e] = number * mu * mu / (2.0 * rho * d * d * d)
    missing = 0.0
    for n in range(pressure.size):
        missing = max(missing, abs(mass[n]))
    heat = _node_temperatures(tail, head, still_c, fill, out, warm, table, needed)
    return left, missing, heat, moved


@compiled
def _temperatures(
    lay: Lay, w: Water, h: Heat, links: Index, needed: bool, fill: float, gone: Flags, out: Floats
) -> None:
    """Temperatures at both ends of every link that water passes, and the heat it leaves there."""
    if needed:
        march(lay, w, h)
    for c in range(lay.a.size):
        q = w.q[c]
        m = abs(q)
        if m <= STILL or gone[links[lay.starts[c]]]:
            continue
        ahead = q >= 0.0
        low, high = np.int64(lay.starts[c]), np.int64(lay.starts[c + 1])
        if not needed:
            for i in range(low, high):
                out[TAIL_C, links[i]] = out[HEAD_C, links[i]] = fill
            continue
        into = temperature(h.junction[lay.a[c] if ahead else lay.b[c]], h.table)
        for step in range(high - low):
            i = low + step if ahead else high - 1 - step
            e = links[i]
            leave = 2.0 * h.middle[i] - into
            with_arrow = (h.forward[i] != 0) == ahead
            out[TAIL_C, e] = into if with_arrow else leave
            out[HEAD_C, e] = leave if with_arrow else into
            taken = m * (enthalpy(into, h.table) - enthalpy(leave, h.table))
            given = 0.0
            if h.kind[i] != PLAIN:
                keep = h.keep[i]
                first = h.ambient[i] + (into - h.ambient[i]) * keep
                second = h.ambient[i] + (leave - h.ambient[i]) / keep if keep > 1e-3 else _behind(h, i, first, m)
                given = m * h.capacity[i] * (first - second)
            out[GIVEN, e] = given
            out[LOSS, e] = taken - given
            into = leave


@compiled
def _behind(h: Heat, i: int, first: float, m: float) -> float:
    """Temperature right behind the thing in a link, by its law."""
    k = h.thing[i]
    if h.kind[i] == EMITTER:
        return h.emitter[EM_RETURN, k] + h.emitter[EM_SLOPE, k] * (first - h.emitter[EM_ENTER, k])
    if h.kind[i] == COIL:
        return first + min(h.coil_store[k] - first, 0.0) * (1.0 - np.exp(-h.coil_w_k[k] / (m * h.capacity[i])))
    before = enthalpy(first, h.table)
    return temperature(max(before, min(h.source_set[k], before + h.source_most[k] / m)), h.table)


@compiled
def _carry(tail: Index, head: Index, found: Walk, still_fall: Floats, gone: Flags, pressure: Floats) -> None:
    """Carry pressure over links without flow, from block to block of each connected part."""
    offset = np.zeros(pressure.size, np.float64)
    for node in found.order:
        link = found.came[node]
        if link < 0:
            if np.isnan(pressure[node]):
                pressure[node] = 0.0
            continue
        forward = head[link] == node
        other = tail[link] if forward else head[link]
        if gone[link] or np.isnan(pressure[node]):
            fall = still_fall[link] if forward else -still_fall[link]
            known = pressure[other] + offset[other]
            if np.isnan(pressure[node]):
                pressure[node] = 0.0
            offset[node] = known - fall - pressure[node]
        else:
            offset[node] = offset[other]
    for node in range(pressure.size):
        pressure[node] += offset[node]


@compiled
def _node_temperatures(
    tail: Index, head: Index, still_c: Floats, fill: float, out: Floats, warm: Floats, table: Floats, needed: bool
) -> float:
    """Mixed temperature where water passes, elsewhere the mean of what stands around; the worst heat left over."""
    n = warm.size
    around, count, moving = np.zeros(n, np.float64), np.zeros(n, np.int32), np.zeros(n, np.bool_)
    balance = np.zeros(n, np.float64)
    for e in range(tail.size):
        q = out[FLOWS, e]
        around[tail[e]] += still_c[e]
        around[head[e]] += still_c[e]
        count[tail[e]] += 1
        count[head[e]] += 1
        if q != 0.0:
            a, b = tail[e], head[e]
            source = a if q > 0.0 else b
            warm[source] = out[TAIL_C, e] if q > 0.0 else out[HEAD_C, e]
            moving[source] = True
            if needed:
                balance[a] -= q * enthalpy(out[TAIL_C, e], table)
                balance[b] += q * enthalpy(out[HEAD_C, e], table)
    worst = 0.0
    for j in range(n):
        if not moving[j]:
            warm[j] = around[j] / count[j] if count[j] else fill
        worst = max(worst, abs(balance[j]))
    return worst


@compiled
def standing(tail: Index, head: Index, height: Floats, still_c: Floats, table: Floats, reference: float) -> Floats:
    """Fall of every link by the weight of its standing water."""
    fall = np.empty(tail.size, np.float64)
    for e in range(tail.size):
        fall[e] = (height[head[e]] - height[tail[e]]) * G * (density(still_c[e], table) - reference)
    return fall
