"""What the network answers."""

from dataclasses import field
from typing import TYPE_CHECKING

from wetside.basis.quantity import WATER_4C, G
from wetside.basis.record import record
from wetside.basis.si import (
    Celsius,
    KgPerSecond,
    M3PerSecond,
    Metre,
    MetrePerSecond,
    Pascal,
    PascalPerMetre,
    Ratio,
    Watt,
)  # fmt: skip

if TYPE_CHECKING:
    from wetside.network.answer import Solution


@record
class LegFlow:
    """A leg at work. Flow is positive in the direction that the run was written in."""

    name: str
    run: str
    tube: str
    length_m: Metre
    flow_kg_s: KgPerSecond
    velocity_m_s: MetrePerSecond
    """In the narrowest tube of the leg, never negative."""
    bore_m: Metre = 0.0
    """Of that tube."""
    gradient_pa_m: PascalPerMetre
    """Tube friction alone, per metre, in the steepest tube of the leg."""
    drop_pa: Pascal
    start_c: Celsius
    end_c: Celsius
    """Water temperature at the written start and end of the leg."""
    loss_w: Watt
    start_pa: Pascal
    end_pa: Pascal
    """Pressure relative to the network's reference point (the vessel, where there is one), circulator running, without
    the weight of the water: add the static head of the height between the two for what a gauge would show."""
    still: bool = False
    """No water can pass: capped, shut, or leading only to a vessel or gauge."""


@record
class EmitterFlow:
    name: str
    room: str
    flow_kg_s: KgPerSecond
    supply_c: Celsius
    return_c: Celsius
    output_w: Watt
    opening: Ratio = 1.0
    """Share that its thermostatic valve is open; 1 where it has none, or where room temperatures are given."""


@record
class CirculatorFlow:
    name: str
    flow_m3_s: M3PerSecond
    head_pa: Pascal
    """Pressure that it adds to the water as warm as it is."""
    head_m: Metre = 0.0
    """The same as metres of that water: what its curve shows at this flow, whatever the temperature."""
    running: bool = True
    way: bool = True
    """Whether there is an open way for its water at all."""

    @property
    def cold_pa(self) -> Pascal:
        """Its head as pressure of cold water, in which curves are written."""
        return self.head_m * WATER_4C * G


@record
class SourceFlow:
    """Boiler or tank coil at work; `output_w` is heat given to the water by a boiler, taken from it by a coil."""

    name: str
    flow_kg_s: KgPerSecond
    supply_c: Celsius
    return_c: Celsius
    output_w: Watt
    limited: bool
    """The boiler's largest output did not reach the set flow temperature."""
    cycles: bool = False
    """The heat taken is less than the boiler's least output: it fires by turns, this being its mean."""


@record
class NodeState:
    name: str
    pressure_pa: Pascal
    temperature_c: Celsius


@record
class RoomState:
    """A room as it settles."""

    name: str
    temperature_c: Celsius
    wanted_c: Celsius
    """Design temperature; of an unheated room, where it settles on the design day."""
    heated: bool
    emitters_w: Watt
    tube_w: Watt
    """From tube that crosses it."""


@record
class ThreeWayState:
    name: str
    position: Ratio
    """Share that its hot way is open."""
    set_c: Celsius | None
    mixed_c: Celsius | None
    """At its sensor; None where no water passes."""

    @property
    def at_end(self) -> bool:
        """It has gone as far as it can."""
        return self.set_c is not None and self.position in (0.0, 1.0)


@record
class FlowReading:
    converged: bool
    iterations: int
    residual_head_pa: Pascal
    """Largest head error over any link."""
    residual_mass_kg_s: KgPerSecond
    """Largest imbalance at any node."""
    residual_energy: float
    """Largest heat imbalance relative to the heat moved."""
    legs: tuple[LegFlow, ...]
    emitters: tuple[EmitterFlow, ...]
    circulators: tuple[CirculatorFlow, ...]
    boilers: tuple[SourceFlow, ...]
    tanks: tuple[SourceFlow, ...]
    nodes: tuple[NodeState, ...]
    pipe_loss_w: Watt
    rooms: tuple[RoomState, ...] = ()
    """Only where rooms were left to settle."""
    three_ways: tuple[ThreeWayState, ...] = ()
    outside_c: Celsius | None = None
    """Only where rooms were left to settle."""
    shut: tuple[str, ...] = ()
    standing: tuple[str, ...] = ()
    """What was shut, and the circulators that were stopped, beyond the design."""
    solution: "Solution | None" = field(default=None, repr=False, compare=False)
    """The net's own answer, from which another state of the same net may begin."""
