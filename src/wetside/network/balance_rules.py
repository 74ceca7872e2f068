"""Rules that a balanced system meets, judged as it is set now."""

from wetside.basis.quantity import Kind
from wetside.basis.rules import Finding, Rule, Severity
from wetside.basis.si import KgPerSecond, Ratio
from wetside.network.equipment import Equipment
from wetside.network.reading import FlowReading
from wetside.network.ways import Wish, duty, ways
from wetside.pipework.reading import Pipework

NEAR_DESIGN = Rule(
    id="BAL-01", title="Emitters get their design flow", sense="at most", kind=Kind.SHARE, source="common practice",
    severity=Severity.ADVISE, remedy="set its valve and the circulator as the balancing sheet says", near=0.0,
)  # fmt: skip
QUIET_VALVE = Rule(
    id="BAL-02", title="Pressure over an emitter and its valves", sense="at most", kind=Kind.HEAD,
    source="common practice", severity=Severity.ADVISE,
    remedy="slow the circulator: valves whistle, and thermostatic ones can't close, against so much pressure",
)  # fmt: skip
RULES: tuple[Rule, ...] = (NEAR_DESIGN, QUIET_VALVE)

MOST_OFF: Ratio = 0.10
MOST_PA = 20e3


def design_flows(pipework: Pipework, equipment: Equipment, wish: Wish, reading: FlowReading) -> dict[str, KgPerSecond]:
    """Design flow of every emitter that water passes, at the temperatures of a reading.

    :raises JobProblem: the net can't be made
    """
    at = {e.name: e for e in reading.emitters}
    made = equipment.made(pipework)
    found: dict[str, KgPerSecond] = {}
    for way in ways(pipework, equipment, made, {n: e.flow_kg_s for n, e in at.items()}):
        into = tuple(at[n].supply_c for n in way.names)
        out = (into[0], *(at[n].return_c for n in way.names))
        cooled = tuple(max(o - a, 0.0) for o, a in zip(out, into, strict=False))
        flow = duty(way, equipment, wish, into, cooled).flow_kg_s
        found.update(dict.fromkeys(way.names, flow))
    return found


def judge(pipework: Pipework, equipment: Equipment, wish: Wish, reading: FlowReading) -> tuple[Finding, ...]:
    """The emitter whose flow is furthest from its design, and the one that bears the most pressure."""
    if not reading.emitters:
        return ()
    wanted = design_flows(pipework, equipment, wish, reading)
    off = {e: abs(e.flow_kg_s / wanted[e.name] - 1.0) for e in reading.emitters if wanted.get(e.name, 0.0) > 0.0}
    pressure = {n.name: n.pressure_pa for n in reading.nodes}
    bears = {e: abs(pressure[f"{e.name}.flow"] - pressure[f"{e.name}.return"]) for e in reading.emitters}
    found: list[Finding] = []
    if off:
        worst = max(off, key=lambda e: (off[e], e.name))
        found.append(
            NEAR_DESIGN.judge(f"{worst.name}, {worst.room}", off[worst], MOST_OFF, place=f"emitter:{worst.name}")
        )
    most = max(bears, key=lambda e: (bears[e], e.name))
    found.append(QUIET_VALVE.judge(f"{most.name}, {most.room}", bears[most], MOST_PA, place=f"emitter:{most.name}"))
    return tuple(found)
