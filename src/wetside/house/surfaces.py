"""Every surface of every room: from the plan, from what walls and openings were said to be, and from the lists."""

from dataclasses import replace

from wetside.basis.errors import MistakeList
from wetside.basis.record import record
from wetside.basis.si import Celsius, Metre, SquareMetre
from wetside.house.flats import Flat, flats_of
from wetside.house.openings import Placed, room_height
from wetside.house.outline import Piece, Wall, Walls, find_wall
from wetside.house.spec import Faces, House, ListedSurface, Part, Point, Room, WallNote

_OTHER_WAY = {Part.FLOOR: Part.CEILING, Part.CEILING: Part.FLOOR, Part.ROOF: Part.FLOOR}


@record
class Surface:
    """A surface before anything is known of heat. `behind` names a room; `temperature_c` is given when it must be."""

    name: str
    room: str
    part: Part
    faces: Faces
    construction: str
    area_m2: SquareMetre
    behind: str = ""
    temperature_c: Celsius | None = None
    line: tuple[Point, Point] | None = None
    wall: int = 0
    depth_m: Metre = 0.0
    """For a wall in the ground: how deep its foot is."""
    listed: bool = False


Notes = dict[tuple[str, int], WallNote]
"""Wall notes by room and wall number."""


def notes_of(house: House, walls: Walls, mistakes: MistakeList) -> Notes:
    """Wall notes on the walls that they mean."""
    found: Notes = {}
    for note in house.walls:
        if note.room not in walls:
            if any(r.name == note.room and not r.outline for r in house.rooms):
                mistakes.add("wall", note.room, "room", f"{note.room} has no outline, so it has no walls to speak of",
                             "draw its outline, or say it in the room's list of surfaces")  # fmt: skip
            continue
        wall = find_wall(walls[note.room], note.wall)
        if isinstance(wall, tuple):
            mistakes.add("wall", note.room, "wall", *wall)
            continue
        key = (note.room, wall.number)
        if key in found:
            mistakes.add("wall", note.room, "wall", f"{wall.title} of {note.room} is described twice",
                         "put everything about one wall in one entry")  # fmt: skip
            continue
        found[key] = note
        about_far_side = note.faces is not None or note.temperature_c is not None or note.below_ground_m > 0
        if about_far_side and all(p.behind for p in wall.pieces):
            others = ", ".join(dict.fromkeys(p.behind for p in wall.pieces))
            mistakes.add("wall", note.room, "faces", f"{wall.title} of {note.room} stands wholly against {others}",
                         "what it faces follows from the plan: take this out")  # fmt: skip
        elif note.faces in (Faces.ROOM, Faces.UNHEATED) and note.temperature_c is None:
            mistakes.add("wall", note.room, "temperature",
                         f"{wall.title} of {note.room} faces a room that is not drawn, at a temperature nobody said",
                         "give the temperature behind it, or draw the room")  # fmt: skip
    return found


def surfaces_of(
    house: House, rooms: dict[str, Room], walls: Walls, notes: Notes, placed: list[Placed], mistakes: MistakeList
) -> dict[str, list[Surface]]:
    """Surfaces of every room, openings taken off the walls and roofs that hold them."""
    flats = flats_of(house, rooms)
    found: dict[str, list[Surface]] = {}
    for room in rooms.values():
        own = [p for p in placed if p.room == room.name]
        surfaces: list[Surface] = []
        for wall in walls.get(room.name, ()):
            note = notes.get((room.name, wall.number))
            for piece in wall.pieces:
                here = [p for p in own if p.wall is wall or (p.wall and p.wall.number == wall.number)]
                here = [p for p in here if piece.start_m <= (p.start_m + p.end_m) / 2 <= piece.end_m]
                surfaces += _wall_piece(house, rooms, walls, notes, room, wall, piece, note, here, mistakes)
        surfaces += _flat_surfaces(house, rooms, flats, room, [p for p in own if p.wall is None], mistakes)
        surfaces += [_listed(s, room.name, rooms.get(s.behind)) for s in room.surfaces]
        found[room.name] = surfaces
    _mirror_listed(rooms, found)
    return found


def _shared_height(house: House, a: Room, b: Room) -> Metre:
    """Two rooms share a wall up to the storey's height, or the higher of their ceilings below it: the void over a
    lowered ceiling counts as its room's."""
    storey = next(s.height_m for s in house.storeys if s.name == a.storey)
    return max(min(room_height(house, a), storey), min(room_height(house, b), storey))


def _wall_piece(
    house: House, rooms: dict[str, Room], walls: Walls, notes: Notes, room: Room, wall: Wall, piece: Piece,
    note: WallNote | None, here: list[Placed], mistakes: MistakeList,
) -> list[Surface]:  # fmt: skip
    height = room_height(house, room)
    outer = (note.construction if note else None) or room.outer_wall or house.fabric.outer_wall
    base = Surface(name=wall.title, room=room.name, part=Part.WALL, faces=Faces.OUTSIDE, construction=outer,
                   area_m2=0.0, line=wall.line(piece.start_m, piece.end_m), wall=wall.number)  # fmt: skip
    openings_m2 = sum(p.area_m2 for p in here)
    result: list[Surface] = []
    if piece.behind:
        other = rooms[piece.behind]
        faces = Faces.ROOM if other.heated else Faces.UNHEATED
        shared = _shared_height(house, room, other)
        construction = _inner_construction(house, notes, room.name, wall, piece, mistakes)
        net = piece.length_m * shared - openings_m2
        result.append(replace(base, faces=faces, behind=other.name, construction=construction, area_m2=net))
        if height > shared:
            result.append(replace(base, name=f"{wall.title}, above {other.name}",
                                  area_m2=piece.length_m * (height - shared)))  # fmt: skip
        behind, temperature = other.name, None
    else:
        faces, behind = (note.faces if note else None) or Faces.OUTSIDE, ""
        temperature = note.temperature_c if note else None
        depth = min(note.below_ground_m, height) if note else 0.0
        if faces is Faces.GROUND:
            depth, faces = depth or height, Faces.OUTSIDE
        in_ground = sum(p.opening.width_m * min(p.opening.height_m, max(0.0, depth - p.opening.sill_m)) for p in here)
        above = replace(base, faces=faces, temperature_c=temperature,
                        area_m2=piece.length_m * (height - depth) - (openings_m2 - in_ground))  # fmt: skip
        if height > depth:
            result.append(above)
        if depth > 0:
            result.append(replace(base, name=f"{wall.title}, in the ground", faces=Faces.GROUND, depth_m=depth,
                                  area_m2=piece.length_m * depth - in_ground))  # fmt: skip
    if here and any(s.area_m2 < -1e-6 for s in result):
        names = ", ".join(p.opening.name for p in here)
        mistakes.add("opening", here[0].opening.name, "height",
                     f"{names} together are larger ({openings_m2:.2f} m²) than the stretch of {wall.title} "
                     f"of {room.name} that holds them ({openings_m2 + sum(s.area_m2 for s in result):.2f} m²)",
                     "make them smaller, or give the room its own clear height")  # fmt: skip
    for p in here:
        part = p.opening.part
        result.append(replace(base, name=p.opening.name, part=part, faces=faces, behind=behind,
                              construction=p.opening.construction or house.fabric.inner_door or "",
                              area_m2=p.area_m2, temperature_c=temperature,
                              line=wall.line(p.start_m, p.end_m)))  # fmt: skip
    return result


def _inner_construction(
    house: House, notes: Notes, room: str, wall: Wall, piece: Piece, mistakes: MistakeList
) -> str:  # fmt: skip
    """A shared wall is what either side says of it, else the house's inner wall."""
    mine = notes.get((room, wall.number))
    theirs = notes.get((piece.behind, piece.behind_wall))
    a, b = (mine.construction if mine else None), (theirs.construction if theirs else None)
    if a and b and a != b and room < piece.behind:
        mistakes.add("wall", room, "construction",
                     f'the wall between {room} and {piece.behind} is "{a}" from one side and "{b}" from the other',
                     "say it once, or the same from both sides")  # fmt: skip
    return a or b or house.fabric.inner_wall


def _flat_surfaces(
    house: House, rooms: dict[str, Room], flats: dict[str, list[Flat]], room: Room, lights: list[Placed],
    mistakes: MistakeList,
) -> list[Surface]:  # fmt: skip
    result: list[Surface] = []
    lights_m2 = sum(p.area_m2 for p in lights)
    roof_m2 = sum(f.area_m2 for f in flats.get(room.name, ()) if f.part is Part.ROOF)
    if lights and lights_m2 > roof_m2:
        mistakes.add("opening", lights[0].opening.name, "wall",
                     f"{room.name} has {roof_m2:.2f} m² of roof and {lights_m2:.2f} m² of openings in it",
                     "name the room that lies under the roof, or make them smaller")  # fmt: skip
    for flat in flats.get(room.name, ()):
        if flat.part is Part.ROOF:
            construction = room.top or house.fabric.roof
        elif flat.part is Part.FLOOR:
            lower = rooms.get(flat.behind)
            by_default = house.fabric.ground_floor if flat.faces is Faces.GROUND else house.fabric.inner_floor
            construction = room.floor or _plain_top(flats, lower) or by_default
        else:
            construction = rooms[flat.behind].floor or _plain_top(flats, room) or house.fabric.inner_floor
        net = flat.area_m2 - (lights_m2 if flat.part is Part.ROOF else 0.0)
        result.append(Surface(name=flat.part.value, room=room.name, part=flat.part, faces=flat.faces,
                              construction=construction, area_m2=net, behind=flat.behind))  # fmt: skip
    return result + [
        Surface(name=p.opening.name, room=room.name, part=p.opening.part, faces=Faces.OUTSIDE,
                construction=p.opening.construction, area_m2=p.area_m2) for p in lights
    ]  # fmt: skip


def _plain_top(flats: dict[str, list[Flat]], lower: Room | None) -> str | None:
    """The lower room's own ceiling, unless part of that room lies under the roof and `top` means the roof."""
    if lower is None or any(f.part is Part.ROOF for f in flats.get(lower.name, ())):
        return None
    return lower.top


def _listed(s: ListedSurface, room: str, behind: Room | None) -> Surface:
    faces = s.faces if behind is None else Faces.ROOM if behind.heated else Faces.UNHEATED
    return Surface(name=s.name, room=room, part=s.part, faces=faces, construction=s.construction, area_m2=s.area_m2,
                   behind=s.behind, temperature_c=s.temperature_c, listed=True)  # fmt: skip


def _mirror_listed(rooms: dict[str, Room], found: dict[str, list[Surface]]) -> None:
    """A listed surface between two rooms is said once; the room behind sees it too, unless it lists its own."""
    for room in rooms.values():
        for s in room.surfaces:
            other = rooms.get(s.behind)
            if other is None or any(t.behind == room.name for t in other.surfaces):
                continue
            part = _OTHER_WAY.get(s.part, s.part)
            found[other.name].append(replace(_listed(s, other.name, room), behind=room.name, part=part))
