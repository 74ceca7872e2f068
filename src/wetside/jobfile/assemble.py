"""Near-boiler pipework made for a job, and put into its file. Comments and layout stay."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from wetside.basis.errors import JobProblem, Mistake, Place, nearest
from wetside.basis.quantity import Kind, System, tape
from wetside.basis.si import Metre
from wetside.jobfile.place import DIRECTIONS
from wetside.jobfile.settings import in_unit
from wetside.pipework.assembly import near_boiler
from wetside.pipework.assembly_legs import side_of
from wetside.pipework.assembly_spec import Choices, NearBoiler, Part, Parting
from wetside.pipework.rules import MISS
from wetside.pipework.spec import Port, Tube, Vec
from wetside.pipework.vec import dot, same, sub, times

if TYPE_CHECKING:
    from wetside.house.spec import House, Room, Storey
    from wetside.study.design import Design
    from wetside.study.study import Study


class Into(Protocol):
    """What the pipework is put into: a `save.Edit`, or a list of the changes."""

    def put(self, table: str, name: str, field: str, value: object) -> None: ...
    def add(self, table: str, values: Mapping[str, object]) -> None: ...


USUAL = {System.METRIC: ("copper 28", "copper 15"), System.US: ("copper L 1", "copper L 1/2")}
"""Tube of the boiler's circuit, and of what branches off it."""


def choices_of(
    design: "Design",
    *,
    boiler: str = "",
    parting: Parting = Parting.TEES,
    circuits: Sequence[str] = ("heating",),
    without: Collection[Part] = (),
    tube: str = "",
    small: str = "",
    beside: Metre | None = None,
) -> tuple[Choices, tuple[str, ...]]:
    """Choices for a job's boiler, and what had to be left out for want of it in the job, in words.

    :param beside: free wall beside the boiler; as far as its room goes when not given
    :raises JobProblem: no such boiler or tube, or the boiler's connections have no place
    """
    names = [b.name for b in design.boilers]
    name = boiler or (names[0] if names else "")
    if name not in names:
        raise JobProblem([Mistake(Place("boiler", name), f'there is no boiler "{name}"', nearest(name, names))])
    ports = {p.ref: p for p in design.ports}
    flow, back = ports.get(f"{name}.flow"), ports.get(f"{name}.return")
    if flow is None or back is None:
        raise JobProblem([Mistake(Place("boiler", name, "ports"), "its flow and return have no place", "give ports")])
    usual = USUAL[design.system]
    left, notes = set(without), list[str]()
    vessel, relief = design.plant.vessel, design.plant.relief
    for part, there, table in ((Part.VESSEL, vessel, "vessel"), (Part.RELIEF, relief, "relief")):
        if there is None and part not in left:
            left.add(part)
            notes.append(f"no {part.value}: the job has no [[{table}]]")
    own = next(b for b in design.boilers if b.name == name).circulator is not None
    pumps = [c.name for c in design.circulators] if parting is not Parting.NONE or not own else []
    if len(pumps) < len(circuits) and not (parting is Parting.NONE and own):
        rest = ", ".join(circuits[len(pumps) :])
        notes.append(f"no circulator for {rest}: the job has {len(pumps)} [[circulator]]; add one and fit it")
    bare = Choices(
        flow=flow,
        back=back,
        tube=_tube(design, tube or usual[0]),
        small=_tube(design, small or usual[1]),
        front=(0.0, -1.0, 0.0),
        system=design.system,
    )
    side = side_of(bare)
    room, storey = _around(design.house, flow.at)
    front: Vec = (side[1], side[0], 0.0)
    if room is not None and dot(sub((*_middle(room), flow.at[2]), flow.at), front) < 0.0:
        front = times(front, -1.0)
    free = None if room is None else max(dot(sub((*p, flow.at[2]), flow.at), side) for p in room.outline)
    made = Choices(
        flow=flow,
        back=back,
        tube=bare.tube,
        small=bare.small,
        front=front,
        system=design.system,
        parting=parting,
        circuits=tuple(circuits),
        circulators=tuple(pumps[: len(circuits)]),
        without=frozenset(left),
        vessel=vessel.name if vessel else "vessel",
        relief=relief.name if relief else "relief valve",
        hot=ports.get(f"{name}.hot"),
        cold=ports.get(f"{name}.cold"),
        cold_main=ports.get("cold main"),
        taps=ports.get("hot taps"),
        beside_m=free if beside is None else beside,
        above_m=None if storey is None else storey.level_m + storey.height_m - flow.at[2],
        below_m=None if storey is None else flow.at[2] - storey.level_m,
    )
    return made, tuple(notes)


def _tube(design: "Design", name: str) -> Tube:
    known = {t.name: t for t in design.tubes}
    if name not in known:
        raise JobProblem([Mistake(Place("tube", name), f'there is no tube "{name}"', nearest(name, known))])
    return known[name]


def _around(house: "House", at: Vec) -> "tuple[Room | None, Storey | None]":
    from wetside.house.plan import room_at

    name = room_at(house, at)
    room = next((r for r in house.rooms if r.name == name), None)
    return room, None if room is None else next(s for s in house.storeys if s.name == room.storey)


def _middle(room: "Room") -> tuple[Metre, Metre]:
    xs, ys = [p[0] for p in room.outline], [p[1] for p in room.outline]
    return ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)


def assembled(choices: Choices, design: "Design") -> NearBoiler:
    """The pipework, less the house's runs that the job has already.

    :raises JobProblem: there is no room for it
    """
    made = near_boiler(choices)
    there = {r.name for r in design.runs}
    return replace(made, runs=tuple(r for r in made.runs if not (r.name in made.kept and r.name in there)))


def write_assembly(edit: Into, design: "Design", made: NearBoiler) -> None:
    """Put runs and places into the file. A run of that name is changed, its comments stay.

    :raises JobProblem: the file can't be changed so
    """
    from wetside.jobfile.settings import moves_text

    there = {r.name for r in design.runs}
    for run in made.runs:
        fields: dict[str, object] = {"tube": run.tube, "start": run.start, "moves": list(moves_text(run))}
        if run.end:
            fields["end"] = run.end
        if run.name in there:
            for field, value in fields.items():
                edit.put("run", run.name, field, value)
        else:
            edit.add("run", {"name": run.name, **fields})
    owners = {p.owner for p in design.ports}
    for port in made.ports:
        if port.owner_kind != "separator":
            place = {"at": _place(port.at, design.system), "faces": _faces(port.faces)}
            if port.owner_kind == "equipment" and port.owner not in owners:
                edit.add("equipment", {"name": port.owner, "kind": "filling point", **place})
                continue
            for field, value in place.items():
                edit.put(port.owner_kind, port.owner, field, value)
    _write_separator(edit, design, [p for p in made.ports if p.owner_kind == "separator"])
    pairs = {(x.first, x.second) for x in design.plant.pairs}
    for pair in made.pairs:
        if pair not in pairs:
            edit.add("separation", {"tees": list(pair)})


def _write_separator(edit: Into, design: "Design", ports: Sequence[Port]) -> None:
    if not ports:
        return
    system, foot = design.system, next(p for p in ports if p.name == "boiler_return").at
    top = next(p for p in ports if p.name == "boiler_flow").at
    listed: list[dict[str, object]] = [
        {"name": p.name, "at": _place(sub(p.at, foot), system), "faces": _faces(p.faces)} for p in ports
    ]
    name = ports[0].owner
    if any(s.name == name for s in design.apparatus.separators):
        for field, value in (("at", _place(foot, system)), ("ports", listed)):
            edit.put("separator", name, field, value)
        return
    # three bores of the tube let air rise and dirt sink (typical)
    bore = 3.0 * max(t.bore_m for r in design.runs for t in design.tubes if t.name == r.tube) if design.runs else 0.08
    edit.add(
        "separator",
        {
            "name": name,
            "bore": in_unit(bore, Kind.SIZE, system, 2),
            "height": in_unit(top[2] - foot[2], Kind.LENGTH, system),
            "at": _place(foot, system),
            "ports": listed,
        },
    )


def _place(at: Vec, system: System) -> list[float | int]:
    return [in_unit(round(x, 6), Kind.LENGTH, system, 7) for x in at]


def _faces(d: Vec) -> str:
    return next(word for word, known in DIRECTIONS.items() if same(known, d))


def misses(study: "Study") -> tuple[str, ...]:
    """Runs that no longer meet their ends, in words."""
    system = study.design.system
    ends = {r.name: r.end for r in study.design.runs}
    return tuple(
        f"run {c.run} now misses {ends[c.run]} by {tape(c.size_m, system)}: change its moves"
        for c in study.pipework.closures
        if c.size_m > MISS
    )
