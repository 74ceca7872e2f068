"""From what people know of an emitter (sections, radiator surface, output per length) to a rating.

Each builder answers a `Rated`, whose fields go into an `Emitter` under the same names. Water and dry mass that nobody
states are estimated from `emitter_content` (plus or minus 40 %; `content_stated` is then false): good enough to size
an expansion vessel with reserve, not to lift by.
"""

from collections.abc import Mapping

from wetside.basis.errors import nearest
from wetside.basis.quantity import BTU, FOOT, INCH, System, tape
from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, Kelvin, Kilogram, Metre, Ratio, SquareMetre, Watt
from wetside.basis.tables import load, number
from wetside.emitter.law import logarithmic_excess

EN_EXCESS_K: Kelvin = 50.0
"""Rating point of EN 442, 75/65/20 °C, as sheets state it: by the arithmetic mean of flow and return."""
EN_LOGARITHMIC: Ratio = logarithmic_excess(75.0, 65.0, 20.0) / EN_EXCESS_K
"""The logarithmic mean at the same point (49.83 K) over the arithmetic one. The output law here is by the logarithmic
mean, so stated excesses are multiplied by it: at 75/65/20 °C a radiator then gives what its sheet says. Rows for other
excesses in makers' tables follow from the 50 K test by the exponent, so the same factor serves them."""
EDR_EXCESS_K: Kelvin = 145.0 * 5.0 / 9.0
"""Steam at 215 °F over a room at 70 °F."""
EDR_W_M2 = 240.0 * BTU / 3600.0 / FOOT**2
"""Output of a square metre of rated radiator surface at `EDR_EXCESS_K` (240 Btu/h per ft2), W/m2."""
EXPONENT: Ratio = 1.3
"""Radiators of every kind, where no test report says otherwise (EN 442 reports: 1.2 to 1.4)."""
RAIL_EXPONENT: Ratio = 1.25
"""Towel rails, from memory: 1.15 to 1.30."""
BASEBOARD_EXPONENT: Ratio = 1.4172
"""Finned tube in a casing: power of the temperature excess, from memory of a handbook on modern hydronic heating."""
BASEBOARD_AIR_C: Celsius = (65.0 - 32.0) * 5.0 / 9.0
"""Air entering the casing in published baseboard ratings, 65 °F."""
METALLIC_PAINT: Ratio = 1.0 / 1.15
"""What aluminium or bronze paint as the last coat leaves of the output. US National Bureau of Standards, 1935:
repainting without metal raises output by 10 to 20 %; 15 % is taken."""
_HEIGHT_SLACK = 0.5 * INCH + 1e-9


@record
class Rated:
    """A rating and the contents; field names are those of `Emitter`."""

    rated_w: Watt
    rated_excess_k: Kelvin
    """By the logarithmic mean."""
    exponent: Ratio
    water_m3: CubicMetre
    mass_kg: Kilogram
    rating_note: str
    sections: int = 0
    surface_m2: SquareMetre = 0.0
    content_stated: bool = True
    """Water and mass were both given, not estimated."""


def panel_rating(
    watts: Watt,
    *,
    length_m: Metre,
    height_m: Metre,
    panels: int = 2,
    excess_k: Kelvin = EN_EXCESS_K,
    exponent: Ratio = EXPONENT,
    water_m3: CubicMetre | None = None,
    mass_kg: Kilogram | None = None,
) -> Rated:
    """A steel panel radiator by the output on its sheet.

    :param panels: water-filled panels, 1 to 3, for the estimate of water and mass
    :raises ValueError: a number that can't be
    """
    _positive(output=watts, length=length_m, height=height_m, excess=excess_k, exponent=exponent)
    if panels not in (1, 2, 3):
        raise ValueError(f"a panel radiator has 1, 2 or 3 panels, not {panels}")
    water, mass = _content(f"{panels} panel{'s' if panels > 1 else ''}", "face", length_m * height_m)
    return Rated(
        rated_w=watts,
        rated_excess_k=excess_k * EN_LOGARITHMIC,
        exponent=exponent,
        water_m3=water if water_m3 is None else water_m3,
        mass_kg=mass if mass_kg is None else mass_kg,
        rating_note=f"{_stated(watts, excess_k)}as stated",
        content_stated=water_m3 is not None and mass_kg is not None,
    )


def _stated(watts: Watt, excess_k: Kelvin) -> str:
    """The sheet's own figures, where they aren't at the usual point."""
    return "" if excess_k == EN_EXCESS_K else f"{watts:.0f} W at {excess_k:.1f} K "


def towel_rail_rating(
    watts: Watt,
    *,
    length_m: Metre,
    height_m: Metre,
    excess_k: Kelvin = EN_EXCESS_K,
    exponent: Ratio = RAIL_EXPONENT,
    water_m3: CubicMetre | None = None,
    mass_kg: Kilogram | None = None,
) -> Rated:
    """A towel rail by the output on its sheet, bare; covered by towels it gives a third less or worse (from memory).

    :raises ValueError: a number that can't be
    """
    _positive(output=watts, length=length_m, height=height_m, excess=excess_k, exponent=exponent)
    water, mass = _content("towel rail", "face", length_m * height_m)
    return Rated(
        rated_w=watts,
        rated_excess_k=excess_k * EN_LOGARITHMIC,
        exponent=exponent,
        water_m3=water if water_m3 is None else water_m3,
        mass_kg=mass if mass_kg is None else mass_kg,
        rating_note=f"{_stated(watts, excess_k)}as stated, without towels",
        content_stated=water_m3 is not None and mass_kg is not None,
    )


def sections_rating(
    sections: int,
    watts_per_section: Watt,
    *,
    excess_k: Kelvin = EN_EXCESS_K,
    exponent: Ratio = EXPONENT,
    water_per_section_m3: CubicMetre | None = None,
    mass_per_section_kg: Kilogram | None = None,
    metallic_paint: bool = False,
) -> Rated:
    """A radiator of equal sections by the output of one.

    Water and mass that aren't given are those of a large-tube radiator with the same output.

    :raises ValueError: a number that can't be
    """
    _positive(sections=sections, output=watts_per_section, excess=excess_k, exponent=exponent)
    surface = watts_per_section * (EDR_EXCESS_K / excess_k) ** exponent / EDR_W_M2
    water, mass = _content("tube radiator", "edr", surface)
    at = "" if excess_k == EN_EXCESS_K else f" at {excess_k:.1f} K"
    note = f"{sections} sections of {watts_per_section:.0f} W{at}"
    return Rated(
        rated_w=sections * watts_per_section * (METALLIC_PAINT if metallic_paint else 1.0),
        rated_excess_k=excess_k * EN_LOGARITHMIC,
        exponent=exponent,
        water_m3=sections * (water if water_per_section_m3 is None else water_per_section_m3),
        mass_kg=sections * (mass if mass_per_section_kg is None else mass_per_section_kg),
        rating_note=note + _paint_note(metallic_paint),
        sections=sections,
        content_stated=water_per_section_m3 is not None and mass_per_section_kg is not None,
    )


def edr_rating(
    style: str,
    height_m: Metre,
    sections: int,
    *,
    exponent: Ratio = EXPONENT,
    water_per_section_m3: CubicMetre | None = None,
    mass_per_section_kg: Kilogram | None = None,
    metallic_paint: bool = False,
    system: System = System.US,
) -> Rated:
    """An old cast-iron radiator by its type, height and sections (US trade table of radiator surface).

    Old makers differ by 10 % either way.

    :param style: ``"2-column"``, ``"5-tube"``, ``"window column"``, ``"wall 7-A"``, …
    :param height_m: nominal height, met within half an inch; not looked at for wall radiators
    :param system: how heights are written in messages
    :raises ValueError: unknown style or height, with the known ones; no sections
    """
    _positive(sections=sections, exponent=exponent)
    surface = sections * section_surface(style, height_m, system)
    rated = surface_rating(surface, exponent=exponent, metallic_paint=metallic_paint, part=_part(style))
    tall = "" if style.startswith("wall") else f" {_tall(height_m, system)} high"
    stated = water_per_section_m3 is not None and mass_per_section_kg is not None
    return Rated(
        rated_w=rated.rated_w,
        rated_excess_k=rated.rated_excess_k,
        exponent=exponent,
        water_m3=rated.water_m3 if water_per_section_m3 is None else sections * water_per_section_m3,
        mass_kg=rated.mass_kg if mass_per_section_kg is None else sections * mass_per_section_kg,
        rating_note=f"{sections} sections {style}{tall}, {rated.rating_note}",
        sections=sections,
        surface_m2=surface,
        content_stated=stated,
    )


def surface_rating(
    surface_m2: SquareMetre,
    *,
    exponent: Ratio = EXPONENT,
    metallic_paint: bool = False,
    part: str = "tube radiator",
) -> Rated:
    """A radiator by its rated surface (EDR): 240 Btu/h per ft2 at 145 °F excess.

    :param part: row of `emitter_content` for water and mass
    :raises ValueError: no surface
    """
    _positive(surface=surface_m2, exponent=exponent)
    water, mass = _content(part, "edr", surface_m2)
    return Rated(
        rated_w=surface_m2 * EDR_W_M2 * (METALLIC_PAINT if metallic_paint else 1.0),
        rated_excess_k=EDR_EXCESS_K,
        exponent=exponent,
        water_m3=water,
        mass_kg=mass,
        rating_note=f"{surface_m2 / FOOT**2:.1f} ft2 EDR at 240 Btu/h" + _paint_note(metallic_paint),
        surface_m2=surface_m2,
        content_stated=False,
    )


def baseboard_rating(
    length_m: Metre,
    watts_per_m: float,
    mean_c: Celsius,
    *,
    air_c: Celsius = BASEBOARD_AIR_C,
    exponent: Ratio = BASEBOARD_EXPONENT,
    heating_effect: Ratio = 1.0,
    water_m3: CubicMetre | None = None,
    mass_kg: Kilogram | None = None,
) -> Rated:
    """Finned baseboard by output per metre at a mean water temperature.

    :param length_m: active length, that of the fins
    :param heating_effect: factor that the maker put on the tested output (often 1.15); it is divided out
    :raises ValueError: a number that can't be, or water no warmer than the air
    """
    _positive(length=length_m, output=watts_per_m, exponent=exponent, heating_effect=heating_effect)
    if mean_c <= air_c:
        raise ValueError(
            f"baseboard rated at {mean_c:.1f} °C mean water needs air colder than that, not {air_c:.1f} °C"
        )
    water, mass = _content("finned baseboard", "run", length_m)
    return Rated(
        rated_w=length_m * watts_per_m / heating_effect,
        rated_excess_k=mean_c - air_c,
        exponent=exponent,
        water_m3=water if water_m3 is None else water_m3,
        mass_kg=mass if mass_kg is None else mass_kg,
        rating_note=f"{length_m:.2f} m of {watts_per_m / heating_effect:.0f} W/m at {mean_c:.1f} °C mean water, "
        f"air {air_c:.1f} °C",
        content_stated=water_m3 is not None and mass_kg is not None,
    )


def section_surface(style: str, height_m: Metre, system: System = System.US) -> SquareMetre:
    """Rated surface (EDR) of one section.

    :raises ValueError: unknown style or height, with the known ones
    """
    for row in load("edr_wall").rows:
        if row["style"] == style:
            return number(row, "section")
    heights = {number(r, "height"): number(r, "section") for r in _rows_with_height() if r["style"] == style}
    if not heights:
        raise ValueError(f'no radiator type "{style}"; {nearest(style, styles())}')
    best = min(heights, key=lambda h: abs(h - height_m))
    if abs(best - height_m) > _HEIGHT_SLACK:
        known = ", ".join(_tall(h, system) for h in sorted(heights))
        raise ValueError(f"{style} radiators aren't listed {_tall(height_m, system)} high; known heights: {known}")
    return heights[best]


def styles() -> tuple[str, ...]:
    """Every type of cast-iron radiator that `edr_rating` knows."""
    rows = (*_rows_with_height(), *load("edr_wall").rows)
    return tuple(dict.fromkeys(str(r["style"]) for r in rows))


def _tall(height_m: Metre, system: System) -> str:
    return f"{height_m / INCH:.3g} in" if system is System.US else tape(height_m, system)


def _rows_with_height() -> tuple[Mapping[str, float | str], ...]:
    return (*load("edr_column").rows, *load("edr_tube").rows)


def _part(style: str) -> str:
    if style.startswith("wall"):
        return "wall radiator"
    return "column radiator" if style.endswith("column") else "tube radiator"


def _content(part: str, measure: str, amount: float) -> tuple[CubicMetre, Kilogram]:
    row = load("emitter_content").by("part")[part]
    return amount * number(row, f"{measure}_water"), amount * number(row, f"{measure}_mass")


def _paint_note(metallic_paint: bool) -> str:
    return f", metallic paint: {METALLIC_PAINT:.0%} left" if metallic_paint else ""


def _positive(**numbers: float) -> None:
    wrong = [f"{name.replace('_', ' ')} {value:g}" for name, value in numbers.items() if not value > 0.0]
    if wrong:
        raise ValueError("must be above zero: " + ", ".join(wrong))
