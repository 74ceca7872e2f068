"""What is known of a heat emitter."""

from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, Kelvin, Kilogram, KvM3PerHour, Metre, SquareMetre, Watt


class EmitterKind(StrEnum):
    PANEL = "panel radiator"
    COLUMN = "column radiator"
    TOWEL_RAIL = "towel rail"
    BASEBOARD = "finned baseboard"


@record
class Emitter:
    """An emitter with its rating resolved to `rated_w` at `rated_excess_k` and an exponent.

    How the rating came about (sections, EDR, output per length) is kept as text in `rating_note`.
    """

    name: str
    room: str
    kind: EmitterKind
    rated_w: Watt
    rated_excess_k: Kelvin
    """Mean water temperature over room at which `rated_w` holds (50 K by EN 442; 145 °F for EDR)."""
    exponent: float
    water_m3: CubicMetre
    mass_kg: Kilogram
    """Dry."""
    rating_note: str
    length_m: Metre
    height_m: Metre
    depth_m: Metre
    sections: int = 0
    surface_m2: SquareMetre = 0.0
    """Rated radiator surface (EDR) where the trade speaks so, else 0."""
    kv_m3_h: KvM3PerHour | None = None
    """Resistance of the emitter itself; a loss coefficient of 2.5 on its connection is taken when not given."""
    at: tuple[Metre, Metre, Metre] = (0.0, 0.0, 0.0)
    """Middle of the bottom edge, at the wall side."""
    along: tuple[float, float] = (1.0, 0.0)
    """Unit vector along the emitter, to the right when seen from the room."""


@record
class EmitterOutput:
    """An emitter at work, as a closed form answers it."""

    supply_c: Celsius
    return_c: Celsius
    output_w: Watt
