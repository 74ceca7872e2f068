"""The room sheet: what each room loses, surface by surface, and where the heat goes."""

from typing import TYPE_CHECKING

from wetside.basis.record import record
from wetside.house.reading import HouseLoad, RoomLoad, SurfaceLoad
from wetside.house.spec import Faces, Part
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class SurfaceLine:
    name: str = said("The surface, as the job or the plan names it.")
    part: str = said("Wall, floor, ceiling, roof, window or door.")
    faces: str = said("What lies behind: outside, ground, room, unheated or neighbour.")
    behind: str = said("Name of the room behind; empty where there is none.")
    construction: str = said("Name of its build-up.")
    area_m2: float = said("Area without the openings in it.", "m2")
    u_w_m2k: float = said("U-value of the build-up.", "W/(m2 K)")
    bridge_w_m2k: float = said("Allowance for thermal bridges that is added to the U-value.", "W/(m2 K)")
    behind_c: float = said("Temperature behind the surface.", "degC")
    factor: float = said(
        "Share of the full inside-to-outside difference that this surface sees, times ground_factor.", "1"
    )
    ground_factor: float = said(
        "What a surface to the ground counts beside area, U and difference (the year's swing, wet soil); else 1.",
        "1",
    )
    load_w: float = said("Heat lost through it on the design day; negative where it gains.", "W")


@record
class RoomLine:
    name: str = said("The room.")
    storey: str = said("Its storey.")
    heated: bool = said("Whether it is heated; an unheated room needs nothing.")
    inside_c: float = said("Design temperature; of an unheated room the temperature that it settles at.", "degC")
    floor_area_m2: float = said("Floor area.", "m2")
    volume_m3: float = said("Volume of air.", "m3")
    transmission_w: float = said("Heat lost through surfaces.", "W")
    air_w: float = said("Heat lost with changing air.", "W")
    reheat_w: float = said("Allowance for heating up after a pause.", "W")
    load_w: float = said("What the room needs on the design day.", "W")
    air_change_1_h: float = said("Air change rate that was used.", "1/h")
    surfaces: tuple[SurfaceLine, ...] = said("Every surface of the room.")


@record
class LossLine:
    way: str = said("The way by which the heat leaves.")
    load_w: float = said("Heat that leaves this way, summed over the heated rooms.", "W")


@record
class RoomsSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    outside_c: float = said("Outside temperature on the design day.", "degC")
    rooms: tuple[RoomLine, ...] = said("Every room, storey by storey.")
    losses: tuple[LossLine, ...] = said("Where the heat of all heated rooms goes, largest first.")
    total_w: float = said("Sum of what the heated rooms need.", "W")
    building_w: float = said(
        "Load of the house as a whole: heat between heated rooms cancels and half of the infiltration counts.", "W"
    )


WAYS = {
    Part.WALL: "outer walls",
    Part.FLOOR: "floors over outside air",
    Part.CEILING: "roof and ceilings",
    Part.ROOF: "roof and ceilings",
    Part.WINDOW: "windows",
    Part.DOOR: "outside doors",
}


def way_out(surface: SurfaceLoad) -> str:
    """The plain word for the way by which heat leaves through a surface."""
    if surface.faces is Faces.GROUND:
        return "ground"
    if surface.faces is Faces.ROOM:
        return "to other rooms, net"
    if surface.faces is Faces.UNHEATED:
        return "unheated rooms"
    if surface.faces is Faces.NEIGHBOUR:
        return "neighbours"
    return WAYS[surface.part]


def losses(load: HouseLoad) -> tuple[LossLine, ...]:
    """Heat of all heated rooms, gathered by the way that it leaves; the sum equals `load.total_w` where every room's
    surfaces, air and reheat make up its load."""
    sums: dict[str, float] = {}
    for room in load.rooms:
        if not room.heated:
            continue
        for s in room.surfaces:
            sums[way_out(s)] = sums.get(way_out(s), 0.0) + s.load_w
        bridges = room.transmission_w - sum(s.load_w for s in room.surfaces)
        for way, watts in (("listed thermal bridges", bridges), ("air", room.air_w), ("heating up", room.reheat_w)):
            sums[way] = sums.get(way, 0.0) + watts
    lines = (LossLine(way=w, load_w=v) for w, v in sums.items() if abs(v) >= 0.5)
    return tuple(sorted(lines, key=lambda line: (-line.load_w, line.way)))


def ground_factor(s: SurfaceLoad) -> float:
    """What makes area times (U and bridge) times the difference to what is behind the loss; 1 but for the ground."""
    plain = s.area_m2 * (s.u_w_m2k + s.bridge_w_m2k)
    return s.conductance_w_k / plain if s.faces is Faces.GROUND and plain > 0.0 else 1.0


def behind_text(line: SurfaceLine) -> str:
    """What is behind a surface; of the ground with its factor, so that a row multiplies out."""
    times = f" × {line.ground_factor:.2f}" if abs(line.ground_factor - 1.0) > 5e-4 else ""
    return f"{line.behind or line.faces}{times}"


def surface_line(s: SurfaceLoad) -> SurfaceLine:
    return SurfaceLine(
        name=s.name,
        part=s.part.value,
        faces=s.faces.value,
        behind=s.behind,
        construction=s.construction,
        area_m2=s.area_m2,
        u_w_m2k=s.u_w_m2k,
        bridge_w_m2k=s.bridge_w_m2k,
        behind_c=s.behind_c,
        factor=s.factor,
        ground_factor=ground_factor(s),
        load_w=s.load_w,
    )


def room_line(r: RoomLoad) -> RoomLine:
    return RoomLine(
        name=r.name,
        storey=r.storey,
        heated=r.heated,
        inside_c=r.inside_c,
        floor_area_m2=r.floor_area_m2,
        volume_m3=r.volume_m3,
        transmission_w=r.transmission_w,
        air_w=r.air_w,
        reheat_w=r.reheat_w,
        load_w=r.load_w,
        air_change_1_h=r.air_change_1_h,
        surfaces=tuple(surface_line(s) for s in r.surfaces),
    )


def rooms_sheet(study: "Study") -> RoomsSheet:
    """The room sheet of a study.

    :raises JobProblem: the rooms can't be read
    """
    load = study.rooms
    order = {s.name: i for i, s in enumerate(sorted(study.design.house.storeys, key=lambda s: s.level_m))}
    rooms = sorted(load.rooms, key=lambda r: order.get(r.storey, len(order)))
    return RoomsSheet(
        job=study.design.name,
        units=study.design.system.value,
        outside_c=load.outside_c,
        rooms=tuple(room_line(r) for r in rooms),
        losses=losses(load),
        total_w=load.total_w,
        building_w=load.building_w,
    )
