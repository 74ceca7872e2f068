"""The answer to a net, link by link and node by node."""

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import Residuals
from wetside.basis.record import record
from wetside.basis.si import Ratio
from wetside.fluid.water import Liquid
from wetside.network.columns import Columns, largest, total
from wetside.network.friction import tube_drop
from wetside.network.graph import Shape
from wetside.network.heat import STILL
from wetside.network.net import Net
from wetside.network.steps import State
from wetside.network.surround import Surroundings

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@record(eq=False)
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
    rooms_c: Floats
    """Temperature that each of `Net.rooms` settles at."""
    positions: Floats
    """Of `Net.three_ways`: share that the first way is open."""
    opening: Floats
    """Share that the thermostatic valve of each link is open; 1 where there is none."""


def answer(
    net: Net, table: Columns, fluid: Liquid, state: State, held: Flags, flow: Floats, around: Surroundings
) -> Solution:
    form, water, heats, live = state.shape, state.water, state.heats, state.shape.live
    n = table.shut.size
    standing = np.abs(flow) <= STILL
    still_c = around.standing_c()
    tail_c, head_c = still_c.copy(), still_c.copy()
    with_arrow = flow[live] >= 0.0
    tail_c[live] = np.where(with_arrow, heats.in_c, heats.out_c)
    head_c[live] = np.where(with_arrow, heats.out_c, heats.in_c)
    density = fluid.density(0.5 * (tail_c + head_c))
    density[live] = state.water.density
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
        energy_residual=imbalance, rooms_c=around.rooms_c, positions=np.zeros(0), opening=np.ones(n),
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
    net: Net, table: Columns, state: State, flow: Floats, still_c: Floats, tail_c: Floats, head_c: Floats
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
