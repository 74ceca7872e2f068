"""Boilers, tanks, circulators and safety: tables → specs of the engineering floors, and their ports."""

from typing import TypedDict

from wetside.basis.quantity import UNITS, Kind
from wetside.basis.si import Celsius, KgPerM3, M3PerSecond, Metre, Pascal
from wetside.jobfile.check import Draft
from wetside.jobfile.lines import Path as Steps
from wetside.jobfile.place import DIRECTIONS
from wetside.jobfile.plant_tables import (
    BoilerTable,
    BuiltInTable,
    CirculatorTable,
    EquipmentTable,
    FillTable,
    HotWaterTable,
    OnePort,
    PortTable,
    ReliefTable,
    SeparationTable,
    TankTable,
    VesselTable,
)  # fmt: skip
from wetside.network.curve import rises
from wetside.network.net import Regulation
from wetside.network.spec import Boiler, Circulator, Tank
from wetside.pipework.spec import Port, Vec
from wetside.plant.spec import HotWater, Plant, ReliefValve, SeparationPair, Vessel


def build_boilers(draft: Draft, ports: list[Port]) -> tuple[Boiler, ...]:
    """Boilers; their ports are added to `ports`."""
    found: list[Boiler] = []
    for i, b in draft.rows("boiler", BoilerTable):
        path = ("boiler", i)
        place_ports(draft, path, b.name, "boiler", b.at, b.ports, ports, needed=("flow", "return"))
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
            built_in = Circulator(
                name=f"{b.name} circulator", speed=pump.speed, watts=pump.watts,
                **_pump(draft, (*path, "circulator"), pump),
            )  # fmt: skip
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
                least_flow_kg_s=b.least_flow * liquid_density(b.flow) if b.least_flow else 0.0,
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
            place_ports(draft, path, t.name, "tank", t.at, t.ports, ports, needed=("flow", "return"))
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
        Circulator(name=c.name, speed=c.speed, watts=c.watts, mass_kg=c.mass, **_pump(draft, ("circulator", i), c))
        for i, c in draft.rows("circulator", CirculatorTable)
    )


class _Pump(TypedDict):
    points: tuple[tuple[M3PerSecond, Pascal], ...]
    terms: tuple[float, ...]
    regulation: Regulation
    set_pa: Pascal


def _pump(draft: Draft, path: Steps, table: CirculatorTable | BuiltInTable) -> _Pump:
    """Curve and regulation, alike for a circulator in a run and one built in."""
    if table.curve and table.terms:
        draft.fault((*path, "terms"), "its curve is given twice", "keep curve or terms")
    points = () if table.terms and not table.curve else _curve(draft, (*path, "curve"), table.curve)
    head, flow = UNITS[draft.system][Kind.HEAD].factor, UNITS[draft.system][Kind.FLOW].factor
    terms = tuple(t * head / flow**k for k, t in enumerate(table.terms))
    if terms and (terms[0] <= 0.0 or rises(terms)):
        draft.fault((*path, "terms"), "its head does not fall as the flow grows", "begin with the head at no flow")
    regulation = Regulation(table.regulation)
    if regulation is not Regulation.FIXED and table.holds is None:
        remedy = 'add, for example: holds = "2 m"'
        draft.fault((*path, "holds"), "what it holds is missing", remedy)
    if regulation is Regulation.FIXED and table.holds is not None:
        remedy = 'add regulation = "constant pressure" or "proportional pressure"'
        draft.fault((*path, "holds"), "at a fixed speed it holds nothing", remedy)
    return _Pump(points=points, terms=terms, regulation=regulation, set_pa=table.holds or 0.0)


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
            place_ports(draft, path, e.name, "equipment", e.at, e.ports, ports)
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


def liquid_density(t_c: Celsius) -> KgPerM3:
    """Of water; its table is read only where a job needs it."""
    from wetside.fluid.water import liquid

    return liquid().density(t_c)


def _hot_water(taps: HotWaterTable | None) -> HotWater:
    if taps is None:
        return HotWater()
    wanted = None if taps.wanted is None else taps.wanted * liquid_density(taps.hot)
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


def place_ports(
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
