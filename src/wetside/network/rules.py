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
RULES: tuple[Rule, ...] = (SPEED, GRADIENT, ROOM_HEAT, EMITTER_DROP, LEG_FLOW)

MOST_DROP_K = 25.0
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
) -> tuple[Finding, ...]:
    """Judge every leg, emitter and room.

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
    return (*found, *_rooms(reading, house_load, emitters))


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
