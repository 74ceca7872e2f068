"""The flow sheet: water, pressure, temperature and heat on the design day."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from wetside.basis.quantity import WATER_4C, G
from wetside.basis.record import record
from wetside.basis.si import Celsius
from wetside.house.reading import RoomLoad
from wetside.network.reading import EmitterFlow, SourceFlow
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class EmitterLine:
    name: str = said("The emitter.")
    room: str = said("The room that it heats.")
    flow_kg_s: float = said("Water through it.", "kg/s")
    supply_c: float = said("Temperature of the water that enters.", "degC")
    return_c: float = said("Temperature of the water that leaves.", "degC")
    output_w: float = said("Heat that it gives to the room.", "W")
    rated_w: float = said("Its rated output.", "W")
    rated_excess_k: float = said("Mean water temperature above the room at which the rating holds.", "K")
    rating_note: str = said("Where the rating comes from.")


@record
class RoomHeat:
    room: str = said("The room.")
    name: str = said("The same, under the name that lists of rooms use everywhere.")
    heated: bool = said("Whether it is to be heated.")
    temperature_c: float = said("Temperature that it settles at, its thermostatic valves at work.", "degC")
    inside_c: float = said("Its design temperature.", "degC")
    load_w: float = said("What it needs on the design day; nothing for an unheated room.", "W")
    output_w: float = said("What its emitters give together.", "W")
    over_w: float = said("What they give beyond the need; negative where they fall short.", "W")
    emitters: tuple[str, ...] = said("Names of its emitters; none where the room is left without.")


@record
class CirculatorLine:
    name: str = said("The circulator.")
    flow_m3_s: float = said("Water that it moves.", "m3/s")
    head_pa: float = said("Pressure that it adds to the water as warm as it is.", "Pa")
    head_m: float = said("The same as metres of that water, which its curve shows.", "m")

    @property
    def cold_pa(self) -> float:
        """Its head in the unit of curves: pressure of cold water."""
        return self.head_m * WATER_4C * G


@record
class SourceLine:
    name: str = said("The boiler, or the tank whose coil is heated.")
    flow_kg_s: float = said("Water through it.", "kg/s")
    supply_c: float = said("Temperature of the water that leaves a boiler, or enters a coil.", "degC")
    return_c: float = said("Temperature of the water that comes back.", "degC")
    output_w: float = said("Heat that a boiler gives to the water, or a coil takes from it.", "W")
    limited: bool = said("Whether its largest output falls short of the set flow temperature.")
    cycles: bool = said("Whether less is taken than its least output, so that it fires by turns.")


@record
class ThreeWayLine:
    name: str = said("The three-way valve.")
    position: float = said("Share that its hot way is open.", "1")
    set_c: float | None = said("Temperature that it is to hold; nothing where it stands fixed.", "degC")
    mixed_c: float | None = said("Temperature at its sensor; nothing where no water passes.", "degC")


@record
class LegLine:
    name: str = said("The leg: tube between two nodes.")
    run: str = said("The run that it belongs to.")
    tube: str = said("Its tube.")
    length_m: float = said("Length along the centre line.", "m")
    flow_kg_s: float = said("Water through it, positive in the direction that the run was written in.", "kg/s")
    velocity_m_s: float = said("Speed in its narrowest tube.", "m/s")
    gradient_pa_m: float = said("Friction of the tube per length, where steepest.", "Pa/m")
    drop_pa: float = said("Pressure lost in tube, fittings and items together.", "Pa")
    start_c: float = said("Water temperature at the written start.", "degC")
    end_c: float = said("Water temperature at the written end.", "degC")
    loss_w: float = said("Heat that the tube gives off on its way.", "W")
    start_pa: float = said("Pressure at the written start, relative to the network's reference point.", "Pa")
    end_pa: float = said("Pressure at the written end, relative to the network's reference point.", "Pa")


@record
class FlowSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    converged: bool = said("Whether the solve met its tolerances; there is no sheet otherwise.")
    iterations: int = said("Steps of the solve.")
    residual_head_pa: float = said("Largest pressure error over any link.", "Pa")
    residual_mass_kg_s: float = said("Largest imbalance of water at any node.", "kg/s")
    residual_energy: float = said("Largest imbalance of heat, relative to the heat moved.", "1")
    emitters: tuple[EmitterLine, ...] = said("Every emitter at work.")
    emitters_w: float = said("What all emitters give together.", "W")
    outside_c: float = said("Air outside.", "degC")
    settled: bool = said(
        "Whether emitters and legs too are those of settled rooms; else rooms have their design temperatures there."
    )
    shut: tuple[str, ...] = said("What was shut for this answer.")
    standing: tuple[str, ...] = said("Circulators that were stopped for this answer.")
    rooms: tuple[RoomHeat, ...] = said("Rooms: need against what their emitters give, and where they settle.")
    three_ways: tuple[ThreeWayLine, ...] = said("Every three-way valve.")
    circulators: tuple[CirculatorLine, ...] = said("Every circulator at its duty.")
    boilers: tuple[SourceLine, ...] = said("Every boiler at work.")
    tanks: tuple[SourceLine, ...] = said("Every tank coil at work.")
    legs: tuple[LegLine, ...] = said("Every leg of the pipework.")
    pipe_loss_w: float = said("Heat that all tube gives off on its way.", "W")


def source_line(s: SourceFlow) -> SourceLine:
    return SourceLine(
        name=s.name,
        flow_kg_s=s.flow_kg_s,
        supply_c=s.supply_c,
        return_c=s.return_c,
        output_w=s.output_w,
        limited=s.limited,
        cycles=s.cycles,
    )


def room_heat(room: RoomLoad, emitters: list[EmitterFlow], settles_c: float) -> RoomHeat:
    """A room's need against what its emitters give, and where it settles."""
    output = sum(e.output_w for e in emitters)
    return RoomHeat(
        room=room.name,
        name=room.name,
        heated=room.heated,
        temperature_c=settles_c,
        inside_c=room.inside_c,
        load_w=room.load_w,
        output_w=output,
        over_w=output - room.load_w,
        emitters=tuple(e.name for e in emitters),
    )


def flow_sheet(
    study: "Study", outside_c: Celsius | None = None, shut: Sequence[str] = (), still: Sequence[str] = ()
) -> FlowSheet:
    """The flow sheet of a study: the design day with rooms at their design temperatures, or, where anything else is
    asked, that state with rooms as they settle.

    :param outside_c: air outside
    :param shut: items, emitters or runs to shut
    :param still: circulators to stop
    :raises JobProblem: the rooms or the pipework can't be read, or a name is unknown
    :raises NoSolution: the network has no answer
    """
    design_day = outside_c is None and not shut and not still
    settled = study.settled if design_day else study.flow_at(outside_c, shut=shut, still=still)
    reading = study.flow if design_day else settled
    settles = {r.name: r.temperature_c for r in settled.rooms}
    spec = {e.name: e for e in study.design.emitters}
    return FlowSheet(
        job=study.design.name,
        units=study.design.system.value,
        converged=reading.converged,
        iterations=reading.iterations,
        residual_head_pa=reading.residual_head_pa,
        residual_mass_kg_s=reading.residual_mass_kg_s,
        residual_energy=reading.residual_energy,
        emitters=tuple(
            EmitterLine(
                name=e.name,
                room=e.room,
                flow_kg_s=e.flow_kg_s,
                supply_c=e.supply_c,
                return_c=e.return_c,
                output_w=e.output_w,
                rated_w=spec[e.name].rated_w,
                rated_excess_k=spec[e.name].rated_excess_k,
                rating_note=spec[e.name].rating_note,
            )
            for e in reading.emitters
        ),
        emitters_w=sum(e.output_w for e in reading.emitters),
        rooms=tuple(
            room_heat(r, [e for e in reading.emitters if e.room == r.name], settles.get(r.name, r.inside_c))
            for r in study.rooms.rooms
        ),
        outside_c=study.rooms.outside_c if settled.outside_c is None else settled.outside_c,
        settled=not design_day,
        shut=reading.shut,
        standing=reading.standing,
        three_ways=tuple(
            ThreeWayLine(name=v.name, position=v.position, set_c=v.set_c, mixed_c=v.mixed_c) for v in reading.three_ways
        ),
        circulators=tuple(
            CirculatorLine(name=c.name, flow_m3_s=c.flow_m3_s, head_pa=c.head_pa, head_m=c.head_m)
            for c in reading.circulators
        ),
        boilers=tuple(source_line(b) for b in reading.boilers),
        tanks=tuple(source_line(t) for t in reading.tanks),
        legs=tuple(
            LegLine(
                name=x.name,
                run=x.run,
                tube=x.tube,
                length_m=x.length_m,
                flow_kg_s=x.flow_kg_s,
                velocity_m_s=x.velocity_m_s,
                gradient_pa_m=x.gradient_pa_m,
                drop_pa=x.drop_pa,
                start_c=x.start_c,
                end_c=x.end_c,
                loss_w=x.loss_w,
                start_pa=x.start_pa,
                end_pa=x.end_pa,
            )
            for x in reading.legs
        ),
        pipe_loss_w=reading.pipe_loss_w,
    )
