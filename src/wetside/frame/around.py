"""What the house means for supports: walls near a tube, and the floors and walls that it passes."""

from collections.abc import Sequence

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.house.polygon import Edge, distance, edges
from wetside.house.spec import House
from wetside.pipework.spec import Vec

_TOUCH: Metre = 1e-3


Box = tuple[Metre, Metre, Metre, Metre]
"""West, south, east and north bound of an outline."""


@record(kw_only=False)
class _Level:
    name: str
    low_m: Metre
    high_m: Metre
    rooms: tuple[tuple[str, tuple[Edge, ...], Box], ...]


@record(kw_only=False)
class Around:
    """The storeys with their walls, by height."""

    levels: tuple[_Level, ...] = ()

    def wall_gap(self, at: Vec) -> Metre | None:
        """Distance to the nearest wall of the storey that holds the height, `None` in a void between storeys."""
        gaps = [
            distance((at[0], at[1]), e.start, e.end)
            for level in self.levels
            if level.low_m - _TOUCH <= at[2] <= level.high_m + _TOUCH
            for _, room, _ in level.rooms
            for e in room
        ]
        return min(gaps, default=None)

    def passed(self, a: Vec, b: Vec) -> list[tuple[float, str]]:
        """Floors and walls that a straight passes: share of its length, and a word for each."""
        found = [
            ((level.low_m - a[2]) / (b[2] - a[2]), f"floor of {level.name}")
            for level in self.levels
            if min(a[2], b[2]) < level.low_m - _TOUCH and max(a[2], b[2]) > level.low_m + _TOUCH
        ]
        if abs(a[0] - b[0]) + abs(a[1] - b[1]) < 1e-12:
            return sorted(found)
        west, east = min(a[0], b[0]), max(a[0], b[0])
        south, north = min(a[1], b[1]), max(a[1], b[1])
        for level in self.levels:
            for room, walls, box in level.rooms:
                if west > box[2] or east < box[0] or south > box[3] or north < box[1]:
                    continue
                for e in walls:
                    share = _meets(a, b, e)
                    if share is None or any(abs(share - s) < 1e-6 for s, _ in found):
                        continue
                    height = a[2] + share * (b[2] - a[2])
                    if level.low_m <= height <= level.high_m:
                        found.append((share, f"wall of {room}"))
        return sorted(found)


def around(house: House) -> Around:
    """The walls of every storey, by height."""
    return Around(
        tuple(
            _Level(
                s.name,
                s.level_m,
                s.level_m + s.height_m,
                tuple(
                    (r.name, edges(r.outline), _box(r.outline))
                    for r in house.rooms
                    if r.storey == s.name and len(r.outline) >= 3
                ),
            )
            for s in house.storeys
        )
    )


def _box(outline: Sequence[tuple[Metre, Metre]]) -> Box:
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    return min(xs), min(ys), max(xs), max(ys)


def _meets(a: Vec, b: Vec, e: Edge) -> float | None:
    """Share of a–b at which it passes through an edge, inside both."""
    rx, ry = b[0] - a[0], b[1] - a[1]
    sx, sy = e.end[0] - e.start[0], e.end[1] - e.start[1]
    cross = rx * sy - ry * sx
    if abs(cross) < 1e-12:
        return None
    qx, qy = e.start[0] - a[0], e.start[1] - a[1]
    t, u = (qx * sy - qy * sx) / cross, (qx * ry - qy * rx) / cross
    return t if 1e-6 < t < 1 - 1e-6 and 0.0 <= u <= 1.0 else None
