"""Heat that tube gives to the air around it, per metre and kelvin."""

import math

from wetside.basis.si import Celsius, Metre, Ratio, WattPerM2K, WattPerMK
from wetside.pipework.spec import Material

EMISSIVITY: dict[Material, Ratio] = {
    Material.COPPER: 0.4,
    Material.STEEL: 0.9,
    Material.PEX: 0.9,
    Material.MULTILAYER: 0.9,
}
"""Of tarnished copper, painted or rusty steel, plastic (handbook figures, from memory; bright copper would be 0.05)."""
LAGGED_SURFACE: WattPerM2K = 9.0
"""Surface coefficient of lagging indoors (8 to 10 is usual; common practice, no source)."""
_STEFAN_BOLTZMANN = 5.670374e-8
_G = 9.80665
_MOST_RAYLEIGH = 1e12


def convection(outside_m: Metre, surface_c: Celsius, air_c: Celsius) -> WattPerM2K:
    """Natural convection of a horizontal cylinder in still air [W/(m2 K)].

    ``Nu = (0.60 + 0.387 Ra^(1/6) / (1 + (0.559/Pr)^(9/16))^(8/27))²`` with air at the film temperature; valid to
    Ra 1e12. Source: Churchill and Chu 1975 (from memory).
    """
    film = 0.5 * (surface_c + air_c) + 273.15
    conductivity = 0.02624 * (film / 300.0) ** 0.8646
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4) / (353.05 / film)
    prandtl = 0.71
    rayleigh = _G / film * abs(surface_c - air_c) * outside_m**3 / viscosity**2 * prandtl
    shape = (1.0 + (0.559 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    nusselt = (0.60 + 0.387 * min(rayleigh, _MOST_RAYLEIGH) ** (1.0 / 6.0) / shape) ** 2
    return nusselt * conductivity / outside_m


def radiation(surface_c: Celsius, air_c: Celsius, emissivity: Ratio) -> WattPerM2K:
    """Radiation to surroundings at air temperature [W/(m2 K)], by Stefan and Boltzmann."""
    hot, cold = surface_c + 273.15, air_c + 273.15
    return emissivity * _STEFAN_BOLTZMANN * (hot * hot + cold * cold) * (hot + cold)


def bare_w_mk(outside_m: Metre, surface_c: Celsius, air_c: Celsius, emissivity: Ratio) -> WattPerMK:
    """Loss of bare tube [W/(m K)], its surface taken at water temperature.

    5 to 10 % above measured values for steel, 10 to 22 % for bright copper (hvac-guide-1941).
    """
    return math.pi * outside_m * (convection(outside_m, surface_c, air_c) + radiation(surface_c, air_c, emissivity))


def lagged_w_mk(
    outside_m: Metre, insulation_m: Metre, insulation_w_mk: WattPerMK, surface_w_m2k: WattPerM2K = LAGGED_SURFACE
) -> WattPerMK:
    """Loss of lagged tube [W/(m K)]: ``1 / (ln(Do/Di)/(2 pi k) + 1/(pi Do h))`` (conduction through a cylinder)."""
    over = outside_m + 2.0 * insulation_m
    through = math.log(over / outside_m) / (2.0 * math.pi * insulation_w_mk)
    return 1.0 / (through + 1.0 / (math.pi * over * surface_w_m2k))
