"""The pipework in space as the page turns it: tube by tube, with all that is fitted on it and the moves it came of.

Places are metres [east, north, up] of the job's datum; texts are in the unit system that is asked for.
"""

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from wetside.basis.errors import JobProblem, NoSolution
from wetside.basis.quantity import Kind, System, show, tape
from wetside.basis.record import record
from wetside.fabricate.reading import Fabrication
from wetside.network.reading import FlowReading
from wetside.pipework.reading import InLine, Leg, NodeKind, Pipework, Reducer, Straight
from wetside.pipework.spec import ChangeTube, Fit, Go, Port, Run, Tee, Vec
from wetside.pipework.vec import towards
from wetside.sheets.draw.equipment import slab
from wetside.sheets.draw.screen import SCREEN
from wetside.sheets.draw.sides import sides
from wetside.sheets.draw.symbols import AT_END, IN_LINE, OWNER_ITEM, at_end, in_line
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study

XYZ = tuple[float, float, float]
HALF = 1.7
"""Half a symbol's length as `symbols` draws it, in its own units."""
BOXES = {"boiler": (0.22, 0.36, 0.70), "tank": (0.28, 0.56, 1.20)}
"""Half width, depth and height in m of equipment whose size the job doesn't say; drawn in broken lines."""


@record
class SpaceTube:
    leg: str = said("Its leg.")
    run: str = said("Its run.")
    side: str = said("Flow, return or other.")
    move: int = said("Index of the run's move that it came of; -1 where that is not known.")
    a: tuple[float, ...] = said("Its beginning, in the direction that the run is written in.", "m")
    b: tuple[float, ...] = said("Its end.", "m")
    outside_m: float = said("Outside diameter.", "m")
    size: str = said("Size as spoken.")
    tube: str = said("The tube as the job names it.")
    length: str = said("Its length as read off the tape.")


@record
class SpaceItem:
    leg: str = said("Its leg.")
    run: str = said("Its run.")
    move: int = said("Index of the run's move that fits it; -1 where that is not known.")
    kind: str = said("What it is, in the trade's word.")
    name: str = said("Its name.")
    at: tuple[float, ...] = said("Its place.", "m")
    way: tuple[float, ...] = said("Unit vector along the tube, as the run is written.")


@record
class SpaceSpot:
    kind: str = said('"tee", "cap" or "reducer".')
    name: str = said("What it is called; for a reducer its two sizes.")
    run: str = said("The run that leaves it.")
    move: int = said("Index of the run's move; -1 where that is not known.")
    at: tuple[float, ...] = said("Its place.", "m")


@record
class SpaceJoints:
    at: tuple[float, ...] = said("Middle of the fitting.", "m")
    numbers: str = said("Numbers of its joints in building order.")
    run: str = said("The run.")
    of: str = said("Fitting, valve or port.")
    made: str = said("How they are made, with sizes.")


@record
class SpaceSupport:
    name: str = said("Its name.")
    run: str = said("The run that it holds.")
    kind: str = said("Standoff, clip, hanger, riser clamp, anchor or guide.")
    at: tuple[float, ...] = said("Its place.", "m")
    load: str = said("Weight that it carries, cold and full.")
    bears: str = said("What it bears.")
    full: float = said("Load as a share of what it bears.", "1")
    why: str = said("Why it is there.")
    fixed_to: str = said("What it is fixed to; empty where the plan does not tell.")
    along: str = said("Distance along the run from its start.")
    by_hand: bool = said("Whether the job places it, and not the program.")


@record
class SpaceBox:
    table: str = said("Table of the job that it is written in.")
    name: str = said("Its name.")
    low: tuple[float, ...] = said("Its least corner.", "m")
    high: tuple[float, ...] = said("Its greatest corner.", "m")


@record
class SpaceEnd:
    kind: str = said("Symbol at the end of tube: a vessel or a relief valve.")
    table: str = said("Table of the job that it is written in.")
    name: str = said("Its name.")
    at: tuple[float, ...] = said("Its connection.", "m")
    way: tuple[float, ...] = said("Unit vector out of the tube.")


@record
class SpacePanel:
    name: str = said("The emitter.")
    room: str = said("Its room.")
    corners: tuple[tuple[float, ...], ...] = said("Its front: lower left, lower right, upper right, upper left.", "m")


@record
class SpacePort:
    ref: str = said("How a run calls it.")
    table: str = said("Table of its owner.")
    at: tuple[float, ...] = said("Its place.", "m")
    faces: str = said("The way in which a tube leaves it.")
    used: bool = said("Whether a run starts or ends there.")
    push: str = said("What the pipework's weight does to it, where it is a boiler's; empty otherwise.")


@record
class SpaceMove:
    verb: str = said('"go", "fit", "tee" or "tube".')
    text: str = said("As it is written.")
    way: str = said("Direction of a go.")
    distance_m: float | None = said("Distance that a go says; null where a level or the run's end settles it.", "m")


@record
class SpaceRun:
    name: str = said("The run.")
    tube: str = said("Tube that it starts in.")
    start: str = said("Where it starts.")
    end: str = said("Where it ends; empty when it is capped.")
    length: str = said("Its length.")
    moves: tuple[SpaceMove, ...] = said("Its moves.")


@record
class SpaceLevel:
    storey: str = said("The storey.")
    level_m: float = said("Height of its floor.", "m")
    text: str = said("The same as read off the tape.")
    outlines: tuple[tuple[tuple[float, float], ...], ...] = said("Its rooms' corners, [east, north].", "m")


@record
class SpaceSheet:
    tubes: tuple[SpaceTube, ...] = said("Straight tube, leg by leg.")
    items: tuple[SpaceItem, ...] = said("What is fitted in line.")
    spots: tuple[SpaceSpot, ...] = said("Tees, caps and reducers.")
    joints: tuple[SpaceJoints, ...] = said("Joints, fitting by fitting.")
    supports: tuple[SpaceSupport, ...] = said("Supports.")
    boxes: tuple[SpaceBox, ...] = said("Equipment of unknown size.")
    ends: tuple[SpaceEnd, ...] = said("What is drawn as a symbol at the end of its tube.")
    panels: tuple[SpacePanel, ...] = said("Emitters.")
    ports: tuple[SpacePort, ...] = said("Every port.")
    runs: tuple[SpaceRun, ...] = said("Every run with its moves.")
    levels: tuple[SpaceLevel, ...] = said("Storeys from the ground up.")


def space_sheet(study: "Study", system: System, *, fitted: bool = True) -> SpaceSheet:
    """The pipework in space.

    While something is not joined yet there is no flow: tube is then told apart by what it hangs on alone, and supports
    are left out.

    :param fitted: with joints and supports, which take longer to find
    :raises JobProblem: the runs can't be laid
    """
    d, laid = study.design, study.pipework
    flow = _flow(study)
    side = sides(laid, flow)
    held = fitted and flow is not None
    runs = {r.name: r for r in d.runs}
    tubes: list[SpaceTube] = []
    items: list[SpaceItem] = []
    spots: list[SpaceSpot] = list(_nodes(laid, runs))
    for leg in laid.legs:
        for piece, move in moves_of(leg, runs[leg.run]):
            match piece:
                case Straight():
                    tubes.append(
                        SpaceTube(
                            leg=leg.name, run=leg.run, side=side.get(leg.name, "other"), move=move, a=_mm(piece.a),
                            b=_mm(piece.b), outside_m=piece.tube.outside_m, size=piece.tube.size, tube=piece.tube.name,
                            length=tape(piece.length_m, system),
                        )
                    )  # fmt: skip
                case InLine():
                    items.append(
                        SpaceItem(
                            leg=leg.name, run=leg.run, move=move, kind=piece.item.kind.value, name=piece.item.name,
                            at=_mm(piece.at), way=piece.direction,
                        )
                    )  # fmt: skip
                case Reducer():
                    name = f"{piece.tube.size} × {piece.to.size}"
                    spots.append(SpaceSpot(kind="reducer", name=name, run=leg.run, move=move, at=_mm(piece.at)))
    used = {ref for r in d.runs for ref in (r.start, r.end)}
    return SpaceSheet(
        tubes=tuple(tubes),
        items=tuple(items),
        spots=tuple(spots),
        joints=tuple(_joints(study.fabrication)) if fitted else (),
        supports=tuple(_supports(study, system)) if held else (),
        boxes=tuple(_boxes(d.ports)),
        ends=tuple(
            SpaceEnd(kind=OWNER_ITEM[p.owner_kind].value, table=p.owner_kind, name=p.owner, at=_mm(p.at), way=_back(p))
            for p in d.ports
            if p.owner_kind in OWNER_ITEM
        ),
        panels=tuple(
            SpacePanel(name=e.name, room=e.room, corners=tuple(_mm(c) for c in slab(e))) for e in d.emitters
        ),
        ports=tuple(
            SpacePort(
                ref=p.ref, table=p.owner_kind, at=_mm(p.at), faces=towards(p.faces), used=p.ref in used,
                push=_push(study, p, system) if held else "",
            )
            for p in d.ports
        ),
        runs=tuple(_run(r, laid, system) for r in d.runs),
        levels=tuple(
            SpaceLevel(
                storey=s.name, level_m=s.level_m, text=show(s.level_m, Kind.LENGTH, system),
                outlines=tuple(tuple((x, y) for x, y in r.outline) for r in d.house.rooms
                               if r.storey == s.name and r.outline),
            )
            for s in sorted(d.house.storeys, key=lambda s: s.level_m)
        ),
    )  # fmt: skip


def _flow(study: "Study") -> FlowReading | None:
    try:
        return study.flow
    except (JobProblem, NoSolution):
        return None


def symbols() -> dict[str, str]:
    """Kind → its symbol, in named colours, along x about 0 0."""
    found: dict[str, str] = {k.value: in_line(k, (0.0, 0.0), (1.0, 0.0), HALF, SCREEN) for k in IN_LINE}
    found |= {k.value: at_end(k, (0.0, 0.0), (1.0, 0.0), HALF, SCREEN) for k in AT_END}
    return found


def moves_of(leg: Leg, run: Run) -> Iterator[tuple[Straight | InLine | Reducer, int]]:
    """Every straight, item and reducer of a leg with the index of the move that it came of.

    Goes that follow one another in the same direction make one straight; it is that of the first of them.
    """
    wanted: list[tuple[type[Straight | InLine | Reducer], int]] = []
    heading: Vec | None = None
    for i, move in enumerate(run.moves[leg.first :], start=leg.first):
        match move:
            case Tee():
                break
            case Go():
                if heading != move.direction:
                    wanted.append((Straight, i))
                heading = move.direction
            case Fit():
                wanted.append((InLine, i))
                heading = None
            case ChangeTube():
                wanted.append((Reducer, i))
                heading = None
    at = 0
    for piece in leg.pieces:
        if not isinstance(piece, Straight | InLine | Reducer):
            continue
        later = next((k for k in range(at, len(wanted)) if isinstance(piece, wanted[k][0])), None)
        if later is None:
            yield piece, -1
            continue
        at = later + 1
        yield piece, wanted[later][1]


def _mm(p: Vec) -> XYZ:
    """To a tenth of a millimetre: nobody draws finer."""
    return (round(p[0], 4), round(p[1], 4), round(p[2], 4))


def _back(p: Port) -> XYZ:
    return (-p.faces[0], -p.faces[1], -p.faces[2])


def _nodes(laid: Pipework, runs: dict[str, Run]) -> Iterator[SpaceSpot]:
    for n in laid.nodes:
        if n.kind is NodeKind.PORT:
            continue
        run, _, tee = n.name.rpartition(".")
        moves = runs[run].moves if run in runs else ()
        at = next((i for i, m in enumerate(moves) if isinstance(m, Tee) and m.name == tee), -1)
        yield SpaceSpot(kind=n.kind.value, name=n.name, run=run, move=at, at=_mm(n.at))


def number_range(numbers: list[int]) -> str:
    """``"7–9, 12"``."""
    parts: list[str] = []
    for _, group in groupby(enumerate(sorted(numbers)), key=lambda x: x[1] - x[0]):
        run = [n for _, n in group]
        parts.append(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}")
    return ", ".join(parts)


def _joints(made: Fabrication) -> Iterator[SpaceJoints]:
    by_place: dict[tuple[XYZ, str], list[int]] = {}
    for k, j in enumerate(made.joints):
        by_place.setdefault((_mm(j.at), j.of), []).append(k)
    for (at, of), found in by_place.items():
        joints = [made.joints[k] for k in found]
        kinds: dict[str, int] = {}
        for j in joints:
            key = f"{j.kind.value} {j.size}"
            kinds[key] = kinds.get(key, 0) + 1
        yield SpaceJoints(
            at=at, numbers=number_range([j.number for j in joints]), run=joints[0].run, of=of,
            made=", ".join(f"{n} × {k}" for k, n in kinds.items()),
        )  # fmt: skip


def _supports(study: "Study", system: System) -> Iterator[SpaceSupport]:
    for s in study.supporting.supports:
        yield SpaceSupport(
            name=s.name, run=s.run, kind=s.kind.value, at=_mm(s.at), load=show(s.load_n, Kind.FORCE, system),
            bears=show(s.bears_n, Kind.FORCE, system), full=abs(s.load_n) / s.bears_n if s.bears_n else 0.0, why=s.why,
            fixed_to=s.fixed_to, along=tape(s.along_m, system), by_hand=s.why == "by hand",
        )  # fmt: skip


def _boxes(ports: tuple[Port, ...]) -> Iterator[SpaceBox]:
    by_owner: dict[tuple[str, str], list[Port]] = {}
    for p in ports:
        if p.owner_kind in BOXES:
            by_owner.setdefault((p.owner_kind, p.owner), []).append(p)
    for (table, name), own in by_owner.items():
        half, deep, high = BOXES[table]
        low, top = ([f(p.at[k] for p in own) for k in range(3)] for f in (min, max))
        # out of its ports, backwards, lies the box
        out = max(range(3), key=lambda k: sum(abs(p.faces[k]) for p in own))
        size = [half, deep / 2, high / 2] if out == 2 else [half, half, high / 2]
        for k in range(3):
            middle = (low[k] + top[k]) / 2
            reach = max(size[k], (top[k] - low[k]) / 2 + 0.08)
            low[k], top[k] = middle - reach, middle + reach
        sign = sum(p.faces[out] for p in own)
        face = own[0].at[out]
        depth = high if out == 2 else deep
        low[out], top[out] = (face, face + depth) if sign < 0 else (face - depth, face)
        yield SpaceBox(table=table, name=name, low=_mm((low[0], low[1], low[2])), high=_mm((top[0], top[1], top[2])))


def _push(study: "Study", port: Port, system: System) -> str:
    found = next((c for c in study.supporting.connections if c.port == port.ref), None)
    if found is None:
        return ""
    force = sum(f * f for f in found.force_n) ** 0.5
    moment = sum(m * m for m in found.moment_n_m) ** 0.5
    return f"{show(force, Kind.FORCE, system)}, {show(moment, Kind.MOMENT, system)}"


def _run(run: Run, laid: Pipework, system: System) -> SpaceRun:
    return SpaceRun(
        name=run.name, tube=run.tube, start=run.start, end=run.end,
        length=show(sum(leg.length_m for leg in laid.legs if leg.run == run.name), Kind.LENGTH, system),
        moves=tuple(_move(m) for m in run.moves),
    )  # fmt: skip


def _move(move: Go | Fit | Tee | ChangeTube) -> SpaceMove:
    verb = {Go: "go", Fit: "fit", Tee: "tee", ChangeTube: "tube"}[type(move)]
    way = towards(move.direction) if isinstance(move, Go) else ""
    distance = move.distance_m if isinstance(move, Go) else None
    return SpaceMove(verb=verb, text=move.text, way=way, distance_m=distance)
