"""The water at work as the page shows it while settings are tried: every text in the unit system that is asked for."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wetside.basis.quantity import UNITS, Kind, System, convert, show
from wetside.basis.record import record
from wetside.basis.si import Celsius
from wetside.network.reading import FlowReading, LegFlow
from wetside.network.spec import Circulator
from wetside.pipework.reading import InLine
from wetside.pipework.spec import ItemKind
from wetside.plant.heating_side import joined
from wetside.plant.pressure import OVER_BOILING_PA, fill
from wetside.sheets.draw.chart import duty_chart
from wetside.sheets.draw.pressure import Bound, Point, pressure_chart
from wetside.sheets.draw.screen import SCREEN
from wetside.sheets.draw.sides import sides
from wetside.sheets.said import said
from wetside.study.trial import Trial, at_work, changed

if TYPE_CHECKING:
    from wetside.study.study import Study

COLDEST_C, WARMEST_C = -25.0, 18.0
"""Ends of the outdoor slider; a colder design temperature moves its end."""
COOL_C = 25.0
"""Lowest flow temperature of the slider."""
SLOW, FAST = 0.3, 1.2
"""Ends of a circulator's slider, relative to its curve."""


@record
class WaterLeg:
    name: str = said("The leg.")
    run: str = said("Its run.")
    side: str = said("Flow, return or other.")
    back: bool = said("Whether the water goes against the way that the run is written.")
    still: bool = said("Whether no water can pass.")
    flow: str = said("Water through it.")
    speed: str = said("Speed in its narrowest tube.")
    drop: str = said("Pressure lost in it.")
    gradient: str = said("Friction per length, where steepest.")
    start: str = said("Temperature where it is written to start.")
    end: str = said("Temperature where it is written to end.")
    warm: str = said("Temperature where the water leaves it.")
    gauge: str = said("Gauge pressure where the water leaves it, filled cold; empty where the fill is not known.")
    loss: str = said("Heat that it gives off.")


@record
class WaterEmitter:
    name: str = said("The emitter.")
    room: str = said("Its room.")
    flow: str = said("Water through it.")
    water: str = said("Water in and out.")
    gives: str = said("What it gives.")


@record
class WaterRoom:
    name: str = said("The room.")
    heated: bool = said("Whether it is heated.")
    wanted: str = said("Design temperature.")
    settles: str = said("Temperature at which it settles.")
    short: str = said("How far that is off what is wanted, with its sign.")
    wanted_c: float = said("Design temperature.", "degC")
    settles_c: float = said("Temperature at which it settles.", "degC")
    state: str = said('"colder" by more than half a kelvin, "warmer" by more than two, or "as wanted".')


@record
class WaterSource:
    name: str = said("Boiler or tank coil.")
    kind: str = said('"boiler" or "tank".')
    water: str = said("Temperatures of its water.")
    flow: str = said("Water through it.")
    gives: str = said("Heat given to the water, or taken from it.")
    note: str = said("What holds it back; empty where nothing does.")


@record
class WaterCirculator:
    name: str = said("The circulator.")
    duty: str = said("Water that it moves, and the head that it adds.")
    chart: str = said("Its curve with the operating point, as SVG in named colours.")


@record
class WaterSheet:
    outside: str = said("Air outside.")
    legs: tuple[WaterLeg, ...] = said("Every leg.")
    emitters: tuple[WaterEmitter, ...] = said("Every emitter.")
    rooms: tuple[WaterRoom, ...] = said("Rooms where they settle.")
    sources: tuple[WaterSource, ...] = said("Boilers and tank coils.")
    circulators: tuple[WaterCirculator, ...] = said("Circulators with their charts.")
    pressure: str = said("Pressure by height as SVG; empty where the fill is not known.")
    pipe_loss: str = said("Heat that all tube gives off.")
    sum: str = said("What all emitters give.")


@record
class Knob:
    key: str = said("What is set: outside, flow:BOILER, speed:CIRCULATOR, kv:ITEM, shut:NAME.")
    group: str = said("Weather, boiler, circulators, zones or valves.")
    label: str = said("What it is called.")
    note: str = said("Where it is.")
    value: float = said("Where the design has it, in the units shown.")
    least: float = said("Least value.")
    most: float = said("Largest value.")
    step: float = said("Step.")
    places: int = said("Decimals.")
    unit: str = said("Unit; empty for a share or a switch.")
    switch: bool = said("Whether it is a switch: 1 is shut.")
    table: str = said("Table of the job that it stands in; empty where the job holds no such thing.")
    name: str = said("Entry of that table.")
    field: str = said("Field.")
    inside: str = said("Field inside that field; empty otherwise.")


def water_sheet(study: "Study", trial: Trial, system: System, *, charts: bool = True) -> WaterSheet:
    """The water at work in a state that is tried.

    :param charts: with the charts, which take longer than the numbers; they are empty without
    :raises JobProblem: the trial can't be
    :raises NoSolution: the net did not settle
    """
    reading = at_work(study, trial)
    design = changed(study.design, trial)
    side = sides(study.pipework, study.flow)
    filled = fill(design.plant)
    height = {n.name: n.at[2] for n in study.pipework.nodes}
    relative = {n.name: n.pressure_pa for n in reading.nodes}
    inside = {study.pipework.nodes[i].name for i in joined(study.pipework)}

    def gauge(node: str) -> str:
        if filled is None or node not in inside:
            return ""
        return show(filled.at(height[node]) + relative[node], Kind.PRESSURE, system)

    ends = {g.name: (study.pipework.nodes[g.a].name, study.pipework.nodes[g.b].name) for g in study.pipework.legs}
    outside = design.house.climate.outside_c if trial.outside_c is None else trial.outside_c
    known = (*design.circulators, *(b.circulator for b in design.boilers if b.circulator is not None))
    return WaterSheet(
        outside=show(outside, Kind.TEMPERATURE, system, 0),
        legs=tuple(_leg(x, side.get(x.name, "other"), gauge(ends[x.name][x.flow_kg_s >= 0.0]), system)
                   for x in reading.legs),
        emitters=tuple(
            WaterEmitter(
                name=e.name, room=e.room, flow=show(e.flow_kg_s, Kind.MASS_FLOW, system),
                water=_pair(e.supply_c, e.return_c, system), gives=show(e.output_w, Kind.POWER, system),
            )
            for e in reading.emitters
        ),
        rooms=tuple(_rooms(reading, system)),
        sources=tuple(_sources(reading, system)),
        circulators=tuple(_circulators(reading, known, system, charts=charts)),
        pressure=_pressure(study, reading, system) if charts else "",
        pipe_loss=show(reading.pipe_loss_w, Kind.POWER, system),
        sum=show(sum(e.output_w for e in reading.emitters), Kind.POWER, system),
    )  # fmt: skip


def _pair(a: Celsius, b: Celsius, system: System) -> str:
    return f"{show(a, Kind.TEMPERATURE, system, 0, unit=False)}/{show(b, Kind.TEMPERATURE, system, 0)}"


def _leg(x: LegFlow, side: str, gauge: str, system: System) -> WaterLeg:
    back = x.flow_kg_s < 0.0
    return WaterLeg(
        name=x.name, run=x.run, side=side, back=back, still=x.still or abs(x.flow_kg_s) < 1e-6,
        flow=show(abs(x.flow_kg_s), Kind.MASS_FLOW, system), speed=show(x.velocity_m_s, Kind.SPEED, system),
        drop=show(x.drop_pa, Kind.HEAD, system), gradient=show(x.gradient_pa_m, Kind.GRADIENT, system),
        start=show(x.start_c, Kind.TEMPERATURE, system), end=show(x.end_c, Kind.TEMPERATURE, system),
        warm=show(x.start_c if back else x.end_c, Kind.TEMPERATURE, system), gauge=gauge,
        loss=show(x.loss_w, Kind.POWER, system),
    )  # fmt: skip


def _rooms(reading: FlowReading, system: System) -> Iterator[WaterRoom]:
    for r in reading.rooms:
        off = r.temperature_c - r.wanted_c
        text = show(off, Kind.DIFFERENCE, system, 1)
        state = "colder" if off < -0.5 else "warmer" if off > 2.0 else "as wanted"
        yield WaterRoom(
            name=r.name, heated=r.heated, wanted=show(r.wanted_c, Kind.TEMPERATURE, system, 0 if r.heated else 1),
            settles=show(r.temperature_c, Kind.TEMPERATURE, system, 1), short=f"+{text}" if off > 0 else text,
            wanted_c=r.wanted_c, settles_c=r.temperature_c, state=state if r.heated else "",
        )  # fmt: skip


def _sources(reading: FlowReading, system: System) -> Iterator[WaterSource]:
    for kind, found in (("boiler", reading.boilers), ("tank", reading.tanks)):
        for s in found:
            note = "at its most: the flow stays colder than set" if s.limited else ""
            if s.cycles:
                note = "takes less than its least output: it fires by turns"
            yield WaterSource(
                name=s.name, kind=kind, water=_pair(s.supply_c, s.return_c, system),
                flow=show(abs(s.flow_kg_s), Kind.MASS_FLOW, system), gives=show(s.output_w, Kind.POWER, system),
                note=note,
            )  # fmt: skip


def _circulators(
    reading: FlowReading, known: tuple[Circulator, ...], system: System, *, charts: bool
) -> Iterator[WaterCirculator]:
    duty = {c.name: c for c in reading.circulators}
    for c in known:
        found = duty.get(c.name)
        words = "stands" if found is None else (
            f"{show(found.flow_m3_s, Kind.FLOW, system)} at {show(found.head_pa, Kind.HEAD, system)}"
        )  # fmt: skip
        chart = duty_chart(c, duty=found, system=system, theme=SCREEN, size=(104.0, 60.0)) if charts else ""
        yield WaterCirculator(name=c.name, duty=words, chart=chart)


def _pressure(study: "Study", reading: FlowReading, system: System) -> str:
    design, laid = study.design, study.pipework
    filled = fill(design.plant)
    heating = joined(laid)
    if filled is None or not heating:
        return ""
    points = {
        n.name: Point(n.name, filled.at(laid.nodes[i].at[2]) + n.pressure_pa, laid.nodes[i].at[2])
        for i, n in enumerate(reading.nodes)
        if i in heating
    }
    side = sides(laid, study.flow)
    lines = [
        (side.get(g.name, "other"), laid.nodes[g.a].name, laid.nodes[g.b].name)
        for g in laid.legs
        if g.a in heating and g.b in heating
    ]
    heights = [p.height_m for p in points.values()]
    foot, head = min(heights), max(heights)
    relief = design.plant.relief
    bounds = [Bound(relief.name, relief.opens_pa, relief.at_height_m)] if relief is not None else []
    return pressure_chart(
        standing=(Point("foot", filled.at(foot), foot), Point("head", filled.at(head), head)),
        points=points, lines=lines, bounds=bounds, storeys=[(s.name, s.level_m) for s in design.house.storeys],
        least_pa=OVER_BOILING_PA, system=system, theme=SCREEN, size=(104.0, 84.0),
    )  # fmt: skip


def knobs(study: "Study", system: System) -> tuple[Knob, ...]:
    """Everything that can be tried, where the design has it."""
    return tuple(_knobs(study, system))


def _knobs(study: "Study", system: System) -> Iterator[Knob]:
    d = study.design

    def warmth(c: Celsius) -> float:
        return round(convert(c, Kind.TEMPERATURE, system), 1)

    def knob(
        key: str, group: str, label: str, value: float, least: float, most: float, *, note: str = "", step: float = 1.0,
        places: int = 0, unit: str = "", switch: bool = False, at: tuple[str, str, str, str] = ("", "", "", ""),
    ) -> Knob:  # fmt: skip
        return Knob(
            key=key, group=group, label=label, note=note, value=value, least=min(least, value), most=max(most, value),
            step=step, places=places, unit=unit, switch=switch, table=at[0], name=at[1], field=at[2], inside=at[3],
        )  # fmt: skip

    degree, kv = UNITS[system][Kind.TEMPERATURE].text, UNITS[system][Kind.KV]
    outside = d.house.climate.outside_c
    yield knob("outside", "weather", "Air outside", warmth(outside), warmth(min(COLDEST_C, outside)),
               warmth(WARMEST_C), unit=degree, note="the design day in the job stays as it is")  # fmt: skip
    for b in d.boilers:
        yield knob(f"flow:{b.name}", "boiler", "Flow temperature", warmth(b.flow_c), warmth(COOL_C), warmth(b.most_c),
                   unit=degree, note=b.name, at=("boiler", b.name, "flow", ""))  # fmt: skip
    for c in d.circulators:
        yield knob(f"speed:{c.name}", "circulators", c.name, c.speed, SLOW, FAST, step=0.01, places=2,
                   unit="of its curve", at=("circulator", c.name, "speed", ""))  # fmt: skip
    for b in d.boilers:
        if (c := b.circulator) is not None:
            yield knob(f"speed:{c.name}", "circulators", c.name, c.speed, SLOW, FAST, step=0.01, places=2,
                       unit="of its curve", note="built in", at=("boiler", b.name, "circulator", "speed"))  # fmt: skip
    items = {i.name: i for i in d.items}
    fitted = list(
        dict.fromkeys(p.item.name for leg in study.pipework.legs for p in leg.pieces if isinstance(p, InLine))
    )
    for name in fitted:
        i = items.get(name)
        if i is None or i.name == i.kind.value or i.on_branch:
            continue  # a trade kind may stand at several places: it is no single valve
        if i.kind is ItemKind.ZONE_VALVE:
            yield knob(f"shut:{name}", "zones", name, float(i.shut), 0.0, 1.0, switch=True, note="zone valve",
                       at=("item", name, "shut", ""))  # fmt: skip
        elif i.kv_m3_h is not None and i.kind in (ItemKind.BALANCING_VALVE, ItemKind.GLOBE_VALVE, ItemKind.LOCKSHIELD):
            most = convert(i.open_kv_m3_h or 3.0 * i.kv_m3_h, Kind.KV, system)
            yield knob(f"kv:{name}", "valves", name, round(convert(i.kv_m3_h, Kind.KV, system), 3), 0.02, most,
                       step=0.01, places=2, unit=kv.text, note=i.kind.value, at=("item", name, "kv", ""))  # fmt: skip
    rooms = {e.name: e.room for e in d.emitters}
    for emitter, pair in d.emitter_valves:
        own = next((i for n in pair if (i := items.get(n)) is not None and i.name.startswith(f"{emitter} ")), None)
        if own is not None and own.kv_m3_h is not None:
            most = convert(own.open_kv_m3_h or max(1.0, 2.0 * own.kv_m3_h), Kind.KV, system)
            yield knob(f"kv:{own.name}", "valves", emitter, round(convert(own.kv_m3_h, Kind.KV, system), 3), 0.02, most,
                       step=0.01, places=2, unit=kv.text, note=f"{own.kind.value}, {rooms.get(emitter, '')}",
                       at=("emitter", emitter, "lockshield_kv", ""))  # fmt: skip
    for e in d.emitters:
        yield knob(f"shut:{e.name}", "shut", e.name, 0.0, 0.0, 1.0, switch=True, note=e.room)


def trial_of(settings: dict[str, float], study: "Study", system: System) -> Trial:
    """A trial from what the knobs say, in the units shown; keys and numbers that no knob has are left out."""
    known = {k.key: k for k in knobs(study, system)}
    flow, speed, kv = dict[str, float](), dict[str, float](), dict[str, float]()
    shut: list[str] = []
    outside: float | None = None
    for key, value in settings.items():
        knob = known.get(key)
        if knob is None or value == knob.value:
            continue
        held = min(max(value, knob.least), knob.most)
        kind, _, name = key.partition(":")
        if kind == "outside":
            outside = _si(held, Kind.TEMPERATURE, system)
        elif kind == "flow":
            flow[name] = _si(held, Kind.TEMPERATURE, system)
        elif kind == "speed":
            speed[name] = held
        elif kind == "kv":
            kv[name] = _si(held, Kind.KV, system)
        elif kind == "shut" and held >= 0.5:
            shut.append(name)
    return Trial(outside_c=outside, flow_c=flow, speed=speed, kv=kv, shut=tuple(shut))


def _si(value: float, kind: Kind, system: System) -> float:
    unit = UNITS[system][kind]
    return (value + unit.offset) * unit.factor
