"""The tube of a leg: of those allowed the cheapest in which the water is neither too fast, nor heard, nor too dear."""

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cache

import numpy as np

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.si import Celsius, KgPerSecond, Metre, MetrePerSecond, PascalPerMetre, Ratio
from wetside.basis.tables import load, number
from wetside.fluid.water import Liquid
from wetside.network.friction import tube_drop
from wetside.network.rules import default_limits
from wetside.pipework.spec import Tube

QUIET_SYSTEM = System.US
"""Water is not heard in a room up to the speed that this system's practice asks for (table `water_speed`)."""
_TIE = 1e-9
_BY = 1e-6
"""A limit counts as met when missed by no more than this share: what a solve leaves must not decide a size."""


@record
class SizeLimits:
    """What water in tube may do; the table's limits by bore where the person gives none."""

    system: System
    speed_m_s: MetrePerSecond | None = None
    gradient_pa_m: PascalPerMetre | None = None

    def of(self, bore_m: Metre, *, heard: bool) -> tuple[MetrePerSecond, PascalPerMetre]:
        """Speed and gradient at most.

        :param heard: the tube crosses a room that people live in
        """
        speed, gradient = default_limits(bore_m, self.system)
        speed = speed if self.speed_m_s is None else self.speed_m_s
        if heard:
            speed = min(speed, default_limits(bore_m, QUIET_SYSTEM)[0])
        return speed, gradient if self.gradient_pa_m is None else self.gradient_pa_m


def speed_and_gradient(
    tube: Tube, flow_kg_s: KgPerSecond, water_c: Celsius, fluid: Liquid
) -> tuple[MetrePerSecond, PascalPerMetre]:
    """Speed [m/s] and friction per metre [Pa/m] of water in a tube."""
    density, viscosity = fluid.density(water_c), fluid.viscosity(water_c)
    flow, one = np.array([abs(flow_kg_s)]), np.ones(1)
    drop, _ = tube_drop(
        flow, one, one * tube.bore_m, one * tube.roughness_m, one * density, one * viscosity
    )  # fmt: skip
    return abs(flow_kg_s) / (density * 0.25 * np.pi * tube.bore_m**2), float(drop[0])


def carries(
    tube: Tube, flow_kg_s: KgPerSecond, water_c: Celsius, limits: SizeLimits, fluid: Liquid, *, heard: bool
) -> bool:  # fmt: skip
    """Whether a tube carries a flow within the limits."""
    speed, gradient = speed_and_gradient(tube, flow_kg_s, water_c, fluid)
    most_speed, most_gradient = limits.of(tube.bore_m, heard=heard)
    return speed <= most_speed * (1.0 + _BY) and gradient <= most_gradient * (1.0 + _BY)


def cheapest(
    tubes: Sequence[Tube], price: Mapping[str, Ratio], flow_kg_s: KgPerSecond, water_c: Celsius, limits: SizeLimits,
    fluid: Liquid, *, heard: bool,
) -> Tube | None:  # fmt: skip
    """The cheapest tube that carries a flow; of equals the one of smaller bore; None where none does.

    :param price: per metre, by tube
    """
    fit = [t for t in tubes if carries(t, flow_kg_s, water_c, limits, fluid, heard=heard)]
    return min(fit, key=lambda t: (round(price[t.name] / _TIE), t.bore_m, t.name), default=None)


def series_of(tube: Tube) -> tuple[str, str]:
    """What a tube belongs to: its material, and its name with the sizes taken out."""
    return tube.material.value, re.sub(r"\d+(?:\.\d+)?(?:/\d+)?(?: \d+/\d+)?", "#", tube.name)


def allowed(tubes: Iterable[Tube], in_use: Iterable[str], named: Sequence[str]) -> tuple[Tube, ...]:
    """Tubes to choose from, by bore: those that the person names; else those in use, and the larger ones of their
    series.

    :param in_use: names of the tubes that water circulates in
    :param named: the person's own list; may be empty
    """
    by_name = {t.name: t for t in tubes}
    if named:
        return tuple(sorted((by_name[n] for n in set(named)), key=lambda t: (t.bore_m, t.name)))
    used = {n: by_name[n] for n in set(in_use)}
    largest: dict[tuple[str, str], Metre] = {}
    for t in used.values():
        key = series_of(t)
        largest[key] = max(largest.get(key, 0.0), t.bore_m)
    more = {t.name: t for t in by_name.values() if series_of(t) in largest and t.bore_m > largest[series_of(t)]}
    return tuple(sorted({**used, **more}.values(), key=lambda t: (t.bore_m, t.name)))


@cache
def _prices() -> dict[str, tuple[tuple[Metre, Ratio], ...]]:
    found: dict[str, list[tuple[Metre, Ratio]]] = {}
    for row in load("tube_price").rows:
        found.setdefault(str(row["material"]), []).append((number(row, "outside"), number(row, "price")))
    return {k: tuple(v) for k, v in found.items()}


def typical_price(tube: Tube) -> Ratio:
    """Price of a tube per metre against 15 mm copper's (table `tube_price`, typical); beyond the table's ends in
    proportion to the outside diameter."""
    rows = _prices()[tube.material.value]
    outside = [o for o, _ in rows]
    inside = float(np.interp(tube.outside_m, outside, [p for _, p in rows]))
    return inside * max(tube.outside_m / outside[-1], 1.0) * min(tube.outside_m / outside[0], 1.0)


def prices(tubes: Sequence[Tube], own: Mapping[str, float]) -> tuple[dict[str, float], bool]:
    """Price per metre of each tube, and whether they are the job's own: only where it gives all of them, since its
    money and the typical ratios don't mix.

    :param own: tube → price per metre
    """
    if tubes and all(t.name in own for t in tubes):
        return {t.name: own[t.name] for t in tubes}, True
    return {t.name: typical_price(t) for t in tubes}, False
