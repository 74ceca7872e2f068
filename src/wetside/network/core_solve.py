"""Flows and temperatures of a big net, in one compiled call: the steps of `solve`."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetside.network.core_heat import Heat, chill, heat_step, weight_slope
from wetside.network.core_jit import compiled
from wetside.network.core_water import (
    Lay,
    Room,
    Water,
    falls,
    falls_near,
    imbalance,
    measure,
    rest,
    water_step,
    water_step_again,
)

Floats = NDArray[np.float64]

HEAD, HEAD_LOOSE, ENERGY, ENERGY_LOOSE, CHANGE, MOST_STEPS, MASS = range(7)
"""Rows of an aim: pressure and heat to be left, what is accepted when rounding allows no better, change of flows over
their sum (beyond what pressure demands; 1 asks nothing), steps, water that may be missing at a node."""
_TURN = 2e-5
"""Flow [kg/s] about which water that turns round is let stop first."""
_PUSH = 1e-3
"""Pressure that may push at a shut check valve from behind, Pa."""
_PATIENCE = 6
_FLIPS = 400
_NEAR = 3e-3
"""Change of flows over their sum from which on, after a small change, slopes and what was eliminated serve again. From
a cold start that would cost steps: its last ones are quadratic."""
_EARLY = 6


class End(NamedTuple):
    """How a solve ended."""

    settled: bool
    steps: int
    heat_steps: int
    head_pa: float
    energy: float
    mass_kg_s: float
    flips: int


@compiled
def _turning(lay: Lay, w: Water, room: Room, any_held: bool) -> tuple[float, float, float]:
    """Newton's step again, so that where weight matters no flow turns round without stopping near nothing first."""
    moved, total, along = 0.0, 0.0, 0.0
    for _ in range(3):
        turns = False
        for c in range(lay.a.size):
            old, new = w.q[c], w.q[c] + w.change[c]
            if old * new < 0.0 and abs(old) > _TURN and abs(new) > _TURN:
                w.slope[c] *= abs(w.change[c]) / max(abs(old), _TURN)
                turns = True
        if not turns:
            break
        moved, total, along = water_step(lay, w, room, any_held)
    if moved == 0.0:
        for c in range(lay.a.size):
            moved += abs(w.change[c])
            total += abs(w.q[c] + w.change[c])
            along += w.fall[c] * w.change[c]
    return moved, total, along


@compiled
def _stiffen(lay: Lay, w: Water, rest_share: float) -> None:
    """Resistance added to chains whose flow swings to and fro as their water turns warm and cold by it."""
    for c in range(lay.a.size):
        dq, before = w.change[c], w.previous[c]
        if dq * before < 0.0 and abs(dq) > 0.6 * abs(before) and abs(dq) > 1e-12:
            w.stiff[c] = max(2.0 * w.stiff[c], w.slope[c])
        else:
            w.stiff[c] *= rest_share if abs(dq) < 0.3 * abs(before) else 0.8


@compiled
def _search(lay: Lay, w: Water, room: Room, law: int, before: float, after: float) -> float:
    """Go back along the change until the content has nearly stopped falling; what is left over the chains."""
    low, high, low_value, high_value = 0.0, 1.0, before, after
    at, left = 1.0, np.inf
    for _ in range(20):
        t = (low * high_value - high * low_value) / (high_value - low_value)
        t = min(max(t, low + 0.05 * (high - low)), high - 0.05 * (high - low))
        for c in range(lay.a.size):
            w.q[c] += (t - at) * w.change[c]
        at = t
        left, value = falls(lay, w, room, law)
        if abs(value) <= 0.1 * abs(before):
            break
        if value < 0.0:
            low, low_value, high_value = t, value, 0.5 * high_value
        else:
            high, high_value, low_value = t, value, 0.5 * low_value
    return left


@compiled
def _valves(lay: Lay, w: Water) -> tuple[bool, bool]:
    """Shut check valves that water flows back through, open those that are pushed; whether any changed, any holds."""
    changed = holds = False
    for k in range(w.guard_chain.size):
        c, sign = w.guard_chain[k], w.guard_sign[k]
        if w.guard_held[k]:
            if sign * (w.across[c] - w.fall[c]) > _PUSH:
                w.guard_held[k] = 0
                changed = True
        elif w.q[c] * sign < 0.0:
            w.guard_held[k] = 1
            changed = True
    if changed:
        for k in range(w.guard_chain.size):
            w.held[w.guard_chain[k]] = 0
    for k in range(w.guard_chain.size):
        if w.guard_held[k]:
            c = w.guard_chain[k]
            w.held[c] = 1
            w.q[c] = 0.0
            holds = True
    return changed, holds


@compiled
def run(lay: Lay, w: Water, room: Room, h: Heat, aim: Floats, law: int, start: int) -> End:
    """Solve.

    :param start: from standing water (0), from where the last solve ended (1), or from there with falls that are known
        already (2)
    """
    cold = start == 0
    needed, rises = h.levels[5] > 0.0, h.levels[4] > 0.0
    steps = heats = flips = 0
    any_held = False
    early = 0
    # whether water is missing at nodes to begin with, so that the fall along the first change tells nothing
    uneven = start == 2
    if cold:
        chill(w, room, h)
        rest(lay, w, room)
        w.guard_held[:] = 0
        w.held[:] = 0
    else:
        for k in range(w.guard_held.size):
            any_held = any_held or w.guard_held[k] != 0
        w.change[:] = 0.0
        if start == 1:
            falls(lay, w, room, law)
    if rises:
        w.stiff[:] = 0.0
        w.previous[:] = 0.0
    boosted = np.any(w.boost != 0.0)
    begun = not needed
    guarded = w.guard_chain.size > 0
    warm = not cold and needed
    left, off, mass = np.inf, 0.0, np.inf
    best, best_at, slow, patience = np.inf, 0, 1.0, 0
    last = int(aim[MOST_STEPS])
    bent = moved = 0.0
    near = eased = False
    while steps < 4 * last:
        steps += 1
        if rises or slow > 1.0:
            for c in range(lay.a.size):
                w.slope[c] = w.slope[c] * slow + (w.stiff[c] if rises else 0.0)
        if near and eased:
            before = moved
            moved, total, along = water_step_again(lay, w, room)
            eased = moved < 0.1 * before
        else:
            moved, total, along = water_step(lay, w, room, any_held)
            eased = True
        near = start == 2 and moved < _NEAR * total and slow == 1.0 and not rises
        if rises and begun and needed:
            moved, total, along = _turning(lay, w, room, any_held)
        for c in range(lay.a.size):
            w.q[c] += w.change[c]
        heating = needed and (begun or warm or steps >= 8 or moved < 0.03 * total + 1e-9)
        small = moved < 1e-6 * total
        if near and not heating and law == 0:
            left, after = falls_near(lay, w, room, 0.01 * aim[HEAD])
        elif rises or not heating:
            left, after = falls(lay, w, room, law)
            if not (small or uneven or along >= 0.0 or after <= 0.5 * abs(along)):
                left = _search(lay, w, room, law, along, after)
        if heating:
            if begun and rises:
                _stiffen(lay, w, 0.2 if slow == 1.0 else 0.8)
            off, bent = heat_step(lay, w, room, h, heats == 0, aim[ENERGY])
            off = max(off, bent * bent)
            heats += 1
            begun = True
            if rises:
                w.previous[:] = w.change
            if boosted and (off < 1e-3 or steps >= 20):
                w.boost[:] = 0.0
                boosted = False
            left, after = falls(lay, w, room, law)
            if not (rises or small or uneven or along >= 0.0 or after <= 0.5 * abs(along)):
                left = _search(lay, w, room, law, along, after)
            if rises:
                weight_slope(lay, w, h)
        uneven = False
        if boosted or not begun:
            continue
        if guarded and early < _EARLY and moved < 0.1 * total and not small:
            # a valve that is shut too early is pushed open again; waiting for the end would cost steps
            changed, any_held = _valves(lay, w)
            if changed:
                early += 1
                near = False
                uneven = True
                w.change[:] = 0.0
                falls(lay, w, room, law)
                continue
        done = left < aim[HEAD] and off < aim[ENERGY] and moved <= aim[CHANGE] * total
        score = max(left / aim[HEAD_LOOSE], off / aim[ENERGY_LOOSE])
        if not done:
            if score < 0.7 * best:
                best, best_at = score, steps
                patience = max(patience, best_at)
            elif score < 1.0 and steps - best_at >= _PATIENCE:
                done = True
            elif steps - patience >= 12:
                slow, patience = min(2.0 * slow, 32.0), steps
            if steps >= last * (1 + flips) and not done:
                break
        if done:
            changed, any_held = _valves(lay, w)
            if not changed:
                break
            flips += 1
            near = False
            if flips > _FLIPS:
                break
            uneven = True
            w.change[:] = 0.0
            falls(lay, w, room, law)
            best, best_at, patience = np.inf, steps, steps
    left, _ = measure(lay, w)
    mass = imbalance(lay, w, room)
    flow = 1.0
    for c in range(lay.a.size):
        flow = max(flow, abs(w.q[c]))
    settled = left < aim[HEAD_LOOSE] and off < aim[ENERGY_LOOSE] and mass < aim[MASS] * flow and flips <= _FLIPS
    return End(settled, steps, heats, left, off, mass, flips)
