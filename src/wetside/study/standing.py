"""Rules of how things stand in the house: clear of doors, and within it."""

import math
from collections.abc import Iterable, Iterator, Sequence

from wetside.basis.quantity import Kind, System, tape
from wetside.basis.rules import Finding, Rule, Severity
from wetside.basis.si import Metre
from wetside.emitter.spec import Emitter
from wetside.house.openings import room_height
from wetside.house.reading import PlacedOpening
from wetside.house.spec import House, Part
from wetside.pipework.spec import Port

BEFORE_A_DOOR: Metre = 0.35
"""An emitter whose back is nearer than this to the line of a door stands before it: half an inner wall, the gap behind
the emitter, and some."""
OUTSIDE: Metre = 0.5
"""So far from every storey a floor or a crawl space still reaches (common practice)."""

CLEAR_OF_DOORS = Rule(
    "JOB-02", "Wall between an emitter and the door beside it", "at least", Kind.SIZE, "common practice",
    remedy="move it along the wall, or to another",
)  # fmt: skip
IN_THE_HOUSE = Rule(
    "JOB-03", "Height of equipment above or below every storey", "at most", Kind.LENGTH, "common practice",
    Severity.ADVISE,
    remedy="look at its height: at is measured from the job's zero, not from the floor; or draw its storey",
)  # fmt: skip
RULES: tuple[Rule, ...] = (CLEAR_OF_DOORS, IN_THE_HOUSE)


def judge(
    house: House,
    openings: Sequence[PlacedOpening],
    emitters: Iterable[Emitter],
    ports: Iterable[Port],
    system: System = System.METRIC,
) -> Iterator[Finding]:
    """Every emitter that shares a wall with a door, and every piece of equipment that has a place."""
    storeys = {r.name: r.storey for r in house.rooms}
    heads = {o.name: o.sill_m + o.height_m for o in house.openings}
    levels = {s.name: s.level_m for s in house.storeys}
    for e in emitters:
        storey = storeys.get(e.room, "")
        doors = [
            (free, o)
            for o in openings
            if o.part is Part.DOOR
            and o.storey == storey
            and e.at[2] - levels[storey] < heads[o.name]
            and (free := clear_m(e, o)) is not None
        ]
        if not doors:
            continue
        free, door = min(doors, key=lambda x: (x[0], x[1].name))
        remedy = f"move it {tape(-free, system)} along the wall, or to another" if free < 0.0 else ""
        yield CLEAR_OF_DOORS.judge(f"{e.name} and {door.name}", free, 0.0, remedy=remedy, place=f"emitter:{e.name}")
    yield from _heights(house, ports)


def clear_m(emitter: Emitter, door: PlacedOpening) -> Metre | None:
    """Wall between an emitter and a door, negative where it stands before it; `None` when they share no wall."""
    (ux, uy), (x, y, _) = emitter.along, emitter.at
    ends = [(px - x, py - y) for px, py in door.line]
    off = [abs(-uy * dx + ux * dy) for dx, dy in ends]
    if max(off) > BEFORE_A_DOOR:
        return None
    along = sorted(ux * dx + uy * dy for dx, dy in ends)
    half = emitter.length_m / 2.0
    return round(max(along[0] - half, -half - along[1]), 6)


def _heights(house: House, ports: Iterable[Port]) -> Iterator[Finding]:
    bands = [(s.level_m, s.level_m + s.height_m) for s in house.storeys]
    levels = {s.name: s.level_m for s in house.storeys}
    for r in house.rooms:
        # under a slope the height is a mean: the ridge is at most twice as high
        high = room_height(house, r) * (2.0 if r.roof_pitch_deg else 1.0)
        bands.append((levels[r.storey], levels[r.storey] + high))
    worst: dict[str, Metre] = {}
    for p in ports:
        if p.owner_kind != "emitter" and math.isfinite(p.at[2]):
            outside = min((max(low - p.at[2], p.at[2] - high, 0.0) for low, high in bands), default=0.0)
            worst[p.owner] = max(worst.get(p.owner, 0.0), outside)
    for owner, outside in worst.items():
        yield IN_THE_HOUSE.judge(owner, outside, OUTSIDE, place=owner)
