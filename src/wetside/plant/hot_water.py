"""Hot water at the taps: flow from power, mixing, and the wait for it."""

import math

from wetside.basis.si import Celsius, CubicMetre, KgPerSecond, Metre, Ratio, Watt
from wetside.fluid.water import liquid


def warmed_flow(power_w: Watt, cold_c: Celsius, hot_c: Celsius) -> KgPerSecond:
    """Water [kg/s] that a power warms from cold to hot (heat balance).

    :raises ValueError: hot water that isn't hotter than the cold
    """
    if hot_c <= cold_c:
        raise ValueError(f"hot water at {hot_c:.1f} °C isn't hotter than the cold at {cold_c:.1f} °C")
    water = liquid()
    return power_w / (water.enthalpy(hot_c) - water.enthalpy(cold_c))


def power_for(flow_kg_s: KgPerSecond, cold_c: Celsius, hot_c: Celsius) -> Watt:
    """Power [W] that warms a flow from cold to hot (heat balance)."""
    water = liquid()
    return flow_kg_s * (water.enthalpy(hot_c) - water.enthalpy(cold_c))


def hot_share(hot_c: Celsius, cold_c: Celsius, mixed_c: Celsius) -> Ratio:
    """Share by mass of hot water in a mix (heat balance).

    :raises ValueError: the mix isn't between cold and hot
    """
    if not cold_c < hot_c or not cold_c <= mixed_c <= hot_c:
        raise ValueError(f"can't mix {mixed_c:.1f} °C from {cold_c:.1f} °C and {hot_c:.1f} °C")
    water = liquid()
    low = water.enthalpy(cold_c)
    return (water.enthalpy(mixed_c) - low) / (water.enthalpy(hot_c) - low)


def held_volume(bore_m: Metre, length_m: Metre) -> CubicMetre:
    """Water [m3] in a tube."""
    return math.pi / 4.0 * bore_m**2 * length_m


def wait_s(volume_m3: CubicMetre, flow_m3_s: float) -> float:
    """Seconds until hot water has pushed out what stood in the tube; plug flow, tube not warmed.

    :raises ValueError: no flow
    """
    if flow_m3_s <= 0.0:
        raise ValueError("no flow: hot water never arrives")
    return volume_m3 / flow_m3_s
