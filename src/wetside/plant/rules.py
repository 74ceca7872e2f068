"""Rules of the boiler room, and the one function that judges them all."""

from collections.abc import Iterator

from wetside.basis.quantity import Kind, System, show
from wetside.basis.record import record
from wetside.basis.rules import Finding, Rule, Severity
from wetside.basis.si import Celsius, CubicMetre, Pascal, Watt
from wetside.emitter.spec import Emitter
from wetside.fluid.fuel import NATURAL_GAS, dew_point
from wetside.house.reading import HouseLoad
from wetside.network.reading import FlowReading
from wetside.network.spec import Boiler, Circulator, Tank
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Port
from wetside.plant import fitted
from wetside.plant.hot_water import warmed_flow
from wetside.plant.openway import valves_between
from wetside.plant.pressure import Expansion, Lowest, cold_density, expansion, fill, highest, hot_at_vessel, lowest
from wetside.plant.relief import size_for
from wetside.plant.separation import least_after, least_before, most_spacing
from wetside.plant.spec import Plant, Vessel
from wetside.plant.static import column_pressure, pressure_at
from wetside.plant.tees import measure
from wetside.plant.vessel import FILL_OVER_CHARGE_PA, least_charge, needed_volume, relief_margin

EXCESS_AIR = 0.2
TURNDOWN = 0.5
"""Share of the design load down to which a boiler should run through without cycling."""
TOP_COLD_PA = 0.3e5
MOST_TAP_C = 49.0
LEAST_STORE_C = 60.0

OUTPUT = Rule(
    "PLA-01", "Boiler output against load and pipe losses", "at least", Kind.POWER, "common practice",
    remedy="choose a larger boiler, or lower the load; insulate pipes outside heated rooms",
)  # fmt: skip
CYCLING = Rule(
    "PLA-02", "Least boiler output against half the load", "at most", Kind.POWER, "common practice", Severity.ADVISE,
    remedy="choose a boiler that turns down further, or expect it to cycle in mild weather; a buffer helps",
)  # fmt: skip
MOST_FLOW = Rule(
    "PLA-03", "Set flow temperature", "at most", Kind.TEMPERATURE, "common practice", safety=True,
    remedy="set the flow temperature to what the boiler maker allows",
)  # fmt: skip
CONDENSING = Rule(
    "PLA-04", "Return temperature for condensing", "at most", Kind.TEMPERATURE, "flue-dew-point", Severity.ADVISE,
    remedy="lower the flow temperature or the flows; above this the boiler doesn't condense",
)  # fmt: skip
VESSEL_VOLUME = Rule(
    "PLA-05", "Expansion vessel volume, for water at the boiler's most", "at least", Kind.WATER_VOLUME,
    "en-12828-annex-d",
    remedy="fit a larger vessel, or a second one beside it",
)  # fmt: skip
VESSEL_CHARGE = Rule(
    "PLA-06", "Vessel charge over the water standing above it", "at least", Kind.PRESSURE, "en-12828-annex-d",
    remedy="pump up the vessel's gas side, with its water side empty",
)  # fmt: skip
CHARGE_FILL = Rule(
    "PLA-07", "Vessel charge under the cold fill", "at most", Kind.PRESSURE, "common practice", Severity.ADVISE,
    remedy="fill the cold system higher, or let gas out of the vessel, so that it holds a reserve of water",
)  # fmt: skip
RELIEF_SET = Rule(
    "PLA-08", "Relief valve set pressure", "at most", Kind.PRESSURE, "en-12828-relief",
    near=-1.0, safety=True,
    remedy="fit a relief valve that opens no higher than the weakest boiler is rated for",
)  # fmt: skip
RELIEF_CAPACITY = Rule(
    "PLA-09", "Relief valve capacity against boiler output", "at least", Kind.POWER, "en-12828-relief", safety=True,
    remedy="fit a relief valve that passes the whole boiler output",
)  # fmt: skip
RELIEF_OPEN = Rule(
    "PLA-10", "Ways from boiler to relief valve that no valve can shut", "at least", Kind.NUMBER, "en-12828-relief",
    places=0, near=-1.0, safety=True,
    remedy="join the relief valve to the boiler with no valve between",
)  # fmt: skip
TOP_COLD = Rule(
    "PLA-11", "Pressure at the highest point, cold", "at least", Kind.PRESSURE, "common practice",
    remedy="fill to a higher pressure",
)  # fmt: skip
RUNNING = Rule(
    "PLA-12", "Lowest pressure with the circulator running, cold and at the boiler's most", "at least", Kind.PRESSURE,
    "common practice",
    remedy="fill to a higher pressure, or join the vessel on the suction side of the circulator",
)  # fmt: skip
HOT = Rule(
    "PLA-13", "Pressure at the relief valve, hot: at the boiler's most", "at most", Kind.PRESSURE, "en-12828-annex-d",
    remedy="fit a larger vessel or fill lower, or the relief valve will weep",
)  # fmt: skip
SPACING = Rule(
    "PLA-14", "Centre distance of separating tees", "at most", Kind.SIZE, "tee-manuals",
    remedy="set the tees closer, or make the tube between them larger",
)  # fmt: skip
BEFORE = Rule(
    "PLA-15", "Straight tube before separating tees", "at least", Kind.SIZE, "tee-manuals", Severity.ADVISE,
    remedy="move the turn or the valve before the tees further away",
)  # fmt: skip
AFTER = Rule(
    "PLA-16", "Straight tube after separating tees", "at least", Kind.SIZE, "tee-manuals", Severity.ADVISE,
    remedy="move the turn or the valve after the tees further away",
)  # fmt: skip
CURVE = Rule(
    "PLA-17", "Circulator duty inside its curve", "at most", Kind.FLOW, "common practice", Severity.ADVISE,
    remedy="throttle the circuit, or choose a circulator for more flow",
)  # fmt: skip
TAP_FLOW = Rule(
    "PLA-18", "Hot-water flow in winter", "at least", Kind.MASS_FLOW, "common practice",
    remedy="choose more hot-water output, a tank, or a smaller flow at a time",
)  # fmt: skip
TAP_HOT = Rule(
    "PLA-19", "Temperature at the taps", "at most", Kind.TEMPERATURE, "tap-49", Severity.ADVISE, safety=True,
    remedy="fit mixing valves: hotter water scalds",
)  # fmt: skip
STORE_HOT = Rule(
    "PLA-20", "Temperature of stored hot water", "at least", Kind.TEMPERATURE, "hsg-274", Severity.ADVISE,
    near=-1.0, safety=True,
    remedy="store hotter and mix down at the taps: Legionella grows in tepid water",
)  # fmt: skip

RULES: tuple[Rule, ...] = (
    OUTPUT, CYCLING, MOST_FLOW, CONDENSING, VESSEL_VOLUME, VESSEL_CHARGE, CHARGE_FILL, RELIEF_SET, RELIEF_CAPACITY,
    RELIEF_OPEN, TOP_COLD, RUNNING, HOT, SPACING, BEFORE, AFTER, CURVE, TAP_FLOW, TAP_HOT, STORE_HOT, *fitted.RULES,
)  # fmt: skip


@record
class _Case:
    """All that the rules look at."""

    load: HouseLoad
    flow: FlowReading | None
    pipework: Pipework
    water_m3: CubicMetre
    emitters: tuple[Emitter, ...]
    boilers: tuple[Boiler, ...]
    circulators: tuple[Circulator, ...]
    tanks: tuple[Tank, ...]
    plant: Plant
    cold_water_c: Celsius
    ports: tuple[Port, ...]
    system: System

    @property
    def output_w(self) -> Watt:
        return sum(b.output_w for b in self.boilers)

    @property
    def hot_c(self) -> Celsius:
        """The hottest that any boiler can be set to."""
        return max((max(b.most_c, b.flow_c) for b in self.boilers), default=80.0)


def judge(
    *,
    load: HouseLoad,
    flow: FlowReading | None,
    pipework: Pipework,
    water_m3: CubicMetre,
    boilers: tuple[Boiler, ...],
    plant: Plant,
    cold_water_c: Celsius,
    circulators: tuple[Circulator, ...] = (),
    tanks: tuple[Tank, ...] = (),
    emitters: tuple[Emitter, ...] = (),
    ports: tuple[Port, ...] = (),
    system: System = System.METRIC,
) -> tuple[Finding, ...]:
    """Every rule of the boiler room, in the order of `RULES`.

    :param flow: `None`, or a reading that didn't converge, leaves what hangs on it not known
    :param water_m3: content of the whole heating system
    :param circulators: those in the runs; a boiler's own is found at the boiler
    :param emitters: their tops count as high points
    :param ports: of everything that has a place, whether a run reaches it or not
    :param system: units of numbers in remedies
    """
    case = _Case(
        load=load,
        flow=flow if flow is not None and flow.converged else None,
        pipework=pipework,
        water_m3=water_m3,
        emitters=emitters,
        boilers=boilers,
        circulators=circulators,
        tanks=tanks,
        plant=plant,
        cold_water_c=cold_water_c,
        ports=ports,
        system=system,
    )
    parts = (_boiler(case), _vessel(case), _relief(case), _pressure(case), _tees(case), _curves(case), _taps(case),
             fitted.judge(plant=plant, pipework=pipework, flow=case.flow, boilers=boilers, circulators=circulators,
                          ports=ports))  # fmt: skip
    found = [finding for part in parts for finding in part]
    order = {rule.id: place for place, rule in enumerate(RULES)}
    return tuple(sorted(found, key=lambda f: order[f.rule.id]))


def _outside_loss(case: _Case) -> Watt | None:
    """Heat of the pipes that no heated room gets."""
    if case.flow is None:
        return None
    heated = {room.name for room in case.load.rooms if room.heated}
    lost = {leg.name for leg in case.pipework.legs if leg.room not in heated}
    return sum(leg.loss_w for leg in case.flow.legs if leg.name in lost)


def _boiler(case: _Case) -> Iterator[Finding]:
    names = " + ".join(b.name for b in case.boilers)
    if not case.boilers:
        yield OUTPUT.judge("boiler", None, case.load.building_w, missing="a boiler")
        return
    lost = _outside_loss(case)
    needed = None if lost is None else case.load.building_w + lost
    parts = (("for the house", case.load.building_w), ("from tube outside heated rooms", lost or 0.0))
    yield OUTPUT.judge(
        names,
        case.output_w,
        needed,
        missing="pipe losses (the flow reading)",
        place=case.boilers[0].name,
        parts=parts if needed is not None else (),
    )
    least = min(b.least_w for b in case.boilers)
    yield CYCLING.judge(names, least, TURNDOWN * case.load.building_w, place=case.boilers[0].name)
    for boiler in case.boilers:
        yield MOST_FLOW.judge(boiler.name, boiler.flow_c, boiler.most_c, place=boiler.name)
        if boiler.condensing:
            back, missing = _return_c(case, boiler)
            limit = dew_point(NATURAL_GAS, EXCESS_AIR)
            yield CONDENSING.judge(boiler.name, back, limit, missing=missing, place=boiler.name)


def _return_c(case: _Case, boiler: Boiler) -> tuple[Celsius | None, str]:
    """Temperature of the water that comes back, or why there is none."""
    if case.flow is None:
        return None, "return temperature (the flow reading)"
    state = next((s for s in case.flow.boilers if s.name == boiler.name), None)
    if state is None:
        return None, "runs at its flow and return"
    if state.flow_kg_s < fitted.LEAST_THROUGH_KG_S:
        way = "it goes through backwards" if state.flow_kg_s <= -fitted.LEAST_THROUGH_KG_S else "none goes through it"
        return None, f"water from return to flow: {way} ({fitted.THROUGH.id})"
    return state.return_c, ""


def _missing(**things: object) -> str:
    """Names the things that aren't there: ``"an expansion vessel and a relief valve"``."""
    words = {"vessel": "an expansion vessel", "relief": "a relief valve", "filled": "the cold fill pressure",
             "top": "runs or emitters"}  # fmt: skip
    return " and ".join(words[name] for name, thing in things.items() if thing is None)


def _vessel(case: _Case) -> Iterator[Finding]:
    plant, vessel, relief = case.plant, case.plant.vessel, case.plant.relief
    filled, top = fill(plant), highest(case.pipework, case.emitters)
    if vessel is None:
        for rule in (VESSEL_VOLUME, VESSEL_CHARGE, CHARGE_FILL):
            yield rule.judge("expansion vessel", None, None, missing=_missing(vessel=vessel))
        return
    name = vessel.name
    grown = expansion(plant, vessel, relief, case.water_m3, case.hot_c) if relief is not None else None
    least = None
    if top is not None:
        static = column_pressure(cold_density(plant), max(top.height_m - vessel.at_height_m, 0.0))
        least = _as_read(least_charge(static, case.hot_c))
    most = _as_read(filled.at(vessel.at_height_m) - FILL_OVER_CHARGE_PA) if filled is not None else None
    yield VESSEL_VOLUME.judge(
        name,
        vessel.volume_m3,
        grown.needed_m3 if grown is not None else None,
        missing=f"a charge under the {_bar(case, grown.final_pa)} that the hot system may reach"
        if grown is not None
        else _missing(relief=relief),
        remedy=_volume_remedy(case, vessel, grown, least),
        place=name,
    )
    subject = f"{name}, under {top.name}" if top is not None else name
    remedy = "" if least is None else f"pump up the vessel's gas to {_bar(case, least)}, with its water side empty"
    yield VESSEL_CHARGE.judge(subject, vessel.charge_pa, least, missing=_missing(top=top), remedy=remedy, place=name)
    remedy = ""
    if least is not None and most is not None:
        fill_higher = "fill the cold system higher, so that the vessel holds a reserve of water"
        if vessel.charge_pa > least and most >= least:
            remedy = f"let gas out of the vessel until it stands between {_bar(case, least)} and {_bar(case, most)}"
        elif vessel.charge_pa > least:
            remedy = f"let gas out of the vessel down to {_bar(case, least)}; then {fill_higher}"
        else:
            remedy = fill_higher
    yield CHARGE_FILL.judge(name, vessel.charge_pa, most, missing=_missing(filled=filled), remedy=remedy, place=name)


def _volume_remedy(case: _Case, vessel: Vessel, grown: Expansion | None, least: Pascal | None) -> str:
    """What is cheapest first: letting gas out, where more than needed is in and the vessel then is large enough."""
    if grown is None or least is None or vessel.charge_pa <= least:
        return ""
    needed = needed_volume(grown.water_m3, case.water_m3, least, grown.final_pa)
    let_out = f"let gas out of the vessel down to {_bar(case, least)}"
    if needed is not None and needed <= vessel.volume_m3:
        return f"{let_out}: it is then large enough"
    if needed is None or grown.needed_m3 is None:
        return let_out
    enough = show(needed, Kind.WATER_VOLUME, case.system)
    return f"{VESSEL_VOLUME.remedy}; with its gas let out to {_bar(case, least)}, {enough} is enough"


def _as_read(pressure_pa: Pascal) -> Pascal:
    """To 0.01 bar: nobody sets a charge finer than a gauge reads."""
    return round(pressure_pa / 1e3) * 1e3


def _bar(case: _Case, pressure_pa: Pascal) -> str:
    return show(pressure_pa, Kind.PRESSURE, case.system)


def _relief(case: _Case) -> Iterator[Finding]:
    relief = case.plant.relief
    name = relief.name if relief is not None else "relief valve"
    place = relief.name if relief is not None else ""
    rated = min((b.rated_pressure_pa for b in case.boilers), default=None)
    missing = "a relief valve" if relief is None else "a boiler"
    yield RELIEF_SET.judge(name, relief.opens_pa if relief else None, rated, missing=missing, place=place)
    size = size_for(case.output_w)
    remedy = RELIEF_CAPACITY.remedy + (f"; at 3 bar {size} does" if size else "")
    yield RELIEF_CAPACITY.judge(
        name,
        relief.capacity_w if relief else None,
        case.output_w if case.boilers else None,
        missing=missing if relief is None or not case.boilers else "the valve's capacity (read its plate)",
        remedy=remedy,
        place=place,
    )
    for boiler in case.boilers:
        subject = f"{boiler.name} to {name}"
        valves = valves_between(case.pipework, boiler.name, relief.name) if relief else None
        if valves is None:
            what = "a relief valve" if relief is None else f"a run from {boiler.name} to {name}"
            yield RELIEF_OPEN.judge(subject, None, 1.0, missing=what, place=place)
            continue
        remedy = f"take out {', '.join(valves)}, or move the relief valve" if valves else ""
        yield RELIEF_OPEN.judge(subject, 0.0 if valves else 1.0, 1.0, remedy=remedy, place=place)


def _pressure(case: _Case) -> Iterator[Finding]:
    plant, vessel, relief = case.plant, case.plant.vessel, case.plant.relief
    filled = fill(plant)
    top = highest(case.pipework, case.emitters)
    measured = filled.at(top.height_m) if filled is not None and top is not None else None
    yield TOP_COLD.judge(
        top.name if top else "highest point",
        measured,
        TOP_COLD_PA,
        missing=_missing(filled=filled, top=top),
        place=top.name if top else "",
    )
    missing = _missing(vessel=vessel, relief=relief, filled=filled)
    if vessel is None or relief is None or filled is None:
        yield RUNNING.judge("system", None, None, missing=missing)
        limit = relief.opens_pa - relief_margin(relief.opens_pa) if relief else None
        yield HOT.judge(relief.name if relief else "relief valve", None, limit, missing=missing)
        return
    grown = expansion(plant, vessel, relief, case.water_m3, case.hot_c).water_m3
    hot_pa = hot_at_vessel(vessel, relief, filled, grown)
    for hot, vessel_pa in ((False, filled.at(vessel.at_height_m)), (True, hot_pa)):
        word = "hot" if hot else "cold"
        low = _lowest(case, vessel, vessel_pa, hot=hot)
        if low is None:
            yield RUNNING.judge(f"system, {word}", None, None, missing="the flow reading")
        else:
            yield RUNNING.judge(f"{low.name}, {word}", low.pressure_pa, low.least_pa, place=low.name)
    at_relief = pressure_at(relief.at_height_m, hot_pa, vessel.at_height_m, filled.density_kg_m3)
    cold = filled.at(relief.at_height_m)
    limit = relief.opens_pa - relief_margin(relief.opens_pa)
    remedy = ""
    if cold > limit:
        remedy = f"fill lower, or look at gauge_height: cold it stands at {_bar(case, cold)} already"
    yield HOT.judge(relief.name, max(at_relief, cold), limit, remedy=remedy, place=relief.name)


def _lowest(case: _Case, vessel: Vessel, vessel_pa: Pascal, *, hot: bool) -> Lowest | None:
    if case.flow is None:
        return None
    return lowest(case.flow, case.pipework, vessel, vessel_pa, case.plant, hot=hot)


def _tees(case: _Case) -> Iterator[Finding]:
    for pair in case.plant.pairs:
        subject = f"{pair.first} and {pair.second}"
        seen = measure(pair, case.pipework, case.flow)
        if seen is None:
            missing = f"{pair.first} and {pair.second} as neighbouring tees of one run"
            for rule in (SPACING, BEFORE, AFTER):
                yield rule.judge(subject, None, None, missing=missing, place=pair.first)
            continue
        yield SPACING.judge(subject, seen.spacing_m, most_spacing(seen.bore_m), place=pair.first)
        yield BEFORE.judge(subject, seen.before_m, least_before(seen.bore_m), place=pair.first)
        yield AFTER.judge(subject, seen.after_m, least_after(seen.bore_m), place=pair.first)


def _curves(case: _Case) -> Iterator[Finding]:
    known = (*case.circulators, *(b.circulator for b in case.boilers if b.circulator is not None))
    duty = {c.name: c.flow_m3_s for c in case.flow.circulators} if case.flow is not None else {}
    for circulator in known:
        most = circulator.points[-1][0] * circulator.speed if circulator.points else None
        missing = "its curve" if most is None else _no_duty(case, circulator)
        yield CURVE.judge(circulator.name, duty.get(circulator.name), most, missing=missing, place=circulator.name)


def _no_duty(case: _Case, circulator: Circulator) -> str:
    if circulator in case.circulators and not fitted.times_fitted(case.pipework, circulator.name):
        return f"a run that it is fitted in ({fitted.FITTED.id})"
    return "its duty (the flow reading)"


def _taps(case: _Case) -> Iterator[Finding]:
    wants = case.plant.hot_water
    makers = [b for b in case.boilers if b.hot_water_w is not None]
    if wants.wanted_kg_s is not None and (makers or not case.tanks):
        power = sum(b.hot_water_w or 0.0 for b in makers)
        sound = bool(makers) and wants.hot_c > case.cold_water_c
        have = warmed_flow(power, case.cold_water_c, wants.hot_c) if sound else None
        yield TAP_FLOW.judge(
            " + ".join(b.name for b in makers) or "hot water",
            have,
            wants.wanted_kg_s,
            missing="a boiler with hot-water output" if not makers else "hot water hotter than the cold main",
            place=makers[0].name if makers else "",
        )
    if makers or case.tanks:
        yield TAP_HOT.judge("taps", wants.hot_c, MOST_TAP_C)
    for tank in case.tanks:
        yield STORE_HOT.judge(tank.name, tank.store_c, LEAST_STORE_C, place=tank.name)
