"""How much water an emitter is meant to get.

An emitter takes its share of its room's need, in proportion to its rated output. By its own law it gives that much at
one flow. The design flow is that flow, or the flow at which it cools the water by no more than the design drop,
whichever is larger; and never so much that the water cools by less than `LEAST_DROP_K`.
"""

import math
from collections.abc import Mapping, Sequence

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.si import Celsius, Kelvin, KgPerSecond, Ratio, Watt
from wetside.emitter.law import flow_for_output, logarithmic_excess, output_from_excess
from wetside.emitter.spec import Emitter
from wetside.fluid.water import Liquid

LEAST_DROP_K = 5.0
"""Between flow and return: with less, water is moved for next to nothing (common practice, no source)."""
PLENTY = 1.005
"""An emitter is meant to give this much of its share, so that settings, which are never exact, leave no room short."""
_USUAL_DROP_K = {System.METRIC: 20.0, System.US: 20.0 / 1.8}
"""Where the job says nothing (common practice, no source)."""


@record
class Duty:
    """What emitters in one way of the water are to get: one emitter, or several in series that share it."""

    names: tuple[str, ...]
    share_w: tuple[Watt, ...]
    flow_kg_s: KgPerSecond
    short_w: Watt
    """What they can't give of their shares even so; 0 where they can."""


def usual_drop(system: System) -> Kelvin:
    """Design drop where the job says none: 20 K, or 20 °F."""
    return _USUAL_DROP_K[system]


def shares(emitters: Sequence[Emitter], load_w: Mapping[str, Watt]) -> dict[str, Watt]:
    """What each emitter is to give: its room's need split by rated output, and a hair more; nothing where there
    is no need."""
    rated: dict[str, float] = {}
    for e in emitters:
        rated[e.room] = rated.get(e.room, 0.0) + e.rated_w
    return {e.name: PLENTY * max(load_w.get(e.room, 0.0), 0.0) * e.rated_w / rated[e.room] for e in emitters}


def flow_by_drop(power_w: Watt, supply_c: Celsius, drop_k: Kelvin, fluid: Liquid) -> KgPerSecond:
    """Water [kg/s] that carries a power with a given drop: ``P / (h(supply) - h(supply - drop))``."""
    return power_w / (fluid.enthalpy(supply_c) - fluid.enthalpy(supply_c - drop_k))


def output_by_drop(emitter: Emitter, supply_c: Celsius, drop_k: Kelvin, room_c: Celsius) -> Watt:
    """What an emitter gives when it cools the water by `drop_k`; 0 where the water would leave colder than the room."""
    excess = logarithmic_excess(supply_c, supply_c - drop_k, room_c)
    return output_from_excess(emitter.rated_w, emitter.rated_excess_k, emitter.exponent, excess)


def single(
    emitter: Emitter, share_w: Watt, supply_c: Celsius, room_c: Celsius, drop_k: Kelvin, fluid: Liquid
) -> Duty:  # fmt: skip
    """Design flow of an emitter that is fed on its own."""
    least = min(LEAST_DROP_K, drop_k)
    by_drop = flow_by_drop(output_by_drop(emitter, supply_c, drop_k, room_c), supply_c, drop_k, fluid)
    at_most_w = output_by_drop(emitter, supply_c, least, room_c)
    if share_w >= at_most_w:
        flow = flow_by_drop(at_most_w, supply_c, least, fluid) if at_most_w > 0.0 else 0.0
        return Duty(names=(emitter.name,), share_w=(share_w,), flow_kg_s=flow, short_w=share_w - at_most_w)
    capacity = flow_for_output(
        emitter.rated_w, emitter.rated_excess_k, emitter.exponent, share_w, supply_c, room_c
    )  # fmt: skip
    by_share = capacity / _heat_capacity(share_w, capacity, supply_c, fluid)
    return Duty(names=(emitter.name,), share_w=(share_w,), flow_kg_s=max(by_share, by_drop), short_w=0.0)


def _heat_capacity(power_w: Watt, capacity_w_k: float, supply_c: Celsius, fluid: Liquid) -> float:
    """Mean heat capacity [J/kgK] between supply and return."""
    drop = power_w / capacity_w_k if capacity_w_k > 0.0 else 0.0
    if drop < 1e-6:
        return float(fluid.heat_capacity(supply_c))
    return (fluid.enthalpy(supply_c) - fluid.enthalpy(supply_c - drop)) / drop


@record
class Member:
    """One of several emitters in series, in the order in which the water meets them."""

    emitter: Emitter
    share_w: Watt
    room_c: Celsius
    cooled_k: Kelvin = 0.0
    """What the water loses in the tube before it."""


def series(members: Sequence[Member], supply_c: Celsius, drop_k: Kelvin, fluid: Liquid) -> Duty:
    """Design flow of emitters in series: the least at which each gives its share and all together cool the water by no
    more than the design drop. More flow gives every one of them more heat, so that it is found by halving."""
    shares_w = tuple(m.share_w for m in members)
    names = tuple(m.emitter.name for m in members)

    def marched(flow: KgPerSecond) -> tuple[list[Watt], Kelvin]:
        at, given, capacity = supply_c, list[Watt](), flow * float(fluid.heat_capacity(supply_c - 0.5 * drop_k))
        for m in members:
            e = m.emitter
            at -= m.cooled_k
            hot = at - m.room_c
            kept = hot * _share_kept(e, capacity, hot) if hot > 0.0 else hot
            given.append(capacity * (hot - kept))
            at = m.room_c + kept
        return given, supply_c - at

    def serves(flow: KgPerSecond) -> bool:
        given, drop = marched(flow)
        return drop <= drop_k and all(g >= s for g, s in zip(given, shares_w, strict=True))

    # at the least drop the flow is at its most: found by halving as well, the drop falls with flow
    low, high = 1e-6, 10.0
    for _ in range(50):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if marched(middle)[1] > min(LEAST_DROP_K, drop_k) else (low, middle)
    most = high
    if not serves(most):
        given, _ = marched(most)
        short = sum(max(s - g, 0.0) for s, g in zip(shares_w, given, strict=True))
        return Duty(names=names, share_w=shares_w, flow_kg_s=most, short_w=short)
    low, high = 1e-6, most
    for _ in range(50):
        middle = (low * high) ** 0.5
        low, high = (low, middle) if serves(middle) else (middle, high)
    return Duty(names=names, share_w=shares_w, flow_kg_s=high, short_w=0.0)


def _share_kept(e: Emitter, capacity_w_k: float, hot_k: Kelvin) -> Ratio:
    """Cold over hot excess of an emitter: the law of `emitter.law.outputs`, for one and in haste."""
    n = e.exponent
    goal = math.log(e.rated_w * (hot_k / e.rated_excess_k) ** n / (capacity_w_k * hot_k))
    u = goal if goal < 0.0 else goal / n
    for _ in range(12):
        drop = math.exp(u)
        lost = -math.expm1(-drop)
        step = (n * u + (1.0 - n) * math.log(lost) - goal) / (n + (1.0 - n) * drop * math.exp(-drop) / lost)
        u -= step
        if abs(step) < 1e-12:
            break
    return math.exp(-math.exp(u))


def valve_drop(flow_kg_s: KgPerSecond, kv_m3_h: float, density: float) -> float:
    """Pressure [Pa] that a valve takes: ``1 bar (rho/1000) (V/Kv)²`` (definition of Kv)."""
    volume = 3600.0 * flow_kg_s / density
    return 1e5 * density / 1000.0 * (volume / kv_m3_h) ** 2


def kv_for_drop(flow_kg_s: KgPerSecond, drop_pa: float, density: float) -> float:
    """Kv [m3/h] that takes a pressure: the inverse of `valve_drop`.

    :raises ValueError: no pressure to take
    """
    if drop_pa <= 0.0:
        raise ValueError("a valve can't take nothing: it has some resistance even when open")
    return 3600.0 * flow_kg_s / density / (drop_pa / 1e5 * 1000.0 / density) ** 0.5


def rounded(value: float, digits: Ratio = 4) -> float:
    """To so many significant digits, as settings are written."""
    return float(f"{value:.{int(digits)}g}")
