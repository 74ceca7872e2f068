"""The house drawn: one pass from entries to surfaces, and the questions that others ask of the plan.

Wall areas use the room's clear height and the outline's lengths (overall internal dimensions, ISO 13789): nothing is
added for the thickness of floors; losses at the edges are in the bridge allowance.
"""

import math

from wetside.basis.errors import MistakeList
from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.house.check import check_house, check_levels, check_plan
from wetside.house.openings import Placed, place, room_height
from wetside.house.outline import Walls, walls_of
from wetside.house.polygon import edges, inside, middle
from wetside.house.reading import PlacedOpening
from wetside.house.spec import House, Point, Room
from wetside.house.surfaces import Notes, Surface, notes_of, surfaces_of

BAND: Metre = 0.02
"""A point this far below the finished floor still counts as in the room."""


@record(kw_only=False)
class Plan:
    """A house without mistakes, drawn."""

    rooms: dict[str, Room]
    walls: Walls
    notes: Notes
    openings: list[Placed]
    surfaces: dict[str, list[Surface]]


@record
class WallLine:
    """A stretch of wall on the plan, for drawings. A wall between two rooms comes once."""

    storey: str
    room: str
    wall: int
    line: tuple[Point, Point]
    behind: str
    """Room behind, or empty for an outer wall."""


_drawn: list[tuple[House, Plan]] = []
"""The last house drawn: loads, openings and drawings of one design ask for the same plan one after the other."""


def draw(house: House) -> Plan:
    """Entries to surfaces. A plan is read and never changed.

    :raises JobProblem: every mistake found in the house
    """
    for known, plan in _drawn:
        if known is house:
            return plan
    plan = _draw(house)
    _drawn[:] = [(house, plan)]
    return plan


def _draw(house: House) -> Plan:
    mistakes = MistakeList()
    rooms = check_house(house, mistakes)
    if house.storeys:
        check_plan(rooms, mistakes)
        check_levels(house, rooms, mistakes)
    walls = walls_of(house, tuple(rooms.values()))
    placed = place(house, rooms, walls, mistakes)
    notes = notes_of(house, walls, mistakes)
    mistakes.raise_if_any()
    surfaces = surfaces_of(house, rooms, walls, notes, placed, mistakes)
    mistakes.raise_if_any()
    return Plan(rooms, walls, notes, placed, surfaces)


def placed_openings(house: House) -> tuple[PlacedOpening, ...]:
    """Every opening where it stands on the plan, in the order of the job; an inner door once.

    A rooflight lies in the middle of its room, along the room's longest wall.

    :raises JobProblem: the house has mistakes
    """
    plan = draw(house)
    found: list[PlacedOpening] = []
    for p in plan.openings:
        room = plan.rooms[p.room]
        if p.mirrored or not room.outline:
            continue
        pitch = None
        if p.wall is None:
            along = max(edges(room.outline), key=lambda e: e.length_m).along
            x, y = middle(room.outline)
            half = p.opening.width_m / 2
            line = ((x - along[0] * half, y - along[1] * half), (x + along[0] * half, y + along[1] * half))
            pitch = room.roof_pitch_deg or 0.0
        else:
            line = p.wall.line(p.start_m, p.end_m)
        found.append(PlacedOpening(name=p.opening.name, room=room.name, storey=room.storey, part=p.opening.part,
                                   line=line, width_m=p.opening.width_m, roof_pitch_deg=pitch))  # fmt: skip
    return tuple(found)


def wall_lines(house: House) -> tuple[WallLine, ...]:
    """Every stretch of wall, for drawings.

    :raises JobProblem: the house has mistakes
    """
    plan = draw(house)
    order = {name: i for i, name in enumerate(plan.rooms)}
    return tuple(
        WallLine(storey=plan.rooms[name].storey, room=name, wall=wall.number,
                 line=wall.line(piece.start_m, piece.end_m), behind=piece.behind)
        for name, walls in plan.walls.items() for wall in walls for piece in wall.pieces
        if not piece.behind or order[name] < order[piece.behind]
    )  # fmt: skip


def room_at(house: House, at: tuple[Metre, Metre, Metre]) -> str:
    """The room that holds a point (east, north, up), "" when none does: outside, in a floor, above a ceiling.

    A point on the line between two rooms belongs to the one that the job names first. Faulty outlines hold nothing.
    """
    x, y, z = at
    if not all(math.isfinite(c) for c in at):
        return ""
    for storey in house.storeys:
        if z < storey.level_m - BAND:
            continue
        for room in house.rooms:
            if room.storey != storey.name or len(room.outline) < 3:
                continue
            if z <= storey.level_m + room_height(house, room) and inside(room.outline, (x, y)):
                return room.name
    return ""
