"""How a number came about: the formula in words, the numbers that went in, the source."""

from typing import TYPE_CHECKING

from wetside.basis.quantity import Kind, System, show
from wetside.basis.record import record
from wetside.basis.tables import reference
from wetside.sheets.rooms import ground_factor
from wetside.sheets.said import said
from wetside.sheets.wording import rating_text

if TYPE_CHECKING:
    from wetside.house.reading import RoomLoad, SurfaceLoad
    from wetside.study.study import Study


@record
class Step:
    what: str = said("What is reckoned.")
    sum: str = said("The sum, with its numbers.")
    out: str = said("What comes out.")
    source: str = said("Where the formula or figure comes from; empty where it is arithmetic.")
    kind: str = said('"total" for the line that answers the question.')


@record
class Why:
    title: str = said("The number in question.")
    steps: tuple[Step, ...] = said("The way to it.")


LOSS = "transmission and ventilation as in EN 12831; surfaces by ISO 13789, walls by ISO 6946, ground by ISO 13370"
OUTPUT = "output law of the emitter with the logarithmic mean difference (EN 442)"
NETWORK = "pressure, flow and temperature solved together (Darcy and Weisbach, Colebrook)"


def explain(study: "Study", of: str, system: System) -> Why:
    """How a number came about.

    :param of: ``house``, ``room:NAME``, ``gives:NAME`` (what a room's emitters give), ``emitter:NAME`` or
        ``rule:ID:SUBJECT``
    :raises JobProblem: the readings can't be made
    """
    kind, _, name = of.partition(":")
    if kind == "house":
        return _house(study, system)
    if kind == "room":
        room = next((r for r in study.rooms.rooms if r.name == name), None)
        return Why(title="", steps=()) if room is None else _room(room, system, study.rooms.outside_c)
    if kind in ("emitter", "gives"):
        return _gives(study, kind, name, system)
    if kind == "rule":
        return _rule(study, name, system)
    return Why(title="", steps=())


def _step(what: str, sum_: str, out: str, source: str = "", kind: str = "") -> Step:
    return Step(what=what, sum=sum_, out=out, source=source, kind=kind)


def _room(room: "RoomLoad", system: System, outside_c: float) -> Why:
    def watts(w: float) -> str:
        return show(w, Kind.POWER, system)

    steps = [_step(*_surface(s, room.inside_c, system)) for s in room.surfaces]
    listed = sum(s.load_w for s in room.surfaces)
    if abs(room.transmission_w - listed) > 0.5:
        steps.append(_step("thermal bridges listed", "", watts(room.transmission_w - listed)))
    rate = show(room.air_change_1_h, Kind.AIR_CHANGE, system)
    volume = show(room.volume_m3, Kind.ROOM_VOLUME, system)
    steps.append(_step("changing air", f"{rate} of {volume}", watts(room.air_w)))
    if room.reheat_w:
        steps.append(_step("heating up after a pause", "", watts(room.reheat_w)))
    inside = show(room.inside_c, Kind.TEMPERATURE, system)
    outside = show(outside_c, Kind.TEMPERATURE, system)
    steps.append(_step("need", f"at {inside} inside, {outside} outside", watts(room.load_w), LOSS, "total"))
    return Why(title=f"{room.name} needs {watts(room.load_w)}", steps=tuple(steps))


def _surface(s: "SurfaceLoad", inside_c: float, system: System) -> tuple[str, str, str]:
    watts = show(s.load_w, Kind.POWER, system)
    behind = f" to {s.behind}" if s.behind else f", {s.faces.value}"
    if s.linear:
        length, psi = show(s.area_m2, Kind.LENGTH, system), show(s.bridge_w_m2k, Kind.LINE_LOSS, system)
        return s.name, f"{length} × {psi}", watts
    area, u = show(s.area_m2, Kind.AREA, system), show(s.u_w_m2k + s.bridge_w_m2k, Kind.U_VALUE, system)
    difference = show(inside_c - s.behind_c, Kind.DIFFERENCE, system)
    factor = ground_factor(s)
    times = f" × {factor:.2f} (ground)" if abs(factor - 1.0) > 5e-4 else ""
    return f"{s.name}{behind} ({s.construction})", f"{area} × {u} × {difference}{times}", watts


def _house(study: "Study", system: System) -> Why:
    load = study.rooms
    steps = [
        _step(r.name, "", show(r.load_w, Kind.POWER, system)) for r in load.rooms if r.heated
    ]  # fmt: skip
    steps.append(_step("sum of the rooms", "", show(load.total_w, Kind.POWER, system)))
    less = load.total_w - load.building_w
    note = "heat between heated rooms cancels, half of the infiltration counts"
    steps.append(_step("not lost by the house as a whole", note, show(-less, Kind.POWER, system)))
    text = show(load.building_w, Kind.POWER, system)
    steps.append(_step("house", "", text, LOSS, "total"))
    return Why(title=f"The house loses {text}", steps=tuple(steps))


def _gives(study: "Study", kind: str, name: str, system: System) -> Why:
    spec = {e.name: e for e in study.design.emitters}
    chosen = [e for e in study.flow.emitters if (e.name if kind == "emitter" else e.room) == name]
    rooms = {r.name: r.inside_c for r in study.rooms.rooms}
    steps: list[Step] = []
    for e in chosen:
        s = spec[e.name]
        excess = show(s.rated_excess_k, Kind.DIFFERENCE, system)
        supply, back = (show(t, Kind.TEMPERATURE, system) for t in (e.supply_c, e.return_c))
        air = show(rooms.get(e.room, 20.0), Kind.TEMPERATURE, system)
        steps.append(
            _step(f"{e.name}: rating", s.rating_note or s.kind.value, rating_text(s.rated_w, s.rated_excess_k, system))
        )
        water = show(e.flow_kg_s, Kind.MASS_FLOW, system)
        steps.append(_step(f"{e.name}: water", f"{water}, {supply} in, {back} out, room {air}", "", NETWORK))
        law = f"rating × (mean difference / {excess}) to the power {s.exponent:.2f}"
        steps.append(_step(f"{e.name} gives", law, show(e.output_w, Kind.POWER, system), OUTPUT))
    total = show(sum(e.output_w for e in chosen), Kind.POWER, system)
    if kind == "gives":
        steps.append(_step("together", "", total, "", "total"))
    return Why(
        title=f"{name}: emitters give {total}" if kind == "gives" else f"{name} gives {total}", steps=tuple(steps)
    )


def _rule(study: "Study", name: str, system: System) -> Why:
    rule_id, _, subject = name.partition(":")
    found = next((f for f in study.findings if f.rule.id == rule_id and f.subject == subject), None)
    if found is None:
        return Why(title="", steps=())
    measured, limit = found.texts(system)
    steps = [
        _step("measured", found.missing, measured),
        _step("limit", found.rule.sense, limit, reference(found.rule.source)),
        _step("verdict", found.remedy, found.verdict.value, "", "total"),
    ]
    return Why(title=f"{found.rule.title}: {found.subject}", steps=tuple(steps))
