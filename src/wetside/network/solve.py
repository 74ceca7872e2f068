"""Flows, pressures and temperatures of a net, solved together.

Three loops, each inside the next: steps of Newton's method bring water and heat to balance (`steps`); valves and rooms
that answer to temperature and flow are moved until they stand where they want to (`knobs`, `rooms`); check valves are
shut and opened until each agrees with its flow. The end of each is counted, so that there always is one.
"""

import sys
from dataclasses import replace
from importlib.util import find_spec
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import NoSolution, Residuals
from wetside.basis.si import Ratio, Watt
from wetside.fluid.water import Liquid, liquid
from wetside.network.answer import Solution, answer
from wetside.network.columns import Columns, check, columns, listed
from wetside.network.eliminate import Eliminator
from wetside.network.exchange import exchanger_pairs, exchanger_sides
from wetside.network.graph import shape
from wetside.network.heat import HeatSide
from wetside.network.hydraulics import WaterSide
from wetside.network.knobs import Knobs
from wetside.network.net import Net
from wetside.network.rooms import RoomSide
from wetside.network.steps import State, iterate, start_by_gravity
from wetside.network.surround import Surroundings

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

__all__ = ["MOST_STEPS", "Solution", "solve"]

MOST_STEPS = 200
BIG, BIG_LOADED = 4000, 500
"""Links from which on the compiled solver is taken: loading it costs about a second, once in a process."""
MOST_MOVES, TOGETHER = 250, 25
"""Moves of what moves by itself: in all, and how many of them everything makes at once."""
RESTING = 20.0
"""How far rooms may be from rest, over what is asked, for a three-way valve to go by the temperatures that it sees."""
ALMOST = 10.0
"""How far everything that moves may be from rest for the next balance to be the last one."""
RESUMED = 100.0
"""What is taken for that distance where the start is another state's answer."""
WIDEST = 64.0
"""By how much the flow may grow about which water fades into standing water, where no answer is found without: to
about 5 kg/h."""
LULL_W, LULL_SHARE = 10.0, 0.03
"""Heat from all boilers together below which a net without a running circulator counts as standing; where a trickle
turns to and fro without end, so does what is less than this share of its emitters' rating."""
MOST_PUSH = 0.5
"""Pressure that may push at a shut check valve from behind, Pa: less is within what the steps leave."""


class _Movers:
    """Everything that answers to temperature and flow."""

    def __init__(self, net: Net, table: Columns) -> None:
        self.around = Surroundings(net, table)
        self.rooms, self.knobs = RoomSide(net, table, self.around), Knobs(net, table)
        self.throttles = bool(table.thermostats.size or net.three_ways)
        self._net = net

    def apply(self, state: State) -> None:
        """Let the state of the net feel where everything stands."""
        if self.throttles:
            both = self.rooms.inverse_kv2() + self.knobs.inverse_kv2()
            state.water.throttle(both[state.shape.live])
        if self.rooms.count:
            state.heat.surround(self.around)

    def turn(self, state: State, *, in_turn: bool) -> float:
        """Move everything; how far the worst is from where it wants to be, over what is asked.

        :param in_turn: three-way valves wait until the rooms have come to rest
        """
        live = state.shape.live
        flow = state.water.along(state.q)
        others = max(
            self.knobs.levels(state.water, flow),
            self.rooms.turn(state.water, state.heat, state.q, state.heats, state.slope),
        )
        if in_turn and others > RESTING:
            return others
        wants = self.knobs.wants(live, flow, state.heats, state.heat.fluid)
        self.knobs.shift = np.zeros(state.q.size)
        aims = (
            [] if in_turn else self.knobs.aims(wants, state.water, state.q, state.slope, state.heats, self.rooms.shift)
        )
        valves = self.knobs.turn(wants, live, flow, state.heats, aims)
        if valves > 1.0:
            self.rooms.disturbed()
        return max(others, valves)

    def carry(self, state: State) -> None:
        """Let the flows begin where the last moves, if small, should bring them."""
        if (shift := self.rooms.shift + self.knobs.shift).size == state.q.size:
            size = np.abs(state.q)
            if (np.abs(shift) <= 0.2 * size + 1e-6).all():
                state.q = np.copysign(np.maximum(size + shift, 0.0), state.q)

    def stuck(self, state: State) -> NoSolution:
        """Why they never came to rest."""
        live, flow = state.shape.live, state.water.along(state.q)
        missing = np.abs(self.knobs.wants(live, flow, state.heats, state.heat.fluid))
        left = Residuals(0.0, state.water.imbalance(state.q))
        if missing.size and float(np.max(missing)) > 1e-3:
            worst = int(np.argmax(missing))
            v = self._net.three_ways[worst]
            cause = (
                f"The three-way valve never comes to rest at {v.set_c:g} °C: it is {missing[worst]:.2f} K off; "
                "check that its first way is the warmer one, and that no other valve works against it"
            )
            return NoSolution(state.steps, left, f'"{v.name}"', cause)
        cause = (
            "Room temperatures and thermostatic valves never come to rest: look for a valve far too large for its room"
        )
        return NoSolution(state.steps, left, "the rooms", cause)


def solve(
    net: Net, *, glycol_share: Ratio = 0.0, most_steps: int = MOST_STEPS, start: Solution | None = None
) -> Solution:  # fmt: skip
    """Solve a net: flow, pressure and temperature everywhere.

    Links that lie on no loop carry exactly nothing. A net without a circulator is moved by the weight of its water
    alone; the search for that starts with flow through each source from its lower end (else its tail).

    Nets of `BIG` links and more (fewer once the compiler is loaded) go to the compiled solver in `core`, where numba is
    installed and nothing in them is beyond it (see `core_net.fits`); its answers are the same.

    :param glycol_share: by volume
    :param most_steps: steps after which the attempt ends
    :param start: answer to a net of the same nodes and links, to begin from; it saves time and changes no answer beyond
        what is asked of its balances. Nets that gravity drives are begun anew, since they may have several answers
    :raises JobProblem: a name or number in the net that can't be
    :raises NoSolution: the balances could not be met; says where and what the likely cause is
    """
    check(net)
    table, fluid = columns(net), liquid(glycol_share)
    if _compiled_pays(net):
        from wetside.network.core import solve_core

        found = solve_core(net, table, glycol_share=glycol_share, most_steps=most_steps)
        if found is not None:
            return found
    if start is not None:
        try:
            return _from(net, table, fluid, start, most_steps)
        except NoSolution:
            pass  # what is near to one net's answer may be far from another's
    return _from(net, table, fluid, None, most_steps)


def _from(net: Net, table: Columns, fluid: Liquid, start: Solution | None, most_steps: int) -> Solution:
    movers = _Movers(net, table)
    held = np.zeros(table.shut.size, dtype=np.bool_)
    flow = np.zeros(table.shut.size)
    steps, wider = 0, 1.0
    trickle_w = LULL_SHARE * sum(x.rating.rated_w for x in net.links if x.rating is not None)
    while True:
        state = _begin(net, table, fluid, held, flow, steps, movers)
        if start is not None and state.water.pushed:
            _take_up(state, movers, start)
        start = None
        state.heat.creep *= wider
        try:
            _settle(net, state, movers, most_steps, trickle_w)
        except NoSolution:
            lulled = _lulled(state, trickle_w)
            if not lulled and state.water.rises and wider < WIDEST:
                # water that turns to and fro by its weight: let it fade into standing water sooner
                wider, steps = 4.0 * wider, state.steps
                flow = np.zeros(table.shut.size)
                continue
            if not lulled:
                raise
        else:
            lulled = _lulled(state, LULL_W)
        if lulled:
            # nothing drives the water: it stands, and what room temperatures alone would stir is no circulation
            state = _begin(net, table, fluid, np.ones_like(held), flow, state.steps, movers)
            _settle(net, state, movers, most_steps)
            flow[:] = 0.0
            return _with_positions(answer(net, table, fluid, state, held, flow, movers.around), table, movers)
        steps = state.steps
        flow = np.zeros(table.shut.size)
        flow[state.shape.live] = state.water.along(state.q)
        shuts = table.one_way & (flow < 0.0)
        solution = answer(net, table, fluid, state, held, flow, movers.around)
        push = np.zeros(held.size)
        if held.any():
            push = np.where(held, _forward_push(net, table, solution, state) - table.opens, 0.0)
        opens = push > MOST_PUSH
        if not (np.any(shuts) or np.any(opens)):
            return _with_positions(solution, table, movers)
        if steps > 8 * most_steps:
            worst = int(np.argmax(np.where(opens, push, table.one_way)))
            cause = "Its check valve opens and shuts by turns without end"
            raise NoSolution(steps, Residuals(float(push[worst]), 0.0), f'"{net.links[worst].name}"', cause)
        held = (held | shuts) & ~opens


def _compiled_pays(net: Net) -> bool:
    """Whether the compiled solver is there, knows all of the net, and saves more time than loading it takes."""
    least = BIG_LOADED if "wetside.network.core" in sys.modules else BIG
    if len(net.links) < least or find_spec("numba") is None:
        return False
    from wetside.network.core_net import fits

    return fits(net)


def _forward_push(net: Net, table: Columns, solution: Solution, state: State) -> Floats:
    """Pressure that pushes each standing link open towards its head."""
    tail, head = np.array(table.tail, dtype=np.intp), np.array(table.head, dtype=np.intp)
    mean = 0.5 * (solution.tail_c + solution.head_c)
    push = solution.pressure_pa[tail] - solution.pressure_pa[head] - state.water.still_fall(mean, table, net)
    return np.where(solution.part[tail] == solution.part[head], push, 0.0)


def _with_positions(solution: Solution, table: Columns, movers: _Movers) -> Solution:
    opening = np.ones(table.shut.size)
    opening[table.thermostats] = np.clip(movers.rooms.opening(), 0.0, 1.0)
    return replace(solution, positions=np.array([k.value for k in movers.knobs.knobs]), opening=opening)


def _lulled(state: State, most_w: Watt) -> bool:
    """Whether no circulator runs and boilers heat the water less than this: then nothing drives a steady flow."""
    heated = float(-np.sum(state.heats.given_w[state.heat.source]))
    return bool(state.q.size) and not state.water.pushed and heated < most_w and state.heat.needed


def _begin(net: Net, table: Columns, fluid: Liquid, held: Flags, flow: Floats, steps: int, movers: _Movers) -> State:
    """A state with these links shut, its flows as far as they are known."""
    ends = [(table.tail[i], table.head[i]) for i in listed(table.exchangers)]
    is_open = (~(table.shut | held)).tolist()
    form = shape(len(net.nodes), table.tail, table.head, is_open, chain.from_iterable(ends))
    sides = exchanger_sides(net, table, form)
    pairs = exchanger_pairs(sides, form)
    eliminator = Eliminator(form.junctions.size, np.append(form.a, pairs[0]), np.append(form.b, pairs[1]))
    water = WaterSide(net, table, form, fluid, eliminator, pairs[0].size)
    heat = HeatSide(net, table, form, fluid, eliminator, movers.around, sides, pairs)
    q = flow[form.live[form.starts]] * form.sign[form.starts] if form.starts.size else np.zeros(0)
    state = State(form, water, heat, q, np.zeros(form.junctions.size), heat.answer(q), steps)
    movers.knobs.restart()
    movers.rooms.restart()
    movers.apply(state)
    if form.starts.size:
        start_by_gravity(net, table, state)
    return state


def _take_up(state: State, movers: _Movers, start: Solution) -> None:
    """Go on from the flows and temperatures of an answer."""
    form, heat, water, live = state.shape, state.heat, state.water, state.shape.live
    if start.rooms_c.size == movers.around.rooms_c.size:
        movers.around.take(start.rooms_c)
    movers.knobs.place(start.positions)
    movers.apply(state)
    if not live.size:
        return
    along = start.flow_kg_s[live]
    state.q = along[form.starts] * form.sign[form.starts]
    heat.entry = heat.fluid.enthalpy(np.where(along >= 0.0, start.tail_c[live], start.head_c[live]))
    heat.junction = heat.fluid.enthalpy(start.temperature_c[form.junctions])
    state.heats = heat.answer(state.q)
    water.warm(state.heats.mean_c)
    water.split(state.q)
    water.curves.level[water.curves.rising] = water.curves.wanted(along[water.driven] / water.density[water.driven])
    state.begun = True


def _settle(net: Net, state: State, movers: _Movers, most_steps: int, trickle_w: Watt = 0.0) -> None:
    """Bring a state to balance, and everything that moves by itself to rest.

    :param trickle_w: heat from boilers below which a net without a circulator is given up soon
    :raises NoSolution: either did not happen
    """
    moving = bool(movers.throttles or movers.rooms.count or state.water.curves.rising.size)
    unrest = None if not moving else RESUMED if state.begun else np.inf
    for move in range(MOST_MOVES):
        if move == TOGETHER:
            if _lulled(state, trickle_w):
                break
            movers.knobs.forget()
            movers.rooms.be_patient()
        if state.q.size:
            iterate(net, state, most_steps, unrest=unrest)
        else:
            state.settled = True
        if not moving:
            return
        worst = movers.turn(state, in_turn=move >= TOGETHER)
        if worst > 1.0:
            movers.apply(state)
            if move < TOGETHER:
                movers.carry(state)
        elif state.settled and (state.close or unrest == 0.0):
            return
        unrest = worst if move < TOGETHER and worst > ALMOST else 0.0
    raise movers.stuck(state)
