"""Boilers, tanks, emitters, valves and safety: tables → specs of the engineering floors, and their ports."""

from dataclasses import replace

from wetside.basis.si import M3PerSecond, Metre, Pascal
from wetside.emitter.ratings import (
    Rated,
    baseboard_rating,
    edr_rating,
    panel_rating,
    sections_rating,
    surface_rating,
    towel_rail_rating,
)  # fmt: skip
from wetside.emitter.spec import Emitter, EmitterKind
from wetside.jobfile.build_house import outline_of
from wetside.jobfile.check import Draft
from wetside.jobfile.house_tables import RoomTable, StoreyTable
from wetside.jobfile.lines import Path as Steps
from wetside.jobfile.place import DIRECTIONS, Misplaced, emitter_ports, stand_free, stand_on_wall
from wetside.jobfile.plant_tables import (
    BaseboardTable,
    BoilerTable,
    CirculatorTable,
    ColumnTable,
    EmitterBase,
    EquipmentTable,
    FillTable,
    HotWaterTable,
    ItemTable,
    OnePort,
    PanelTable,
    PortTable,
    ReliefTable,
    SeparationTable,
    TankTable,
    TowelRailTable,
    VesselTable,
)  # fmt: skip
from wetside.network.spec import Boiler, Circulator, Tank
from wetside.pipework.items import shipped_items
from wetside.pipework.spec import Item, ItemKind, Port, Vec
from wetside.plant.spec import HotWater, Plant, ReliefValve, SeparationPair, Vessel


def build_boilers(draft: Draft, ports: list[Port]) -> tuple[Boiler, ...]:
    """Boilers; their ports are added to `ports`."""
    found: list[Boiler] = []
    for i, b in draft.rows("boiler", BoilerTable):
        path = ("boiler", i)
        _ports(draft, path, b.name, "boiler", b.at, b.ports, ports, needed=("flow", "return"))
        if b.least > b.output:
            draft.fault((*path, "least"), "its least output is above its largest", "give the smaller one as least")
        if b.flow > b.most:
            draft.fault(
                (*path, "flow"),
                "it is set above the highest flow temperature that it can do",
                "lower flow, or raise most",
            )
        pump = b.circulator
        built_in = None
        if pump is not None:
            curve = _curve(draft, (*path, "circulator", "curve"), pump.curve)
            built_in = Circulator(name=f"{b.name} circulator", points=curve, speed=pump.speed, watts=pump.watts)
        found.append(
            Boiler(
                name=b.name,
                output_w=b.output,
                least_w=b.least,
                flow_c=b.flow,
                kv_m3_h=b.kv,
                most_c=b.most,
                water_m3=b.water,
                mass_kg=b.mass,
                hot_water_w=b.hot_water,
                rated_pressure_pa=b.rated_pressure,
                condensing=b.condensing,
                circulator=built_in,
            )
        )
    return tuple(found)


def build_tanks(draft: Draft, ports: list[Port]) -> tuple[Tank, ...]:
    """Hot-water tanks; their ports are added to `ports`."""
    found: list[Tank] = []
    rooms = draft.names("room")
    for i, t in draft.rows("tank", TankTable):
        path = ("tank", i)
        draft.know((*path, "room"), t.room, rooms, "room")
        if t.at is not None:
            _ports(draft, path, t.name, "tank", t.at, t.ports, ports, needed=("flow", "return"))
        elif t.ports:
            draft.fault((*path, "ports"), "its ports have no point to be measured from", "add at = [east, north, up]")
        found.append(
            Tank(
                name=t.name,
                room=t.room,
                volume_m3=t.volume,
                store_c=t.store,
                coil_w_k=t.coil,
                kv_m3_h=t.kv,
                coil_water_m3=t.coil_water,
                mass_kg=t.mass,
            )
        )
    return tuple(found)


def build_circulators(draft: Draft) -> tuple[Circulator, ...]:
    """Circulators that runs fit."""
    return tuple(
        Circulator(
            name=c.name,
            points=_curve(draft, ("circulator", i, "curve"), c.curve),
            speed=c.speed,
            watts=c.watts,
            mass_kg=c.mass,
        )
        for i, c in draft.rows("circulator", CirculatorTable)
    )


def _curve(
    draft: Draft, path: Steps, points: list[tuple[M3PerSecond, Pascal]]
) -> tuple[tuple[M3PerSecond, Pascal], ...]:
    if len(points) < 2:
        draft.fault(path, "a curve has two points at least", 'write curve = [["0 m3/h", "6 m"], ["2 m3/h", "4 m"]]')
    for k in range(1, len(points)):
        if points[k][0] <= points[k - 1][0]:
            draft.fault((*path, k), "the flow does not rise from point to point", "put the points in order of flow")
        elif points[k][1] > points[k - 1][1]:
            draft.fault((*path, k), "the head rises with the flow", "give a head that falls or stays")
    if points and points[0][1] <= 0.0:
        draft.fault((*path, 0), "the first point has no head", "begin with the head at no flow")
    return tuple(points)


def build_items(draft: Draft) -> tuple[Item, ...]:
    """Every item by name: shipped kinds, the job's own, circulators, and lockshields with a setting of their own."""
    by_name = {x.name: x for x in shipped_items()}
    kinds = {x.kind: x for x in shipped_items()}
    for i, t in draft.rows("item", ItemTable):
        like = kinds[ItemKind(t.kind)]
        if t.kv is not None and t.k is not None:
            draft.fault(("item", i, "k"), "it has kv and k", "keep one of the two")
        by_name[t.name] = replace(
            like,
            name=t.name,
            kv_m3_h=t.kv,
            k=t.k,
            length_m=like.length_m if t.length is None else t.length,
            mass_kg=like.mass_kg if t.mass is None else t.mass,
            water_m3=like.water_m3 if t.water is None else t.water,
            on_branch=like.on_branch if t.on_branch is None else t.on_branch,
            shut=t.shut,
        )
    like = kinds[ItemKind.CIRCULATOR]
    for _, c in draft.rows("circulator", CirculatorTable):
        by_name[c.name] = replace(
            like,
            name=c.name,
            length_m=like.length_m if c.length is None else c.length,
            mass_kg=c.mass or like.mass_kg,
        )
    for _, e in draft.rows("emitter", EmitterBase):
        for valve in (e.flow_valve, e.return_valve):
            if e.lockshield_kv is not None and valve in by_name and by_name[valve].kind is ItemKind.LOCKSHIELD:
                name = lockshield_name(e)
                by_name[name] = replace(by_name[valve], name=name, kv_m3_h=e.lockshield_kv, k=None)
    return tuple(by_name.values())


def lockshield_name(emitter: EmitterBase) -> str:
    """Name of the lockshield with the emitter's own setting."""
    return f"{emitter.name} lockshield"


def build_emitters(
    draft: Draft, items: tuple[Item, ...], ports: list[Port]
) -> tuple[tuple[Emitter, ...], tuple[tuple[str, tuple[str, str]], ...]]:
    """Emitters, and the valves at each; their ports are added to `ports`."""
    rooms = {r.name: r for _, r in draft.rows("room", RoomTable)}
    room_names = draft.names("room")
    levels = {s.name: s.level for _, s in draft.rows("storey", StoreyTable)}
    kinds = {x.name: x.kind for x in items}
    found: list[Emitter] = []
    valves: list[tuple[str, tuple[str, str]]] = []
    for i, table in draft.rows("emitter", EmitterBase):
        path = ("emitter", i)
        valves.append((table.name, _valves(draft, path, table, kinds)))
        rated = _rating(draft, path, table)
        room = rooms.get(table.room)
        if not draft.know((*path, "room"), table.room, room_names, "room"):
            continue
        if table.at is not None:
            stand = stand_free(table)
            if table.wall is not None:
                draft.fault((*path, "wall"), "it has a wall and a place of its own", "keep wall, or at with faces")
        elif room is None or room.storey not in levels:
            continue
        else:
            stand = stand_on_wall(table, outline_of(room), levels[room.storey])
        if isinstance(stand, Misplaced):
            draft.fault((*path, stand.field), stand.wrong, stand.remedy)
            continue
        if table.flow_at == table.return_at:
            draft.fault((*path, "return_at"), "flow and return are at one corner", "move one of them")
            continue
        if rated is None:
            continue
        ports.extend(emitter_ports(table, stand))
        found.append(
            Emitter(
                name=table.name,
                room=table.room,
                kind=EmitterKind(table.kind),  # pyright: ignore[reportAttributeAccessIssue, reportUnknownArgumentType, reportUnknownMemberType]
                rated_w=rated.rated_w,
                rated_excess_k=rated.rated_excess_k,
                exponent=rated.exponent,
                water_m3=rated.water_m3 if table.water is None else table.water,
                mass_kg=rated.mass_kg if table.mass is None else table.mass,
                rating_note=rated.rating_note,
                length_m=table.length,
                height_m=table.height,
                depth_m=table.depth,
                sections=rated.sections,
                surface_m2=rated.surface_m2,
                kv_m3_h=table.kv,
                at=stand.at,
                along=stand.along,
            )
        )
    return tuple(found), tuple(valves)


def _valves(draft: Draft, path: Steps, table: EmitterBase, kinds: dict[str, ItemKind]) -> tuple[str, str]:
    fitted: list[str] = []
    locked = False
    for field, name in (("flow_valve", table.flow_valve), ("return_valve", table.return_valve)):
        if name and not draft.know((*path, field), name, list(kinds), "valve"):
            continue
        if name and table.lockshield_kv is not None and kinds[name] is ItemKind.LOCKSHIELD:
            name, locked = lockshield_name(table), True
        fitted.append(name)
    if table.lockshield_kv is not None and not locked:
        remedy = 'add return_valve = "lockshield valve", or leave the setting out'
        draft.fault((*path, "lockshield_kv"), "it has no lockshield valve to set", remedy)
    return (fitted[0], fitted[1]) if len(fitted) == 2 else ("", "")


def _rating(draft: Draft, path: Steps, t: EmitterBase) -> Rated | None:
    try:
        if isinstance(t, PanelTable):
            return panel_rating(
                t.output, length_m=t.length, height_m=t.height, panels=t.panels, excess_k=t.excess, exponent=t.exponent
            )
        if isinstance(t, TowelRailTable):
            return towel_rail_rating(
                t.output, length_m=t.length, height_m=t.height, excess_k=t.excess, exponent=t.exponent
            )
        if isinstance(t, BaseboardTable):
            if t.fins is not None and t.fins > t.length:
                draft.fault((*path, "fins"), "its fins are longer than itself", "give the length of the fins alone")
            return baseboard_rating(
                t.length if t.fins is None else t.fins, t.output_per_length, t.mean_water,
                air_c=t.rating_room, exponent=t.exponent, heating_effect=t.heating_effect,
            )  # fmt: skip
        if isinstance(t, ColumnTable):
            return _column(draft, path, t)
    except ValueError as bad:
        wrong, _, remedy = str(bad).partition("; ")
        field = (
            "height"
            if "high" in wrong
            else "style"
            if "type" in wrong
            else "mean_water"
            if "water" in wrong
            else "kind"
        )
        draft.fault((*path, field), wrong, remedy or "mend the figure")
    return None


def _column(draft: Draft, path: Steps, t: ColumnTable) -> Rated | None:
    ways = [w for w, given in (("watts_per_section", t.watts_per_section), ("style", t.style), ("edr", t.edr)) if given]
    if len(ways) != 1:
        wrong = "its output is not said" if not ways else f"its output is said {len(ways)} times: {', '.join(ways)}"
        draft.fault((*path, ways[-1]) if ways else path, wrong, "give watts_per_section, or style, or edr")
        return None
    if t.edr is not None:
        part = "column radiator" if t.style and t.style.endswith("column") else "tube radiator"
        rated = surface_rating(t.edr, exponent=t.exponent, metallic_paint=t.metallic_paint, part=part)
        n = t.sections or 0
        water = rated.water_m3 if t.water_per_section is None or not n else n * t.water_per_section
        mass = rated.mass_kg if t.mass_per_section is None or not n else n * t.mass_per_section
        return replace(rated, sections=n, water_m3=water, mass_kg=mass)
    if t.sections is None:
        draft.fault(path, "sections is missing", "add, for example: sections = 10")
        return None
    if t.watts_per_section is not None:
        return sections_rating(
            t.sections, t.watts_per_section, excess_k=t.excess, exponent=t.exponent,
            water_per_section_m3=t.water_per_section, mass_per_section_kg=t.mass_per_section,
            metallic_paint=t.metallic_paint,
        )  # fmt: skip
    return edr_rating(
        t.style or "", t.height, t.sections, exponent=t.exponent, water_per_section_m3=t.water_per_section,
        mass_per_section_kg=t.mass_per_section, metallic_paint=t.metallic_paint, system=draft.system,
    )  # fmt: skip


def build_plant(draft: Draft, ports: list[Port]) -> Plant:
    """Vessel, relief valve, fill, hot water and pairs of tees; ports of single connections are added to `ports`."""
    fill, taps = draft.one("fill", FillTable), draft.one("hot_water", HotWaterTable)
    vessels, reliefs = draft.rows("vessel", VesselTable), draft.rows("relief", ReliefTable)
    for table, rows in (("vessel", vessels), ("relief", reliefs)):
        for i, one in rows:
            _port(draft, (table, i), one.name, table, one, ports)
        if len(rows) > 1:
            remedy = "give one vessel with the volume of both" if table == "vessel" else "give the one that opens first"
            draft.fault((table, rows[1][0], "name"), f"wetside reckons with one {table}", remedy)
    for i, e in draft.rows("equipment", EquipmentTable):
        path = ("equipment", i)
        if e.ports and e.at is not None:
            if e.faces is not None:
                draft.fault((*path, "faces"), "its ports say which way they face", "leave faces out")
            _ports(draft, path, e.name, "equipment", e.at, e.ports, ports)
        elif e.ports:
            draft.fault((*path, "ports"), "its ports have no point to be measured from", "add at = [east, north, up]")
        else:
            _port(draft, path, e.name, "equipment", e, ports)
    if fill is not None and 0.0 < fill.glycol < 0.1:
        draft.fault(("fill", "glycol"), "too little glycol to protect", 'give none, or 10 to 50 %: "25 %"')
    return Plant(
        vessel=next((_vessel(v) for _, v in vessels), None),
        relief=next(
            (
                ReliefValve(name=r.name, opens_pa=r.opens, capacity_w=r.capacity, at_height_m=_height(r, r.height))
                for _, r in reliefs
            ),
            None,
        ),
        cold_fill_pa=fill.cold if fill else None,
        gauge_height_m=fill.gauge_height if fill else 0.0,
        hot_water=_hot_water(taps),
        pairs=tuple(
            SeparationPair(first=s.tees[0], second=s.tees[1]) for _, s in draft.rows("separation", SeparationTable)
        ),
        glycol_share=fill.glycol if fill else 0.0,
    )


def _vessel(v: VesselTable) -> Vessel:
    return Vessel(name=v.name, volume_m3=v.volume, charge_pa=v.charge, at_height_m=_height(v, v.height), mass_kg=v.mass)


def _hot_water(taps: HotWaterTable | None) -> HotWater:
    if taps is None:
        return HotWater()
    wanted = None
    if taps.wanted is not None:
        from wetside.fluid.water import liquid

        wanted = taps.wanted * liquid().density(taps.hot)
    return HotWater(wanted_kg_s=wanted, hot_c=taps.hot, people=taps.people)


def _height(one: OnePort, height: Metre | None) -> Metre:
    return one.at[2] if one.at is not None else height or 0.0


def _port(draft: Draft, path: Steps, name: str, kind: str, one: OnePort, ports: list[Port]) -> None:
    if one.at is None:
        if one.faces is not None:
            draft.fault((*path, "faces"), "it faces somewhere but has no place", "add at = [east, north, up]")
        return
    if one.faces is None:
        draft.fault(path, "faces is missing", 'add, for example: faces = "up"')
        return
    ports.append(Port(owner=name, name="", at=one.at, faces=DIRECTIONS[one.faces], owner_kind=kind))


def _ports(
    draft: Draft, path: Steps, owner: str, kind: str, at: Vec, tables: list[PortTable], ports: list[Port],
    needed: tuple[str, ...] = (),
) -> None:  # fmt: skip
    names = [p.name for p in tables]
    for name in needed:
        if name not in names:
            example = f'{{ name = "{name}", at = [0.1, 0, 0], faces = "down" }}'
            draft.fault((*path, "ports"), f'it has no port "{name}"', f"add {example}")
    for j, p in enumerate(tables):
        if p.name in names[:j]:
            draft.fault((*path, "ports", j, "name"), f'two ports are called "{p.name}"', "give one another name")
            continue
        x, y, z = (a + b for a, b in zip(at, p.at, strict=True))
        ports.append(Port(owner=owner, name=p.name, at=(x, y, z), faces=DIRECTIONS[p.faces], owner_kind=kind))
