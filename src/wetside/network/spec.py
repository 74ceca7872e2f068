"""The driven and heated things in the network."""

from wetside.basis.record import record
from wetside.basis.si import (
    Celsius,
    CubicMetre,
    KgPerSecond,
    Kilogram,
    KvM3PerHour,
    M3PerSecond,
    Metre,
    Pascal,
    Ratio,
    Watt,
    WattPerK,
)  # fmt: skip
from wetside.network.net import Regulation


@record
class Circulator:
    """A circulator by points of its curve, flow ascending, head not rising, or by `terms` (see `net.Curve`)."""

    name: str
    points: tuple[tuple[M3PerSecond, Pascal], ...]
    speed: float = 1.0
    """Relative to the speed of the curve; affinity laws."""
    watts: Watt | None = None
    mass_kg: Kilogram = 0.0
    terms: tuple[float, ...] = ()
    regulation: Regulation = Regulation.FIXED
    set_pa: Pascal = 0.0
    """What it holds when it regulates its pressure (constant, or proportional at the flow where its curve is met)."""


@record
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
    least_flow_kg_s: KgPerSecond = 0.0
    """Water that it needs at least while it fires."""


@record
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


@record
class Separator:
    """A hydraulic separator, or a buffer. Ports `NAME.boiler_flow`, `NAME.boiler_return`, `NAME.heating_flow`,
    `NAME.heating_return`; those that no run reaches are plugged.

    Both flows meet at its top, both returns at its bottom, and its body joins the two: what one circuit moves more than
    the other goes through the body. With `mixed` all its water has one temperature.
    """

    name: str
    bore_m: Metre
    """Of the body."""
    height_m: Metre
    """From top to bottom connections."""
    loss_w_k: WattPerK = 0.0
    room: str = ""
    mixed: bool = False
    water_m3: CubicMetre = 0.0
    mass_kg: Kilogram = 0.0


@record
class PlateExchanger:
    """A plate exchanger in counterflow. Ports `NAME.hot_flow`, `NAME.hot_return`, and, on the side that is heated,
    `NAME.cold_return` (in) and `NAME.cold_flow` (out)."""

    name: str
    w_k: WattPerK
    hot_kv_m3_h: KvM3PerHour
    cold_kv_m3_h: KvM3PerHour
    water_m3: CubicMetre = 0.0
    mass_kg: Kilogram = 0.0


@record
class ThreeWayValve:
    """A three-way valve in place of a tee, mixing or diverting. `hot` and `cold` are two of the tee's legs, `"before"`,
    `"after"` (of the run that the tee is in, as it is written) or `"branch"`; the third is open always.

    With `set_c` it opens `hot` as far as makes the water at `sensor` (a tee; itself when empty) that warm; else it
    stands at `position`, 1 for `hot` alone.
    """

    name: str
    tee: str
    kv_m3_h: KvM3PerHour
    hot: str = "before"
    cold: str = "branch"
    set_c: Celsius | None = None
    position: Ratio = 0.5
    sensor: str = ""


@record
class Manifold:
    """A manifold: all its ports are one water."""

    name: str


@record
class Apparatus:
    """What joins more than two runs, or two circuits."""

    separators: tuple[Separator, ...] = ()
    exchangers: tuple[PlateExchanger, ...] = ()
    three_ways: tuple[ThreeWayValve, ...] = ()
    manifolds: tuple[Manifold, ...] = ()
