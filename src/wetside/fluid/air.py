"""Moist air at sea-level pressure."""

import math

from wetside.basis.si import Celsius, Pascal, Ratio

SEA_LEVEL_PA = 101_325.0
_GAS_DRY = 287.055
_GAS_VAPOUR = 461.52
_CP_DRY = 1006.0
_CP_VAPOUR = 1860.0
_KELVIN_0C = 273.15


def saturation_pressure(t_c: Celsius) -> Pascal:
    """Vapour pressure [Pa] of saturated air over water, below 0 °C over ice.

    Source: ISO 13788:2012 annex E. Valid from −20 °C to 60 °C within 0.5 % (1.5 % near −20 °C).
    """
    if t_c >= 0.0:
        return 610.5 * math.exp(17.269 * t_c / (237.3 + t_c))
    return 610.5 * math.exp(21.875 * t_c / (265.5 + t_c))


def vapour_content(t_c: Celsius, humidity: Ratio = 1.0) -> float:
    """Water vapour in air [kg/m3] at a relative humidity; vapour taken as an ideal gas."""
    return humidity * saturation_pressure(t_c) / (_GAS_VAPOUR * (t_c + _KELVIN_0C))


def volume_heat_capacity(t_c: Celsius, humidity: Ratio = 0.0, pressure_pa: Pascal = SEA_LEVEL_PA) -> float:
    """Heat that one cubic metre of air, measured at `t_c`, takes up per kelvin [J/(m3 K)].

    Ideal gas with 1006 J/(kg K) for dry air and 1860 for vapour; within 0.2 % of real dry air from −20 °C to 40 °C.
    1210 at 20 °C (0.336 Wh/m3K); the round 0.34 Wh/m3K of EN 12831 is meant for volumes measured indoors.
    """
    kelvin = t_c + _KELVIN_0C
    vapour_pa = humidity * saturation_pressure(t_c)
    dry = (pressure_pa - vapour_pa) / (_GAS_DRY * kelvin)
    return dry * _CP_DRY + vapour_pa / (_GAS_VAPOUR * kelvin) * _CP_VAPOUR
