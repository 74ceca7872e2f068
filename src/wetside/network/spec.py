"""The driven and heated things in the network."""

from dataclasses import dataclass

from wetside.basis.si import Celsius, CubicMetre, Kilogram, KvM3PerHour, M3PerSecond, Pascal, Watt, WattPerK


@dataclass(frozen=True, slots=True, kw_only=True)
class Circulator:
    """A circulator by points of its curve at the speed it is set to; flow ascending, head not rising."""

    name: str
    points: tuple[tuple[M3PerSecond, Pascal], ...]
    speed: float = 1.0
    """Relative to the speed of the curve; affinity laws."""
    watts: Watt | None = None
    mass_kg: Kilogram = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Boiler:
    """Ports are `NAME.flow` and `NAME.return` (and `hot`, `cold` where it heats tap water)."""

    name: str
    output_w: Watt
    """Largest heating output."""
    least_w: Watt
    """Smallest output that it can run at without cycling."""
    flow_c: Celsius
    """Set flow temperature."""
    kv_m3_h: KvM3PerHour
    most_c: Celsius = 80.0
    water_m3: CubicMetre = 0.0
    mass_kg: Kilogram = 0.0
    hot_water_w: Watt | None = None
    """Output of its own tap-water exchanger, when it has one."""
    rated_pressure_pa: Pascal = 3.0e5
    condensing: bool = True
    circulator: Circulator | None = None
    """Built-in circulator, when it has one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """An indirect hot-water tank: a coil in water of one temperature. Ports `NAME.flow`, `NAME.return`."""

    name: str
    room: str
    volume_m3: CubicMetre
    store_c: Celsius
    coil_w_k: WattPerK
    kv_m3_h: KvM3PerHour
    coil_water_m3: CubicMetre = 0.0
    mass_kg: Kilogram = 0.0
