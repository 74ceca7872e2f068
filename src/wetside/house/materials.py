"""Conductivity of a material that is named without one."""

from wetside.basis.si import WattPerMK
from wetside.basis.tables import load, number


def conductivity(material: str) -> WattPerMK | None:
    """Design conductivity of a common building material by its trade name, W/(m K).

    Upper and lower case are the same. A maker's declared value comes before any of these.

    :return: `None` when the table does not list the material
    Source: table `materials` (EN ISO 10456 and handbook figures, from memory).
    """
    wanted = material.strip().casefold()
    for row in load("materials").rows:
        if row["material"] == wanted:
            return number(row, "conductivity")
    return None


def known_materials() -> tuple[str, ...]:
    """The trade names that `conductivity` knows."""
    return tuple(str(r["material"]) for r in load("materials").rows)
