"""What in a net moves by itself: three-way valves that hold a temperature, circulators whose pressure follows the flow.

Each has one number, and a want that falls as the number grows (more hot water, less is missing). Between solves of the
net each number is moved by the secant through its last two places, kept inside the bracket that is known by then.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetside.fluid.water import Liquid
from wetside.network.columns import Columns, Floats, Ints
from wetside.network.friction import KV_DENSITY, KV_PRESSURE
from wetside.network.heat import Heats
from wetside.network.hydraulics import WaterSide
from wetside.network.net import Net, ThreeWay

TIGHT_K = 1e-3
"""How near a three-way valve comes to its temperature."""
TIGHT_PA = 0.02
"""How near a circulator comes to its line."""
END = 9.0
"""Logarithm of the odds from which a valve counts as at the end of its travel (open or shut to 1 in 8000)."""
SEAT = 1e-5
"""Share of its Kv that a shut way of a valve still has; nothing that a person could measure."""


@dataclass(slots=True)
class Knob:
    """One share between 0 and 1, moved on the scale of its odds, on which mixing is nearly straight."""

    value: float
    low: float = -END
    high: float = END
    last: tuple[float, float] | None = None
    stride: float = 2.0
    fallen: int = 0
    promise: tuple[float, float, float] | None = None
    """What was missing before the last move by `aim`; what that was to bring by itself, and what else was to."""
    factor: float = 1.0
    """What moves brought, over what they were to."""

    def move(self, want: float, guess: float | None = None, aim: float | None = None) -> None:
        """Go on, given what is missing at the present value.

        :param guess: a better place than the middle while there is no secant yet
        :param aim: odds at which nothing should be missing (see `aim`); what was learnt from places before is then
            left, as everything else moves too
        """
        here = _odds(self.value)
        if aim is not None:
            self.low, self.high, self.last = -END, END, None
            self._go(aim)
            return
        if want > 0.0:
            self.low = max(self.low, here)
        else:
            self.high = min(self.high, here)
        if self.high - self.low < 1e-4:
            # the rest of the net has moved meanwhile, and the bracket with it
            wide = 0.1 * 2.0**self.fallen
            self.fallen += 1
            self.low, self.high = max(-END, here - wide), min(END, here + wide)
            self.last = None
        aim = None if guess is None else _odds(guess)
        if self.last is not None and self.last[0] != here:
            slope = (want - self.last[1]) / (here - self.last[0])
            aim = here - want / slope if slope < 0.0 else None
        if aim is None:
            aim = here + (self.stride if want > 0.0 else -self.stride)
        onward = self.last is not None and self.last[1] * want > 0.0
        self.stride = min(2.0 * self.stride, 8.0) if onward else 2.0
        aim = min(max(aim, here - self.stride), here + self.stride)
        if not self.low < aim < self.high:
            edge = self.low if aim <= self.low else self.high
            aim = edge if abs(edge) == END else 0.5 * (edge + here) if edge != here else 0.5 * (self.low + self.high)
        self.last = (here, want)
        self._go(aim)

    def _go(self, aim: float) -> None:
        self.value = 0.0 if aim <= -END else 1.0 if aim >= END else 1.0 / (1.0 + math.exp(-aim))

    def aim(self, want: float, rate: float, shift: float) -> float:
        """Odds at which nothing should be missing, at most one stride away.

        The rate holds temperatures; that the water comes back warmer the more of it is hot is learnt from the move
        before.

        :param rate: of the temperature over the odds
        :param shift: by how much the temperature rises by what else has just moved
        """
        if self.promise is not None:
            before, moved, other = self.promise
            if abs(moved) > max(1e-4, abs(other)):
                self.factor = min(max((before - want - other) / moved, 0.6), 2.5)
        here = _odds(self.value)
        aim = min(max(here + (want - shift) / (self.factor * rate), here - 2.0), here + 2.0)
        self.promise = (want, rate * (aim - here), shift)
        return aim

    def at_end(self, want: float) -> bool:
        """Whether it stands at the end of its travel and would go further."""
        return (self.value >= 1.0 and want >= 0.0) or (self.value <= 0.0 and want <= 0.0)


def _odds(share: float) -> float:
    return -END if share <= 0.0 else END if share >= 1.0 else min(max(math.log(share / (1.0 - share)), -END), END)


class Knobs:
    def __init__(self, net: Net, columns: Columns) -> None:
        names = {x.name: i for i, x in enumerate(net.links)}
        nodes = {x.name: i for i, x in enumerate(net.nodes)}
        self._tail, self._head = np.array(columns.tail, dtype=np.intp), np.array(columns.head, dtype=np.intp)
        self.valves: tuple[ThreeWay, ...] = net.three_ways
        self.ways = [(names[v.first], names[v.second]) for v in net.three_ways]
        self._at = [nodes[v.sensor] if v.set_c is not None else -1 for v in net.three_ways]
        self.knobs = [Knob(v.position) for v in net.three_ways]
        self._before: tuple[Floats, Floats] | None = None
        self._links = len(net.links)
        self.mixed_c = np.full(len(net.three_ways), np.nan)
        self.shift = np.zeros(0)
        """By how much the sizes of the chains' flows change by the last moves, as far as that can be told."""

    def inverse_kv2(self) -> Floats:
        """1/Kv² of the three-way valves in each link."""
        found = np.zeros(self._links)
        for v, (first, second), knob in zip(self.valves, self.ways, self.knobs, strict=True):
            found[first] += (v.kv_m3_h * max(knob.value, SEAT)) ** -2.0
            found[second] += (v.kv_m3_h * max(1.0 - knob.value, SEAT)) ** -2.0
        return found

    def wants(self, live: Ints, flow: Floats, heats: Heats, fluid: Liquid) -> Floats:
        """What each three-way valve misses of its temperature, K; nothing where it holds none or no water passes."""
        found = np.zeros(len(self.valves))
        moving = np.abs(flow)
        forward = flow >= 0.0
        goes = np.where(forward, self._head[live], self._tail[live])
        for k, (v, node) in enumerate(zip(self.valves, self._at, strict=True)):
            if v.set_c is None:
                continue
            into = goes == node
            water = float(np.sum(moving[into]))
            if water < 1e-9:
                self.mixed_c[k] = np.nan
                continue
            held = fluid.enthalpy(heats.out_c[into])
            self.mixed_c[k] = fluid.temperature(float(moving[into] @ held) / water)
            found[k] = v.set_c - self.mixed_c[k]
        return found

    def aims(
        self, wants: Floats, water: WaterSide, q: Floats, slope: Floats, heats: Heats, shift: Floats
    ) -> list[float | None]:
        """Where each three-way valve would miss nothing, by how its ways' flows answer to it; None where that can't be
        told. Temperatures are held.

        :param shift: by how much the chains' flows change by what else has just moved
        """
        found: list[float | None] = [None] * len(self.valves)
        self.shift = np.zeros(q.size)
        live, m = water.shape.live, np.abs(water.along(q))
        goes = np.where(water.along(q) >= 0.0, self._head[live], self._tail[live])
        for k, (v, knob, ways) in enumerate(zip(self.valves, self.knobs, self.ways, strict=True)):
            at = [np.flatnonzero(live == way) for way in ways]
            if v.set_c is None or abs(wants[k]) <= TIGHT_K or not 0.0 < knob.value < 1.0:
                continue
            if np.isnan(self.mixed_c[k]) or any(not i.size for i in at):
                continue
            more = np.zeros((q.size, 1))
            for i, share, turn in ((at[0][0], knob.value, -1.0), (at[1][0], 1.0 - knob.value, 1.0)):
                lost = KV_PRESSURE * 3600.0**2 / (KV_DENSITY * water.density[i]) * (v.kv_m3_h * share) ** -2.0
                more[water.shape.chain[i]] += turn * 2.0 * (1.0 - share) * lost * m[i] ** 2
            into = goes == self._at[k]
            weight = (heats.out_c[into] - self.mixed_c[k]) / float(m[into].sum())
            chains = water.shape.chain[into]
            answers = water.yields(q, slope, more)[:, 0]
            rate = float(weight @ answers[chains])
            if rate > 1e-6:
                found[k] = aim = knob.aim(float(wants[k]), rate, float(weight @ shift[chains]))
                self.shift += answers * (aim - _odds(knob.value))
        return found

    def turn(
        self, wants: Floats, live: Ints, flow: Floats, heats: Heats, aims: Sequence[float | None] = ()
    ) -> float:  # fmt: skip
        """Move the three-way valves. Answers how far the worst of them is from its want, over what is asked.

        :param aims: from `aims`, else it is found by trying
        """
        worst = 0.0
        for k, (knob, want) in enumerate(zip(self.knobs, wants, strict=True)):
            if self.valves[k].set_c is None or knob.at_end(float(want)) or abs(want) <= TIGHT_K:
                continue
            worst = max(worst, abs(float(want)) / TIGHT_K)
            aim = aims[k] if aims else None
            knob.move(float(want), None if aim is not None else self._guess(k, live, flow, heats), aim)
        return worst

    def _guess(self, k: int, live: Ints, flow: Floats, heats: Heats) -> float | None:
        """Position by the flows that would mix to the wanted temperature if each way's flow went with its opening."""
        v, knob = self.valves[k], self.knobs[k]
        ends: list[tuple[float, float]] = []
        for way in self.ways[k]:
            at = np.flatnonzero(live == way)
            if not at.size:
                return None
            ends.append((abs(float(flow[at[0]])), float(heats.out_c[at[0]])))
        (m1, t1), (m2, t2) = ends
        assert v.set_c is not None
        if not (min(t1, t2) < v.set_c < max(t1, t2)) or m1 <= 0.0 or m2 <= 0.0 or not 0.0 < knob.value < 1.0:
            return None
        ratio = (v.set_c - t2) / (t1 - v.set_c) * m2 / m1
        odds = knob.value / (1.0 - knob.value) * ratio
        return odds / (1.0 + odds)

    def place(self, positions: Floats) -> None:
        """Let three-way valves that hold a temperature stand there."""
        if positions.size == len(self.knobs):
            self.knobs = [
                Knob(k.value if v.set_c is None else float(p))
                for k, v, p in zip(self.knobs, self.valves, positions, strict=True)
            ]

    def forget(self) -> None:
        """Begin the search of every three-way valve anew from where it stands."""
        self.knobs = [Knob(min(max(k.value, 0.02), 0.98)) for k in self.knobs]

    def restart(self) -> None:
        """Forget what belongs to another state of the check valves."""
        self._before = None

    def levels(self, water: WaterSide, flow: Floats) -> float:
        """Move the circulators whose pressure follows the flow. Answers as `turn`."""
        curves = water.curves
        if not curves.rising.size:
            return 0.0
        driven = water.driven
        wanted = curves.wanted(flow[driven] / water.density[driven])
        now = curves.level[curves.rising]
        missing = wanted - now
        slope = np.zeros(missing.size)
        if self._before is not None and self._before[0].size == now.size:
            step = now - self._before[0]
            safe = np.where(np.abs(step) > 1e-9, step, 1.0)
            slope = np.where(np.abs(step) > 1e-9, (missing - self._before[1]) / safe, 0.0)
        # the want falls by between a half and the whole of a rise in level
        slope = np.clip(slope, -1.0, -0.3)
        self._before = (now.copy(), missing)
        curves.level[curves.rising] = now - missing / slope
        return float(np.max(np.abs(missing))) / TIGHT_PA
