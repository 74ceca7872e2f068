"""What the pipework weighs, full of water."""

from functools import cache
from math import pi

from wetside.basis.record import record
from wetside.basis.si import KgPerM3, Kilogram, Metre, Pascal, PerKelvin
from wetside.basis.tables import load, number
from wetside.frame.beam import tube_area_m2
from wetside.pipework.items import shipped_items
from wetside.pipework.rules import cup_m
from wetside.pipework.spec import Item, Material, Tube

WATER: KgPerM3 = 998.0
"""Cold, when it is heaviest."""
INSULATION: KgPerM3 = 60.0
"""Typical of closed-cell foam and mineral wool sections."""
FITTING_WALL = 1.3
"""A fitting's wall over the tube's: typical."""


@record(kw_only=False)
class Strength:
    density_kg_m3: KgPerM3
    elastic_pa: Pascal
    shear_pa: Pascal
    expansion_per_k: PerKelvin
    allowable_pa: Pascal | None
    """Bending by movement, in the hand formula for free legs; `None` for plastics."""
    range_pa: Pascal | None
    """What weight and heat may do together, worked out by the frame."""


@cache
def strength(material: Material) -> Strength:
    """Figures of a tube's material (table `tube_strength`).

    :raises TableProblem: the table is damaged
    """
    row = load("tube_strength").by("material")[material.value]
    elastic = number(row, "elastic")
    return Strength(
        density_kg_m3=number(row, "density"),
        elastic_pa=elastic,
        shear_pa=elastic / (2.0 * (1.0 + number(row, "poisson"))),
        expansion_per_k=number(row, "expansion"),
        allowable_pa=None if row["allowable"] == "" else number(row, "allowable"),
        range_pa=None if row["design"] == "" else stress_range_pa(number(row, "design"), number(row, "design")),
    )


def stress_range_pa(cold: Pascal, hot: Pascal) -> Pascal:
    """Stress that heating and cooling may swing through: ``1.25 Sc + 0.25 Sh``, for at most some 7000 full swings in
    the life of the pipework. From memory of the ASME B31 codes."""
    return 1.25 * cold + 0.25 * hot


def metal_kg_m(outside: Metre, wall: Metre, density: KgPerM3) -> float:
    """Mass of the tube's wall, kg/m."""
    return tube_area_m2(outside, wall) * density


def filled_kg_m(outside: Metre, wall: Metre, density: KgPerM3, water: KgPerM3 = WATER) -> float:
    """Mass of tube full of water, kg/m."""
    return metal_kg_m(outside, wall, density) + pi / 4.0 * (outside - 2.0 * wall) ** 2 * water


def insulation_kg_m(outside: Metre, thickness: Metre) -> float:
    """Mass of insulation round a tube, kg/m. Typical density."""
    return pi * (outside + thickness) * thickness * INSULATION


def tube_kg_m(tube: Tube, insulation: Metre = 0.0) -> float:
    """Mass of tube with water and insulation, kg/m."""
    filled = filled_kg_m(tube.outside_m, tube.wall_m, strength(tube.material).density_kg_m3)
    return filled + insulation_kg_m(tube.outside_m, insulation)


def fitting_kg(tube: Tube, sockets: int) -> Kilogram:
    """A fitting with so many sockets: each a cup and half a tube's width of a wall a little thicker than the tube's.
    Typical, no source; weigh one where it matters."""
    metal = metal_kg_m(tube.outside_m, tube.wall_m, strength(tube.material).density_kg_m3)
    return sockets * (cup_m(tube) + tube.outside_m / 2.0) * metal * FITTING_WALL


@cache
def _typical() -> dict[str, Kilogram]:
    return {i.kind.value: i.mass_kg for i in shipped_items()}


def item_kg(item: Item) -> Kilogram:
    """An item's own mass, typical for its kind where the job gives none, and its water."""
    return (item.mass_kg or _typical()[item.kind.value]) + WATER * item.water_m3
