"""Pressure along the chains of a net, and Newton's step towards balance."""

import numpy as np
from numpy.typing import NDArray

from wetside.basis.quantity import WATER_4C, G
from wetside.fluid.water import Liquid
from wetside.network.columns import Columns, curves_of, largest, listed, total
from wetside.network.eliminate import Eliminator
from wetside.network.friction import CREEP, scaled_drop, square_coefficient, square_drop, tube_scales
from wetside.network.graph import Shape
from wetside.network.net import Net
from wetside.network.split import Splits

Floats = NDArray[np.float64]

HAIR = 0.1
"""Resistance [Pa s/kg] that a link of no length and no fittings is given, so that its flow is defined."""
_CHECK = 1e9
"""Resistance [Pa s/kg] of a check valve against its arrow while it is not yet settled whether it shuts."""


class WaterSide:
    """The links of `Shape.live`. A chain's fall is what pressure it takes to push its flow through."""

    def __init__(
        self, net: Net, columns: Columns, shape: Shape, fluid: Liquid, eliminator: Eliminator, beside: int = 0
    ) -> None:
        """:param beside: pairs of junctions that the eliminator knows besides the chains' ends"""
        self._beside = np.zeros(beside)
        self.shape, self.fluid, self._eliminator = shape, fluid, eliminator
        live = shape.live
        self._length, self._bore = columns.length[live] + columns.extra[live], columns.bore[live]
        self._relative, self._area = columns.roughness[live] / self._bore, np.pi / 4.0 * self._bore**2
        self._k, self._fixed_kv2 = columns.k[live], columns.inverse_kv2[live]
        self._inverse_kv2 = self._fixed_kv2
        self._opens, self._steep = columns.opens[live], columns.steep[live]
        self._rise = columns.rise[live] * G
        self.rises = bool(self._rise.any())
        self._guarded = np.flatnonzero(columns.one_way[live])
        place = np.full(columns.length.size, -1, dtype=np.intp)
        place[live] = np.arange(live.size)
        driven = columns.curves[place[columns.curves] >= 0]
        self.driven = place[driven]
        self.curves = curves_of(net, listed(driven))
        self._splits = Splits(net, columns, shape)
        self.splits = self._splits.any
        self._tee_fall, self._tee_slope = np.zeros(live.size), np.zeros(live.size)
        shut_off, _ = self.curves.heads(np.zeros(driven.size))
        self.pushed = bool(np.any(shut_off > 0.0))
        """Whether any circulator runs."""
        self.boost = np.zeros(live.size)
        """Pressure added while starting a net that has no circulator."""
        self._reference = fluid.density(net.fill_c)
        either = shape.grounded[shape.a] | shape.grounded[shape.b]
        self._joined = np.where(either | (shape.a == shape.b), 0.0, 1.0)
        self._differ = np.where(shape.a == shape.b, 0.0, 1.0)
        self.warm(np.full(live.size, net.fill_c))
        bare = (self._length == 0.0) & (self._k == 0.0) & (self._fixed_kv2 == 0.0)
        self._hair = np.where(bare, HAIR, 0.0)

    def throttle(self, inverse_kv2: Floats) -> None:
        """Add valves that move: 1/Kv² for each link, 0 for none."""
        self._inverse_kv2 = self._fixed_kv2 + inverse_kv2
        self._square = square_coefficient(self._k, self._inverse_kv2, self._bore, self.density)

    def warm(self, mean_c: Floats) -> None:
        """Take the water's properties at these mean temperatures of the links."""
        self.mean_c = mean_c
        self.density, self.viscosity, self._per_k = self.fluid.moving(mean_c)
        self._square = square_coefficient(self._k, self._inverse_kv2, self._bore, self.density)
        self._scales = tube_scales(self._length, self._bore, self.density, self.viscosity)
        self._creep = CREEP * self.density * self._area
        self._weight = self._rise * (self.density - self._reference)

    def along(self, q: Floats) -> Floats:
        """Mass flow of each link from its tail to its head."""
        return q[self.shape.chain] * self.shape.sign

    def links(self, q: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Drop of each link (friction, fittings), what lifts it (circulator), its whole fall, and that one's slope."""
        m = self.along(q)
        drop, slope = scaled_drop(m, self._relative, *self._scales)
        more, more_slope = square_drop(m, self._square, self._creep)
        drop = drop + more + self._hair * m
        slope = slope + more_slope + self._hair
        if (g := self._guarded).size:
            against, forth = np.minimum(m[g], 0.0), np.maximum(m[g], 0.0)
            drop[g] += _CHECK * against + self._opens[g] + self._steep[g] * forth
            slope[g] += np.where(against < 0.0, _CHECK, self._steep[g])
        lift = np.zeros_like(drop)
        if (d := self.driven).size:
            density = self.density[d]
            head, head_slope = self.curves.heads(m[d] / density)
            # a curve is stated with cold water: the height it lifts to stays, so its pressure follows the density
            lift[d] = head * (density / WATER_4C)
            slope[d] -= head_slope / WATER_4C
        drop, slope = drop + self._tee_fall, slope + self._tee_slope
        return drop, lift, drop - lift + self._weight - self.boost, slope

    def split(self, q: Floats) -> None:
        """Take what the tees lose at these flows; it stays until it is taken anew."""
        self._tee_fall, self._tee_slope = self._splits.losses(self.along(q), self.density)

    def chains(self, q: Floats) -> tuple[Floats, Floats]:
        """Fall of each chain and its slope."""
        _, _, fall, slope = self.links(q)
        starts = self.shape.starts
        return np.add.reduceat(fall * self.shape.sign, starts), np.add.reduceat(slope, starts)

    def weight_slope(self, q: Floats, follow: Floats) -> Floats:
        """How the weight of the water in each chain grows with its flow, as it gets warmer or colder by it.

        :param follow: change of each link's mean temperature with the size of its chain's flow [K s/kg]
        """
        along = self._rise * self.shape.sign * self._per_k * follow
        return np.sign(q) * np.add.reduceat(along, self.shape.starts)

    def opening_slope(self) -> Floats:
        """Slopes to begin with: the secant of each chain's drop at 0.3 m/s."""
        m = 0.3 * self.density * self._area
        drop, _ = scaled_drop(m, self._relative, *self._scales)
        more, _ = square_drop(m, self._square, self._creep)
        return np.add.reduceat((drop + more) / m + self._hair, self.shape.starts)

    def newton(self, q: Floats, fall: Floats, slope: Floats) -> tuple[Floats, Floats]:
        """Junction pressures, and the change of chain flows, that balance the linear model of the net."""
        s = self.shape
        n = s.junctions.size
        g = 1.0 / slope
        push = q - g * fall
        pressure = self._balanced(g, total(s.b, push, n) - total(s.a, push, n))
        return pressure, g * (pressure[s.a] - pressure[s.b] - fall)

    def yields(self, q: Floats, slope: Floats, more: Floats) -> Floats:
        """How the size of every chain's flow answers where chains lose more pressure: chains × columns of `more`.

        :param slope: of the chains' falls
        :param more: chains × columns: what each chain loses more, against its flow
        """
        s, g = self.shape, 1.0 / slope[:, None]
        along = np.where(q < 0.0, -1.0, 1.0)[:, None]
        added = along * more
        rhs = np.zeros((s.junctions.size, more.shape[1]))
        np.subtract.at(rhs, s.b, g * added)
        np.add.at(rhs, s.a, g * added)
        pressure = self._balanced(g[:, 0], rhs)
        return along * g * (pressure[s.a] - pressure[s.b] - added)

    def _balanced(self, g: Floats, rhs: Floats) -> Floats:
        """Junction pressures at which chains of conductance `g` bring each junction the flow `rhs`."""
        s = self.shape
        n = s.junctions.size
        ends = g * self._differ
        diagonal = total(s.a, ends, n) + total(s.b, ends, n)
        rhs[s.grounded], diagonal[s.grounded] = 0.0, 1.0
        off = np.append(-g * self._joined, self._beside)
        return self._eliminator.solve(diagonal, off, off, rhs)

    def closed(self, q: Floats, slope: Floats) -> Floats:
        """The same flows without what rounding of great pressures has left out of balance at the junctions."""
        s, g = self.shape, 1.0 / slope
        n = s.junctions.size
        over = self._balanced(g, total(s.b, q, n) - total(s.a, q, n))
        return q + g * (over[s.a] - over[s.b])

    def imbalance(self, q: Floats) -> float:
        """Largest imbalance of water at any junction."""
        s = self.shape
        n = s.junctions.size
        return largest(total(s.b, q, n) - total(s.a, q, n))

    def still_fall(self, mean_c: Floats, columns: Columns, net: Net) -> Floats:
        """Fall of every link of the net when it stands: weight of its water less its circulator's shut-off head."""
        density = self.fluid.density(mean_c)
        fall = columns.rise * G * (density - self._reference)
        if columns.curves.size:
            head, _ = curves_of(net, listed(columns.curves)).heads(np.zeros(columns.curves.size))
            fall[columns.curves] -= head * density[columns.curves] / WATER_4C
        return fall
