"""What the house floor answers: the heat load of each room, surface by surface, at design conditions."""

from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, Degree, Metre, Ratio, SquareMetre, Watt, WattPerK, WattPerM2K
from wetside.house.spec import Faces, Part, Point


@record
class SurfaceLoad:
    """One surface of a room. `load_w = area_m2 * (u_w_m2k + bridge_w_m2k) * factor * (inside - outside)`."""

    name: str
    room: str
    part: Part
    faces: Faces
    behind: str
    """Room behind, or empty."""
    construction: str
    area_m2: SquareMetre
    """Net of openings."""
    u_w_m2k: WattPerM2K
    bridge_w_m2k: WattPerM2K
    behind_c: Celsius
    """Temperature behind the surface (for the ground: annual mean outside)."""
    factor: Ratio
    load_w: Watt
    line: tuple[Point, Point] | None = None
    """The wall's piece of the outline, for drawings."""
    wall: int = 0
    """Outline edge number, from 1; 0 for other surfaces."""
    linear: bool = False
    """A listed linear bridge: `area_m2` holds its length in metres and `bridge_w_m2k` its psi in W/(m K)."""
    conductance_w_k: WattPerK = 0.0
    """What it passes per kelvin to what is behind it, whatever the temperatures."""
    known_c: Celsius | None = None
    """Temperature behind it that the job gives; not for rooms and the outside."""


@record
class RoomLoad:
    name: str
    storey: str
    heated: bool
    inside_c: Celsius
    """Design temperature; for an unheated room the temperature it settles at."""
    floor_area_m2: SquareMetre
    volume_m3: CubicMetre
    transmission_w: Watt
    air_w: Watt
    reheat_w: Watt
    load_w: Watt
    air_change_1_h: float
    """The rate used: the larger of hygiene and infiltration."""
    air_w_k: WattPerK
    outside_air_w_k: WattPerK = 0.0
    """Of the air that comes straight from outside."""
    supply_air_w_k: WattPerK = 0.0
    supply_air_c: Celsius = 0.0
    b_factor: Ratio | None = None
    """Of an unheated room whose place between inside and outside is given rather than reckoned."""
    surfaces: tuple[SurfaceLoad, ...]


@record
class HouseLoad:
    """`total_w` is the sum over heated rooms. `building_w` is the load of the house as a whole: heat between heated
    rooms cancels and only half of the infiltration counts (EN 12831)."""

    outside_c: Celsius
    rooms: tuple[RoomLoad, ...]
    total_w: Watt
    building_w: Watt
    mean_c: Celsius = 10.0
    """Mean of the year outside; what is under the floor."""


@record
class PlacedOpening:
    """An opening with its place on the plan, for drawings."""

    name: str
    room: str
    storey: str
    part: Part
    line: tuple[Point, Point]
    width_m: Metre
    roof_pitch_deg: Degree | None = None
