"""Rules that water and heat in the network must meet."""

from collections.abc import Sequence
from functools import cache

from wetside.basis.quantity import Kind, System
from wetside.basis.rules import Finding, Rule, Severity
from wetside.basis.si import Metre, MetrePerSecond, PascalPerMetre
from wetside.basis.tables import load, number
from wetside.emitter.spec import Emitter
from wetside.house.reading import HouseLoad
from wetside.network.reading import FlowReading
from wetside.network.spec import Boiler

SPEED = Rule(
    id="NET-01", title="Water speed in tube", sense="at most", kind=Kind.SPEED, source="lthw-notes", places=2,
    remedy="use the next larger tube, or share the load between two runs",
)  # fmt: skip
GRADIENT = Rule(
    id="NET-02", title="Friction per metre of tube", sense="at most", kind=Kind.GRADIENT, source="lthw-notes",
    severity=Severity.ADVISE, remedy="use the next larger tube: the circulator has to make up for every pascal",
)  # fmt: skip
ROOM_HEAT = Rule(
    id="NET-03", title="Emitters give a room what it needs", sense="at least", kind=Kind.POWER,
    source="common practice", places=0,
    remedy="open its valves, raise the flow temperature, or fit a larger emitter",
)  # fmt: skip
EMITTER_DROP = Rule(
    id="NET-04", title="Water cools in an emitter", sense="at most", kind=Kind.DIFFERENCE, source="common practice",
    severity=Severity.ADVISE, places=1,
    remedy="it gets too little water: open its lockshield, throttle the others, or use larger tube",
)  # fmt: skip
LEG_FLOW = Rule(
    id="NET-06", title="A leg that water could pass has flow", sense="at least", kind=Kind.MASS_FLOW,
    source="common practice", severity=Severity.ADVISE, places=0,
    remedy="water stands here: move one of its tees, or leave the leg out",
)  # fmt: skip
ROOM_SETTLES = Rule(
    id="NET-07", title="A room comes to its temperature on the design day", sense="at least", kind=Kind.TEMPERATURE,
    source="common practice", severity=Severity.ADVISE, places=1, near=0.02,
    remedy="give it a larger emitter, open its valves, or raise the flow temperature",
)  # fmt: skip
CIRCULATOR_WAY = Rule(
    id="NET-08", title="A running circulator moves water", sense="at least", kind=Kind.MASS_FLOW,
    source="common practice", severity=Severity.ADVISE, places=0,
    remedy="open a valve on its way, fit a bypass valve, or stop it",
)  # fmt: skip
MIXED = Rule(
    id="NET-09", title="A three-way valve reaches what it is set to", sense="at least", kind=Kind.TEMPERATURE,
    source="common practice", severity=Severity.ADVISE, places=1, near=0.005,
    remedy="its hot way is fully open: raise the flow temperature, or bring more water to that way",
)  # fmt: skip
BOILER_FLOW = Rule(
    id="NET-10", title="Water through a boiler while it fires", sense="at least", kind=Kind.MASS_FLOW,
    source="common practice", places=0, remedy="fit a separator or closely spaced tees, or a bypass valve",
)  # fmt: skip
RULES: tuple[Rule, ...] = (
    SPEED, GRADIENT, ROOM_HEAT, EMITTER_DROP, LEG_FLOW, ROOM_SETTLES, CIRCULATOR_WAY, MIXED, BOILER_FLOW,
)  # fmt: skip

SETTLE_MARGIN_K = 1.0
"""A room may settle so far below its design temperature: half of a thermostatic valve's band."""
MIXED_MARGIN_K = 0.5

MOST_DROP_K = 25.0
KG_PER_M3 = 1000.0
LEAST_FLOW_KG_S = 1.0 / 3600.0
"""Below 1 kg/h a leg counts as standing."""


@cache
def _limits(system: System) -> tuple[tuple[Metre, MetrePerSecond, PascalPerMetre], ...]:
    rows = [r for r in load("water_speed").rows if r["system"] == system.value]
    return tuple((number(r, "bore_to"), number(r, "speed"), number(r, "gradient")) for r in rows)


def default_limits(bore_m: Metre, system: System) -> tuple[MetrePerSecond, PascalPerMetre]:
    """Speed and gradient at most in a bore (table `water_speed`)."""
    rows = _limits(system)
    _, speed, gradient = next((r for r in rows if bore_m <= r[0] + 1e-9), rows[-1])
    return speed, gradient


def judge(
    reading: FlowReading,
    house_load: HouseLoad,
    emitters: Sequence[Emitter],
    *,
    speed_m_s: MetrePerSecond | None = None,
    gradient_pa_m: PascalPerMetre | None = None,
    system: System = System.METRIC,
    settled: FlowReading | None = None,
    boilers: Sequence[Boiler] = (),
) -> tuple[Finding, ...]:
    """Judge every leg, emitter and room, circulator, three-way valve and boiler.

    :param settled: the design day with rooms left to settle

    :param speed_m_s: the person's own limit; by bore from the table when not given
    :param gradient_pa_m: likewise
    :param system: whose design practice the table's limits follow
    """
    found: list[Finding] = []
    for leg in reading.legs:
        if leg.still:
            continue
        subject, place = f"run {leg.name}, {leg.tube}", f"leg:{leg.name}"
        speed, gradient = default_limits(leg.bore_m, system)
        limit = speed if speed_m_s is None else speed_m_s
        found.append(SPEED.judge(subject, leg.velocity_m_s, limit, place=place))
        limit = gradient if gradient_pa_m is None else gradient_pa_m
        found.append(GRADIENT.judge(subject, leg.gradient_pa_m, limit, place=place))
        found.append(LEG_FLOW.judge(subject, abs(leg.flow_kg_s), LEAST_FLOW_KG_S, place=place))
    for e in reading.emitters:
        subject, place = f"{e.name}, {e.room}", f"emitter:{e.name}"
        drop = e.supply_c - e.return_c if e.flow_kg_s >= LEAST_FLOW_KG_S else None
        found.append(EMITTER_DROP.judge(subject, drop, MOST_DROP_K, missing="no water flows through it", place=place))
    return (
        *found,
        *_rooms(reading, house_load, emitters),
        *(_settled(settled, emitters) if settled is not None else ()),
        *_plant(reading, boilers),
    )


def _settled(settled: FlowReading, emitters: Sequence[Emitter]) -> list[Finding]:
    having = {e.room for e in emitters}
    return [
        ROOM_SETTLES.judge(r.name, r.temperature_c, r.wanted_c - SETTLE_MARGIN_K, place=f"room:{r.name}")
        for r in settled.rooms
        if r.heated and r.name in having
    ]


def _plant(reading: FlowReading, boilers: Sequence[Boiler]) -> list[Finding]:
    found: list[Finding] = []
    for c in reading.circulators:
        if c.running:
            cause = (
                "" if c.way else f"every way out of circulator {c.name} is shut: open a valve, or fit a bypass valve"
            )
            moved = max(c.flow_m3_s, 0.0) * KG_PER_M3
            place = f"circulator:{c.name}"
            found.append(CIRCULATOR_WAY.judge(c.name, moved, LEAST_FLOW_KG_S, place=place, remedy=cause))
    for v in reading.three_ways:
        if v.set_c is not None:
            limit, place = v.set_c - MIXED_MARGIN_K, f"three_way:{v.name}"
            found.append(MIXED.judge(v.name, v.mixed_c, limit, missing="no water passes it", place=place))
    wants = {b.name: b.least_flow_kg_s for b in boilers if b.least_flow_kg_s > 0.0}
    found += [
        BOILER_FLOW.judge(b.name, abs(b.flow_kg_s), wants[b.name], place=f"boiler:{b.name}")
        for b in reading.boilers
        if b.name in wants and b.output_w > 0.0
    ]
    return found


def _rooms(reading: FlowReading, house_load: HouseLoad, emitters: Sequence[Emitter]) -> list[Finding]:
    found: list[Finding] = []
    given: dict[str, float] = {}
    for e in reading.emitters:
        given[e.room] = given.get(e.room, 0.0) + e.output_w
    having = {e.room for e in emitters}
    for room in house_load.rooms:
        if not room.heated or room.load_w <= 0.0:
            continue
        place = f"room:{room.name}"
        if room.name not in having:
            found.append(ROOM_HEAT.judge(room.name, 0.0, room.load_w, place=place, remedy="it has no emitter: fit one"))
        elif not reading.legs:
            found.append(ROOM_HEAT.judge(room.name, None, room.load_w, missing="no run is drawn yet", place=place))
        else:
            found.append(ROOM_HEAT.judge(room.name, given.get(room.name, 0.0), room.load_w, place=place))
    return found
