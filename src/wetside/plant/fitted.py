"""Rules of what is there at all and joined: relief valve, vessel, circulators, water the right way through a boiler."""

from collections.abc import Iterator, Sequence

from wetside.basis.quantity import Kind
from wetside.basis.rules import Finding, Rule, Severity
from wetside.network.reading import FlowReading
from wetside.network.spec import Boiler, Circulator
from wetside.pipework.reading import InLine, Pipework
from wetside.pipework.spec import ItemKind, Port
from wetside.plant.openway import valves_to_vessel
from wetside.plant.spec import Plant

LEAST_THROUGH_KG_S = 1.0 / 3600.0
"""Below 1 kg/h no water counts as going through a boiler."""

THROUGH = Rule(
    "PLA-21", "Water goes through a boiler from return to flow", "at least", Kind.MASS_FLOW, "common practice",
    places=0, near=-1.0,
    remedy="no water goes through it: see that its circuit is open and that a circulator drives it",
)  # fmt: skip
RELIEF_STATED = Rule(
    "PLA-22", "A relief valve is there", "at least", Kind.NUMBER, "en-12828-relief", places=0, near=-1.0, safety=True,
    remedy="add [[relief]] with what its plate says, and a run from the boiler to it",
)  # fmt: skip
VESSEL_STATED = Rule(
    "PLA-23", "An expansion vessel is there", "at least", Kind.NUMBER, "en-12828-annex-d", places=0, near=-1.0,
    remedy="add [[vessel]] with its volume and charge, and a run to it",
)  # fmt: skip
VESSEL_OPEN = Rule(
    "PLA-24", "Ways from boiler to vessel that no valve can shut", "at least", Kind.NUMBER, "en-12828-annex-d",
    places=0, near=-1.0,
    remedy="join the vessel to the heating with no valve between, or with a valve whose handle is taken off",
)  # fmt: skip
PIPED = Rule(
    "PLA-25", "Runs at equipment that has a place", "at least", Kind.NUMBER, "common practice", Severity.ADVISE,
    places=0, near=-1.0,
    remedy="lead a run to it, or leave its place out",
)  # fmt: skip
FITTED = Rule(
    "PLA-26", "Times that a circulator is fitted in a run", "at least", Kind.NUMBER, "common practice", places=0,
    near=-1.0,
    remedy="fit it in a run, or leave its table out",
)  # fmt: skip
RULES: tuple[Rule, ...] = (THROUGH, RELIEF_STATED, VESSEL_STATED, VESSEL_OPEN, PIPED, FITTED)


def judge(
    *,
    plant: Plant,
    pipework: Pipework,
    flow: FlowReading | None,
    boilers: Sequence[Boiler],
    circulators: Sequence[Circulator],
    ports: Sequence[Port],
) -> Iterator[Finding]:
    """The rules of this module.

    :param flow: a reading that converged, or `None`
    :param circulators: those that runs fit, without boilers' own
    :param ports: of everything that has a place, whether a run reaches it or not
    """
    yield from _through(boilers, circulators, flow)
    if boilers:
        for rule, thing, word in (
            (RELIEF_STATED, plant.relief, "relief valve"),
            (VESSEL_STATED, plant.vessel, "expansion vessel"),
        ):
            name = thing.name if thing is not None else ""
            yield rule.judge(name or word, float(thing is not None), 1.0, place=name)
    yield from _vessel_open(plant, pipework, boilers, ports)
    reached = {node.port.owner for node in pipework.nodes if node.port is not None}
    for owner in dict.fromkeys(p.owner for p in ports if p.owner_kind in ("equipment", "tank")):
        runs = sum(node.port is not None and node.port.owner == owner for node in pipework.nodes)
        yield PIPED.judge(owner, float(runs if owner in reached else 0), 1.0, place=owner)
    for circulator in circulators:
        yield FITTED.judge(circulator.name, float(times_fitted(pipework, circulator.name)), 1.0, place=circulator.name)


def times_fitted(pipework: Pipework, circulator: str) -> int:
    """How often runs fit a circulator."""
    return sum(
        isinstance(p, InLine) and p.item.kind is ItemKind.CIRCULATOR and p.item.name == circulator
        for leg in pipework.legs
        for p in leg.pieces
    )


def _through(
    boilers: Sequence[Boiler], circulators: Sequence[Circulator], flow: FlowReading | None
) -> Iterator[Finding]:
    states = {s.name: s for s in flow.boilers} if flow is not None else {}
    for boiler in boilers:
        state = states.get(boiler.name)
        missing = "the flow reading" if flow is None else "runs at its flow and return"
        remedy = ""
        if state is not None and state.flow_kg_s < 0.0:
            names = " or ".join(c.name for c in circulators)
            turn = f"turn {names} round" if names else "find what drives it backwards"
            remedy = f"{turn}: a circulator pumps in the direction in which its run is written; or swap flow and return"
        yield THROUGH.judge(
            boiler.name,
            None if state is None else state.flow_kg_s,
            LEAST_THROUGH_KG_S,
            missing=missing,
            remedy=remedy,
            place=boiler.name,
        )


def _vessel_open(
    plant: Plant, pipework: Pipework, boilers: Sequence[Boiler], ports: Sequence[Port]
) -> Iterator[Finding]:
    vessel = plant.vessel
    if vessel is None:
        return
    placed = any(p.owner == vessel.name for p in ports)
    for boiler in boilers:
        subject = f"{boiler.name} to {vessel.name}"
        valves = valves_to_vessel(pipework, boiler.name, vessel.name)
        if valves:
            remedy = f"take out {', '.join(valves)}, or take its handle off and accept this"
            yield VESSEL_OPEN.judge(subject, 0.0, 1.0, remedy=remedy, place=vessel.name)
        elif valves is not None:
            yield VESSEL_OPEN.judge(subject, 1.0, 1.0, place=vessel.name)
        elif placed and pipework.legs:
            remedy = f"no run joins {vessel.name} to {boiler.name}: lead one to it"
            yield VESSEL_OPEN.judge(subject, 0.0, 1.0, remedy=remedy, place=vessel.name)
        else:
            missing = (
                "any run" if placed else f"where {vessel.name} is joined (at and faces), unless it is in the boiler"
            )
            yield VESSEL_OPEN.judge(subject, None, 1.0, missing=missing, place=vessel.name)
