"""Room temperatures that settle by themselves, and the thermostatic valves that answer to them.

Newton's method on the heat balance of every room: what emitters and tube give falls as the room gets warmer, by the
emitter's own law and, within its band, by its thermostatic valve; what leaves grows in proportion. Supply temperatures
and pressures are held while a step is reckoned, and found anew after it.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import MistakeList
from wetside.network.columns import Columns, Floats, largest, listed
from wetside.network.friction import KV_DENSITY, KV_PRESSURE
from wetside.network.heat import Heats, HeatSide
from wetside.network.hydraulics import WaterSide
from wetside.network.net import Net
from wetside.network.surround import Surroundings

Flags = NDArray[np.bool_]

SEAT = 1e-5
"""Share of its Kv that a shut thermostatic valve still has; nothing that a person could measure."""
TIGHT_K = 1e-3
TIGHT_SHARE = 5e-7
"""Heat that may be missing in a room, over all heat taken up and given."""
FAR, NEAR = 3e3, 1e3
"""How far rooms are from rest, over what is asked: below the one, steps are bettered by those before; above the other,
they are shortened where they swing (nearer, swings are what the water's own steps leave)."""


class RoomSide:
    def __init__(self, net: Net, columns: Columns, around: Surroundings) -> None:
        self.around = around
        n = len(net.rooms)
        self.count = n
        place = {r.name: i for i, r in enumerate(net.rooms)}
        self._matrix, self._given = np.zeros((n, n)), np.zeros(n)
        for i, room in enumerate(net.rooms):
            for w_k, t in room.fixed:
                self._matrix[i, i] += w_k
                self._given[i] += w_k * t
            self._given[i] += room.gains_w
            for other, w_k in room.links:
                j = place[other]
                self._matrix[[i, j], [i, j]] += w_k
                self._matrix[[i, j], [j, i]] -= w_k
        _check(net, self._matrix)
        held = listed(columns.thermostats)
        valves = [v for i in held if (v := net.links[i].thermostat) is not None]
        self._links = columns.thermostats
        self._room = np.array([place.get(v.room, -1) for v in valves], dtype=np.intp)
        self._set = np.array([v.set_c for v in valves], dtype=np.float64)
        self._band = np.array([v.band_k for v in valves], dtype=np.float64)
        self._kv = np.array([v.kv_m3_h for v in valves], dtype=np.float64)
        links = [net.links[i] for i in held]
        self._fixed_c = np.array([x.rating.room_c if x.rating else x.ambient_c for x in links], dtype=np.float64)
        self._size = columns.shut.size
        self._line = columns.loss * columns.length
        self._coldest, self._warmest = columns.temperatures
        if any(r.gains_w for r in net.rooms):
            self._coldest, self._warmest = -np.inf, np.inf
        self._rated = columns.rated
        self._emitter_room = np.full(self._size, -1, dtype=np.intp)
        self._emitter_room[self._rated] = around.emitter_room
        self.restart()

    def restart(self) -> None:
        """Forget how the steps went so far: the net is in another state."""
        self._before, self._left, self._damp = np.zeros(self.count), np.zeros(self.count), np.ones(self.count)
        self._trail: list[tuple[Floats, Floats]] = []
        self._patient, self._worst = False, 0.0
        self.shift, self._yields, self._answering = np.zeros(0), np.zeros((0, 0)), np.zeros(0, dtype=np.intp)
        self._low, self._high = np.full(self.count, -np.inf), np.full(self.count, np.inf)

    def opening(self) -> Floats:
        """Share that each thermostatic valve is open, before it is cut off at nothing and all."""
        room_c = self._fixed_c.copy()
        inside = self._room >= 0
        room_c[inside] = self.around.rooms_c[self._room[inside]]
        return (self._set - room_c) / self._band + 0.5

    def inverse_kv2(self) -> Floats:
        """1/Kv² of the thermostatic valves in each link."""
        found = np.zeros(self._size)
        found[self._links] = (self._kv * np.clip(self.opening(), SEAT, 1.0)) ** -2.0
        return found

    def heat(self, live: np.ndarray, heats: Heats) -> Floats:
        """What emitters and tube give to each room, W."""
        given, lost = np.zeros(self._size), np.zeros(self._size)
        given[live], lost[live] = heats.given_w, heats.loss_w
        found = np.zeros(self.count + 1)
        np.add.at(found, self.around.tube_room, lost)
        np.add.at(found, self.around.emitter_room, given[self._rated])
        return found[: self.count]

    def turn(self, water: WaterSide, heat: HeatSide, q: Floats, heats: Heats, slope: Floats) -> float:
        """Move the rooms. Answers how far the worst of them is from its balance, over what is asked.

        :param slope: of the chains' falls, as the last step of the water left it
        """
        self.shift = np.zeros(q.size)
        if not self.count:
            return 0.0
        live, t = water.shape.live, self.around.rooms_c
        left = self._given + self.heat(live, heats) - self._matrix @ t
        moved = float(np.sum(np.abs(heats.given_w)) + np.sum(np.abs(heats.loss_w))) + 1.0
        falls, opening_falls = self._falls(water, heat, q, slope)
        jacobian = self._matrix + falls
        plain = np.asarray(np.linalg.solve(jacobian, left), dtype=np.float64)
        step = self._past_shut(plain, t, jacobian.diagonal(), opening_falls)
        worst = max(largest(left) / (TIGHT_SHARE * moved), largest(step) / TIGHT_K)
        if worst <= 1.0:
            return worst
        if self._patient:
            self._take(self._bracketed(t, self._within(np.clip(step, -15.0, 15.0), t), left))
            return worst
        # a room that turns round while it comes nearer has only gone a little too far
        swings = (step * self._before < 0.0) & (np.abs(step) > 0.5 * np.abs(self._before))
        slowly, self._worst = worst > 0.3 * self._worst, worst
        swings &= (np.abs(left) > 0.3 * np.abs(self._left)) & slowly & (worst > NEAR)
        self._damp = np.where(swings, np.maximum(0.5 * self._damp, 0.05), np.minimum(1.5 * self._damp, 1.0))
        step = np.clip(step * self._damp, -15.0, 15.0)
        self._before, self._left = step, left
        if worst < FAR and slowly:
            step = np.clip(self._quicker(t, step), -15.0, 15.0)
        self._take(t + self._within(step, t))
        return worst

    def _take(self, rooms_c: Floats) -> None:
        if self._yields.size:
            self.shift = self._yields @ (rooms_c - self.around.rooms_c)[self._answering]
        self.around.take(rooms_c)

    def disturbed(self) -> None:
        """Something else has moved: what was the best so far means nothing now."""
        self._trail.clear()
        self._low, self._high = np.full(self.count, -np.inf), np.full(self.count, np.inf)

    def be_patient(self) -> None:
        """From now on keep each room between temperatures that were too cold and too warm for it."""
        self._patient = True
        self.disturbed()

    def _bracketed(self, t: Floats, step: Floats, left: Floats) -> Floats:
        """Where the rooms go: by the step, but not past what is known; half way there where it would be."""
        self._low = np.where(left > 0.0, np.maximum(self._low, t), self._low)
        self._high = np.where(left < 0.0, np.minimum(self._high, t), self._high)
        # the other rooms have moved meanwhile, and the bracket with them
        stale = self._high - self._low < 1e-6
        self._low, self._high = np.where(stale, -np.inf, self._low), np.where(stale, np.inf, self._high)
        aim = t + np.where(stale, 0.5 * step, step)
        aim = np.where(aim >= self._high, 0.5 * (t + self._high), aim)
        return np.where(aim <= self._low, 0.5 * (t + self._low), aim)

    def _quicker(self, t: Floats, step: Floats) -> Floats:
        """The step, bettered by what the last few steps made of themselves (Anderson's mixing, from memory)."""
        self._trail = [*self._trail[-3:], (t.copy(), step.copy())]
        if len(self._trail) < 2:
            return step
        places = np.array([b[0] - a[0] for a, b in pairwise(self._trail)]).T
        changes = np.array([b[1] - a[1] for a, b in pairwise(self._trail)]).T
        share, *_ = np.linalg.lstsq(changes, step, rcond=1e-8)
        better = step - (places + changes) @ share
        return better if float(np.max(np.abs(better))) < 5.0 * float(np.max(np.abs(step))) else step

    def _falls(self, water: WaterSide, heat: HeatSide, q: Floats, slope: Floats) -> tuple[Floats, Floats]:
        """By how much less each room (row) is given per kelvin that each (column) gets warmer; and by how much more
        per kelvin colder once its shut valves begin to open."""
        live, n = water.shape.live, self.count
        falls, opens = np.zeros((n + 1, n + 1)), np.zeros(n + 1)
        np.add.at(falls.reshape(-1)[:: n + 2], self.around.tube_room[live], self._line[live])
        per_k, per_flow = heat.emitter_slopes(q)
        at = heat.rated
        rooms = self._emitter_room[live[at]]
        np.add.at(falls, (rooms, rooms), per_k)
        self._yields = np.zeros((0, 0))
        opening = self.opening()
        works, shut = (opening > 0.0) & (opening < 1.0), opening <= 0.0
        if not (works.any() or shut.any()):
            return falls[:n, :n], opens[:n]
        m = np.abs(water.along(q))
        place = np.full(self._size, -1, dtype=np.intp)
        place[live] = np.arange(live.size)
        own = KV_PRESSURE * 3600.0**2 / (KV_DENSITY * water.density) * self.inverse_kv2()[live] * m * m
        alone = works | shut if self._patient else shut
        if alone.any():
            by_valve = self._by_valve(water, q, own, m, alone)[at] * np.maximum(per_flow, 0.0)
            closed = np.zeros(self._size, dtype=np.bool_)
            closed[self._links[shut]] = True
            np.add.at(opens, rooms, np.where(closed[live[at]], by_valve, 0.0))
            np.add.at(falls, (rooms, rooms), np.where(closed[live[at]], 0.0, by_valve))
        works &= (place[self._links] >= 0) & (self._room >= 0) & ~alone
        links, room = place[self._links[works]], self._room[works]
        if links.size:
            # a warmer room shuts its valve farther; what that takes from each chain's flow takes heat from rooms
            more = np.zeros((q.size, links.size))
            more[water.shape.chain[links], np.arange(links.size)] = (
                2.0 * own[links] / (opening[works] * self._band[works])
            )
            self._yields, self._answering = water.yields(q, slope, more), room
            by_flow = np.zeros((n + 1, q.size))
            into = np.where(self._emitter_room[live] >= 0, self._emitter_room[live], self.around.tube_room[live])
            np.add.at(by_flow, (into, water.shape.chain), np.maximum(heat.sheds, 0.0))
            np.add.at(falls.T, room, -(by_flow @ self._yields).T)
        return falls[:n, :n], opens[:n]

    def _by_valve(self, water: WaterSide, q: Floats, own: Floats, m: Floats, which: Flags) -> Floats:
        """Flow of each live link that each kelvin takes through its thermostatic valve, all other pressures held."""
        share = np.zeros(self._size)
        share[self._links[which]] = 1.0 / (np.maximum(self.opening()[which], SEAT) * self._band[which])
        drop, _, _, _ = water.links(q)
        whole = np.add.reduceat(np.abs(drop), water.shape.starts)[water.shape.chain]
        authority = np.where(whole > 0.0, np.minimum(own / np.maximum(whole, 1e-12), 1.0), 1.0)
        return share[water.shape.live] * authority * m

    def _past_shut(self, step: Floats, t: Floats, slope: Floats, opens: Floats) -> Floats:
        """Shorten steps of rooms that get so cold that a shut valve opens on the way, by what it then gives."""
        for k, i in enumerate(self._room):
            gap = self._set[k] + 0.5 * self._band[k] - t[i] if i >= 0 else 0.0
            if i >= 0 and gap <= 0.0 and step[i] < gap:
                step[i] = gap + (step[i] - gap) * slope[i] / (slope[i] + opens[i])
        return step

    def _within(self, step: Floats, t: Floats) -> Floats:
        """Cut steps so that no thermostatic valve jumps from one end of its band past the other, and no room goes
        where nothing around it could bring it."""
        opening = self.opening()
        nearly = np.where(opening > 1e-3, 0.25 * opening, -1e-6)
        low = np.where(opening >= 1.0, 0.3, np.where(opening <= 0.0, -np.inf, nearly))
        inside = np.maximum(opening, 0.0)
        high = np.where(opening >= 1.0, np.inf, inside + np.minimum(0.3, 3.0 * inside + 0.02))
        for k, i in enumerate(self._room):
            if i < 0:
                continue
            most = self._set[k] + (0.5 - low[k]) * self._band[k]
            least = self._set[k] + (0.5 - high[k]) * self._band[k]
            step[i] = min(max(step[i], min(least - t[i], 0.0)), max(most - t[i], 0.0))
        return np.minimum(np.maximum(step, np.minimum(self._coldest - t, 0.0)), np.maximum(self._warmest - t, 0.0))


def _check(net: Net, matrix: Floats) -> None:
    """:raises JobProblem: rooms that no heat can leave"""
    reached = {i for i, r in enumerate(net.rooms) if sum(w for w, _ in r.fixed) > 0.0}
    grown = True
    while grown:
        more = {i for i in range(len(net.rooms)) if i not in reached and any(matrix[i, j] < 0.0 for j in reached)}
        grown, reached = bool(more), reached | more
    mistakes = MistakeList()
    for i, room in enumerate(net.rooms):
        if i not in reached:
            mistakes.add("room", room.name, "fixed", f"no heat reaches or leaves {room.name}",
                         "give it a conductance to outside or to a room that has one")  # fmt: skip
    mistakes.raise_if_any()
