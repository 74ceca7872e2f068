"""The house as it is written, for the page to draw, also where it can't be computed yet.

The tables of the job file are read one by one and leniently: what can't be read is left out here and told as a mistake
elsewhere. So a room that overlaps another is still drawn where the person put it.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from wetside.basis.quantity import Kind, System, parse
from wetside.basis.record import record
from wetside.jobfile.values import is_list, is_table
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study

USUAL_WALL_M = 0.3
"""Outer walls are drawn this thick where the job doesn't say: what `[ground]` takes too."""

Tables = Mapping[str, Any]
XY = tuple[float, float]
XYZ = tuple[float, float, float]


@record
class DrawnStorey:
    name: str = said("The storey.")
    level_m: float = said("Height of its floor above the job's zero.", "m")
    height_m: float = said("Clear height.", "m")


@record
class DrawnRoom:
    name: str = said("The room.")
    storey: str = said("Its storey.")
    outline: tuple[XY, ...] = said("Corners [east, north]; empty for a room that lists its surfaces.", "m")
    rectangle: bool = said("Whether the file writes it as a rectangle.")
    heated: bool = said("Whether it is heated.")


@record
class DrawnOpening:
    name: str = said("The opening.")
    room: str = said("Its room.")
    part: str = said("Window or door.")
    wall: int | str = said("The wall as the file says it: a side, an edge number, or the roof.")
    width_m: float = said("Width.", "m")
    height_m: float = said("Height.", "m")
    sill_m: float = said("Height of its lower edge above the floor.", "m")
    offset_m: float | None = said("From the wall's first corner to the opening; null: in the middle.", "m")


@record
class DrawnEmitter:
    name: str = said("The emitter.")
    room: str = said("Its room.")
    kind: str = said("Its kind.")
    wall: int | str | None = said("The wall that it stands on; null where it has a place of its own.")
    offset_m: float | None = said("From the wall's first corner to its middle; null: in the middle.", "m")
    length_m: float = said("Length along the wall.", "m")
    depth_m: float = said("Depth.", "m")
    off_wall_m: float = said("Gap behind it.", "m")
    at: XYZ | None = said("Its own place, [east, north, up].", "m")
    faces: str = said("The way in which it looks, where it has a place of its own.")


@record
class DrawnThing:
    table: str = said("Which table it is written in.")
    name: str = said("The thing.")
    kind: str = said("What it is, in a trade word.")
    at: XYZ | None = said("Its place, [east, north, up].", "m")


@record
class DrawnUnderlay:
    storey: str = said("The storey that it lies under.")
    picture: str = said("Its file in the job's folder.")
    at: XY = said("Its lower left corner, [east, north].", "m")
    width_m: float = said("Its width in the house's measure.", "m")


@record
class DrawnTube:
    run: str = said("The run.")
    leg: str = said("The leg.")
    side: str = said("Flow, return or other.")
    points: tuple[XYZ, ...] = said("Its centre line.", "m")
    size_m: float = said("Outside diameter of its widest tube.", "m")


@record
class DrawnRun:
    name: str = said("The run.")
    start: str = said("Where it starts.")
    end: str = said("Where it ends; empty when it is capped.")
    tube: str = said("Tube that it starts in.")
    moves: tuple[str, ...] = said("Its moves as they are written.")
    stops: tuple[XYZ, ...] = said("Its start, then where each move leaves it.", "m")


@record
class DrawnSupport:
    name: str = said("The support.")
    run: str = said("The run that it holds.")
    kind: str = said("Standoff, clip, hanger, riser clamp, anchor or guide.")
    at: XYZ = said("Its place, [east, north, up].", "m")
    along_m: float = said("Distance along the run from its start.", "m")
    by_hand: bool = said("Whether the job places it, and not the program.")


@record
class DrawnPort:
    ref: str = said("How a run calls it: NAME.PORT or RUN.TEE.")
    at: XYZ = said("Its place, [east, north, up].", "m")
    faces: str = said("The way in which a tube leaves it; empty at a tee.")
    used: bool = said("Whether a run starts or ends there.")


@record
class DrawnHouse:
    storeys: tuple[DrawnStorey, ...] = said("Storeys from the ground up.")
    rooms: tuple[DrawnRoom, ...] = said("Rooms as they are written.")
    openings: tuple[DrawnOpening, ...] = said("Windows and doors as they are written.")
    emitters: tuple[DrawnEmitter, ...] = said("Emitters as they are written.")
    things: tuple[DrawnThing, ...] = said("Boilers, tanks, vessels and other equipment.")
    underlays: tuple[DrawnUnderlay, ...] = said("Pictures to draw over.")
    constructions: tuple[str, ...] = said("Names of the build-ups.")
    wall_m: float = said("Thickness of outer walls to draw.", "m")


class _Reader:
    """Reads single fields; `None` for whatever can't be read."""

    def __init__(self, system: System) -> None:
        self.system = system

    def number(self, value: object, kind: Kind = Kind.LENGTH) -> float | None:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            return None
        try:
            number = parse(value, kind, self.system)
        except (ValueError, OverflowError):
            return None
        return number if abs(number) < 1e4 else None

    def numbers(self, value: object, count: int) -> tuple[float, ...] | None:
        if not is_list(value) or len(value) != count:
            return None
        found = [self.number(x) for x in value]
        return None if None in found else tuple(x for x in found if x is not None)

    def outline(self, room: Mapping[str, Any]) -> tuple[XY, ...]:
        if (box := self.numbers(room.get("rectangle"), 4)) is not None:
            w, s, e, n = box
            return ((w, s), (e, s), (e, n), (w, n))
        corners = room.get("outline")
        if not is_list(corners):
            return ()
        points = [self.numbers(c, 2) for c in corners]
        if None in points or len(points) < 3:
            return ()
        return tuple((p[0], p[1]) for p in points if p is not None)


def drawn(tables: Tables, system: System) -> DrawnHouse:
    """What the tables say stands where. Entries without a name are left out."""
    read = _Reader(system)

    def named(table: str) -> list[tuple[str, Mapping[str, Any]]]:
        return [(t["name"], t) for t in tables.get(table, ()) if isinstance(t.get("name"), str)]

    def length(t: Mapping[str, Any], field: str, usual: float, kind: Kind = Kind.LENGTH) -> float:
        number = read.number(t.get(field), kind)
        return usual if number is None else number

    def text(t: Mapping[str, Any], field: str, usual: str = "") -> str:
        value = t.get(field)
        return value if isinstance(value, str) else usual

    def wall(t: Mapping[str, Any]) -> int | str | None:
        value = t.get("wall")
        return value if isinstance(value, int | str) and not isinstance(value, bool) else None

    def place(t: Mapping[str, Any]) -> XYZ | None:
        at = read.numbers(t.get("at"), 3)
        return None if at is None else (at[0], at[1], at[2])

    things: list[DrawnThing] = []
    for table, kind in (("boiler", "boiler"), ("tank", "tank"), ("vessel", "expansion vessel"),
                        ("relief", "relief valve"), ("equipment", "")):  # fmt: skip
        things += [
            DrawnThing(table=table, name=n, kind=kind or text(t, "kind", "other"), at=place(t)) for n, t in named(table)
        ]
    underlays: list[DrawnUnderlay] = []
    for t in tables.get("underlay", ()):
        at = read.numbers(t.get("at"), 2)
        if at is not None and (width := read.number(t.get("width"))) is not None:
            underlays.append(
                DrawnUnderlay(
                    storey=text(t, "storey"), picture=text(t, "picture"), at=(at[0], at[1]), width_m=width
                )
            )  # fmt: skip
    stated = tables.get("ground", {})
    ground: Mapping[str, Any] = stated if is_table(stated) else {}
    storeys = [
        DrawnStorey(name=n, level_m=length(t, "level", 0.0), height_m=length(t, "height", 2.4))
        for n, t in named("storey")
    ]
    return DrawnHouse(
        storeys=tuple(sorted(storeys, key=lambda s: s.level_m)),
        rooms=tuple(
            DrawnRoom(
                name=n,
                storey=text(t, "storey"),
                outline=read.outline(t),
                rectangle="rectangle" in t,
                heated=t.get("heated") is not False,
            )
            for n, t in named("room")
        ),
        openings=tuple(
            DrawnOpening(
                name=n,
                room=text(t, "room"),
                part=text(t, "part", "window"),
                wall=wall(t) or "",
                width_m=length(t, "width", 1.0),
                height_m=length(t, "height", 1.0),
                sill_m=length(t, "sill", 0.0),
                offset_m=read.number(t.get("offset")),
            )
            for n, t in named("opening")
        ),
        emitters=tuple(
            DrawnEmitter(
                name=n,
                room=text(t, "room"),
                kind=text(t, "kind"),
                wall=wall(t),
                offset_m=read.number(t.get("offset")),
                length_m=length(t, "length", 1.0),
                depth_m=length(t, "depth", 0.1, Kind.SIZE),
                off_wall_m=length(t, "off_wall", 0.04, Kind.SIZE),
                at=place(t),
                faces=text(t, "faces"),
            )
            for n, t in named("emitter")
        ),
        things=tuple(things),
        underlays=tuple(underlays),
        constructions=tuple(n for n, _ in named("construction")),
        wall_m=length(ground, "wall_thickness", USUAL_WALL_M, Kind.SIZE),
    )


def drawn_tubes(study: "Study") -> tuple[DrawnTube, ...]:
    """Every leg's centre line, told apart as flow, return and other.

    :raises JobProblem: the runs can't be laid
    :raises NoSolution: the network has no answer
    """
    from wetside.pipework.reading import Straight
    from wetside.sheets.draw.sides import sides

    side = sides(study.pipework, study.flow)
    found: list[DrawnTube] = []
    for leg in study.pipework.legs:
        straights = [p for p in leg.pieces if isinstance(p, Straight)]
        if not straights:
            continue
        points = [straights[0].a, *(p.b for p in straights)]
        found.append(
            DrawnTube(
                run=leg.run,
                leg=leg.name,
                side=side.get(leg.name, "other"),
                points=tuple((round(x, 4), round(y, 4), round(z, 4)) for x, y, z in points),
                size_m=max(p.tube.outside_m for p in straights),
            )
        )
    return tuple(found)


_WAYS = {
    (0, 0, 1): "up", (0, 0, -1): "down", (1, 0, 0): "east", (-1, 0, 0): "west", (0, 1, 0): "north",
    (0, -1, 0): "south",
}  # fmt: skip


def drawn_ports(study: "Study") -> tuple[DrawnPort, ...]:
    """Everything that a run may start or end at: ports, and the tees of runs that can be laid."""
    from wetside.basis.errors import JobProblem
    from wetside.pipework.reading import NodeKind

    design = study.design
    used = {ref for r in design.runs for ref in (r.start, r.end)}
    found = [
        DrawnPort(
            ref=p.ref,
            at=p.at,
            faces=_WAYS.get((round(p.faces[0]), round(p.faces[1]), round(p.faces[2])), ""),
            used=p.ref in used,
        )
        for p in design.ports
    ]
    try:
        nodes = study.pipework.nodes
    except JobProblem:
        nodes = ()
    found += [DrawnPort(ref=n.name, at=n.at, faces="", used=n.name in used) for n in nodes if n.kind is NodeKind.TEE]
    return tuple(found)


def drawn_runs(study: "Study") -> tuple[DrawnRun, ...]:
    """Every run that can be walked, with where its moves leave it."""
    from wetside.pipework.stops import stops

    d = study.design
    at = stops(d.runs, d.ports, d.tubes, d.items)
    return tuple(
        DrawnRun(
            name=r.name, start=r.start, end=r.end, tube=r.tube, moves=tuple(m.text for m in r.moves),
            stops=tuple((round(x, 4), round(y, 4), round(z, 4)) for x, y, z in at[r.name]),
        )
        for r in d.runs
        if r.name in at
    )  # fmt: skip


def drawn_supports(study: "Study", *, found: bool) -> tuple[DrawnSupport, ...]:
    """The supports that the job places by hand; with `found` also those that the program puts between them.

    None while the runs can't be laid or a support's place can't be read.

    :raises NoSolution: with `found`, where the network has no answer
    """
    from wetside.basis.errors import JobProblem
    from wetside.frame.track import tracks

    def row(name: str, run: str, kind: str, at: XYZ, along_m: float, own: bool) -> DrawnSupport:
        place = (round(at[0], 4), round(at[1], 4), round(at[2], 4))
        return DrawnSupport(name=name, run=run, kind=kind, at=place, along_m=round(along_m, 4), by_hand=own)

    try:
        if found:
            return tuple(
                row(s.name, s.run, s.kind.value, s.at, s.along_m, s.why == "by hand") for s in study.supporting.supports
            )
        on = tracks(study.pipework)
    except JobProblem:
        return ()
    rows: list[DrawnSupport] = []
    for s in study.design.bracing.supports:
        track = on.get(s.run)
        if track is None or (s.along_m is None and s.at is None):
            continue
        along = s.along_m if s.at is None else track.nearest(s.at)[0]
        if along is not None and 0.0 <= along <= track.length_m:
            rows.append(row(s.name, s.run, s.kind.value, track.at(along), along, True))
    return tuple(rows)
