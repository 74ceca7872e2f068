"""Size and pressures of a diaphragm expansion vessel.

Pressures are gauge. The sizing method is that of EN 12828 annex D, from memory; the US handbook form beside it is
an independent check of the same physics.
"""

import math

from wetside.basis.si import Celsius, CubicMetre, Kelvin, Pascal, Ratio
from wetside.fluid.water import Liquid, vapour_pressure
from wetside.plant.static import ATMOSPHERE_PA

COLD_C: Celsius = 10.0
"""Temperature of a freshly filled system (EN 12828 annex D)."""
SMALL_M3: CubicMetre = 15e-3
"""Up to this volume a vessel's reserve is a fifth of it; above, see `reserve`."""
SMALL_RESERVE: Ratio = 0.2
RESERVE_SHARE: Ratio = 0.005
RESERVE_M3: CubicMetre = 3e-3
OVER_STATIC_PA: Pascal = 0.3e5
"""Charge over the static height (EN 12828 annex D, from memory: 0.2 to 0.3 bar)."""
FILL_OVER_CHARGE_PA: Pascal = 0.3e5
"""Cold fill over the charge, so that the vessel holds its reserve."""
STEEL_PER_K: Ratio = 6.5e-6 * 1.8
COPPER_PER_K: Ratio = 9.5e-6 * 1.8


def expansion_share(fluid: Liquid, cold_c: Celsius, hot_c: Celsius) -> Ratio:
    """Growth of the liquid's volume from cold to hot, over its cold volume."""
    return fluid.density(cold_c) / fluid.density(hot_c) - 1.0


def reserve(system_m3: CubicMetre) -> CubicMetre:
    """Water that a vessel over 15 l keeps when cold: half a percent of the system, 3 l at least (EN 12828 annex D)."""
    return max(RESERVE_SHARE * system_m3, RESERVE_M3)


def relief_margin(opens_pa: Pascal) -> Pascal:
    """How far the hot system stays under the relief valve: 0.5 bar, from 5 bar upwards a tenth (EN 12828 annex D)."""
    return max(0.5e5, 0.1 * opens_pa)


def least_charge(static_pa: Pascal, hot_c: Celsius) -> Pascal:
    """Least gas charge of a vessel under a static column [Pa]; over 100 °C the vapour pressure comes on top."""
    vapour = max(vapour_pressure(hot_c) - ATMOSPHERE_PA, 0.0) if hot_c > 100.0 else 0.0
    return static_pa + vapour + OVER_STATIC_PA


def needed_volume(
    expansion_m3: CubicMetre, system_m3: CubicMetre, charge_pa: Pascal, final_pa: Pascal
) -> CubicMetre | None:
    """Least vessel volume: (expansion + reserve) (final + 1 bar) / (final - charge), EN 12828 annex D.

    :param final_pa: pressure at the vessel that the hot system may reach
    :returns: `None` when the charge leaves no room for any water (it isn't below the final pressure)
    """
    if charge_pa >= final_pa:
        return None
    per_water = (final_pa + ATMOSPHERE_PA) / (final_pa - charge_pa)
    left = 1.0 - SMALL_RESERVE * per_water
    if left > 0.0 and expansion_m3 * per_water / left <= SMALL_M3:
        return expansion_m3 * per_water / left
    return (expansion_m3 + reserve(system_m3)) * per_water


def pressure_after(volume_m3: CubicMetre, charge_pa: Pascal, fill_pa: Pascal, expansion_m3: CubicMetre) -> Pascal:
    """Pressure [Pa] of a vessel once the expansion has gone into it; its gas keeps its temperature (Boyle).

    :param fill_pa: pressure at the vessel when the system was filled cold; under the charge the vessel starts empty
    :returns: infinity when the vessel can't hold so much water
    """
    gas_cold = volume_m3 * (charge_pa + ATMOSPHERE_PA) / (max(fill_pa, charge_pa) + ATMOSPHERE_PA)
    gas_hot = gas_cold - expansion_m3
    if gas_hot <= 0.0:
        return math.inf
    return volume_m3 * (charge_pa + ATMOSPHERE_PA) / gas_hot - ATMOSPHERE_PA


def net_share(growth: Ratio, metal_per_k: Ratio, rise_k: Kelvin) -> Ratio:
    """Growth of the liquid less that of the metal round it (US handbook form): growth - 3 a dt."""
    return growth - 3.0 * metal_per_k * rise_k


def net_volume(
    net_m3: CubicMetre, charge_pa: Pascal, final_pa: Pascal, outside_pa: Pascal = ATMOSPHERE_PA
) -> CubicMetre:
    """Diaphragm vessel that takes up `net_m3`, without reserve: net / (1 - charge / final), absolute pressures.

    US handbook form; many boiler manuals print the same.

    :raises ValueError: the charge isn't below the final pressure
    """
    if charge_pa >= final_pa:
        raise ValueError(f"charge {charge_pa / 1e5:.2f} bar must be below the final pressure {final_pa / 1e5:.2f} bar")
    return net_m3 / (1.0 - (charge_pa + outside_pa) / (final_pa + outside_pa))


def plain_tank_volume(
    net_m3: CubicMetre, fill_pa: Pascal, final_pa: Pascal, outside_pa: Pascal = ATMOSPHERE_PA
) -> CubicMetre:
    """Closed tank without a diaphragm, full of outside air before filling (US handbook form).

    :raises ValueError: the fill isn't below the final pressure
    """
    if fill_pa >= final_pa:
        raise ValueError(f"fill {fill_pa / 1e5:.2f} bar must be below the final pressure {final_pa / 1e5:.2f} bar")
    return net_m3 / (outside_pa / (fill_pa + outside_pa) - outside_pa / (final_pa + outside_pa))
