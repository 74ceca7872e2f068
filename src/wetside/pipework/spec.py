"""Runs of tube as the fitter says them, and the things that they join. Positions are (east, north, up) in metres."""

from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, Kelvin, Kilogram, KvM3PerHour, Metre, Pascal, Ratio, WattPerMK

Vec = tuple[Metre, Metre, Metre]


class Material(StrEnum):
    COPPER = "copper"
    STEEL = "steel"
    PEX = "PEX"
    MULTILAYER = "multilayer"


class ItemKind(StrEnum):
    """Kinds of in-line item; the value is the trade word that a run uses after "fit"."""

    ISOLATING_VALVE = "isolating valve"
    GATE_VALVE = "gate valve"
    GLOBE_VALVE = "globe valve"
    CHECK_VALVE = "check valve"
    ZONE_VALVE = "zone valve"
    BALANCING_VALVE = "balancing valve"
    LOCKSHIELD = "lockshield valve"
    THERMOSTATIC = "thermostatic valve"
    STRAINER = "strainer"
    AIR_SEPARATOR = "air separator"
    DIRT_SEPARATOR = "dirt separator"
    FLOW_METER = "flow meter"
    CIRCULATOR = "circulator"
    UNION = "union"
    DRAIN_COCK = "drain cock"
    AIR_VENT = "air vent"
    GAUGE = "pressure gauge"
    RELIEF_VALVE = "relief valve"
    VESSEL = "expansion vessel"
    FILLING_LOOP = "filling loop"
    BYPASS = "bypass valve"


@record
class Tube:
    """A tube as bought."""

    name: str
    """As the job says it: ``"copper 22"``, ``"copper L 3/4"``."""
    material: Material
    size: str
    """As spoken at the counter: ``"22 mm"``, ``"3/4 in"``."""
    outside_m: Metre
    wall_m: Metre
    roughness_m: Metre
    stock_m: Metre
    """Length of one stick or coil."""
    source: str

    @property
    def bore_m(self) -> Metre:
        return self.outside_m - 2.0 * self.wall_m


@record
class Port:
    """Where a run meets equipment."""

    owner: str
    name: str
    at: Vec
    faces: Vec
    """Unit vector in which a tube leaves the port."""
    owner_kind: str
    """``"boiler"``, ``"emitter"``, ``"tank"``, ``"vessel"``, … as the job's table is called."""

    @property
    def ref(self) -> str:
        return f"{self.owner}.{self.name}" if self.name else self.owner


@record
class Item:
    """Something fitted in line, named in the job or taken from the shipped list of trade kinds."""

    name: str
    kind: ItemKind
    kv_m3_h: KvM3PerHour | None = None
    k: float | None = None
    length_m: Metre = 0.0
    mass_kg: Kilogram = 0.0
    on_branch: bool = False
    """Sits on a side outlet (drain cock, gauge, vent): the run passes with a tee, nothing flows into the item."""
    shut: bool = False
    water_m3: CubicMetre = 0.0
    open_kv_m3_h: KvM3PerHour | None = None
    """Of a valve that is set: its Kv when fully open, where `kv_m3_h` is what it is set to."""
    turns: tuple[tuple[float, KvM3PerHour], ...] = ()
    """Of a valve that is set: turns open and the Kv there, both rising, where its sheet gives them."""
    opening: Ratio = 1.0
    """Share of its lift that a valve is open."""
    characteristic: str = "linear"
    """How its Kv follows the lift: ``"linear"`` or ``"equal percentage"``."""
    opens_pa: Pascal | None = None
    """Pressure that opens a spring-loaded check valve, or a bypass valve."""
    full_pa: Pascal | None = None
    """Of a bypass valve: pressure at which it passes what its Kv says."""
    set_c: Celsius | None = None
    """Room temperature that a thermostatic valve is set to; its room's design temperature when not given."""
    band_k: Kelvin = 2.0
    """Of a thermostatic valve: from fully open to shut."""


@record(kw_only=False)
class Go:
    """Straight on in a direction. Neither distance nor level: left open, to be solved from the run's end."""

    direction: Vec
    distance_m: Metre | None = None
    level_m: Metre | None = None
    """Go until the coordinate along the direction has this value (``"up to 2.4 m"``)."""
    text: str = ""


@record(kw_only=False)
class Fit:
    """Fit an item here."""

    item: str
    text: str = ""


@record(kw_only=False)
class Tee:
    """Leave a tee here, for another run to start or end at."""

    name: str
    text: str = ""


@record(kw_only=False)
class ChangeTube:
    """Go on in another tube (a reducer)."""

    tube: str
    text: str = ""


Move = Go | Fit | Tee | ChangeTube


@record
class Run:
    """`start` and `end` are a port (``"boiler.flow"``), a tee of another run (``"primary.A"``), or, for an end, empty:
    the run is left capped."""

    name: str
    tube: str
    start: str
    moves: tuple[Move, ...]
    end: str
    insulation_m: Metre = 0.0
    insulation_w_mk: WattPerMK = 0.035
    room: str = ""
    """Room whose air the run heats; found from the plan when empty."""
