"""Big nets and many variants of one net, solved by compiled code with the laws of `solve`.

Importing this module loads the compiler (about a second), so it is imported only inside the functions that need it.
The first solve on a machine compiles for some tens of seconds; the machine code is kept on disk.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import NoSolution, Residuals
from wetside.basis.quantity import WATER_4C
from wetside.basis.record import record
from wetside.basis.si import Ratio
from wetside.fluid.water import Liquid, liquid
from wetside.network.answer import Solution
from wetside.network.columns import Columns
from wetside.network.core_answer import (
    ANSWERS,
    DENSITY,
    DROPS,
    FLOWS,
    GIVEN,
    GRADIENT,
    HEAD_C,
    LIFTS,
    LOSS,
    SPEED,
    TAIL_C,
    spread,
    standing,
)
from wetside.network.core_graph import Walk, chains, neighbours, walk
from wetside.network.core_heat import COIL, EM_LOG, EM_N, EM_ROOM, EM_ROWS, EMITTER, SOURCE, Heat
from wetside.network.core_jit import direct
from wetside.network.core_load import OPENING, by_end, load
from wetside.network.core_math import COLEBROOK, ROWS, WIDE
from wetside.network.core_net import ArrayNet, Numbers, numbers, numbers_of
from wetside.network.core_order import plan, slots
from wetside.network.core_solve import End, run
from wetside.network.core_water import Lay, Room, Water, change_valve
from wetside.network.curve import Curves
from wetside.network.friction import KV_DENSITY, KV_PRESSURE
from wetside.network.net import Net

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Place = NDArray[np.uint32]

_KV = KV_PRESSURE * 3600.0**2 / KV_DENSITY
_BOOST = 300.0
"""Pressure that pushes water through sources at the start of a net without any circulator, Pa."""


@record
class Aim:
    """When a solve is done. What is accepted counts only where rounding allows no better."""

    head_pa: float = 1e-6
    head_accepted_pa: float = 0.05
    energy: float = 1e-9
    energy_accepted: float = 1e-7
    change: float = 1.0
    """Largest last change of flows over their sum; 1 leaves it to the pressures, which are the real test."""
    most_steps: int = 200
    mass_kg_s: float = 1e-9
    """Per kg/s of the largest flow, if that is above 1."""

    def numbers(self) -> Floats:
        return np.array(
            [self.head_pa, self.head_accepted_pa, self.energy, self.energy_accepted, self.change, self.most_steps,
             self.mass_kg_s]
        )  # fmt: skip


@dataclass(slots=True)
class CoreNet:
    """A net made ready: its shape and the order of elimination are worked out once, its numbers may be changed."""

    numbers: Numbers
    fluid: Liquid
    lay: Lay
    water: Water
    room: Room
    heat: Heat
    junctions: Index
    links: Index
    between: Index
    ahead: NDArray[np.bool_]
    hair: Floats
    found: Walk
    on_loop: NDArray[np.bool_]
    guards: Index
    """Link of each check valve on a loop."""
    place: Index
    """Where each link lies; −1 on no loop."""
    emitters: Index
    """Emitters on loops, in the order of their links' places."""
    known: bool = False
    """Whether falls and slopes are those of the flows as they stand."""
    end: End | None = None
    direct: Callable[..., End] | None = None
    """The compiled steps, from the second solve on: nothing here changes its type but in `set_speeds`."""

    @classmethod
    def of(cls, n: Numbers, *, glycol_share: Ratio = 0.0) -> "CoreNet":
        """Work out how a net hangs together and lay it out."""
        is_open = ~n.shut
        near = neighbours(n.nodes, n.tail, n.head, is_open)
        found = walk(n.nodes, n.tail, n.head, is_open, *near)
        shape = chains(n.nodes, n.tail, n.head, is_open, *near, found)
        order = plan(shape.junctions.size, shape.a, shape.b)
        a, b, starts, links, ahead, between, chain = by_end(
            order.place, shape.a, shape.b, shape.starts, shape.inner, shape.live, shape.forward
        )
        junctions = np.empty_like(shape.junctions)
        junctions[order.place] = shape.junctions
        slot = slots(order.begin, order.row, a, b)
        lay = Lay(chain, starts, a, b, slot, order.begin, order.row, order.listed, order.target)
        fluid = liquid(glycol_share)
        at = np.full(n.tail.size, -1, dtype=np.int32)
        at[links] = np.arange(links.size, dtype=np.int32)
        water, guards = _water(n, lay, at, ahead)
        place_of = np.full(n.tail.size, -1, dtype=np.int32)
        place_of[n.emitter_link] = np.arange(n.emitter_link.size, dtype=np.int32)
        emitters = place_of[links]
        emitters = emitters[emitters >= 0]
        heat = _heat(n, lay, at, links, ahead, emitters, fluid, junctions.size)
        j = junctions.size
        entries = order.row.size + 1
        room = Room(
            diagonal=np.zeros(j), first=np.zeros(j), upper=np.zeros(entries), right=np.zeros(j),
            conductance=np.zeros(a.size), slate=np.zeros(3 * WIDE), heat_diagonal=np.zeros(j),
            heat_upper=np.zeros(entries), heat_lower=np.zeros(entries), lazy=np.zeros(a.size + 1, dtype=np.uint8),
            asked=np.zeros(chain.size // WIDE, dtype=np.uint8),
        )  # fmt: skip
        on_loop = np.zeros(n.tail.size, dtype=np.bool_)
        on_loop[links] = True
        made = cls(
            n, fluid, lay, water, room, heat, junctions, links, between, ahead, np.zeros(links.size), found,
            on_loop, guards, at, emitters,
        )  # fmt: skip
        made.load()
        return made

    def set_speeds(self, speeds: Floats) -> None:
        """Change the speeds of the circulators."""
        n, w = self.numbers, self.water
        kept = [
            replace(c, speed=float(x))
            for c, x, i in zip(n.curves, speeds, n.pump_link, strict=True)
            if self.place[i] >= 0
        ]
        curves = Curves(kept)
        begin, terms = curves.tables()
        if begin.shape == w.pump_begin.shape:
            w.pump_begin[:], w.pump_terms[:], w.pump_level[:] = begin, terms, curves.level
        else:
            self.direct = None
            self.water = w._replace(pump_begin=begin, pump_terms=terms, pump_level=curves.level.copy())
        self.numbers = replace(
            n, curves=tuple(replace(c, speed=float(x)) for c, x in zip(n.curves, speeds, strict=True))
        )

    def load(self) -> None:
        """Take over the numbers of tubes, valves, boilers and rooms."""
        n, w, fill = self.numbers, self.water, self.numbers.fill_c
        take_over(self.heat, n, self.place, self.links, self.emitters, self.fluid)
        rho, mu = self.fluid.density(fill), self.fluid.viscosity(fill)
        rises = load(
            self.links, self.ahead, self.lay.chain, n.tail, n.head, n.length + n.extra, n.bore, n.roughness, n.k,
            n.inverse_kv2, n.height, rho, mu, w.block, self.heat.basis, self.hair, w.hair, w.opening, self.room.slate,
        )  # fmt: skip
        self.heat.levels[3:5] = rho, float(rises)
        self.known = False

    def set_valve(self, link: int, inverse_kv2: float) -> None:
        """Change one link's valve: 1/Kv² with Kv in m3/h."""
        n = self.numbers
        change = inverse_kv2 - float(n.inverse_kv2[link])
        n.inverse_kv2[link] = inverse_kv2
        i = int(self.place[link])
        if i < 0 or change == 0.0:
            return
        h = self.heat
        warm = float(h.mean[i]) if h.levels[5] > 0.0 else n.fill_c
        change_valve(
            self.lay, self.water, self.room, h.basis, i, change * _KV, self.fluid.density(warm),
            OPENING * math.pi / 4.0 * float(n.bore[link]) ** 2,
        )  # fmt: skip
        plain = not (h.levels[4] or self.water.guard_chain.size or self.water.pump_chain.size > 1)
        self.known = self.known and plain

    def solve(self, aim: Floats, *, law: int = COLEBROOK, warm: bool = False) -> End:
        """:param warm: begin where the last solve ended"""
        if not warm and not self.water.pump_chain.size:
            self.boost()
        start = 0
        if warm:
            start = 2 if self.known else 1
        if self.direct is None and self.end is not None:
            self.direct = direct(run, self.lay, self.water, self.room, self.heat, aim, law, start)
        self.end = (self.direct or run)(self.lay, self.water, self.room, self.heat, aim, law, start)
        self.known = True
        return self.end

    def boost(self) -> None:
        """What pushes a net without a circulator to begin with."""
        w, h, n = self.water, self.heat, self.numbers
        if not self.lay.a.size or not h.levels[4]:
            return
        at = h.source_link
        e = self.links[at]
        up = n.height[n.head[e]] >= n.height[n.tail[e]]
        w.boost[:] = np.where(up == self.ahead[at], _BOOST, -_BOOST)

    def failure(self, end: End, name: str) -> NoSolution:
        cause = "Flow, pressure and temperature do not settle: check sizes, lengths and resistances there"
        if end.flips > 0:
            cause = "Check valves open and shut by turns without end"
        return NoSolution(end.steps, Residuals(end.head_pa, end.mass_kg_s, end.energy), name, cause)

    def worst(self) -> int:
        """Link where most is left of the pressures."""
        w, count = self.water, self.lay.a.size
        if not count:
            return 0
        c = int(np.argmax(np.abs(w.across[:count] - w.fall[:count])))
        return int(self.links[int(self.lay.starts[c])])

    def answer(self) -> Solution:
        """Everything about the last solve."""
        assert self.end is not None
        n, w, h = self.numbers, self.water, self.heat
        held = np.zeros(n.tail.size, dtype=np.bool_)
        held[self.guards[w.guard_held.astype(np.bool_)]] = True
        found, on_loop = self.found, self.on_loop
        if np.any(held):
            is_open = ~(n.shut | held)
            near = neighbours(n.nodes, n.tail, n.head, is_open)
            found = walk(n.nodes, n.tail, n.head, is_open, *near)
            on_loop = is_open & ~found.bridge
        still_c = np.where(n.loss > 0.0, n.ambient, n.fill_c)
        still_c[n.emitter_link] = n.rating[3]
        fall = standing(n.tail, n.head, n.height, still_c, h.table, h.levels[3])
        density, lifts = self.fluid.density(still_c[n.pump_link]), np.zeros(n.pump_link.size)
        if n.pump_link.size:
            head, _ = Curves(n.curves).heads(np.zeros(n.pump_link.size))
            lifts = head * density / WATER_4C
            fall[n.pump_link] -= lifts
        out = np.zeros((ANSWERS, n.tail.size))
        out[LIFTS, n.pump_link] = lifts
        pressure, warm = np.zeros(n.nodes), np.zeros(n.nodes)
        left, missing, heat, moved = spread(
            self.lay, w, h, self.room, self.links, self.between, self.hair, self.junctions, n.tail, n.head, found,
            still_c, fall, n.bore, n.roughness, n.fill_c, ~on_loop, out, pressure, warm,
        )  # fmt: skip
        needed = h.levels[5] > 0.0
        off = heat / max(moved, 1.0) if needed else 0.0
        return Solution(
            flow_kg_s=out[FLOWS], drop_pa=out[DROPS], lift_pa=out[LIFTS], tail_c=out[TAIL_C], head_c=out[HEAD_C],
            given_w=out[GIVEN], loss_w=out[LOSS], density_kg_m3=out[DENSITY], velocity_m_s=out[SPEED],
            gradient_pa_m=out[GRADIENT], on_loop=on_loop.copy(), held=held, pressure_pa=pressure, temperature_c=warm,
            part=found.part.astype(np.intp), iterations=self.end.steps, residuals=Residuals(left, missing, off * moved),
            energy_residual=off, rooms_c=np.zeros(0), positions=np.zeros(0), opening=n.opening,
        )  # fmt: skip


def _water(n: Numbers, lay: Lay, at: Index, ahead: NDArray[np.bool_]) -> tuple[Water, Index]:
    count = lay.a.size

    def flowing(links: Index) -> Index:
        return links[at[links] >= 0]

    def sign(links: Index) -> Floats:
        return np.where(ahead[at[links]], 1.0, -1.0)

    def chain(links: Index) -> Place:
        return lay.chain[at[links]]

    guards = flowing(np.flatnonzero(n.one_way).astype(np.int32))
    pumps = at[n.pump_link] >= 0
    driven = n.pump_link[pumps]
    curves = Curves(c for c, on in zip(n.curves, pumps, strict=True) if on)
    begin, terms = curves.tables()
    sources = flowing(n.source_link)
    zeros = [np.zeros(count + 1) for _ in range(9)]
    return Water(
        block=np.zeros(lay.chain.size * ROWS), q=zeros[0], fall=zeros[1], slope=zeros[2], across=zeros[3],
        change=zeros[4], hair=zeros[5], weight=zeros[6], held=np.zeros(count + 1, dtype=np.uint8),
        pressure=np.zeros(lay.begin.size - 1), guard_chain=chain(guards), guard_link=at[guards].astype(np.uint32),
        guard_sign=sign(guards), guard_opens=n.opens[guards], guard_rate=n.steep[guards],
        guard_held=np.zeros(guards.size, dtype=np.uint8), pump_chain=chain(driven), pump_sign=sign(driven),
        pump_density=np.zeros(driven.size), pump_begin=begin, pump_terms=terms, pump_level=curves.level.copy(),
        pump_link=at[driven].astype(np.uint32), opening=zeros[7], stiff=np.zeros(count + 1), previous=zeros[8],
        boost_chain=chain(sources), boost=np.zeros(sources.size),
    ), guards  # fmt: skip


def _heat(
    n: Numbers,
    lay: Lay,
    at: Index,
    order: Index,
    ahead: NDArray[np.bool_],
    emitters: Index,
    fluid: Liquid,
    junctions: int,
) -> Heat:
    count = order.size
    kind, thing = np.zeros(count, dtype=np.uint8), np.zeros(count, dtype=np.int32)
    sources, coils = (np.flatnonzero(at[x] >= 0) for x in (n.source_link, n.coil_link))
    for which, code, at_link in (
        (emitters, EMITTER, n.emitter_link),
        (sources, SOURCE, n.source_link),
        (coils, COIL, n.coil_link),
    ):
        place = at[at_link[which]]
        kind[place], thing[place] = code, np.arange(which.size)
    line = 0.5 * n.loss[order] * n.length[order]
    needed = bool(emitters.size or sources.size or coils.size or np.any(line > 0.0))
    place = at[n.emitter_link[emitters]]
    return Heat(
        table=fluid_table(fluid), levels=np.array([0.0, 0.0, 0.0, fluid.density(n.fill_c), 0.0, float(needed), n.fill_c]),
        basis=np.zeros(lay.chain.size * 5), kind=kind, thing=thing, forward=ahead.astype(np.uint8), line=line,
        ambient=n.ambient[order], still=np.zeros(count), capacity=np.full(count, float(fluid.heat_capacity(n.fill_c))),
        keep=np.ones(count), middle=np.full(count, n.fill_c), gain=np.zeros(count), follow=np.zeros(count if np.any(n.height != n.height[:1]) else 0),
        mean=np.full(count, n.fill_c), junction=np.zeros(junctions), emitter_link=place.astype(np.uint32),
        emitter=np.zeros((EM_ROWS, emitters.size)), source_link=at[n.source_link[sources]].astype(np.uint32),
        source_set=np.zeros(sources.size), source_most=n.source_w[sources], source_mode=np.zeros(sources.size, dtype=np.int32),
        coil_store=n.store_c[coils], coil_w_k=n.coil_w_k[coils], change=np.zeros(lay.a.size),
        after=np.zeros(lay.a.size), rate=np.zeros(lay.a.size),
    )  # fmt: skip


def fluid_table(fluid: Liquid) -> Floats:
    """Rows: density, ln viscosity, heat capacity, enthalpy, viscosity."""
    grids = fluid.grids()
    return np.ascontiguousarray(np.array([*grids, np.exp(grids[1])]))


def take_over(h: Heat, n: Numbers, at: Index, links: Index, emitters: Index, fluid: Liquid) -> None:
    """Numbers of boilers, emitters and rooms that may change from solve to solve."""
    rating = n.rating[:, emitters]
    h.emitter[EM_LOG] = np.log(rating[0]) - rating[2] * np.log(rating[1])
    h.emitter[EM_N], h.emitter[EM_ROOM] = rating[2], rating[3]
    h.still[:] = np.where(n.loss[links] > 0.0, n.ambient[links], n.fill_c)
    h.still[h.emitter_link] = rating[3]
    h.source_set[:] = fluid.enthalpy(n.source_c[at[n.source_link] >= 0])
    least = most = n.fill_c
    for x in (n.ambient, n.source_c, n.store_c, n.rating[3]):
        if x.size:
            least, most = min(least, float(x.min())), max(most, float(x.max()))
    h.levels[:3] = fluid.enthalpy(least), fluid.enthalpy(most), fluid.enthalpy(n.fill_c)


def solve_arrays(net: ArrayNet, *, glycol_share: Ratio = 0.0, aim: Aim | None = None) -> Solution:
    """Solve a net given as arrays.

    :raises JobProblem: numbers that can't be
    :raises NoSolution: the balances could not be met
    """
    made = CoreNet.of(numbers(net), glycol_share=glycol_share)
    end = made.solve((aim or Aim()).numbers())
    if not end.settled:
        raise made.failure(end, f"link {made.worst()}")
    return made.answer()


def solve_core(net: Net, table: Columns, *, glycol_share: Ratio, most_steps: int) -> Solution | None:
    """Solve a checked net; None where it does not settle, so that the other solver may say why."""
    made = CoreNet.of(numbers_of(net, table), glycol_share=glycol_share)
    end = made.solve(Aim(most_steps=most_steps).numbers())
    return made.answer() if end.settled else None
