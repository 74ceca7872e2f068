"""What is known of the boiler room beside the network."""

from dataclasses import field

from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, KgPerSecond, Kilogram, Metre, Pascal, Watt


@record
class Vessel:
    name: str
    volume_m3: CubicMetre
    charge_pa: Pascal
    """Gas charge, gauge."""
    at_height_m: Metre = 0.0
    mass_kg: Kilogram = 0.0


@record
class ReliefValve:
    name: str
    opens_pa: Pascal
    """Set pressure, gauge."""
    capacity_w: Watt | None = None
    at_height_m: Metre = 0.0


@record
class HotWater:
    """What the taps ask for."""

    wanted_kg_s: KgPerSecond | None = None
    """Flow wanted at one time at `hot_c`."""
    hot_c: Celsius = 45.0
    people: int = 0


@record
class SeparationPair:
    """Two tees of one run that separate two circuits hydraulically."""

    first: str
    second: str
    """Tee nodes, `run.tee`."""


@record
class Plant:
    vessel: Vessel | None
    relief: ReliefValve | None
    cold_fill_pa: Pascal | None
    """Pressure to fill the cold system to, gauge, at the gauge's height."""
    gauge_height_m: Metre = 0.0
    hot_water: HotWater = field(default_factory=HotWater)
    pairs: tuple[SeparationPair, ...] = ()
    glycol_share: float = 0.0
