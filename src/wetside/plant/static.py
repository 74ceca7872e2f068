"""Standing water: pressure of a column, and the drive that a hot and a cold column make between them."""

from wetside.basis.quantity import G
from wetside.basis.si import Celsius, KgPerM3, Metre, Pascal
from wetside.fluid.water import Liquid

ATMOSPHERE_PA: Pascal = 1.0e5
"""Outside pressure as vessel sizing rounds it (EN 12828 annex D counts absolute pressure as gauge plus 1 bar)."""


def column_pressure(density_kg_m3: KgPerM3, height_m: Metre) -> Pascal:
    """Pressure [Pa] at the foot of a standing column over that at its head (hydrostatics)."""
    return density_kg_m3 * G * height_m


def pressure_at(height_m: Metre, known_pa: Pascal, known_height_m: Metre, density_kg_m3: KgPerM3) -> Pascal:
    """Pressure [Pa] at one height of standing water when it is known at another."""
    return known_pa - column_pressure(density_kg_m3, height_m - known_height_m)


def gravity_drive(fluid: Liquid, flow_c: Celsius, return_c: Celsius, height_m: Metre) -> Pascal:
    """Pressure [Pa] that drives gravity circulation, from a flow riser and a return riser of the same height."""
    return column_pressure(fluid.density(return_c) - fluid.density(flow_c), height_m)


def gravity_head(fluid: Liquid, flow_c: Celsius, return_c: Celsius, height_m: Metre) -> Metre:
    """The same drive as a head [m] of water at the mean density of both risers."""
    hot, cold = fluid.density(flow_c), fluid.density(return_c)
    return height_m * (cold - hot) / (0.5 * (cold + hot))
