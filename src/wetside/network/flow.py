"""The heating at work on the design day: what flows where, how warm, and what it gives."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.quantity import G
from wetside.basis.si import Celsius, Ratio, Watt
from wetside.emitter.spec import Emitter
from wetside.house.reading import HouseLoad
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
    RoomState,
    SourceFlow,
    ThreeWayState,
)  # fmt: skip
from wetside.network.settle import given_c, net_rooms
from wetside.network.solve import Solution, solve
from wetside.network.spec import Apparatus, Boiler, Circulator, Tank
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
    apparatus: Apparatus | None = None,
    house: HouseLoad | None = None,
    outside_c: Celsius | None = None,
    shut: Sequence[str] = (),
    still: Sequence[str] = (),
    start: FlowReading | None = None,
    like: FlowReading | None = None,
) -> FlowReading:
    """Flows, pressures, temperatures and outputs.

    With rooms at the temperatures of `room_c`; or, given a `house`, with rooms that settle by themselves, their
    thermostatic valves at work. Pressure is 0 at the vessel's port (else at the boiler's return) and leaves out the
    weight of the water. Without any run the reading is empty.

    :param emitter_valves: emitter → items at its flow and return connection, "" for none
    :param outside_c: air outside, with a house; its design temperature when not given
    :param shut: items, emitters or runs to shut
    :param still: circulators to stop
    :param start: another state of the same runs and equipment, to begin from: sooner done
    :param like: an answer of a design that was much the same, to begin from; all is looked at anew
    :raises JobProblem: equipment that isn't joined, no closed way for the water, circulators against each other, names
        in `shut` and `still` that are unknown
    :raises NoSolution: the net did not settle
    """
    if not pipework.legs:
        return EMPTY
    outside = house.outside_c if house is not None and outside_c is None else outside_c
    rooms = net_rooms(house, outside) if house is not None and outside is not None else ()
    made = assemble(
        pipework, emitters=emitters, emitter_valves=emitter_valves, items=items, boilers=boilers,
        circulators=circulators, tanks=tanks, room_c=room_c, void_c=void_c, apparatus=apparatus, rooms=rooms,
    )  # fmt: skip
    mistakes = MistakeList()
    if start is None or start.solution is None:  # else it has been looked at
        _check_ways(made, mistakes)
    net = _in_state(made, shut, still, mistakes)
    mistakes.raise_if_any()
    made = replace(made, net=net)
    begun = like if start is None else start
    near = None if begun is None else begun.solution
    if near is not None and (near.flow_kg_s.size, near.pressure_pa.size) != (len(net.links), len(net.nodes)):
        near = None
    s = solve(net, glycol_share=glycol_share, start=near)
    way = _check_circulators(made, s, mistakes)
    mistakes.raise_if_any()
    reading = _reading(pipework, made, s, {b.name: b for b in boilers}, {e.name: e.room for e in emitters}, way)
    if house is None or outside is None:
        return replace(reading, shut=tuple(shut), standing=tuple(still))
    states = _rooms(house, made, s, outside)
    return replace(reading, shut=tuple(shut), standing=tuple(still), outside_c=outside, rooms=states)


def _in_state(made: Assembly, shut: Sequence[str], still: Sequence[str], mistakes: MistakeList) -> Net:
    """The net with things shut and circulators stopped."""
    links = list(made.net.links)
    for name in shut:
        if name not in made.shutters:
            wrong = f'nothing that can be shut is called "{name}"'
            mistakes.add("state", name, "shut", wrong, nearest(name, made.shutters))
        for i in made.shutters.get(name, ()):
            links[i] = replace(links[i], shut=True)
    for name in still:
        i = made.circulators.get(name)
        if i is None:
            mistakes.add("state", name, "still", f'no circulator is called "{name}"', nearest(name, made.circulators))
        elif (curve := links[i].curve) is not None:
            links[i] = replace(links[i], curve=replace(curve, speed=0.0))
    return replace(made.net, links=tuple(links)) if shut or still else made.net


def _rooms(house: HouseLoad, made: Assembly, s: Solution, outside_c: Celsius) -> tuple[RoomState, ...]:
    settled = {r.name: float(t) for r, t in zip(made.net.rooms, s.rooms_c, strict=True)}
    given: dict[str, float] = {}
    tube: dict[str, float] = {}
    for i, link in enumerate(made.net.links):
        if link.rating is not None:
            given[link.rating.room] = given.get(link.rating.room, 0.0) + float(s.given_w[i])
        if link.room:
            tube[link.room] = tube.get(link.room, 0.0) + float(s.loss_w[i])
    return tuple(
        RoomState(
            name=r.name, temperature_c=settled[r.name] if r.name in settled else given_c(house, r, settled, outside_c),
            wanted_c=r.inside_c, heated=r.heated, emitters_w=given.get(r.name, 0.0), tube_w=tube.get(r.name, 0.0),
        )
        for r in house.rooms
    )  # fmt: skip


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
    driven = {
        at[x.tail]
        for i in live
        if (x := net.links[i]).curve is not None or x.source is not None or x.exchanger is not None
    }
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


def _check_circulators(made: Assembly, s: Solution, mistakes: MistakeList) -> set[str]:
    """A circulator whose way is open must push water forwards. Answers those whose way is open."""
    net = made.net
    running = {n: i for n, i in made.circulators.items() if (c := net.links[i].curve) is not None and c.speed > 0.0}
    on_way = {i for i in made.circulators.values() if s.on_loop[i]}
    if len(on_way) < len(made.circulators):  # a check valve held shut parts no way
        on_way = {int(i) for i in _shape(net, [not x.shut for x in net.links]).live}
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
    return {n for n, i in made.circulators.items() if i in on_way}


def _ends(s: Solution, i: int) -> tuple[float, float]:
    """Entering and leaving temperature of a link, along its flow."""
    a, b = float(s.tail_c[i]), float(s.head_c[i])
    return (a, b) if s.flow_kg_s[i] >= 0.0 else (b, a)


def _source(name: str, i: int, s: Solution, sign: float, limited: bool, least_w: Watt = 0.0) -> SourceFlow:
    into, out = _ends(s, i)
    supply, back = (out, into) if sign < 0.0 else (into, out)
    return SourceFlow(
        name=name, flow_kg_s=float(s.flow_kg_s[i]), supply_c=supply, return_c=back,
        output_w=sign * float(s.given_w[i]) + 0.0, limited=limited,
        cycles=0.0 < -float(s.given_w[i]) < least_w,
    )  # fmt: skip


def _reading(
    pipework: Pipework, made: Assembly, s: Solution, boilers: Mapping[str, Boiler], rooms: Mapping[str, str],
    way: set[str],
) -> FlowReading:  # fmt: skip
    zero = _reference(pipework, s, list(boilers))
    pressure = s.pressure_pa - zero
    emitters: list[EmitterFlow] = []
    for name, i in made.emitters.items():
        into, out = _ends(s, i)
        emitters.append(
            EmitterFlow(
                name=name, room=rooms[name], flow_kg_s=abs(float(s.flow_kg_s[i])), supply_c=into, return_c=out,
                output_w=float(s.given_w[i]), opening=float(s.opening[i]),
            )
        )  # fmt: skip
    sources: list[SourceFlow] = []
    for name, i in made.boilers.items():
        into, out = np.array(_ends(s, i)[0]), np.array(_ends(s, i)[1])
        limited = bool(source_limited(into, out, np.array(boilers[name].flow_c))) and abs(s.flow_kg_s[i]) > STILL
        sources.append(_source(name, i, s, -1.0, bool(limited), boilers[name].least_w))
    return FlowReading(
        converged=True,
        iterations=s.iterations,
        residual_head_pa=s.residuals.head_pa,
        residual_mass_kg_s=s.residuals.mass_kg_s,
        residual_energy=s.energy_residual,
        legs=_legs(pipework, made, s, pressure),
        emitters=tuple(emitters),
        circulators=tuple(_circulator(n, i, made.net, s, n in way) for n, i in made.circulators.items()),
        three_ways=_three_ways(made.net, s),
        boilers=tuple(sources),
        tanks=tuple(_source(n, i, s, 1.0, False) for n, i in made.tanks.items()),
        nodes=tuple(
            NodeState(name=n.name, pressure_pa=p, temperature_c=t)
            for n, p, t in zip(pipework.nodes, pressure.tolist(), s.temperature_c.tolist(), strict=False)
        ),
        pipe_loss_w=float(np.sum(s.loss_w)),
        solution=s,
    )


def _circulator(name: str, i: int, net: Net, s: Solution, way: bool) -> CirculatorFlow:
    curve, lift, density = net.links[i].curve, float(s.lift_pa[i]), float(s.density_kg_m3[i])
    return CirculatorFlow(
        name=name, flow_m3_s=float(s.flow_kg_s[i]) / density, head_pa=lift, head_m=lift / (density * G),
        running=curve is not None and curve.speed > 0.0, way=way,
    )  # fmt: skip


def _three_ways(net: Net, s: Solution) -> tuple[ThreeWayState, ...]:
    if not net.three_ways:
        return ()
    at = {n.name: k for k, n in enumerate(net.nodes)}
    passed = {end for x, m in zip(net.links, s.flow_kg_s.tolist(), strict=True) if abs(m) > STILL
              for end in (x.tail, x.head)}  # fmt: skip
    found: list[ThreeWayState] = []
    for v, position in zip(net.three_ways, s.positions, strict=True):
        node = at.get(v.sensor)
        mixed = float(s.temperature_c[node]) if node is not None and v.sensor in passed else None
        found.append(ThreeWayState(name=v.name, position=float(position), set_c=v.set_c, mixed_c=mixed))
    return tuple(found)


def _legs(pipework: Pipework, made: Assembly, s: Solution, pressure: Floats) -> tuple[LegFlow, ...]:
    found: list[LegFlow] = []
    links, nodes = made.net.links, pressure.tolist()
    flow, speed, gradient, drop, loss, tail_c, head_c, on_loop = (
        x.tolist()
        for x in (s.flow_kg_s, s.velocity_m_s, s.gradient_pa_m, s.drop_pa, s.loss_w, s.tail_c, s.head_c, s.on_loop)
    )
    for leg, at in zip(pipework.legs, made.legs, strict=True):
        # a reducer at a tee leaves a stub of no length in the other tube, which is no place to judge speed by
        tube_at = [i for i in at if links[i].length_m > 0.0] or at
        narrow = min(tube_at, key=lambda i: links[i].bore_m)
        tubes = leg.tubes
        found.append(
            LegFlow(
                name=leg.name,
                run=leg.run,
                tube=min(tubes, key=lambda t: t.bore_m).name if tubes else "",
                length_m=leg.length_m,
                flow_kg_s=flow[at[0]],
                velocity_m_s=speed[narrow],
                bore_m=links[narrow].bore_m,
                gradient_pa_m=max(gradient[i] for i in tube_at),
                drop_pa=sum(abs(drop[i]) for i in at),
                start_c=tail_c[at[0]],
                end_c=head_c[at[-1]],
                loss_w=sum(loss[i] for i in at),
                start_pa=nodes[leg.a],
                end_pa=nodes[leg.b],
                still=not all(on_loop[i] for i in at),
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
