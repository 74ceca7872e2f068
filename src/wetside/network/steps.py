"""Steps towards balance: water by Newton's method, heat a linear step for each of them.

Every step of the water is shortened until the convex content of the net has nearly stopped falling along it, so that it
can't diverge. The end is told by what is left of pressure, mass and heat balances, never by how little flows change.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import NoSolution, Residuals
from wetside.network.columns import Columns, largest
from wetside.network.graph import Shape
from wetside.network.heat import CREEP, Heats, HeatSide
from wetside.network.hydraulics import WaterSide
from wetside.network.net import Net

Floats = NDArray[np.float64]

TIGHT_PA, LOOSE_PA = 1e-6, 0.05
"""Pressure that the steps aim to leave over any link, and what is accepted when rounding allows no better."""
LAST_PA = 0.5
"""Pressure that may be left when the steps have run out."""
TIGHT_HEAT, LOOSE_HEAT = 1e-9, 1e-7
"""The same for heat, relative to the heat moved."""
MOST_MASS = 1e-9
EARLY_PA, EARLY_HEAT = 2000.0, 1e-2
"""What is near enough while valves and rooms are far from rest."""
LATE_PA, LATE_HEAT = 1e-3, 1e-8
"""And once they rest."""
NEAR_PA, NEAR_HEAT = 3e-2, 1e-7
"""In between: how near is near enough, for each of what is asked of valves and rooms that they are from rest."""
_BOOST = 300.0
_PATIENCE = 6
SMALL = 0.02
"""Share of the flow up to which a step is taken without a look at where it leads, as long as steps go well."""


@dataclass(slots=True)
class State:
    shape: Shape
    water: WaterSide
    heat: HeatSide
    q: Floats
    pressure: Floats
    heats: Heats
    steps: int
    slope: Floats = field(default_factory=lambda: np.zeros(0))
    """Of the chains' falls, the weight of their water and all."""
    begun: bool = False
    """Whether temperatures are already those of some flow."""
    settled: bool = False
    """Whether the balances close as far as an answer needs."""
    close: bool = False
    """Whether they close as far as is aimed at where nothing moves any more."""


def start_by_gravity(net: Net, table: Columns, state: State) -> None:
    water, live = state.water, state.shape.live
    if water.pushed or not np.any(table.rise[live]):
        return
    for i in np.flatnonzero(np.isin(live, table.sources)):
        water.boost[i] = _BOOST if table.rise[live[i]] >= 0.0 else -_BOOST


def iterate(net: Net, state: State, most_steps: int, *, unrest: float | None = None) -> None:
    """Bring a state to balance.

    :param unrest: how far valves and rooms are from rest, over what is asked: the farther, the sooner it is near enough
    :raises NoSolution: the balances could not be met
    """
    water, heat, q = state.water, state.heat, state.q
    form = state.shape
    fall, slope = water.chains(q)
    if not q.any():
        slope = np.maximum(slope, water.opening_slope())
    stiff, before = np.zeros(q.size), np.zeros(q.size)
    best, best_at, left, off = np.inf, state.steps, np.inf, 0.0
    bold, weighed, ever = True, True, False
    slow, patience = 1.0, state.steps
    aim_pa, aim_heat = TIGHT_PA, TIGHT_HEAT
    if unrest is not None:
        aim_pa = min(max(LATE_PA, NEAR_PA * unrest), EARLY_PA)
        aim_heat = min(max(LATE_HEAT, NEAR_HEAT * unrest), EARLY_HEAT)
    begun = state.begun or not heat.needed
    state.slope = slope
    boosted = bool(water.boost.any())
    last = state.steps + most_steps
    while state.steps < last:
        state.steps += 1
        state.pressure, dq = _push(water, q, fall, slope * slow + stiff, begun)
        share = float(np.abs(dq).sum()) / (float(np.abs(q + dq).sum()) + 1e-9)
        if bold and share < SMALL and heat.needed and begun:
            q = q + dq
        else:
            q, fall, slope = _search(water, q, dq, fall)
        if heat.needed and (begun or state.steps >= 8 or share < 0.1):
            if begun and water.rises:
                stiff = _stiffen(stiff, slope, dq, before, 0.2 if slow == 1.0 else 0.8)
            begun, before = True, dq
            water.warm(heat.step(q))
            weighed = False
            if boosted:
                state.heats, weighed = heat.answer(q), True
                off = state.heats.imbalance
                if off < 1e-3 or state.steps >= 20:
                    water.boost[:], boosted = 0.0, False
            if water.splits:
                water.split(q)
            fall, slope = water.chains(q)
            state.slope = slope
            if water.rises:
                weight = water.weight_slope(q, heat.follow)
                slope = slope + np.maximum(weight, 0.0)
                state.slope = np.maximum(state.slope + weight, 0.2 * state.slope)
        elif water.splits:
            water.split(q)
            fall, slope = water.chains(q)
            state.slope = slope
        before_left, left = left, largest(state.pressure[form.a] - state.pressure[form.b] - fall)
        # where steps no longer bring it nearer, each is looked at again before it is taken
        bold = left < 0.7 * before_left
        if boosted or not begun:
            continue
        if not weighed and (left < aim_pa or state.steps - best_at >= _PATIENCE):
            state.heats, weighed = heat.answer(q), True
            off = state.heats.imbalance
            if not ever:  # what was reached before was told by the water alone
                ever, best = True, np.inf
        if left < aim_pa and off < aim_heat:
            break
        score = max(left / LOOSE_PA, off / LOOSE_HEAT)
        if score < 0.7 * best:
            best, best_at = score, state.steps
            patience = max(patience, best_at)
        elif score < 1.0 and state.steps - best_at >= _PATIENCE:
            break
        elif state.steps - patience >= 12:
            slow, patience = min(2.0 * slow, 32.0), state.steps
    if not weighed:
        state.heats = heat.answer(q)
        off = state.heats.imbalance
    mass = water.imbalance(q)
    if mass >= MOST_MASS:
        q = water.closed(q, state.slope)
        mass = water.imbalance(q)
    state.q, state.begun = q, True
    state.close = left < LATE_PA and off < LATE_HEAT
    state.settled = left < LAST_PA and off < LOOSE_HEAT and mass < MOST_MASS
    if not (left < max(LAST_PA, aim_pa) and off < max(LOOSE_HEAT, aim_heat) and mass < MOST_MASS):
        raise _no_solution(net, state, fall, left, mass, off)


def _push(water: WaterSide, q: Floats, fall: Floats, slope: Floats, begun: bool) -> tuple[Floats, Floats]:
    """Newton's step. Where weight matters, no flow turns round in one step without stopping near nothing first."""
    pressure, dq = water.newton(q, fall, slope)
    if water.rises and begun:
        for _ in range(3):
            turns = q * (q + dq) < 0.0
            if not turns.any():
                break
            turns &= (np.abs(q) > CREEP) & (np.abs(q + dq) > CREEP)
            if not turns.any():
                break
            slope = np.where(turns, slope * np.abs(dq) / np.maximum(np.abs(q), CREEP), slope)
            pressure, dq = water.newton(q, fall, slope)
    return pressure, dq


def _stiffen(stiff: Floats, slope: Floats, dq: Floats, before: Floats, rest: float) -> Floats:
    """Resistance added to chains whose flow swings to and fro as their water turns warm and cold by it.

    It only shortens steps: where they end is not changed.

    :param rest: what share of it is kept where the flow calms down
    """
    swings = (dq * before < 0.0) & (np.abs(dq) > 0.6 * np.abs(before)) & (np.abs(dq) > 1e-12)
    calm = np.abs(dq) < 0.3 * np.abs(before)
    return np.where(swings, np.maximum(2.0 * stiff, slope), np.where(calm, rest, 0.8) * stiff)


def _search(water: WaterSide, q: Floats, dq: Floats, fall: Floats) -> tuple[Floats, Floats, Floats]:
    """Go along `dq` until the content has nearly stopped falling; all the way wherever that is right."""
    new = q + dq
    new_fall, slope = water.chains(new)
    before = float(fall @ dq)
    after = float(new_fall @ dq)
    small = np.abs(dq).sum() < 1e-6 * np.abs(q).sum()
    if small or after <= 0.5 * abs(before) or before >= 0.0 or water.imbalance(q) > MOST_MASS:
        return new, new_fall, slope
    low, high, low_value, high_value = 0.0, 1.0, before, after
    for _ in range(20):
        t = (low * high_value - high * low_value) / (high_value - low_value)
        t = min(max(t, low + 0.05 * (high - low)), high - 0.05 * (high - low))
        new = q + t * dq
        new_fall, slope = water.chains(new)
        value = float(new_fall @ dq)
        if abs(value) <= 0.1 * abs(before):
            break
        if value < 0.0:
            low, low_value, high_value = t, value, 0.5 * high_value
        else:
            high, high_value, low_value = t, value, 0.5 * low_value
    return new, new_fall, slope


def _no_solution(net: Net, state: State, fall: Floats, left: float, mass: float, off: float) -> NoSolution:
    form, water = state.shape, state.water
    error = np.abs(state.pressure[form.a] - state.pressure[form.b] - fall)
    worst = net.links[int(form.live[form.starts[int(np.argmax(error))]])].name
    flow = water.along(state.q)
    driven = [net.links[int(form.live[i])].curve for i in water.driven]
    names = [c.name for c in driven if c is not None]
    turned = [n for n, i in zip(names, water.driven, strict=True) if flow[i] < 0.0]
    if turned:
        others = ", ".join(n for n in names if n not in turned) or "another"
        cause = (
            f"Two circulators against each other: water goes backwards through {', '.join(turned)}, pushed by {others}"
        )
    elif not names:
        cause = "There is no circulator, and gravity alone finds no steady flow: the heat must come in lowest"
    elif off >= LOOSE_HEAT and left < LOOSE_PA:
        cause = "Temperatures do not settle: look for a boiler at its limit, or water that goes round unheated"
    elif water.rises:
        cause = f'The weight of hot and cold water turns the flow through "{worst}" to and fro; fit a check valve'
    else:
        cause = f'Flow and pressure through "{worst}" do not settle: check its size, length and resistance'
    return NoSolution(state.steps, Residuals(left, mass, off), f'"{worst}"', cause)
