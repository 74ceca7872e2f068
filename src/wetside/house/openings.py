"""Windows and doors on the walls they were said to be in."""

import math

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.record import record
from wetside.basis.si import Metre, SquareMetre
from wetside.house.outline import Wall, Walls, find_wall
from wetside.house.polygon import TOUCH
from wetside.house.spec import House, Opening, Room


@record(kw_only=False)
class Placed:
    """An opening as one room sees it. An inner door stands in two rooms, said in one and mirrored in the other."""

    opening: Opening
    room: str
    wall: Wall | None
    """`None` in the roof."""
    start_m: Metre = 0.0
    behind: str = ""
    mirrored: bool = False

    @property
    def end_m(self) -> Metre:
        """Where it ends along the wall."""
        return self.start_m + self.opening.width_m

    @property
    def area_m2(self) -> SquareMetre:
        """Width times height."""
        return self.opening.width_m * self.opening.height_m


def place(house: House, rooms: dict[str, Room], walls: Walls, mistakes: MistakeList) -> list[Placed]:
    """Every opening on its wall.

    An opening without an offset stands in the middle of its wall. One on a stretch shared with another room is an inner
    window or door to that room.

    :param rooms: rooms that can be used, by name
    """
    heights = {r.name: room_height(house, r) for r in rooms.values()}
    placed: list[Placed] = []
    for opening in house.openings:
        room = rooms.get(opening.room)
        if opening.width_m <= 0 or opening.height_m <= 0 or room is None:
            continue  # said already by the check of the entries
        if isinstance(opening.wall, str) and opening.wall.strip().casefold() == "roof":
            placed.append(Placed(opening, room.name, None))
            continue
        if room.name not in walls:
            mistakes.add("opening", opening.name, "room", f"{room.name} has no outline to put {opening.name} in",
                         "draw the room's outline, or list the opening among the room's surfaces")  # fmt: skip
            continue
        wall = find_wall(walls[room.name], opening.wall)
        if isinstance(wall, tuple):
            mistakes.add("opening", opening.name, "wall", *wall)
            continue
        one = _fit(opening, room, wall, heights[room.name], mistakes)
        if one is None:
            continue
        placed.append(one)
        if one.behind:
            placed.append(_mirror(one, walls[one.behind]))
    _overlaps(placed, mistakes)
    return placed


def room_height(house: House, room: Room) -> Metre:
    """Clear height of a room: its own, else its storey's."""
    if room.height_m is not None:
        return room.height_m
    return next(s.height_m for s in house.storeys if s.name == room.storey)


def _fit(opening: Opening, room: Room, wall: Wall, height: Metre, mistakes: MistakeList) -> Placed | None:
    length = wall.edge.length_m
    start = (length - opening.width_m) / 2 if opening.offset_m is None else opening.offset_m
    end = start + opening.width_m
    out = max(end - length, -start)
    if out > TOUCH:
        mistakes.add(
            "opening", opening.name, "width" if opening.offset_m is None else "offset",
            f"{opening.name} sticks out of {wall.title} of {room.name} by {out:.2f} m "
            f"(wall {length:.2f} m long, opening from {start:.2f} to {end:.2f} m)",
            f"an offset of 0 to {length - opening.width_m:.2f} m fits" if length >= opening.width_m
            else f"it can be {length:.2f} m wide at most, or belongs in another wall",
        )  # fmt: skip
        return None
    top = opening.sill_m + opening.height_m
    # Under a slope the height is a mean, so the wall may well be higher.
    if top - height > TOUCH and room.roof_pitch_deg is None:
        mistakes.add("opening", opening.name, "height",
                     f"{opening.name} sticks out above the ceiling of {room.name} by {top - height:.2f} m",
                     f"sill and height together can be {height:.2f} m at most")  # fmt: skip
        return None
    middle = (start + end) / 2
    piece = next((p for p in wall.pieces if p.start_m <= middle <= p.end_m), wall.pieces[-1])
    over = max(piece.start_m - start, end - piece.end_m)
    if over > TOUCH and (piece.start_m > start + TOUCH or piece.end_m < end - TOUCH):
        there = f"against {piece.behind}" if piece.behind else "against outside"
        mistakes.add("opening", opening.name, "offset",
                     f"{opening.name} stands across the end of the stretch of {wall.title} of {room.name} "
                     f"that is {there}, by {over:.2f} m",
                     f"that stretch runs from {piece.start_m:.2f} to {piece.end_m:.2f} m along the wall")  # fmt: skip
        return None
    return Placed(opening, room.name, wall, start, piece.behind)


def _mirror(one: Placed, walls: tuple[Wall, ...]) -> Placed:
    """The same inner opening as the room behind sees it."""
    assert one.wall is not None
    middle = (one.start_m + one.end_m) / 2
    piece = next(p for p in one.wall.pieces if p.start_m <= middle <= p.end_m and p.behind == one.behind)
    wall = walls[piece.behind_wall - 1]
    start, _ = wall.edge.project(one.wall.edge.at(one.end_m))
    return Placed(one.opening, one.behind, wall, start, one.room, mirrored=True)


def _overlaps(placed: list[Placed], mistakes: MistakeList) -> None:
    told: set[tuple[str, str]] = set()
    for i, a in enumerate(placed):
        for b in placed[:i]:
            if a.wall is None or b.wall is None or (a.room, a.wall.number) != (b.room, b.wall.number):
                continue
            along = min(a.end_m, b.end_m) - max(a.start_m, b.start_m)
            up = min(a.opening.sill_m + a.opening.height_m, b.opening.sill_m + b.opening.height_m) - max(
                a.opening.sill_m, b.opening.sill_m
            )
            names = (b.opening.name, a.opening.name)
            if along > TOUCH and up > TOUCH and names not in told and names[::-1] not in told:
                told.add(names)
                mistakes.add("opening", a.opening.name, "offset",
                             f"{a.opening.name} and {b.opening.name} overlap by {along:.2f} m "
                             f"in {a.wall.title} of {a.room}",
                             f"move one of them by {along:.2f} m; say an inner door once, in either room")  # fmt: skip


def check_openings(house: House, rooms: dict[str, Room], mistakes: MistakeList) -> None:
    """Entries of the opening list that no wall can take."""
    constructions = {c.name for c in house.constructions}
    for o in house.openings:
        if o.room not in {r.name for r in house.rooms}:
            mistakes.add("opening", o.name, "room", f'there is no room "{o.room}"', nearest(o.room, rooms))
        if o.construction not in constructions and not (o.construction == "" and house.fabric.inner_door):
            mistakes.add("opening", o.name, "construction", f'there is no construction "{o.construction}"',
                         nearest(o.construction, constructions))  # fmt: skip
        for field, value in (("width", o.width_m), ("height", o.height_m)):
            if not value > 0 or math.isinf(value):
                mistakes.add("opening", o.name, field, f"{field} is {value:g} m", "give what the tape says, above 0")
        if o.sill_m < 0:
            mistakes.add("opening", o.name, "sill", f"the sill is {-o.sill_m:g} m below the floor",
                         "measure it from the finished floor upwards")  # fmt: skip
