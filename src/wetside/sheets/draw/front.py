"""Pipework seen from the front: where the eye is, and what has to step aside for the view."""

from collections.abc import Sequence
from dataclasses import replace

from wetside.basis.si import Metre
from wetside.house.spec import House
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Vec
from wetside.sheets.draw.equipment import BIG
from wetside.sheets.draw.lines import SAME, Bead, Line, boiler_middle, distance
from wetside.sheets.draw.svg import XY
from wetside.sheets.draw.tubes import points_of
from wetside.sheets.draw.walls import inside

_REAR = (0.34, -0.30)
"""How far a millimetre to the rear goes to the right and up."""


def seen_from_front(pipework: Pipework, boilers: Sequence[str], house: House) -> tuple[tuple[XY, XY, XY], Vec, int]:
    """Ways of east, north and up on paper, where the eye is (before the wall that the boiler hangs on), and the axis
    along that wall."""
    ports = [n.at for n in pipework.nodes if n.port is not None and n.port.owner in boilers]
    middle = boiler_middle(pipework, boilers) or (0.0, 0.0, 0.0)
    spread = [max(p[k] for p in ports) - min(p[k] for p in ports) for k in (0, 1)]
    row = 0 if spread[0] >= spread[1] else 1
    away = 1 - row
    room = next((r for r in house.rooms if r.outline and _contains(r.outline, middle)), None)
    if room is not None:
        centre = sum(p[away] for p in room.outline) / len(room.outline)
    else:
        centre = sum(n.at[away] for n in pipework.nodes) / max(1, len(pipework.nodes))
    # looking north, east is to the right; looking east, south is
    looks = 1.0 if middle[away] >= centre else -1.0
    right = looks if away == 1 else -looks
    ways: list[XY] = [(0.0, 0.0), (0.0, 0.0), (0.0, -1.0)]
    ways[row] = (right, 0.0)
    ways[away] = (_REAR[0] * looks, _REAR[1] * looks)
    eye = [0.0, 0.0, 0.1]
    eye[away] = -looks
    return (ways[0], ways[1], ways[2]), (eye[0], eye[1], eye[2]), row


def _contains(outline: Sequence[tuple[float, float]], p: Vec) -> bool:
    return inside(outline, (p[0], p[1])) or any(
        inside(outline, (p[0] + dx, p[1] + dy)) for dx, dy in ((0.1, 0), (-0.1, 0), (0, 0.1), (0, -0.1))
    )


def leads_cut_short(lines: list[Line], row: int, stub: Metre = 0.12) -> list[Line]:
    """Tubes that leave the picture towards the eye or away from it end soon after their last corner: drawn long, they
    would run slantwise across whatever stands before or behind."""
    found: list[Line] = []
    for line in lines:
        beads = list(line.beads)
        for open_end, last, before in ((line.a is None, 0, 1), (line.b is None, -1, -2)):
            if not open_end or len(beads) < 2:
                continue
            p, q = beads[before].at, beads[last].at
            far = [v - u for u, v in zip(p, q, strict=True)]
            if abs(far[1 - row]) <= max(abs(far[row]), abs(far[2])) or beads[last].item is not None:
                continue
            share = min(stub / distance(p, q), 1.0)
            x, y, z = (u + share * d for u, d in zip(p, far, strict=True))
            beads[last] = replace(beads[last], at=(x, y, z))
        found.append(replace(line, beads=tuple(beads)))
    return found


def moved_aside(pipework: Pipework, lines: list[Line], row: int) -> tuple[Pipework, list[Line]]:
    """Tanks and other large things moved to the side of the picture, so that they stand before no tube.

    Their tubes keep their course up to the last corner and then run level to the side.
    """
    nodes = list(pipework.nodes)
    points = points_of(lines)
    low, high = min(p[row] for p in points), max(p[row] for p in points)
    ends: dict[str, list[tuple[int, bool]]] = {}
    for i, line in enumerate(lines):
        for node, first in ((line.a, True), (line.b, False)):
            port = nodes[node].port if node is not None else None
            if port is not None and port.owner_kind in BIG and port.owner_kind != "boiler":
                ends.setdefault(port.owner, []).append((i, first))
    moved = list(lines)
    for there in ends.values():
        last = [moved[i].beads[1 if first else -2].at for i, first in there]
        right = sum(p[row] for p in last) / len(last) >= (low + high) / 2
        side = high + 0.3 if right else low - 0.3
        faces = [0.0, 0.0, 0.0]
        faces[row] = -1.0 if right else 1.0
        for i, first in there:
            line = moved[i]
            node = line.a if first else line.b
            assert node is not None
            port = nodes[node].port
            assert port is not None
            before = line.beads[1 if first else -2].at
            level = (before[0], before[1], nodes[node].at[2])
            end = [*level]
            end[row] = side
            at: Vec = (end[0], end[1], end[2])
            corner = [Bead(level)] if abs(level[2] - before[2]) > SAME else []
            beads, tubes = list(line.beads), list(line.tubes)
            if first:
                beads = [Bead(at), *corner, *beads[1:]]
                tubes = [tubes[0]] * len(corner) + tubes
            else:
                beads = [*beads[:-1], *corner, Bead(at)]
                tubes = tubes + [tubes[-1]] * len(corner)
            moved[i] = replace(line, beads=tuple(beads), tubes=tuple(tubes))
            nodes[node] = replace(nodes[node], at=at, port=replace(port, at=at, faces=(faces[0], faces[1], faces[2])))
    return replace(pipework, nodes=tuple(nodes)), moved
