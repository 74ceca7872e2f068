"""What is known of the building before anything is computed. All SI; outlines follow the inner faces of outer walls
and the middle of shared walls (overall internal dimensions, ISO 13789)."""

from dataclasses import field
from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import (
    Celsius,
    CubicMetre,
    Degree,
    M2KPerWatt,
    Metre,
    PerHour,
    Ratio,
    SquareMetre,
    WattPerM2K,
    WattPerMK,
)  # fmt: skip

Point = tuple[Metre, Metre]
"""East, north."""


class Faces(StrEnum):
    """What lies behind a surface."""

    OUTSIDE = "outside"
    GROUND = "ground"
    ROOM = "room"
    UNHEATED = "unheated"
    NEIGHBOUR = "neighbour"


class Part(StrEnum):
    """Which part of a room a surface is."""

    WALL = "wall"
    FLOOR = "floor"
    CEILING = "ceiling"
    ROOF = "roof"
    WINDOW = "window"
    DOOR = "door"


class Shielding(StrEnum):
    NONE = "none"
    MODERATE = "moderate"
    HEAVY = "heavy"


class Underfloor(StrEnum):
    """What lies under the lowest storey."""

    SLAB = "slab on ground"
    CRAWL = "crawl space"


@record
class Layer:
    """One layer of a construction, inside to outside.

    Either `conductivity` or `resistance` is given. A bridged layer states the share of its area that is the bridge
    (studs, joists) and the bridge's conductivity.
    """

    material: str
    thickness_m: Metre = 0.0
    conductivity_w_mk: WattPerMK | None = None
    resistance_m2k_w: M2KPerWatt | None = None
    bridge_share: Ratio = 0.0
    bridge_conductivity_w_mk: WattPerMK | None = None


@record
class Construction:
    """A build-up: layers, or a U-value that is given as such."""

    name: str
    layers: tuple[Layer, ...] = ()
    u_w_m2k: WattPerM2K | None = None


@record
class Storey:
    name: str
    level_m: Metre
    """Height of the finished floor above the job's datum."""
    height_m: Metre
    """Clear height, floor to ceiling (mean height under a slope)."""


@record
class WallNote:
    """Says something of one wall of a room that geometry can't know."""

    room: str
    wall: int | str
    """Edge number of the outline counted from 1, or the compass word that it faces."""
    construction: str | None = None
    faces: Faces | None = None
    temperature_c: Celsius | None = None
    below_ground_m: Metre = 0.0


@record
class Opening:
    """A window, outside door or rooflight."""

    name: str
    room: str
    part: Part
    wall: int | str
    """As in `WallNote`, or ``"roof"``."""
    construction: str
    width_m: Metre
    height_m: Metre
    sill_m: Metre = 0.0
    offset_m: Metre | None = None
    """From the wall's first corner to the opening; centred when not given."""


@record
class ListedSurface:
    """A surface said outright, for a room without an outline or beside it."""

    name: str
    part: Part
    area_m2: SquareMetre
    construction: str
    faces: Faces
    behind: str = ""
    """Name of the room behind, when `faces` is room or unheated."""
    temperature_c: Celsius | None = None


@record
class Bridge:
    """A linear thermal bridge."""

    name: str
    psi_w_mk: WattPerMK
    length_m: Metre


@record
class Room:
    name: str
    storey: str
    outline: tuple[Point, ...] = ()
    heated: bool = True
    inside_c: Celsius = 20.0
    air_change_1_h: PerHour = 0.5
    """Least air change (hygiene); infiltration by n50 is taken when larger."""
    height_m: Metre | None = None
    """Own clear height instead of the storey's."""
    roof_pitch_deg: Degree | None = None
    """Slope of the roof right above this room; flat when not given."""
    outer_wall: str | None = None
    floor: str | None = None
    top: str | None = None
    """Constructions of outer walls, floor and ceiling/roof instead of the house's."""
    volume_m3: CubicMetre | None = None
    floor_area_m2: SquareMetre | None = None
    """Given for a room without an outline."""
    surfaces: tuple[ListedSurface, ...] = ()
    bridges: tuple[Bridge, ...] = ()
    reheat_w_m2: float = 0.0
    """Heating-up capacity per floor area, W/m2 (EN 12831)."""
    b_factor: Ratio | None = None
    """Given temperature reduction factor of an unheated room; computed from its surfaces when not given."""
    supply_air_m3_h: float = 0.0
    """Mechanical supply, m3/h at `supply_air_c`."""
    supply_air_c: Celsius | None = None


@record
class Climate:
    outside_c: Celsius
    mean_c: Celsius
    """Annual mean outside."""
    cold_water_c: Celsius = 8.0
    """Mains water in winter."""
    shielding: Shielding = Shielding.MODERATE
    altitude_m: Metre = 0.0


@record
class Ground:
    underfloor: Underfloor = Underfloor.SLAB
    conductivity_w_mk: WattPerMK = 2.0
    wall_thickness_m: Metre = 0.3
    groundwater_close: bool = False
    """Water table less than 1 m below the slab."""
    edge_insulation_m2k_w: M2KPerWatt = 0.0
    edge_depth_m: Metre = 0.0
    crawl_height_m: Metre = 0.3
    """Height of the crawl space's wall above ground."""
    crawl_wall_u_w_m2k: WattPerM2K = 1.7
    crawl_vents_m2_m: float = 0.0015
    """Ventilation opening per metre of perimeter, m2/m."""
    wind_m_s: float = 3.0
    wind_factor: float = 0.05


@record
class Fabric:
    """Which construction stands where unless a room or wall says otherwise."""

    outer_wall: str
    inner_wall: str
    ground_floor: str
    inner_floor: str
    roof: str
    inner_door: str | None = None


@record
class House:
    climate: Climate
    ground: Ground
    fabric: Fabric
    storeys: tuple[Storey, ...]
    constructions: tuple[Construction, ...]
    rooms: tuple[Room, ...]
    walls: tuple[WallNote, ...] = ()
    openings: tuple[Opening, ...] = ()
    bridge_allowance_w_m2k: WattPerM2K = 0.05
    """Flat addition to the U-value of surfaces that face outside, for thermal bridges not listed."""
    n50_1_h: PerHour | None = None
    """Air change at 50 Pa, when measured or assumed."""
    notes: tuple[str, ...] = field(default=())
