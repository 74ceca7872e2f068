"""The network as plain tables: the only thing that the solver sees.

A net can be made without any house (`Net` by hand) or from pipework (`wetside.network.assemble`). Links carry flow
from `tail` to `head` when positive. Order and names of nodes and links don't matter to the answer.

A boiler, a circulator and one radiator in a ring:

    >>> from wetside.network.solve import solve
    >>> curve = Curve(name="P", points=((0.0, 40e3), (0.3e-3, 20e3), (0.5e-3, 0.0)))
    >>> rating = Rating(name="R1", rated_w=1500.0, rated_excess_k=50.0, exponent=1.3, room_c=20.0)
    >>> boiler = Source(name="boiler", flow_c=70.0, output_w=12e3)
    >>> net = Net(
    ...     nodes=(NetNode(name="cold"), NetNode(name="hot"), NetNode(name="at R1"), NetNode(name="after R1")),
    ...     links=(
    ...         NetLink(name="boiler", tail="cold", head="hot", kv_m3_h=3.0, source=boiler),
    ...         NetLink(name="flow", tail="hot", head="at R1", length_m=8.0, bore_m=0.0136, k=4.0, curve=curve),
    ...         NetLink(name="R1", tail="at R1", head="after R1", kv_m3_h=0.2, rating=rating),
    ...         NetLink(name="return", tail="after R1", head="cold", length_m=8.0, bore_m=0.0136, k=4.0),
    ...     ),
    ... )
    >>> answer = solve(net)
    >>> round(3600 * float(answer.flow_kg_s[2])), "kg/h"
    (119, 'kg/h')
    >>> round(float(answer.given_w[2])), "W leaving", round(float(answer.temperature_c[3]), 1), "°C"
    (1312, 'W leaving', 60.5, '°C')
"""

from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import (
    Celsius,
    Kelvin,
    KvM3PerHour,
    M3PerSecond,
    Metre,
    Pascal,
    Ratio,
    Watt,
    WattPerK,
    WattPerMK,
)  # fmt: skip


@record
class Rating:
    """An emitter in a link: EN 442 law. Its room has the temperature `room_c`, or, when `Net.rooms` holds a room
    called `room`, whatever that one settles at."""

    name: str
    rated_w: Watt
    rated_excess_k: Kelvin
    exponent: float
    room_c: Celsius
    room: str = ""


@record
class Source:
    """A boiler in a link: heats the water to `flow_c` as long as `output_w` suffices; never cools it."""

    name: str
    flow_c: Celsius
    output_w: Watt


@record
class Coil:
    """A coil in water of one temperature: heat `m cp (supply - store)(1 - exp(-UA/(m cp)))`, never negative."""

    name: str
    store_c: Celsius
    coil_w_k: WattPerK


@record
class Exchanger:
    """One side of a plate exchanger in counterflow; the link called `other` is the other side and says the same."""

    name: str
    other: str
    w_k: WattPerK
    """Surface times heat transfer coefficient."""


@record
class Thermostat:
    """A thermostatic valve, in series with the link's other losses.

    Half open while its room is at `set_c`; fully open from half of `band_k` below, shut from half of it above.
    """

    room: str
    set_c: Celsius
    kv_m3_h: KvM3PerHour
    """Fully open."""
    band_k: Kelvin = 2.0


class Regulation(StrEnum):
    """How a circulator follows the flow."""

    FIXED = "fixed speed"
    CONSTANT = "constant pressure"
    PROPORTIONAL = "proportional pressure"


@record
class Curve:
    """Head of a circulator over flow, as pressure of cold water (4 °C): that is, as metres of the liquid it moves.

    By points, flow ascending, head not rising, joined smoothly and monotonically; or by `terms`, the coefficients of
    ``h0 + h1 q + h2 q² + h3 q³``. Backwards flow meets the shut-off head; beyond the last point (or where the terms
    come to nothing) the last slope goes on.

    Constant pressure holds `set_pa` as long as the curve reaches it. Proportional pressure holds half of `set_pa` at no
    flow, rising straight to `set_pa` at the flow where the curve is met.
    """

    name: str
    points: tuple[tuple[M3PerSecond, Pascal], ...] = ()
    speed: float = 1.0
    terms: tuple[float, ...] = ()
    regulation: Regulation = Regulation.FIXED
    set_pa: Pascal = 0.0


@record
class NetNode:
    name: str
    height_m: Metre = 0.0


@record
class NetLink:
    """One link: tube friction + k + Kv in series, with at most one of circulator, source, coil, rating, exchanger.

    Losses to `ambient_c` run along `length_m` by `loss_w_mk` per metre and kelvin (0: none).
    """

    name: str
    tail: str
    head: str
    length_m: Metre = 0.0
    bore_m: Metre = 0.02
    roughness_m: Metre = 1.5e-6
    k: float = 0.0
    kv_m3_h: KvM3PerHour | None = None
    extra_m: Metre = 0.0
    """Length of this tube that loses as much pressure as the link's fittings do; it loses no heat."""
    curve: Curve | None = None
    source: Source | None = None
    coil: Coil | None = None
    rating: Rating | None = None
    shut: bool = False
    one_way: bool = False
    """A check valve in the link: no flow from head to tail."""
    loss_w_mk: WattPerMK = 0.0
    ambient_c: Celsius = 20.0
    leg: str = ""
    """Pipework leg that this link belongs to."""
    room: str = ""
    """Room that the tube loses its heat to; when `Net.rooms` holds it, its temperature stands for `ambient_c`."""
    opens_pa: Pascal = 0.0
    """With `one_way`: pressure that opens the valve and stays lost in it (a spring; a differential bypass)."""
    steep_pa_s_kg: float = 0.0
    """With `one_way`: pressure lost in proportion to the flow besides (how far a bypass valve's spring gives)."""
    thermostat: Thermostat | None = None
    exchanger: Exchanger | None = None


@record
class NetTee:
    """Three links that meet at a node of a tee: two in line, one off at a right angle.

    What they lose depends on how the flow splits or joins (see `tees`) and comes on top of the links' own losses.
    """

    node: str
    run: tuple[str, str]
    branch: str


@record
class ThreeWay:
    """A three-way valve: two links that it throttles against each other, `position` 1 opening the first fully.

    With `set_c` it finds the position at which the water that passes `sensor` (a node) has that temperature; at the end
    of its travel it stays there. Without, it stays at `position`. Both ways together have the Kv `kv_m3_h` in series
    with the links' other losses: each is open in proportion.
    """

    name: str
    first: str
    second: str
    kv_m3_h: KvM3PerHour
    sensor: str = ""
    set_c: Celsius | None = None
    position: Ratio = 0.5


@record
class NetRoom:
    """A room whose temperature is to be found: heat from emitters and tube goes through `fixed` and `links`."""

    name: str
    fixed: tuple[tuple[WattPerK, Celsius], ...] = ()
    """Conductances to places of known temperature: outside, ground, neighbours, supply air."""
    links: tuple[tuple[str, WattPerK], ...] = ()
    """Conductances to other rooms of the net; each pair is given once, at either room."""
    gains_w: Watt = 0.0
    start_c: Celsius = 20.0


@record
class Net:
    nodes: tuple[NetNode, ...]
    links: tuple[NetLink, ...]
    fill_c: Celsius = 60.0
    """Temperature that the water starts the iteration with."""
    tees: tuple[NetTee, ...] = ()
    three_ways: tuple[ThreeWay, ...] = ()
    rooms: tuple[NetRoom, ...] = ()
