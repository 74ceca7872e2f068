"""The heating at work on the design day: what flows where, how warm, and what it gives."""

from collections.abc import Mapping, Sequence

import numpy as np

from wetside.basis.errors import MistakeList
from wetside.basis.si import Celsius, Ratio
from wetside.emitter.spec import Emitter
from wetside.network.assemble import Assembly, assemble
from wetside.network.elements import Floats, source_limited
from wetside.network.graph import Shape, shape
from wetside.network.heat import STILL
from wetside.network.net import Net
from wetside.network.reading import (
    CirculatorFlow,
    EmitterFlow,
    FlowReading,
    LegFlow,
    NodeState,
    SourceFlow,
)  # fmt: skip
from wetside.network.solve import Solution, solve
from wetside.network.spec import Boiler, Circulator, Tank
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item

EMPTY = FlowReading(
    converged=True, iterations=0, residual_head_pa=0.0, residual_mass_kg_s=0.0, residual_energy=0.0, legs=(),
    emitters=(), circulators=(), boilers=(), tanks=(), nodes=(), pipe_loss_w=0.0,
)  # fmt: skip
"""Of a job in which no run is drawn yet."""


def flow(
    pipework: Pipework,
    *,
    emitters: Sequence[Emitter],
    emitter_valves: Mapping[str, tuple[str, str]],
    items: Sequence[Item],
    boilers: Sequence[Boiler],
    circulators: Sequence[Circulator],
    tanks: Sequence[Tank],
    room_c: Mapping[str, Celsius],
    void_c: Celsius,
    glycol_share: Ratio = 0.0,
) -> FlowReading:
    """Flows, pressures, temperatures and outputs with rooms at their design temperatures.

    Pressure is 0 at the vessel's port (else at the boiler's return) and leaves out the weight of the water. Without
    any run the reading is empty.

    :param emitter_valves: emitter → items at its flow and return connection, "" for none
    :raises JobProblem: equipment that isn't joined, no closed way for the water, circulators against each other
    :raises NoSolution: the net did not settle
    """
    if not pipework.legs:
        return EMPTY
    made = assemble(
        pipework, emitters=emitters, emitter_valves=emitter_valves, items=items, boilers=boilers,
        circulators=circulators, tanks=tanks, room_c=room_c, void_c=void_c,
    )  # fmt: skip
    mistakes = MistakeList()
    _check_ways(made, mistakes)
    mistakes.raise_if_any()
    s = solve(made.net, glycol_share=glycol_share)
    _check_circulators(made, s, mistakes)
    mistakes.raise_if_any()
    return _reading(pipework, made, s, {b.name: b for b in boilers}, {e.name: e.room for e in emitters})


def _shape(net: Net, is_open: list[bool]) -> Shape:
    index = {n.name: i for i, n in enumerate(net.nodes)}
    tail, head = [index[x.tail] for x in net.links], [index[x.head] for x in net.links]
    return shape(len(net.nodes), tail, head, is_open)


def _check_ways(made: Assembly, mistakes: MistakeList) -> None:
    """Every emitter, tank, boiler and circulator must lie on a loop when all valves are open, and be driven there."""
    net = made.net
    form = _shape(net, [True] * len(net.links))
    at = {n.name: int(b) for n, b in zip(net.nodes, form.block, strict=True)}
    live = {int(i) for i in form.live}
    driven = {at[x.tail] for i in live if (x := net.links[i]).curve is not None or x.source is not None}
    for kind, things in (("emitter", made.emitters), ("tank", made.tanks)):
        for name, i in things.items():
            if i not in live or at[net.links[i].tail] not in driven:
                mistakes.add(
                    kind, name, "", "water has no closed way through it to a boiler or circulator",
                    "join its flow run to the boiler's flow and its return run to the boiler's return",
                )  # fmt: skip
    for kind, things in (("boiler", made.boilers), ("circulator", made.circulators)):
        for name, i in things.items():
            if i not in live:
                mistakes.add(
                    kind, name, "", "water has no closed way through it: one side ends in a dead end",
                    "join the runs on both of its sides into a loop",
                )  # fmt: skip


def _check_circulators(made: Assembly, s: Solution, mistakes: MistakeList) -> None:
    """A circulator whose way is open must push water forwards."""
    net = made.net
    running = {n: i for n, i in made.circulators.items() if (c := net.links[i].curve) is not None and c.speed > 0.0}
    form = _shape(net, [not x.shut for x in net.links])
    on_way = {int(i) for i in form.live}
    strong = [n for n, i in running.items() if s.flow_kg_s[i] > STILL]
    for name, i in running.items():
        if i not in on_way or s.flow_kg_s[i] > STILL:
            continue
        by = " and ".join(f'"{n}"' for n in strong) or "a check valve"
        how = "water is pushed backwards through it" if s.flow_kg_s[i] < -STILL else "it is held still"
        mistakes.add(
            "circulator", name, "", f"two circulators against each other: {how} by {by}",
            "turn the run that it is fitted in round (it pumps the way the run is written), or part the two circuits "
            "by closely spaced tees",
        )  # fmt: skip


def _ends(s: Solution, i: int) -> tuple[float, float]:
    """Entering and leaving temperature of a link, along its flow."""
    a, b = float(s.tail_c[i]), float(s.head_c[i])
    return (a, b) if s.flow_kg_s[i] >= 0.0 else (b, a)


def _source(name: str, i: int, s: Solution, sign: float, limited: bool) -> SourceFlow:
    into, out = _ends(s, i)
    supply, back = (out, into) if sign < 0.0 else (into, out)
    return SourceFlow(
        name=name, flow_kg_s=float(s.flow_kg_s[i]), supply_c=supply, return_c=back,
        output_w=sign * float(s.given_w[i]) + 0.0, limited=limited,
    )  # fmt: skip


def _reading(
    pipework: Pipework, made: Assembly, s: Solution, boilers: Mapping[str, Boiler], rooms: Mapping[str, str]
) -> FlowReading:
    zero = _reference(pipework, s, list(boilers))
    pressure = s.pressure_pa - zero
    emitters: list[EmitterFlow] = []
    for name, i in made.emitters.items():
        into, out = _ends(s, i)
        emitters.append(
            EmitterFlow(
                name=name, room=rooms[name], flow_kg_s=abs(float(s.flow_kg_s[i])), supply_c=into, return_c=out,
                output_w=float(s.given_w[i]),
            )
        )  # fmt: skip
    sources: list[SourceFlow] = []
    for name, i in made.boilers.items():
        into, out = np.array(_ends(s, i)[0]), np.array(_ends(s, i)[1])
        limited = bool(source_limited(into, out, np.array(boilers[name].flow_c))) and abs(s.flow_kg_s[i]) > STILL
        sources.append(_source(name, i, s, -1.0, bool(limited)))
    return FlowReading(
        converged=True,
        iterations=s.iterations,
        residual_head_pa=s.residuals.head_pa,
        residual_mass_kg_s=s.residuals.mass_kg_s,
        residual_energy=s.energy_residual,
        legs=_legs(pipework, made, s, pressure),
        emitters=tuple(emitters),
        circulators=tuple(
            CirculatorFlow(name=n, flow_m3_s=float(s.flow_kg_s[i] / s.density_kg_m3[i]), head_pa=float(s.lift_pa[i]))
            for n, i in made.circulators.items()
        ),
        boilers=tuple(sources),
        tanks=tuple(_source(n, i, s, 1.0, False) for n, i in made.tanks.items()),
        nodes=tuple(
            NodeState(name=n.name, pressure_pa=float(pressure[k]), temperature_c=float(s.temperature_c[k]))
            for k, n in enumerate(pipework.nodes)
        ),
        pipe_loss_w=float(np.sum(s.loss_w)),
    )


def _legs(pipework: Pipework, made: Assembly, s: Solution, pressure: Floats) -> tuple[LegFlow, ...]:
    found: list[LegFlow] = []
    for leg, links in zip(pipework.legs, made.legs, strict=True):
        at = list(links)
        # a reducer at a tee leaves a stub of no length in the other tube, which is no place to judge speed by
        tube_at = [i for i in at if made.net.links[i].length_m > 0.0] or at
        bores = [made.net.links[i].bore_m for i in tube_at]
        narrow = tube_at[bores.index(min(bores))]
        tubes = leg.tubes
        found.append(
            LegFlow(
                name=leg.name,
                run=leg.run,
                tube=min(tubes, key=lambda t: t.bore_m).name if tubes else "",
                length_m=leg.length_m,
                flow_kg_s=float(s.flow_kg_s[at[0]]),
                velocity_m_s=float(s.velocity_m_s[narrow]),
                bore_m=min(bores),
                gradient_pa_m=float(np.max(s.gradient_pa_m[tube_at])),
                drop_pa=float(np.sum(np.abs(s.drop_pa[at]))),
                start_c=float(s.tail_c[at[0]]),
                end_c=float(s.head_c[at[-1]]),
                loss_w=float(np.sum(s.loss_w[at])),
                start_pa=float(pressure[leg.a]),
                end_pa=float(pressure[leg.b]),
                still=not bool(np.all(s.on_loop[at])),
            )
        )
    return tuple(found)


def _reference(pipework: Pipework, s: Solution, boilers: Sequence[str]) -> Floats:
    """Pressure taken as nothing, for each node: at the vessel, else at the first boiler's return.

    A part of the net that is shut off from both keeps a zero of its own.
    """
    zero = np.zeros(s.pressure_pa.size)
    wanted = [i for i, n in enumerate(pipework.nodes) if n.port is not None and n.port.owner_kind == "vessel"]
    wanted += [i for b in boilers for i, n in enumerate(pipework.nodes) if n.name == f"{b}.return"]
    done: set[int] = set()
    for i in wanted:
        part = int(s.part[i])
        if part not in done:
            done.add(part)
            zero[s.part == part] = s.pressure_pa[i]
    return zero
