"""Where emitters stand and where their connections are."""

import math

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.house.outline import Wall, find_wall
from wetside.house.polygon import edges
from wetside.house.spec import Point
from wetside.jobfile.house_tables import RoomTable, StoreyTable
from wetside.jobfile.plant_tables import EmitterBase
from wetside.pipework.spec import Port, Vec

DIRECTIONS: dict[str, Vec] = {
    "up": (0.0, 0.0, 1.0), "down": (0.0, 0.0, -1.0), "north": (0.0, 1.0, 0.0), "south": (0.0, -1.0, 0.0),
    "east": (1.0, 0.0, 0.0), "west": (-1.0, 0.0, 0.0),
}  # fmt: skip

OPPOSITE = {
    "left": "right", "right": "left", "top left": "bottom right", "top right": "bottom left",
    "bottom left": "bottom right", "bottom right": "bottom left",
}  # fmt: skip
"""Where the return leaves when only the flow is said: the other end, at the bottom."""


@record(kw_only=False)
class Stand:
    """An emitter's place: the middle of its lower edge at the back, the way to the right, the way into the room."""

    at: Vec
    along: Point
    into: Point


@record(kw_only=False)
class Misplaced:
    """Why an emitter can't stand where it was put."""

    field: str
    wrong: str
    remedy: str


def stand_on_wall(table: EmitterBase, outline: tuple[Point, ...], floor: Metre) -> Stand | Misplaced:
    """The emitter on the wall of its room, its middle `offset` from the wall's first corner."""
    said = table.wall
    if said is None:
        return Misplaced("wall", "it has no place", 'give wall = "south", or at = [east, north, up] with faces')
    if len(outline) < 3:
        return Misplaced("wall", f"{table.room} has no outline to put it in", "give at = [east, north, up] and faces")
    try:
        walls = tuple(Wall(table.room, i + 1, edge, ()) for i, edge in enumerate(edges(outline)))
    except (ZeroDivisionError, ValueError):
        return Misplaced("wall", f"the outline of {table.room} has no clear walls", "mend the outline")
    wall = find_wall(walls, said)
    if isinstance(wall, tuple):
        return Misplaced("wall", *wall)
    edge, half = wall.edge, 0.5 * table.length
    middle = 0.5 * edge.length_m if table.offset is None else table.offset
    over = max(half - middle, middle + half - edge.length_m)
    if over > 0.002:
        wrong = f"it sticks out of {wall.title} of {table.room} by {over:.2f} m (wall {edge.length_m:.2f} m long)"
        fits = edge.length_m - 2.0 * half
        remedy = (
            f"an offset of {half:.2f} to {edge.length_m - half:.2f} m fits" if fits >= 0.0 else "choose a longer wall"
        )
        return Misplaced("offset" if table.offset is not None else "length", wrong, remedy)
    into = (-edge.outward[0], -edge.outward[1])
    x, y = edge.at(middle)
    at = (x + into[0] * table.off_wall, y + into[1] * table.off_wall, floor + table.above_floor)
    return Stand(at, _right(into), into)


def stand_free(table: EmitterBase) -> Stand | Misplaced:
    """The emitter at its own `at`, looking the way that it `faces`."""
    if table.at is None or table.faces is None:
        return Misplaced("faces", "at comes with the way in which it looks", 'add faces = "north"')
    into = DIRECTIONS[table.faces][:2]
    return Stand(table.at, _right(into), into)


def under_ceiling(table: EmitterBase, stand: Stand, room: RoomTable, storey: StoreyTable) -> Stand | Misplaced:
    """The emitter's place, unless it reaches above its room's ceiling. Under a slope the height is but a mean."""
    clear = storey.height if room.height is None else room.height
    over = stand.at[2] + table.height - storey.level - clear
    if over <= 0.002 or room.roof_pitch is not None:
        return stand
    wrong = f"it reaches {over:.2f} m above the ceiling of {table.room} ({clear:.2f} m above the floor)"
    room_left = clear - table.height
    if table.at is not None:
        return Misplaced("at", wrong, f"put its lower edge {over:.2f} m lower, or name the room that it is in")
    if room_left >= 0.0:
        return Misplaced("above_floor", wrong, f"above_floor can be {room_left:.2f} m at most")
    return Misplaced("height", wrong, f"it can be {clear:.2f} m high at most")


def _right(into: Point) -> Point:
    """To the right for someone in the room who looks at the emitter."""
    return (-into[1], into[0])


def emitter_ports(table: EmitterBase, stand: Stand) -> tuple[Port, Port]:
    """Flow and return connection: underneath facing down, or at an end facing sideways, in the middle of the depth."""
    flow, back = table.flow_at, table.return_at or OPPOSITE[table.flow_at]
    return _port(table, stand, "flow", flow), _port(table, stand, "return", back)


def _port(table: EmitterBase, stand: Stand, name: str, corner: str) -> Port:
    side = -1.0 if corner.endswith("left") else 1.0
    underneath = " " not in corner
    # a connection never lies beyond the middle, whatever the tapping says
    inset = min(table.tapping, 0.5 * table.length)
    along = side * (0.5 * table.length - (inset if underneath else 0.0))
    rise = min(table.tapping, 0.5 * table.height)
    up = 0.0 if underneath else rise if corner.startswith("bottom") else table.height - rise
    x, y, z = stand.at
    at = (
        x + stand.along[0] * along + stand.into[0] * 0.5 * table.depth,
        y + stand.along[1] * along + stand.into[1] * 0.5 * table.depth,
        z + up,
    )
    faces = DIRECTIONS["down"] if underneath else (side * stand.along[0], side * stand.along[1], 0.0)
    return Port(owner=table.name, name=name, at=at, faces=tidy(faces), owner_kind="emitter")


def tidy(direction: Vec) -> Vec:
    """A unit vector without the dust of rounding, so that walls along the axes give ports along the axes."""
    x, y, z = (0.0 if math.isclose(c, 0.0, abs_tol=1e-9) else c for c in direction)
    return (x, y, z)
