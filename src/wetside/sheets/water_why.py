"""How a number of the water at work came about, in the state that is tried."""

from typing import TYPE_CHECKING

from wetside.basis.quantity import Kind, System, number_text, show
from wetside.network.reading import FlowReading
from wetside.sheets.why import LOSS, NETWORK, OUTPUT, Step, Why
from wetside.study.trial import Trial, at_work

if TYPE_CHECKING:
    from wetside.study.study import Study


def explain_water(study: "Study", trial: Trial, of: str, system: System) -> Why:
    """How a number came about.

    :param of: ``leg:NAME``, ``room:NAME`` (where it settles), ``emitter:NAME`` or ``circulator:NAME``
    :raises JobProblem: the trial can't be
    :raises NoSolution: the net did not settle
    """
    kind, _, name = of.partition(":")
    reading = at_work(study, trial)
    makers = {"leg": _leg, "room": _room, "emitter": _emitter, "circulator": _circulator}
    maker = makers.get(kind)
    return Why(title="", steps=()) if maker is None else maker(study, reading, name, system)


def _step(what: str, sum_: str, out: str, source: str = "", kind: str = "") -> Step:
    return Step(what=what, sum=sum_, out=out, source=source, kind=kind)


def _leg(study: "Study", reading: FlowReading, name: str, system: System) -> Why:
    x = next((leg for leg in reading.legs if leg.name == name), None)
    if x is None:
        return Why(title="", steps=())
    flow = show(abs(x.flow_kg_s), Kind.MASS_FLOW, system)
    bore, length = show(x.bore_m, Kind.SIZE, system, 1), show(x.length_m, Kind.LENGTH, system)
    speed, slope = show(x.velocity_m_s, Kind.SPEED, system), show(x.gradient_pa_m, Kind.GRADIENT, system)
    tube = x.gradient_pa_m * x.length_m
    head = show(x.drop_pa, Kind.HEAD, system, 3)
    return Why(
        title=f"{name}: {flow}",
        steps=(
            _step("water", "what the branches beyond it take, with every valve as it stands", flow, NETWORK),
            _step("speed", f"flow / (density × area of a bore of {bore})", speed),
            _step("friction of the tube", "friction factor / bore × density × speed² / 2", slope, NETWORK),
            _step("tube", f"{slope} × {length}, where it is steepest", show(tube, Kind.HEAD, system, 3)),
            _step("tube, fittings and items", "friction, loss coefficients and Kv together", head, NETWORK),
            _step("heat given off", f"{show(x.start_c, Kind.TEMPERATURE, system)} to "
                  f"{show(x.end_c, Kind.TEMPERATURE, system)} along the run, through tube and insulation",
                  show(x.loss_w, Kind.POWER, system), "", "total"),
        ),
    )  # fmt: skip


def _room(study: "Study", reading: FlowReading, name: str, system: System) -> Why:
    r = next((x for x in reading.rooms if x.name == name), None)
    if r is None:
        return Why(title="", steps=())

    def watts(w: float) -> str:
        return show(w, Kind.POWER, system)

    outside = show(reading.outside_c or 0.0, Kind.TEMPERATURE, system)
    settled = show(r.temperature_c, Kind.TEMPERATURE, system)
    own = [e for e in reading.emitters if e.room == name]
    return Why(
        title=f"{name} settles at {settled}",
        steps=(
            *(_step(f"{e.name} gives", "", watts(e.output_w), OUTPUT) for e in own),
            _step("tube that crosses it gives", "", watts(r.tube_w)),
            _step("so it is given", "", watts(r.emitters_w + r.tube_w)),
            _step("wanted", "design temperature", show(r.wanted_c, Kind.TEMPERATURE, system)),
            _step("settles", f"where what it loses at {outside} outside, and to the rooms beside it, equals that",
                  settled, LOSS, "total"),
        ),
    )  # fmt: skip


def _emitter(study: "Study", reading: FlowReading, name: str, system: System) -> Why:
    e = next((x for x in reading.emitters if x.name == name), None)
    spec = next((x for x in study.design.emitters if x.name == name), None)
    if e is None or spec is None:
        return Why(title="", steps=())
    air = next((r.temperature_c for r in reading.rooms if r.name == e.room), 20.0)
    rated, excess = show(spec.rated_w, Kind.POWER, system), show(spec.rated_excess_k, Kind.DIFFERENCE, system)
    into, back, room = (show(t, Kind.TEMPERATURE, system) for t in (e.supply_c, e.return_c, air))
    gives = show(e.output_w, Kind.POWER, system)
    law = f"rating × (mean difference / {excess}) to the power {number_text(spec.exponent, 2)}"
    return Why(
        title=f"{name} gives {gives}",
        steps=(
            _step("rating", spec.rating_note or spec.kind.value, f"{rated} at {excess}"),
            _step("water", f"{into} in, {back} out", show(e.flow_kg_s, Kind.MASS_FLOW, system), NETWORK),
            _step("air", f"{e.room}, settled", room),
            _step("gives", law, gives, OUTPUT, "total"),
        ),
    )


def _circulator(study: "Study", reading: FlowReading, name: str, system: System) -> Why:
    c = next((x for x in reading.circulators if x.name == name), None)
    if c is None:
        return Why(title="", steps=())
    flow, head = show(c.flow_m3_s, Kind.FLOW, system), show(c.head_pa, Kind.HEAD, system)
    return Why(
        title=f"{name}: {flow} at {head}",
        steps=(
            _step("its curve", "head that it adds at a flow, at the speed that it is set to (affinity laws)", head),
            _step("the pipework", "head that the same flow asks for, through everything in its way", head, NETWORK),
            _step("operating point", "where both are the same", f"{flow} at {head}", "", "total"),
        ),
    )
