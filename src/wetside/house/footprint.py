"""The ground floor as a whole: its area, exposed perimeter and depth, and the U-values that follow from them."""

import math

from wetside.basis.record import record
from wetside.basis.si import Metre, SquareMetre, WattPerM2K
from wetside.house import ground as soil
from wetside.house.openings import room_height
from wetside.house.outline import Wall, Walls
from wetside.house.polygon import area
from wetside.house.spec import Construction, Faces, House, Part, Room, Underfloor
from wetside.house.surfaces import Notes, Surface
from wetside.house.uvalue import bare_resistance


@record(kw_only=False)
class Footprint:
    """Ground floor of one storey."""

    area_m2: SquareMetre
    perimeter_m: Metre
    """Edges to outside and to unheated rooms; rooms next door and party walls don't count."""
    depth_m: Metre = 0.0
    """Of the floor below ground, averaged over the perimeter."""

    @property
    def b_m(self) -> Metre:
        """B'."""
        return soil.characteristic_dimension(self.area_m2, self.perimeter_m)


def square(area_m2: SquareMetre) -> Footprint:
    """For a floor that is only listed: a square with all edges exposed."""
    return Footprint(area_m2, 4 * math.sqrt(area_m2))


def footprint(
    house: House, rooms: dict[str, Room], walls: Walls, notes: Notes, surfaces: dict[str, list[Surface]], storey: str,
    *, heated_only: bool,
) -> Footprint | None:  # fmt: skip
    """The drawn ground floor of a storey: of its heated rooms, or of all; `None` when there is none.

    A room that only partly lies on the ground counts its edges by the same share.
    """
    total = exposed = deep = 0.0
    for name, own in walls.items():
        room = rooms[name]
        on_ground = sum(s.area_m2 for s in surfaces[name]
                        if s.part is Part.FLOOR and s.faces is Faces.GROUND and not s.listed)  # fmt: skip
        if room.storey != storey or on_ground == 0 or (heated_only and not room.heated):
            continue
        share = min(1.0, on_ground / area(room.outline))
        total += on_ground
        for wall in own:
            for piece in wall.pieces:
                if piece.behind and not (heated_only and not rooms[piece.behind].heated):
                    continue
                faces, depth = _far_side(house, room, wall, notes)
                if not piece.behind and faces in (Faces.ROOM, Faces.NEIGHBOUR):
                    continue
                exposed += share * piece.length_m
                deep += share * piece.length_m * (0.0 if piece.behind else depth)
    if total == 0:
        return None
    # A floor enclosed on all sides loses next to nothing to the ground; a millimetre keeps B' finite.
    exposed = max(exposed, 1e-3)
    return Footprint(total, exposed, deep / exposed)


def _far_side(house: House, room: Room, wall: Wall, notes: Notes) -> tuple[Faces, Metre]:
    note = notes.get((room.name, wall.number))
    if note is None:
        return Faces.OUTSIDE, 0.0
    height = room_height(house, room)
    faces = note.faces or Faces.OUTSIDE
    depth = min(note.below_ground_m, height)
    return faces, depth or (height if faces is Faces.GROUND else 0.0)


def floor_u(house: House, construction: Construction, foot: Footprint) -> WattPerM2K:
    """U of a floor on the ground or over a crawl space, ground included (ISO 13370).

    A U-value that is given is used as such and so counts the ground already.
    """
    if construction.u_w_m2k is not None:
        return construction.u_w_m2k
    g = house.ground
    floor_r = bare_resistance(construction, Part.FLOOR)
    if g.underfloor is Underfloor.CRAWL and foot.depth_m == 0:
        air_u = soil.crawl_air_u(foot.b_m, g.crawl_height_m, g.crawl_wall_u_w_m2k, g.crawl_vents_m2_m,
                                 g.wind_m_s, g.wind_factor)  # fmt: skip
        return soil.suspended_u(floor_r, soil.crawl_ground_u(foot.b_m, g.wall_thickness_m, g.conductivity_w_mk), air_u)
    dt = soil.floor_thickness(g.wall_thickness_m, g.conductivity_w_mk, floor_r)
    u = soil.slab_u(foot.b_m, dt, g.conductivity_w_mk, foot.depth_m)
    if g.edge_insulation_m2k_w > 0 and g.edge_depth_m > 0:
        psi = soil.edge_psi(g.edge_depth_m, dt, g.edge_insulation_m2k_w, g.conductivity_w_mk, upright=True)
        u += 2 * psi / foot.b_m
    return u


def wall_u(house: House, construction: Construction, floor: Construction, depth_m: Metre) -> WattPerM2K:
    """U of a wall in the ground. The construction's own value, given or computed, is that of the wall in air."""
    g = house.ground
    dw = soil.wall_thickness(g.conductivity_w_mk, bare_resistance(construction, Part.WALL))
    dt = soil.floor_thickness(g.wall_thickness_m, g.conductivity_w_mk, bare_resistance(floor, Part.FLOOR))
    return soil.basement_wall_u(depth_m, dw, dt, g.conductivity_w_mk)
