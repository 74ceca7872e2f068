"""Floors, ceilings and roofs, from how the rooms of neighbouring storeys lie over each other."""

import math
from itertools import pairwise

from wetside.basis.record import record
from wetside.basis.si import Metre, SquareMetre
from wetside.house.polygon import TOUCH, area, overlap_area, perimeter
from wetside.house.spec import Faces, House, Part, Room

STEP: Metre = 0.6
"""A floor no higher than this above ground lies on the ground where no room is below (common practice)."""


@record(kw_only=False)
class Flat:
    """A level or sloping piece of a room's floor or top."""

    part: Part
    faces: Faces
    behind: str
    area_m2: SquareMetre


def ground_level(house: House) -> Metre:
    """Height of the ground beside the house: above a storey's floor as a wall note says, else the lowest floor."""
    level = {s.name: s.level_m for s in house.storeys}
    storey = {r.name: r.storey for r in house.rooms}
    said = [level[storey[w.room]] + w.below_ground_m for w in house.walls
            if w.below_ground_m > 0 and storey.get(w.room) in level]  # fmt: skip
    return max(said) if said else min(level.values())


def _behind(room: Room) -> Faces:
    return Faces.ROOM if room.heated else Faces.UNHEATED


def _slack(room: Room) -> SquareMetre:
    """What lines that count as the same (2 mm apart) may leave between two storeys."""
    return TOUCH * perimeter(room.outline)


def stacked(house: House, rooms: dict[str, Room]) -> list[list[Room]]:
    """Rooms with outlines, storey over storey, lowest first; storeys without any are passed over."""
    order = sorted(house.storeys, key=lambda s: s.level_m)
    floors = [[r for r in rooms.values() if r.storey == s.name and r.outline] for s in order]
    return [f for f in floors if f]


def flats_of(house: House, rooms: dict[str, Room]) -> dict[str, list[Flat]]:
    """Floor and top pieces of every room that has an outline, by room.

    Heated rooms behind a piece give `ROOM`, others `UNHEATED`. What lies over no room faces the ground in the lowest
    storey and where the floor is at ground level, else the air outside; what lies under no room is roof, its area
    that of the slope.
    """
    level = {s.name: s.level_m for s in house.storeys}
    grade = ground_level(house)
    floors = stacked(house, rooms)
    found: dict[str, list[Flat]] = {r.name: [] for f in floors for r in f}
    free_below = {r.name: area(r.outline) for f in floors for r in f}
    free_above = dict(free_below)
    for lower, upper in pairwise(floors):
        for low in lower:
            for high in upper:
                common = overlap_area(low.outline, high.outline)
                if common <= min(_slack(low), _slack(high)):
                    continue
                found[low.name].append(Flat(Part.CEILING, _behind(high), high.name, common))
                found[high.name].append(Flat(Part.FLOOR, _behind(low), low.name, common))
                free_above[low.name] -= common
                free_below[high.name] -= common
    for i, storey in enumerate(floors):
        for room in storey:
            under, over = free_below[room.name], free_above[room.name]
            if under > _slack(room):
                on_ground = i == 0 or level[room.storey] - grade <= STEP
                faces = Faces.GROUND if on_ground else Faces.OUTSIDE
                found[room.name].insert(0, Flat(Part.FLOOR, faces, "", under))
            if over > _slack(room):
                slope = math.cos(math.radians(room.roof_pitch_deg or 0.0))
                found[room.name].append(Flat(Part.ROOF, Faces.OUTSIDE, "", over / slope))
    return found
