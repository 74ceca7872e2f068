"""Heat carried by the water of a net whose flows are known.

Enthalpy is what flows and mixes, so heat balances close whatever the heat capacity does. Each link answers how hot the
water leaves it and how that follows the entering temperature; chains of links compose, junctions mix, and one linear
system gives every junction at once, loops of recirculation included. Repeating that is Newton's method.
"""

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record
from wetside.fluid.water import Liquid
from wetside.network.columns import Columns, largest, listed, total
from wetside.network.elements import coil_return, emitter_return, exchanger_share, source_enthalpy, source_mode
from wetside.network.eliminate import Eliminator
from wetside.network.exchange import Sides
from wetside.network.graph import Shape
from wetside.network.net import Net
from wetside.network.surround import Surroundings

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

STILL = 1e-12
"""Flow [kg/s] below which a link counts as standing."""
CREEP = 2e-5
"""Flow [kg/s] about which a link's water fades from what flows in to what stands there. Without it the weight of the
water would jump where a flow turns round, and a net with such a link might have no answer at all."""
_LEAK = 1e-10
"""Share of each junction's water taken as it was a step before: water that goes round without gaining or losing heat
stays at fill temperature, instead of leaving the system of equations without an answer."""


@record(kw_only=False)
class Heats:
    """Per link of `Shape.live`, along its flow."""

    in_c: Floats
    out_c: Floats
    given_w: Floats
    """By an emitter or coil, or (negative) taken up from a source."""
    loss_w: Floats
    mean_c: Floats
    """Of the water in the link; fades into that of standing water as the flow creeps to nothing."""
    imbalance: float
    """Largest imbalance at any node over the heat moved."""


class HeatSide:
    """The heat of the links of `Shape.live`.

    :param pairs: junctions that exchangers couple, as `exchanger_pairs` gives them and the eliminator knows them
    """

    def __init__(
        self, net: Net, columns: Columns, shape: Shape, fluid: Liquid, eliminator: Eliminator, around: Surroundings,
        sides: Sides, pairs: tuple[Ints, Ints],
    ) -> None:  # fmt: skip
        self.fluid, self.shape, self._eliminator = fluid, shape, eliminator
        self.creep = CREEP
        live = shape.live
        self._chain = shape.chain
        self._weighs = bool(columns.rise[live].any())
        self._whole = np.ones(live.size)
        self._line = 0.5 * columns.loss[live] * columns.length[live]
        self._loses = bool(self._line.any())
        place = np.full(columns.length.size, -1, dtype=np.intp)
        place[live] = np.arange(live.size)

        def here(links: Ints) -> Ints:
            return links[place[links] >= 0]

        rated, sourced, coiled = here(columns.rated), here(columns.sources), here(columns.coils)
        self._here_rated = place[columns.rated] >= 0
        ratings = [r for i in listed(rated) if (r := net.links[i].rating) is not None]
        sources = [s for i in listed(sourced) if (s := net.links[i].source) is not None]
        coils = [c for i in listed(coiled) if (c := net.links[i].coil) is not None]
        self.rated, self.source, self._coil = place[rated], place[sourced], place[coiled]
        self.rating = np.array([(r.rated_w, r.rated_excess_k, r.exponent, r.room_c) for r in ratings]).reshape(-1, 4).T
        self._bare_sources = not self._line[self.source].any()
        self._sides, self._w_k, self._pairs = sides.links, sides.w_k, pairs
        self._share = np.zeros(sides.w_k.size)
        self._set_c = np.array([s.flow_c for s in sources], dtype=np.float64)
        self._set_j = fluid.enthalpy(self._set_c)
        self._most_w = np.array([s.output_w for s in sources], dtype=np.float64)
        self._mode = np.zeros(len(sources), dtype=np.intp)
        self._store = np.array([c.store_c for c in coils], dtype=np.float64)
        self._coil_w_k = np.array([c.coil_w_k for c in coils], dtype=np.float64)
        self.needed = bool(ratings or sources or coils or self._loses)
        low, high = columns.temperatures
        self._low, self._high = fluid.enthalpy(low), fluid.enthalpy(high)
        self._fill = fluid.enthalpy(net.fill_c)
        self.surround(around)
        self.entry = np.full(live.size, self._fill)
        self._cp = np.full(live.size, fluid.heat_capacity(net.fill_c))
        self._near = np.zeros(self.rated.size)
        self._forth, self._back = _positions(shape)
        self._order, self._ordered = self._forth, np.ones(shape.starts.size, dtype=np.bool_)
        self._up, self._down = shape.a, shape.b
        self.follow = np.zeros(live.size)
        """Change of each link's mean temperature with its chain's flow, K s/kg."""
        self.sheds = np.zeros(live.size)
        """Change of the heat that its water leaves in each link with its chain's flow, J/kg."""
        n = shape.junctions.size
        self.junction = np.full(n, self._fill)
        self._own = shape.a == shape.b
        self._owns = bool(self._own.any())
        tail, head = np.array(columns.tail, dtype=np.intp)[live], np.array(columns.head, dtype=np.intp)[live]
        self._chain_tail = np.where(shape.sign > 0.0, tail, head)
        self._chain_head = np.where(shape.sign > 0.0, head, tail)
        self._nodes = len(net.nodes)

    def surround(self, around: Surroundings) -> None:
        """Take what surrounds the links."""
        live = self.shape.live
        self._ambient, self.still_c = around.ambient[live], around.standing_c()[live]
        self.rating[3] = around.room_c[self._here_rated]

    def _leave(self, m: Floats, *, settle: bool) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Entering and leaving temperature, slope of the latter over the former, heat given, leaving enthalpy.

        :param settle: boilers obey their law outright, instead of going from mode to mode
        """
        fluid = self.fluid
        capacity = np.maximum(m, STILL) * self._cp
        enter = fluid.temperature(self.entry)
        if self._loses:
            keep = np.exp(-self._line / capacity)
            first = self._ambient + (enter - self._ambient) * keep
        else:
            keep, first = self._whole, enter
        second, slope, given = first.copy(), self._whole.copy(), np.zeros(first.size)
        if (r := self.rated).size:
            second[r], slope[r] = emitter_return(first[r], capacity[r], *self.rating, near=self._near)
            given[r] = capacity[r] * (first[r] - second[r])
        if (s := self.source).size:
            before = self.entry[s] if self._bare_sources else fluid.enthalpy(first[s])
            flow = np.maximum(m[s], STILL)
            if settle:
                after = np.maximum(before, np.minimum(self._set_j, before + self._most_w / flow))
            else:
                self._mode = source_mode(self._mode, before, flow, self._set_j, self._most_w)
                after, slope[s] = source_enthalpy(self._mode, before, flow, self._set_j, self._most_w)
            holds = not settle and not self._mode.any()
            second[s] = self._set_c if holds else fluid.temperature(after)
            given[s] = -m[s] * (after - before)
        if (c := self._coil).size:
            second[c], slope[c] = coil_return(first[c], capacity[c], self._coil_w_k, self._store)
            given[c] = capacity[c] * (first[c] - second[c])
        if self._sides.size:
            i, j = self._sides
            share = exchanger_share(capacity[i], capacity[j], self._w_k)
            heat = share * (first[i] - first[j])
            second[i], second[j] = first[i] - heat / capacity[i], first[j] + heat / capacity[j]
            slope[i], slope[j] = 1.0 - share / capacity[i], 1.0 - share / capacity[j]
            given[i], given[j] = heat, -heat
            self._share = share
        leave = self._ambient + (second - self._ambient) * keep if self._loses else second
        out = fluid.enthalpy(leave)
        change = leave - enter
        alike = np.abs(change) <= 1e-5
        if alike.any():
            self._cp = np.where(
                alike, fluid.heat_capacity(enter), (out - self.entry) / np.where(alike, 1.0, change)
            )  # fmt: skip
        else:
            self._cp = (out - self.entry) / change
        return enter, leave, slope * keep * keep, given, out

    def answer(self, q: Floats) -> Heats:
        """The heats at the present entering enthalpies, with how far they are from closing."""
        m = np.abs(q)[self._chain]
        enter, leave, _, given, out = self._leave(m, settle=True)
        forward = (q >= 0.0)[self._chain]
        comes = np.where(forward, self._chain_head, self._chain_tail)
        goes = np.where(forward, self._chain_tail, self._chain_head)
        brought, taken = m * out, m * self.entry
        balance = total(comes, brought, self._nodes) - total(goes, taken, self._nodes)
        lost = taken - brought
        moved = float(np.abs(lost).sum())
        still = m <= STILL
        if still.any():
            enter, leave = np.where(still, self.still_c, enter), np.where(still, self.still_c, leave)
            given, lost = np.where(still, 0.0, given), np.where(still, 0.0, lost)
        fade = m * m
        fade = fade / (fade + self.creep * self.creep)
        return Heats(
            in_c=enter, out_c=leave, mean_c=self.still_c + fade * (0.5 * (enter + leave) - self.still_c),
            given_w=given, loss_w=lost - given, imbalance=largest(balance) / max(moved, 1.0),
        )  # fmt: skip

    def emitter_slopes(self, q: Floats) -> tuple[Floats, Floats]:
        """How much less each emitter of `rated` gives per kelvin of its room [W/K], and more per flow [J/kg]."""
        r = self.rated
        flow = np.maximum(np.abs(q)[self.shape.chain][r], STILL)
        capacity = flow * self._cp[r]
        enter = self.fluid.temperature(self.entry[r])
        first = self._ambient[r] + (enter - self._ambient[r]) * np.exp(-self._line[r] / capacity)
        back, slope = emitter_return(first, capacity, *self.rating)
        more, _ = emitter_return(first, 1.001 * capacity, *self.rating)
        per_flow = (1.001 * (first - more) - (first - back)) * self._cp[r] / 1e-3
        return capacity * (1.0 - slope), per_flow

    def step(self, q: Floats) -> Floats:
        """Improve the entering enthalpies for chain flows `q` by one step of Newton's method.

        Answers the mean temperatures of the links that it should come to, as `Heats.mean_c` has them.
        """
        shape = self.shape
        m = np.abs(q)
        along = m[self._chain]
        cp = self._cp
        enter, leave, slope, _, out = self._leave(along, settle=False)
        alpha = out - slope * self.entry
        cross = self._cross(along, alpha)
        forward = q >= 0.0
        if (forward != self._ordered).any():
            self._order, self._ordered = np.where(forward, self._forth, self._back), forward
            self._up, self._down = np.where(forward, shape.a, shape.b), np.where(forward, shape.b, shape.a)
        up, down = self._up, self._down
        n = slope.size
        gain, beta = np.zeros((3, n + 1)), np.ones(n + 1)
        gain[0, :n], beta[:n] = alpha, slope
        gain[2, :n] = _own_follow(along, slope, enter, leave)
        passed = self._passed(gain, beta)
        a, b, _ = passed[-1]
        n = shape.junctions.size
        inflow = total(down, m, n)
        moves = inflow > STILL
        share_in = np.where(moves, 1.0 / np.maximum(inflow, STILL), 0.0)[down] * m
        pull = -share_in * b
        diagonal = np.full(n, 1.0 + _LEAK)
        if self._owns:
            diagonal += total(down[self._own], pull[self._own], n)
        rhs = total(down, share_in * a, n) + np.where(moves, _LEAK * self.junction, (1.0 + _LEAK) * self._fill)
        upper, lower = np.where(forward, 0.0, pull), np.where(forward, pull, 0.0)
        if self._sides.size:
            upper, lower = self._couple(cross, share_in, up, down, upper, lower, diagonal)
        found = self._eliminator.solve(diagonal, upper, lower, rhs)
        self.junction = np.minimum(np.maximum(found, self._low), self._high)
        h = self.junction[up]
        if self._sides.size:
            sides = self._sides.ravel()
            gain[0, sides] += cross * self.junction[up[self._chain[np.roll(self._sides, 1, axis=0).ravel()]]]
            passed = self._passed(gain, beta)
        entry = np.empty(beta.size)
        entry[self._order] = passed[:-1, 0] + passed[:-1, 1] * h
        self.entry = entry[:-1]
        if self.entry.max(initial=self._low) > self._high or self.entry.min(initial=self._high) < self._low:
            self.entry = self._kept(h, gain[0], beta)
        follow = np.empty((2, beta.size))
        follow[:, self._order] = passed[:-1, 2], passed[1:, 2]
        comes, goes = follow[:, :-1]
        self.sheds = cp * (enter - leave + along * (comes - goes))
        before, enter = enter, self.fluid.temperature(self.entry)
        excess = 0.5 * (enter + leave + slope * (enter - before)) - self.still_c
        square, creep = along * along, self.creep * self.creep
        whole = square + creep
        fade = square / whole
        self.follow = 0.5 * fade * (comes + goes) + 2.0 * creep * along / (whole * whole) * excess
        return self.still_c + fade * excess

    def _kept(self, h: Floats, gain: Floats, beta: Floats) -> Floats:
        """What enters each link, kept from link to link within what any water in the net can have."""
        entry = np.empty(beta.size)
        for place in self._order:
            entry[place] = h
            h = np.minimum(np.maximum(gain[place] + beta[place] * h, self._low), self._high)
        return entry[:-1]

    def _passed(self, gain: Floats, beta: Floats) -> Floats:
        """What the links make, one after the other along each chain, of what enters it.

        Each turns x into ``gain + beta x``. Answers, for every place of every chain and for its end, what has come
        about so far of nothing (rows 0 and 2 of `gain`) and of one (row 1): places × 3 × chains.
        """
        gains, betas = gain[:, self._order], beta[self._order]
        passed = np.empty((betas.shape[0] + 1, *gains.shape[::2]))
        passed[0] = 0.0
        passed[0, 1] = 1.0
        for k, more in enumerate(betas):
            np.multiply(passed[k], more, out=passed[k + 1])
            passed[k + 1] += gains[:, k]
        return passed

    def _cross(self, m: Floats, alpha: Floats) -> Floats:
        """How each exchanger side's leaving enthalpy follows the other side's entering one; taken out of `alpha`."""
        if not self._sides.size:
            return alpha[:0]
        i, j = self._sides
        flow = np.maximum(m, STILL)
        forth = self._share / (flow[i] * self._cp[j])
        back = self._share / (flow[j] * self._cp[i])
        alpha[i] -= forth * self.entry[j]
        alpha[j] -= back * self.entry[i]
        return np.concatenate([forth, back])

    def _couple(
        self, cross: Floats, share_in: Floats, up: Ints, down: Ints, upper: Floats, lower: Floats, diagonal: Floats
    ) -> tuple[Floats, Floats]:
        """Entries of the exchangers: the junction below one side follows the junction above the other."""
        i, j = self.shape.chain[self._sides]
        n = i.size
        one, other = np.concatenate([i, j]), np.concatenate([j, i])
        value = -share_in[one] * cross
        row, column = down[one], up[other]
        more_upper, more_lower = np.zeros(self._pairs[0].size), np.zeros(self._pairs[0].size)
        a, b = self._pairs
        for k in range(2 * n):
            if row[k] == column[k]:
                diagonal[row[k]] += value[k]
                continue
            mine: Ints = np.arange(4 * (k % n), 4 * (k % n) + 4, dtype=np.intp)
            as_upper = mine[(a[mine] == row[k]) & (b[mine] == column[k])]
            if as_upper.size:
                more_upper[as_upper[0]] += value[k]
                continue
            as_lower = mine[(a[mine] == column[k]) & (b[mine] == row[k])]
            more_lower[as_lower[0]] += value[k]
        return np.append(upper, more_upper), np.append(lower, more_lower)


def _own_follow(m: Floats, slope: Floats, enter: Floats, leave: Floats) -> Floats:
    """How the temperatures at which links let their water go follow the flow of their own chain, entering ones held.

    Water that cools against surroundings of one temperature, keeping `slope` of its excess, leaves
    warmer by ``drop N e^-N / ((1 - e^-N) m)`` per unit of flow, with e^-N = slope.
    """
    keep = np.minimum(np.maximum(slope, 1e-300), 1.0 - 1e-9)
    return (enter - leave) * keep * -np.log(keep) / ((1.0 - keep) * np.maximum(m, STILL))


def _positions(shape: Shape) -> tuple[Ints, Ints]:
    """Link at each place of every chain (places × chains), forwards and backwards, padded with the index of the
    nothing-link."""
    nothing = shape.live.size
    ends = np.append(shape.starts[1:], nothing) if shape.starts.size else shape.starts
    counts = ends - shape.starts
    most = int(counts.max(initial=0))
    k = np.arange(most)[:, None]
    inside = k < counts
    forth = np.where(inside, shape.starts + k, nothing)
    back = np.where(inside, ends - 1 - k, nothing)
    return forth, back
