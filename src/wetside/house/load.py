"""Heat load of every room on the design day, in the shape of EN 12831.

Each surface loses area × (U + bridge) × factor × (inside − outside). The factor is 1 to the outside, (θ_i − θ_b)/(θ_i −
θ_e) to whatever else has a temperature (below 0 where it is warmer behind), f_g1 f_g2 G_w to the ground. Unheated
rooms settle where gains and losses balance, all of them together.
"""

from wetside.basis.errors import MistakeList
from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, Ratio, SquareMetre, WattPerK, WattPerM2K
from wetside.house import ground as soil
from wetside.house.air import (
    AirFlows,
    air_conductance,
    building_air_w,
    height_factor,
    infiltration,
    shielding_coefficient,
)
from wetside.house.balance import Node, settle
from wetside.house.flats import ground_level
from wetside.house.footprint import Footprint, floor_u, footprint, square, wall_u
from wetside.house.openings import room_height
from wetside.house.plan import Plan, draw
from wetside.house.polygon import area
from wetside.house.reading import HouseLoad, RoomLoad, SurfaceLoad
from wetside.house.spec import Construction, Faces, House, Part, Room
from wetside.house.surfaces import Surface
from wetside.house.uvalue import construction_u

_FLIP = {Part.FLOOR: Part.CEILING, Part.CEILING: Part.FLOOR}


@record(kw_only=False)
class _Path:
    """A surface with what it lets through: `gain` is 1 but for the ground."""

    surface: Surface
    u: WattPerM2K
    bridge: WattPerM2K
    gain: Ratio
    linear: bool = False

    @property
    def conductance(self) -> WattPerK:
        return self.surface.area_m2 * (self.u + self.bridge) * self.gain


def heat_loads(house: House) -> HouseLoad:
    """Heat load of each room and of the house.

    `total_w` adds up the heated rooms; a room that gains more than it loses counts as 0 there, since no other room can
    use what it has over, while its own load stays negative. `building_w` leaves out what heated rooms pass to each
    other and half of the leaks; it too includes reheat.

    :raises JobProblem: every mistake found in the house
    Source: EN 12831:2003 (from memory), ISO 6946, ISO 13370.
    """
    plan = draw(house)
    paths = _paths(house, plan)
    flows = {r.name: _air(house, r, plan) for r in plan.rooms.values()}
    settled = _temperatures(house, plan, paths, flows)
    rooms = tuple(_room(house, plan, r, paths[r.name], flows[r.name], settled) for r in plan.rooms.values())
    heated = [r for r in rooms if r.heated]
    crossing = sum(s.load_w for r in heated for s in r.surfaces if s.faces is Faces.ROOM and s.behind)
    air_w = building_air_w([(flows[r.name], r.inside_c) for r in heated], house.climate.outside_c)
    return HouseLoad(
        outside_c=house.climate.outside_c,
        rooms=rooms,
        total_w=sum(max(0.0, r.load_w) for r in heated),
        mean_c=house.climate.mean_c,
        building_w=sum(r.transmission_w + r.reheat_w for r in heated) - crossing + air_w,
    )


def floor_area(room: Room) -> SquareMetre:
    """Given, else the outline's; 0 when neither is known."""
    if room.floor_area_m2 is not None:
        return room.floor_area_m2
    return area(room.outline) if room.outline else 0.0


def volume(house: House, room: Room) -> CubicMetre:
    """Given, else floor area times clear height."""
    return room.volume_m3 if room.volume_m3 is not None else floor_area(room) * room_height(house, room)


def _air(house: House, room: Room, plan: Plan) -> AirFlows:
    size = volume(house, room)
    exposed = sum(1 for s in plan.surfaces[room.name]
                  if s.part in (Part.WINDOW, Part.DOOR) and s.faces is Faces.OUTSIDE)  # fmt: skip
    leaks = 0.0
    if house.n50_1_h is not None:
        level = next(s.level_m for s in house.storeys if s.name == room.storey)
        middle = level + room_height(house, room) / 2 - ground_level(house)
        e = shielding_coefficient(house.climate.shielding, exposed)
        leaks = infiltration(size, house.n50_1_h, e, height_factor(middle))
    supply_c = house.climate.outside_c if room.supply_air_c is None else room.supply_air_c
    return AirFlows(leaks, room.air_change_1_h * size, room.supply_air_m3_h, supply_c)


def _paths(house: House, plan: Plan) -> dict[str, list[_Path]]:
    constructions = {c.name: c for c in house.constructions}
    known: dict[tuple[str, Part, Faces], WattPerM2K] = {}
    feet: dict[tuple[str, bool], Footprint | None] = {}
    ground_gain = soil.F_G1 * soil.water_factor(house.ground.groundwater_close)

    def plain_u(c: Construction, part: Part, faces: Faces) -> WattPerM2K:
        key = (c.name, part, faces)
        if key not in known:
            known[key] = construction_u(c, part, faces)
        return known[key]

    def ground_u(room: Room, s: Surface, c: Construction) -> WattPerM2K:
        if s.part is not Part.FLOOR:
            floor = constructions[room.floor or house.fabric.ground_floor]
            return wall_u(house, c, floor, s.depth_m) if s.depth_m > 0 else plain_u(c, s.part, Faces.GROUND)
        key = (room.storey, room.heated)
        if key not in feet:
            feet[key] = footprint(house, plan.rooms, plan.walls, plan.notes, plan.surfaces, room.storey,
                                  heated_only=room.heated)  # fmt: skip
        return floor_u(house, c, feet[key] or square(s.area_m2))

    found: dict[str, list[_Path]] = {}
    for room in plan.rooms.values():
        own: list[_Path] = []
        for s in plan.surfaces[room.name]:
            c = constructions[s.construction]
            if s.faces is Faces.GROUND:
                own.append(_Path(s, ground_u(room, s, c), 0.0, ground_gain))
                continue
            other = plan.rooms.get(s.behind)
            part = s.part if other is None else _leaving(s.part, room, other)
            bridge = house.bridge_allowance_w_m2k if s.faces is Faces.OUTSIDE else 0.0
            own.append(_Path(s, plain_u(c, part, s.faces if other is None else Faces.ROOM), bridge, 1.0))
        for b in room.bridges:
            line = Surface(name=b.name, room=room.name, part=Part.WALL, faces=Faces.OUTSIDE, construction="",
                           area_m2=b.length_m)  # fmt: skip
            own.append(_Path(line, 0.0, b.psi_w_mk, 1.0, linear=True))
        found[room.name] = own
    return found


def _leaving(part: Part, room: Room, other: Room) -> Part:
    """The part as the warmer of two rooms sees it, so that both sides reckon with the same U-value."""
    warmer = room.inside_c >= other.inside_c if room.heated == other.heated else room.heated
    if not room.heated and not other.heated:
        warmer = part is Part.CEILING
    return part if warmer else _FLIP.get(part, part)


@record(kw_only=False)
class _Settled:
    """Temperature of every room; rooms with a given b answer to each neighbour with a temperature of its own."""

    room_c: dict[str, Celsius]
    given_b: dict[str, Ratio]
    outside_c: Celsius
    mean_c: Celsius
    heated_c: Celsius
    """Mean over the heated rooms, for what an unheated room's neighbour may be."""

    def behind(self, room: Room, s: Surface) -> Celsius:
        """Temperature behind a surface of a room."""
        own = self.room_c[room.name] if room.heated else self.heated_c
        if s.faces is Faces.GROUND:
            return self.mean_c
        if s.behind in self.given_b and room.heated:
            return own - self.given_b[s.behind] * (own - self.outside_c)
        if s.behind in self.room_c:
            return self.room_c[s.behind]
        if s.temperature_c is not None:
            return s.temperature_c
        # A dwelling next door may stand cool: half way between this room and the year's mean (EN 12831, from memory).
        return (own + self.mean_c) / 2 if s.faces is Faces.NEIGHBOUR else self.outside_c


def _temperatures(
    house: House, plan: Plan, paths: dict[str, list[_Path]], flows: dict[str, AirFlows]
) -> _Settled:  # fmt: skip
    outside, mean = house.climate.outside_c, house.climate.mean_c
    heated = {r.name: r.inside_c for r in plan.rooms.values() if r.heated}
    heated_c = sum(heated.values()) / len(heated) if heated else outside
    given = {r.name: r.b_factor for r in plan.rooms.values() if not r.heated and r.b_factor is not None}
    room_c = dict(heated)
    for name, b in given.items():
        pairs = [(p.conductance, heated[p.surface.behind]) for p in paths[name] if p.surface.behind in heated]
        weight = sum(h for h, _ in pairs)
        warm = sum(h * t for h, t in pairs) / weight if weight else heated_c
        room_c[name] = warm - b * (warm - outside)
    free = [r for r in plan.rooms.values() if r.name not in room_c]
    known = _Settled(room_c, given, outside, mean, heated_c)
    nodes: list[Node] = []
    for room in free:
        air = flows[room.name]
        fixed = [(air_conductance(air.leaks + air.rest), outside), (air_conductance(air.supply), air.supply_c)]
        links: dict[str, WattPerK] = {}
        for p in paths[room.name]:
            other = plan.rooms.get(p.surface.behind)
            if other is not None and other.name not in room_c:
                links[other.name] = links.get(other.name, 0.0) + p.conductance
            else:
                fixed.append((p.conductance, known.behind(room, p.surface)))
        nodes.append(Node(room.name, fixed, links))
    answer = settle(nodes)
    mistakes = MistakeList()
    for name in [n.name for n in nodes if n.name not in answer]:
        mistakes.add("room", name, "surface", f"no heat reaches or leaves {name}, so its temperature is not known",
                     "list its surfaces, draw its outline, or give its b_factor")  # fmt: skip
    mistakes.raise_if_any()
    room_c.update(answer)
    return known


def _room(
    house: House, plan: Plan, room: Room, paths: list[_Path], air: AirFlows, settled: _Settled
) -> RoomLoad:  # fmt: skip
    inside, outside = settled.room_c[room.name], house.climate.outside_c
    drop = inside - outside
    surfaces: list[SurfaceLoad] = []
    for p in paths:
        s = p.surface
        behind = settled.behind(room, s)
        factor = p.gain * (inside - behind) / drop if abs(drop) > 1e-9 else 0.0
        surfaces.append(
            SurfaceLoad(
                name=s.name, room=room.name, part=s.part, faces=s.faces, behind=s.behind, construction=s.construction,
                area_m2=s.area_m2, u_w_m2k=p.u, bridge_w_m2k=p.bridge, behind_c=behind, factor=factor,
                load_w=s.area_m2 * (p.u + p.bridge) * factor * drop, line=s.line, wall=s.wall, linear=p.linear,
                conductance_w_k=p.conductance, known_c=s.temperature_c,
            )
        )  # fmt: skip
    size, warmed = volume(house, room), room.supply_air_c is not None
    transmission = sum(s.load_w for s in surfaces)
    air_w = air.heat_w(inside, outside)
    reheat = room.reheat_w_m2 * floor_area(room) if room.heated else 0.0
    return RoomLoad(
        name=room.name, storey=room.storey, heated=room.heated, inside_c=inside, floor_area_m2=floor_area(room),
        volume_m3=size, transmission_w=transmission, air_w=air_w, reheat_w=reheat,
        load_w=transmission + air_w + reheat if room.heated else 0.0,
        air_change_1_h=air.total / size if size > 0 else 0.0,
        air_w_k=air_w / drop if abs(drop) > 1e-9 else air_conductance(air.total), surfaces=tuple(surfaces),
        outside_air_w_k=air_conductance(air.leaks + air.rest + (0.0 if warmed else air.supply)),
        supply_air_w_k=air_conductance(air.supply) if warmed else 0.0, supply_air_c=air.supply_c,
        b_factor=None if room.heated else room.b_factor,
    )  # fmt: skip
