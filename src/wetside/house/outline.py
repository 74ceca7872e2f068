"""Rooms' outlines as walls: every edge cut into the pieces that stand against another room of the storey and the rest.

Outlines of neighbouring rooms meet in the middle of the wall between them; outer walls are drawn on their inner face.
"""

import math

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.house.polygon import TOUCH, Edge, edges, meeting
from wetside.house.spec import House, Point, Room

COMPASS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
"""From the x axis anticlockwise, 45° apart."""


@record(kw_only=False)
class Piece:
    """Part of a wall, measured from the wall's first corner."""

    start_m: Metre
    end_m: Metre
    behind: str = ""
    """The room behind, empty when there is none on this storey."""
    behind_wall: int = 0

    @property
    def length_m(self) -> Metre:
        """How long it is."""
        return self.end_m - self.start_m


@record(kw_only=False)
class Wall:
    """One edge of a room's outline."""

    room: str
    number: int
    """As drawn, from 1."""
    edge: Edge
    pieces: tuple[Piece, ...]

    @property
    def faces(self) -> str:
        """The compass word nearest to its outward side."""
        angle = math.degrees(math.atan2(self.edge.outward[1], self.edge.outward[0]))
        return COMPASS[round(angle / 45) % 8]

    @property
    def title(self) -> str:
        """What to call it: ``wall 2 (north)``."""
        return f"wall {self.number} ({self.faces})"

    def line(self, start_m: Metre, end_m: Metre) -> tuple[Point, Point]:
        """A stretch of it on the plan."""
        return self.edge.at(start_m), self.edge.at(end_m)


Walls = dict[str, tuple[Wall, ...]]
"""Walls by room name."""


def walls_of(house: House, rooms: tuple[Room, ...]) -> Walls:
    """The walls of rooms whose outlines are sound."""
    by_storey: dict[str, list[tuple[Room, tuple[Edge, ...]]]] = {s.name: [] for s in house.storeys}
    for room in rooms:
        if room.outline and room.storey in by_storey:
            by_storey[room.storey].append((room, edges(room.outline)))
    found: Walls = {}
    for drawn in by_storey.values():
        for room, own in drawn:
            others = [(r.name, es) for r, es in drawn if r is not room and _near(room, r)]
            found[room.name] = tuple(
                Wall(room.name, i + 1, edge, _pieces(edge, others)) for i, edge in enumerate(own)
            )  # fmt: skip
    return found


def _near(a: Room, b: Room) -> bool:
    ax, ay = [p[0] for p in a.outline], [p[1] for p in a.outline]
    bx, by = [p[0] for p in b.outline], [p[1] for p in b.outline]
    return (
        max(ax) + TOUCH >= min(bx) and max(bx) + TOUCH >= min(ax)
        and max(ay) + TOUCH >= min(by) and max(by) + TOUCH >= min(ay)
    )  # fmt: skip


def _pieces(edge: Edge, others: list[tuple[str, tuple[Edge, ...]]]) -> tuple[Piece, ...]:
    shared: list[Piece] = []
    for name, their in others:
        for j, other in enumerate(their):
            meet = meeting(edge, other, -TOUCH, TOUCH)
            if meet:
                shared.append(Piece(meet.start_m, meet.end_m, name, j + 1))
    shared.sort(key=lambda p: p.start_m)
    pieces: list[Piece] = []
    at = 0.0
    for piece in shared:
        if piece.start_m - at > TOUCH:
            pieces.append(Piece(at, piece.start_m))
        pieces.append(piece)
        at = max(at, piece.end_m)
    if edge.length_m - at > TOUCH:
        pieces.append(Piece(at, edge.length_m))
    return tuple(pieces)


def find_wall(walls: tuple[Wall, ...], said: int | str) -> Wall | tuple[str, str]:
    """The wall that an edge number or a compass word means, else what is wrong and the remedy.

    A compass word takes the edge whose outward side lies within 22.5° of it; a main direction reaches 45° when no edge
    is nearer.
    """
    room = walls[0].room
    if isinstance(said, int) or said.strip().isdigit():
        number = int(said)
        if 1 <= number <= len(walls):
            return walls[number - 1]
        return f"{room} has no wall {number}", f"its outline has walls 1 to {len(walls)}: {_listed(walls)}"
    word = said.strip().casefold().replace(" ", "-")
    word = next((c for c in COMPASS if c.replace("-", "") == word.replace("-", "")), "")
    if not word:
        return (
            f'"{said}" is neither a wall number nor a compass side',
            f"write one of {', '.join(COMPASS)}, or {_listed(walls)}",
        )
    angle = math.radians(45 * COMPASS.index(word))
    toward = [math.cos(angle) * w.edge.outward[0] + math.sin(angle) * w.edge.outward[1] for w in walls]
    for reach in (22.5, 45.0) if "-" not in word else (22.5,):
        hits = [w for w, c in zip(walls, toward, strict=True) if c >= math.cos(math.radians(reach + 0.01))]
        if len(hits) == 1:
            return hits[0]
        if hits:
            return f"{len(hits)} walls of {room} face {word}", f"write the number of one: {_listed(tuple(hits))}"
    return f"no wall of {room} faces {word}", f"write the number of one: {_listed(walls)}"


def _listed(walls: tuple[Wall, ...]) -> str:
    return ", ".join(f"{w.number} ({w.faces}, {w.edge.length_m:.2f} m)" for w in walls)
