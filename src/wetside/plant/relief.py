"""The relief valve: what it has to pass, and the sizes that the standard names."""

from wetside.basis.quantity import BTU, POUND
from wetside.basis.si import KgPerSecond, SquareMetre, Watt
from wetside.basis.tables import load, number


def size_for(output_w: Watt) -> str | None:
    """Connection size of a 3 bar relief valve (letter H) for a boiler output, DIN EN 12828; `None` over 350 kW."""
    for row in load("relief_size").rows:
        if output_w <= number(row, "output"):
            return str(row["size"])
    return None


def certified_output(area_m2: SquareMetre, discharge: float) -> Watt:
    """Output [W] that a 3 bar valve covers by its narrowest area and certified discharge coefficient.

    P [kW] = 1.26 A [mm2] a, AD 2000 leaflet A2; `discharge` is the certified coefficient (measured over 1.2).
    """
    return 1.26 * (area_m2 * 1e6) * discharge * 1e3


def steam_to_pass(output_w: Watt) -> KgPerSecond:
    """Steam [kg/s] that a relief valve must pass: 1 lb/h for each 1000 Btu/h of output (US state rules)."""
    return output_w / (BTU / 3600.0) / 1000.0 * POUND / 3600.0
