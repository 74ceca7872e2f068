"""Flows, pressures and temperatures of a net, solved together.

Water: Newton's method on junction pressures over chains of links (the global gradient method), every step shortened
until the convex content of the net has nearly stopped falling along it, so that it can't diverge. Heat: one linear
step per step of the water once the flows have come near (see `heat`). The end is told by what is left of pressure,
mass and heat balances, never by how little the flows change.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import NoSolution, Residuals
from wetside.basis.si import Ratio
from wetside.fluid.water import Liquid, liquid
from wetside.network.columns import Columns, check, columns, largest, listed, total
from wetside.network.eliminate import Eliminator
from wetside.network.friction import tube_drop
from wetside.network.graph import Shape, shape
from wetside.network.heat import CREEP, STILL, Heats, HeatSide
from wetside.network.hydraulics import WaterSide
from wetside.network.net import Net

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

MOST_STEPS = 200
TIGHT_PA, LOOSE_PA = 1e-6, 0.05
"""Pressure that the steps aim to leave over any link, and what is accepted when rounding allows no better."""
TIGHT_HEAT, LOOSE_HEAT = 1e-9, 1e-7
"""The same for heat, relative to the heat moved."""
MOST_MASS = 1e-9
MOST_PUSH = 0.5
"""Pressure that may push at a shut check valve from behind, Pa: less is within what the steps leave."""
_BOOST = 300.0
_PATIENCE = 6


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Solution:
    """Arrays in the order of the net's links and nodes. Flow is positive from tail to head.

    Pressure is the part that flow and circulators make: the weight of water at fill temperature is left out, so it
    doesn't depend on height (buoyancy is in). Each connected part of the net has a zero of its own: use differences.
    """

    flow_kg_s: Floats
    drop_pa: Floats
    """Lost in tube, fittings and valves, signed as the flow."""
    lift_pa: Floats
    """Added by a circulator, from tail to head."""
    tail_c: Floats
    head_c: Floats
    """Water temperature inside the link at its two ends."""
    given_w: Floats
    """Given by an emitter or coil; negative: taken up from a source."""
    loss_w: Floats
    density_kg_m3: Floats
    velocity_m_s: Floats
    gradient_pa_m: Floats
    """Friction of the tube alone, per metre."""
    on_loop: Flags
    """False: no water can pass (dead end, bridge, shut)."""
    held: Flags
    """Check valves that are held shut."""
    pressure_pa: Floats
    temperature_c: Floats
    part: NDArray[np.intp]
    """Connected part that a node belongs to (shut links part)."""
    iterations: int
    residuals: Residuals
    """Energy in W here: largest imbalance of heat at any node."""
    energy_residual: Ratio
    """The same over the heat moved."""


@dataclass(slots=True)
class _State:
    shape: Shape
    water: WaterSide
    heat: HeatSide
    q: Floats
    pressure: Floats
    heats: Heats
    steps: int


def solve(net: Net, *, glycol_share: Ratio = 0.0, most_steps: int = MOST_STEPS) -> Solution:
    """Solve a net: flow, pressure and temperature everywhere.

    Links that lie on no loop carry exactly nothing. A net without a circulator is moved by the weight of its water
    alone; the search for that starts with flow through each source from its lower end (else its tail).

    :param glycol_share: by volume
    :param most_steps: steps after which the attempt ends
    :raises JobProblem: a name or number in the net that can't be
    :raises NoSolution: the balances could not be met; says where and what the likely cause is
    """
    check(net)
    table, fluid = columns(net), liquid(glycol_share)
    held = np.zeros(table.shut.size, dtype=np.bool_)
    flow = np.zeros(table.shut.size)
    steps = 0
    while True:
        state = _settle(net, table, fluid, held, flow, most_steps, steps)
        steps = state.steps
        flow = np.zeros(table.shut.size)
        flow[state.shape.live] = state.water.along(state.q)
        shuts = table.one_way & (flow < 0.0)
        solution = _solution(net, table, fluid, state, held, flow)
        push = np.where(held, _forward_push(net, table, solution, state), 0.0)
        opens = push > MOST_PUSH
        if not (np.any(shuts) or np.any(opens)):
            return solution
        if steps > 4 * most_steps:
            worst = int(np.argmax(np.where(opens, push, table.one_way)))
            cause = "Its check valve opens and shuts by turns without end"
            raise NoSolution(steps, Residuals(float(push[worst]), 0.0), f'"{net.links[worst].name}"', cause)
        held = (held | shuts) & ~opens


def _forward_push(net: Net, table: Columns, solution: Solution, state: _State) -> Floats:
    """Pressure that pushes each standing link open towards its head."""
    tail, head = np.array(table.tail, dtype=np.intp), np.array(table.head, dtype=np.intp)
    mean = 0.5 * (solution.tail_c + solution.head_c)
    push = solution.pressure_pa[tail] - solution.pressure_pa[head] - state.water.still_fall(mean, table, net)
    return np.where(solution.part[tail] == solution.part[head], push, 0.0)


def _settle(net: Net, table: Columns, fluid: Liquid, held: Flags, flow: Floats, most_steps: int, steps: int) -> _State:
    form = shape(len(net.nodes), table.tail, table.head, (~(table.shut | held)).tolist())
    eliminator = Eliminator(form.junctions.size, form.a, form.b)
    water = WaterSide(net, table, form, fluid, eliminator)
    heat = HeatSide(net, table, form, fluid, eliminator)
    q = flow[form.live[form.starts]] * form.sign[form.starts] if form.starts.size else np.zeros(0)
    state = _State(form, water, heat, q, np.zeros(form.junctions.size), heat.answer(q), steps)
    if form.starts.size == 0:
        return state
    _start_by_gravity(net, table, state)
    _iterate(net, state, most_steps)
    return state


def _start_by_gravity(net: Net, table: Columns, state: _State) -> None:
    water, live = state.water, state.shape.live
    if water.driven.size or not np.any(table.rise[live]):
        return
    for i in np.flatnonzero(np.isin(live, table.sources)):
        water.boost[i] = _BOOST if table.rise[live[i]] >= 0.0 else -_BOOST


def _iterate(net: Net, state: _State, most_steps: int) -> None:
    water, heat, q = state.water, state.heat, state.q
    form = state.shape
    fall, slope = water.chains(q)
    if not np.any(q):
        slope = np.maximum(slope, water.opening_slope())
    stiff, before = np.zeros(q.size), np.zeros(q.size)
    best, best_at, left, off = np.inf, state.steps, np.inf, 0.0
    slow, patience = 1.0, state.steps
    begun = not heat.needed
    last = state.steps + most_steps
    while state.steps < last:
        state.steps += 1
        state.pressure, dq = _push(water, q, fall, slope * slow + stiff, begun)
        q, fall, slope = _search(water, q, dq, fall)
        if heat.needed and (begun or state.steps >= 8 or np.sum(np.abs(dq)) < 0.1 * np.sum(np.abs(q)) + 1e-9):
            if begun and water.rises:
                stiff = _stiffen(stiff, slope, dq, before, 0.2 if slow == 1.0 else 0.8)
            begun, before = True, dq
            heat.step(q)
            state.heats = heat.answer(q)
            off = state.heats.imbalance
            water.warm(state.heats.mean_c)
            if np.any(water.boost) and (off < 1e-3 or state.steps >= 20):
                water.boost[:] = 0.0
            fall, slope = water.chains(q)
            if water.rises:
                slope = slope + np.maximum(water.weight_slope(q, heat.follow), 0.0)
        left = largest(state.pressure[form.a] - state.pressure[form.b] - fall)
        if np.any(water.boost) or not begun:
            continue
        if left < TIGHT_PA and off < TIGHT_HEAT:
            break
        score = max(left / LOOSE_PA, off / LOOSE_HEAT)
        if score < 0.7 * best:
            best, best_at = score, state.steps
            patience = max(patience, best_at)
        elif score < 1.0 and state.steps - best_at >= _PATIENCE:
            break
        elif state.steps - patience >= 12:
            slow, patience = min(2.0 * slow, 32.0), state.steps
    state.q = q
    mass = water.imbalance(q)
    if not (left < LOOSE_PA and off < LOOSE_HEAT and mass < MOST_MASS):
        raise _no_solution(net, state, fall, left, mass, off)


def _push(water: WaterSide, q: Floats, fall: Floats, slope: Floats, begun: bool) -> tuple[Floats, Floats]:
    """Newton's step. Where weight matters, no flow turns round in one step without stopping near nothing first."""
    pressure, dq = water.newton(q, fall, slope)
    if water.rises and begun:
        for _ in range(3):
            turns = (q * (q + dq) < 0.0) & (np.abs(q) > CREEP) & (np.abs(q + dq) > CREEP)
            if not np.any(turns):
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
    small = np.sum(np.abs(dq)) < 1e-6 * np.sum(np.abs(q))
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


def _no_solution(net: Net, state: _State, fall: Floats, left: float, mass: float, off: float) -> NoSolution:
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


def _solution(net: Net, table: Columns, fluid: Liquid, state: _State, held: Flags, flow: Floats) -> Solution:
    form, water, heats, live = state.shape, state.water, state.heats, state.shape.live
    n = table.shut.size
    standing = np.abs(flow) <= STILL
    still_c = np.where(table.loss > 0.0, table.ambient, net.fill_c)
    still_c[table.rated] = [r.room_c for i in listed(table.rated) if (r := net.links[i].rating) is not None]
    tail_c, head_c = still_c.copy(), still_c.copy()
    with_arrow = flow[live] >= 0.0
    tail_c[live] = np.where(with_arrow, heats.in_c, heats.out_c)
    head_c[live] = np.where(with_arrow, heats.out_c, heats.in_c)
    density = fluid.density(0.5 * (tail_c + head_c))
    drop, lift = np.zeros(n), np.zeros(n)
    still_fall = water.still_fall(still_c, table, net)
    lift[table.curves] = (table.rise * 9.80665 * (density - fluid.density(net.fill_c)) - still_fall)[table.curves]
    left = 0.0
    pressure = np.zeros(len(net.nodes))
    if live.size:
        drop[live], lift[live], fall, _ = water.links(state.q)
        pressure[form.junctions] = state.pressure
        run = np.cumsum(fall * form.sign)
        base = np.repeat(run[form.starts] - (fall * form.sign)[form.starts], np.diff(np.append(form.starts, live.size)))
        inner = form.inner >= 0
        pressure[form.inner[inner]] = (state.pressure[form.a][form.chain] - (run - base))[inner]
        t, h = np.array(table.tail, dtype=np.intp)[live], np.array(table.head, dtype=np.intp)[live]
        left = largest(pressure[t] - pressure[h] - fall)
    _join_blocks(form, pressure, still_fall)
    mass = _node_sums(table, flow, len(net.nodes))
    area = np.pi / 4.0 * table.bore**2
    given, loss = np.zeros(n), np.zeros(n)
    given[live], loss[live] = heats.given_w, heats.loss_w
    moved = float(np.sum(np.abs(given + loss)))
    viscosity = fluid.viscosity(0.5 * (tail_c + head_c))
    gradient, _ = tube_drop(flow, np.ones(n), table.bore, table.roughness, density, viscosity)
    imbalance = heats.imbalance if state.heat.needed else 0.0
    return Solution(
        flow_kg_s=np.where(standing, 0.0, flow), drop_pa=np.where(standing, 0.0, drop), lift_pa=lift,
        tail_c=tail_c, head_c=head_c, given_w=given, loss_w=loss, density_kg_m3=density,
        velocity_m_s=np.abs(flow) / (density * area), gradient_pa_m=np.abs(gradient),
        on_loop=np.isin(np.arange(n), live), held=held, pressure_pa=pressure,
        temperature_c=_node_temperatures(net, table, state, flow, still_c, tail_c, head_c), part=form.part,
        iterations=state.steps, residuals=Residuals(left, largest(mass), imbalance * moved),
        energy_residual=imbalance,
    )  # fmt: skip


def _node_sums(table: Columns, flow: Floats, nodes: int) -> Floats:
    tail, head = np.array(table.tail, dtype=np.intp), np.array(table.head, dtype=np.intp)
    return total(head, flow, nodes) - total(tail, flow, nodes)


def _join_blocks(form: Shape, pressure: Floats, still_fall: Floats) -> None:
    """Carry pressure over the links without flow, from block to block of each connected part."""
    offset = np.zeros(pressure.size)
    for step in form.steps:
        fall = still_fall[step.link] if step.forward else -still_fall[step.link]
        known = pressure[step.known] + offset[form.block[step.known]]
        offset[form.block[step.new]] = known - fall - pressure[step.new]
    pressure += offset[form.block]


def _node_temperatures(
    net: Net, table: Columns, state: _State, flow: Floats, still_c: Floats, tail_c: Floats, head_c: Floats
) -> Floats:
    """Mixed temperature where water passes; elsewhere the mean of what stands around the node."""
    n = len(net.nodes)
    tail, head = np.array(table.tail, dtype=np.intp), np.array(table.head, dtype=np.intp)
    moving = np.abs(flow) > STILL
    out_of = np.where(flow > 0.0, tail, head)
    mixed = np.full(n, np.nan)
    mixed[out_of[moving]] = np.where(flow > 0.0, tail_c, head_c)[moving]
    count = np.bincount(tail, minlength=n) + np.bincount(head, minlength=n)
    around = total(tail, still_c, n) + total(head, still_c, n)
    standing = np.where(count > 0, around / np.maximum(count, 1), net.fill_c)
    return np.where(np.isnan(mixed), standing, mixed)
