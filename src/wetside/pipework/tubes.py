"""The tubes that wetside ships."""

from functools import cache

from wetside.basis.tables import load, number
from wetside.pipework.spec import Material, Tube


@cache
def shipped_tubes() -> tuple[Tube, ...]:
    """Every shipped tube, from the tables `tubes` and `tubes_inch`.

    ``"copper 22"`` is the thin-walled copper, ``"copper 22x1"`` names its wall, ``"copper L 3/4"`` is ASTM B88 by type,
    ``"steel 3/4"`` EN 10255 medium, ``"steel schedule 40 3/4"`` its US kin; ``"PEX 16x2"``, ``"PEX 1/2"`` and
    ``"multilayer 16x2"`` are plastic. Nominal dimensions.

    :raises TableProblem: a shipped table is damaged
    """
    return tuple(
        Tube(
            name=str(row["name"]),
            material=Material(str(row["material"])),
            size=str(row["size"]),
            outside_m=number(row, "outside"),
            wall_m=number(row, "wall"),
            roughness_m=number(row, "roughness"),
            stock_m=number(row, "stock"),
            source=str(row["source"]),
        )
        for table in ("tubes", "tubes_inch")
        for row in load(table).rows
    )
