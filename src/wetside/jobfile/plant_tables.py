"""Tables of the job file that say what stands in the house: boilers, emitters, tanks, valves, safety."""

from typing import Annotated, Literal

from pydantic import Field

from wetside.basis.quantity import Kind
from wetside.emitter.ratings import BASEBOARD_AIR_C, BASEBOARD_EXPONENT, EXPONENT, RAIL_EXPONENT
from wetside.jobfile.field import (
    AboveFloor,
    AirTemperature,
    Conductance,
    Coordinate,
    Depth,
    Distance,
    Excess,
    Exponent,
    Flow,
    Gap,
    Head,
    Kv,
    Length,
    LinePower,
    LossFactor,
    Mass,
    Name,
    Position,
    Power,
    PowerOrNone,
    Pressure,
    Quantity,
    Ref,
    RefName,
    RoomSize,
    RunningSpeed,
    Share,
    Surface,
    Table,
    Temperature,
    Text,
    Wall,
    WaterTemperature,
    WaterVolume,
    Watts,
)  # fmt: skip

Direction = Literal["up", "down", "north", "east", "south", "west"]
Compass = Literal["north", "east", "south", "west"]
Corner = Literal["left", "right", "top left", "top right", "bottom left", "bottom right"]
CurvePoint = Annotated[tuple[Flow, Head], Field(strict=False)]
Sections = Annotated[int, Field(ge=1, le=200)]
Band = Annotated[float, Quantity(Kind.DIFFERENCE, least=0.2, most=10.0)]
Term = Annotated[float, Quantity(Kind.NUMBER, signed=True)]
Turns = Annotated[float, Quantity(Kind.NUMBER, positive=True, most=50.0)]
TurnsPoint = Annotated[tuple[Turns, Kv], Field(strict=False)]
Glycol = Annotated[float, Quantity(Kind.SHARE, most=0.5)]
HeatingEffect = Annotated[float, Quantity(Kind.NUMBER, least=1.0, most=1.5)]


class PortTable(Table):
    """A connection of a piece of equipment."""

    name: RefName = Field(description='Name after the dot: "flow" makes NAME.flow.', examples=["flow"])
    at: Position = Field(
        description="Where it is from the equipment's own `at`: [east, north, up].", examples=[[-0.13, 0, 0]]
    )
    faces: Direction = Field(description="The way in which a tube leaves it.", examples=["down"])


class BuiltInTable(Table):
    """A circulator inside a boiler."""

    curve: list[CurvePoint] = Field(
        [], description="Points [flow, head], flow rising.", examples=[[["0 m3/h", "6 m"], ["2 m3/h", "4.3 m"]]]
    )
    speed: RunningSpeed = Field(1.0, description="Speed that it is set to, relative to the curve's.")
    terms: list[Term] = Field(
        [],
        description="Instead of points: coefficients [a, b, c] of head = a + b flow + c flow², in the job's units.",
        examples=[[5.2, -0.1, -0.6]],
    )
    regulation: Literal["fixed speed", "constant pressure", "proportional pressure"] = Field(
        "fixed speed", description="How it follows the flow."
    )
    holds: Head | None = Field(
        None,
        description="Head that it holds at constant pressure; at proportional pressure the head where it meets its "
        "curve, half of it at no flow.",
        examples=["2 m"],
    )
    watts: Watts | None = Field(None, description="Electric power.")


class BoilerTable(Table):
    """A boiler. Ports flow and return, and hot and cold where it heats tap water."""

    name: RefName = Field(description="Name that runs use.", examples=["boiler"])
    output: Power = Field(description="Largest heating output.", examples=["24 kW"])
    least: PowerOrNone = Field(description="Least output that it can hold without cycling.", examples=["5 kW"])
    flow: WaterTemperature = Field(description="Flow temperature that it is set to.", examples=[70])
    kv: Kv = Field(description="Its own resistance as a valve coefficient.", examples=[3.0])
    most: WaterTemperature = Field(
        80.0,
        description="Highest flow temperature that it can be set to. Vessel and hot pressures are reckoned at it, "
        "whatever `flow` says.",
    )
    water: WaterVolume = Field(0.0, description="Water in it.")
    mass: Mass = Field(0.0, description="Mass, dry.")
    hot_water: Power | None = Field(None, description="Output of its own tap-water exchanger, where it has one.")
    rated_pressure: Pressure = Field(3.0e5, description="Highest working pressure.")
    condensing: bool = Field(True, description="Whether it can condense.")
    at: Position = Field(
        description="The point that its ports are measured from: [east, north, up].", examples=[[9.4, 6.4, 1.35]]
    )
    ports: list[PortTable] = Field(
        description="Its connections; flow and return are needed.",
        examples=[[{"name": "flow", "at": [-0.1, 0, 0], "faces": "down"}]],
    )
    circulator: BuiltInTable | None = Field(None, description="Built-in circulator, where it has one.")
    least_flow: Flow = Field(0.0, description="Water that must pass it while it fires.", examples=["0.3 m3/h"])


class CirculatorTable(Table):
    """A circulator, fitted in a run by its name."""

    name: RefName = Field(description='Name that runs use after "fit".', examples=["heating circulator"])
    curve: list[CurvePoint] = Field(
        [],
        description="Points [flow, head], flow rising, head falling.",
        examples=[[["0 m3/h", "6 m"], ["2 m3/h", "4.3 m"]]],
    )
    speed: RunningSpeed = Field(1.0, description="Speed that it is set to, relative to the curve's.")
    terms: list[Term] = Field(
        [],
        description="Instead of points: coefficients [a, b, c] of head = a + b flow + c flow², in the job's units.",
        examples=[[5.2, -0.1, -0.6]],
    )
    regulation: Literal["fixed speed", "constant pressure", "proportional pressure"] = Field(
        "fixed speed", description="How it follows the flow."
    )
    holds: Head | None = Field(
        None,
        description="Head that it holds at constant pressure; at proportional pressure the head where it meets its "
        "curve, half of it at no flow.",
        examples=["2 m"],
    )
    watts: Watts | None = Field(None, description="Electric power at that speed.")
    mass: Mass = Field(0.0, description="Mass.")
    length: Gap | None = Field(None, description="Length between its connections; the usual one when left out.")


class ItemTable(Table):
    """A named thing of a trade kind with its own figures; what is left out is as for the kind."""

    name: RefName = Field(description='Name that runs use after "fit".', examples=["V-hall"])
    kind: Literal[
        "isolating valve", "gate valve", "globe valve", "check valve", "zone valve", "balancing valve",
        "lockshield valve", "thermostatic valve", "strainer", "air separator", "dirt separator", "flow meter", "union",
        "drain cock", "air vent", "pressure gauge", "relief valve", "expansion vessel", "filling loop", "bypass valve",
    ] = Field(description="Trade kind.", examples=["balancing valve"])  # fmt: skip
    kv: Kv | None = Field(None, description="Valve coefficient.")
    k: LossFactor | None = Field(None, description="Loss coefficient, instead of kv.")
    open_kv: Kv | None = Field(None, description="Valve coefficient fully open, where kv is what it is set to.")
    turns: list[TurnsPoint] = Field(
        [],
        description="How far it is open: points [turns, valve coefficient], both rising, the last one fully open.",
        examples=[[[0.5, 0.1], [1, 0.25], [3, 0.8]]],
    )
    opening: Share = Field(1.0, description="Share of its lift that a valve is open.")
    characteristic: Literal["linear", "equal percentage"] = Field(
        "linear", description="How the coefficient follows the opening."
    )
    opens: Pressure | None = Field(
        None, description="Pressure that opens a bypass valve, or the spring of a check valve.", examples=["15 kPa"]
    )
    full: Pressure | None = Field(
        None, description="Pressure at which a bypass valve passes what kv says; 1.3 times opens when left out."
    )
    holds: AirTemperature | None = Field(
        None, description="Room temperature that a thermostatic valve is set to; the room's own when left out."
    )
    band: Band = Field(2.0, description="Rise of room temperature that takes a thermostatic valve from open to shut.")
    length: Gap | None = Field(None, description="Length between its connections.")
    mass: Mass | None = Field(None, description="Mass.")
    water: WaterVolume | None = Field(None, description="Water in it.")
    on_branch: bool | None = Field(None, description="Sits on a side outlet, so that no flow passes through it.")
    shut: bool = Field(False, description="Closed: nothing flows through it.")


class EmitterBase(Table):
    """What every emitter has."""

    name: RefName = Field(description="Name that runs use; its ports are NAME.flow and NAME.return.", examples=["R1"])
    room: Name = Field(description="The room that it heats.", examples=["Kitchen"])
    length: RoomSize = Field(description="Length along the wall.", examples=[1.0])
    height: RoomSize = Field(description="Height.", examples=[0.6])
    depth: Depth = Field(0.1, description="Depth.")
    water: WaterVolume | None = Field(None, description="Water in it.")
    mass: Mass | None = Field(None, description="Mass, dry.")
    kv: Kv | None = Field(None, description="Its own resistance as a valve coefficient, where its sheet gives one.")
    wall: Wall | None = Field(None, description="The wall of its room that it stands on: a side or an edge number.")
    offset: Distance | None = Field(
        None,
        description="From the wall's first corner to the emitter's middle; in the middle of the wall when left out.",
    )
    above_floor: AboveFloor = Field(0.1, description="Height of its lower edge above the floor.")
    off_wall: Gap = Field(0.04, description="Gap between its back and the wall.")
    at: Position | None = Field(
        None, description="Instead of a wall: the middle of its lower edge at the back, [east, north, up]."
    )
    faces: Compass | None = Field(None, description="With `at`: the way in which it looks into the room.")
    flow_at: Corner = Field(
        "left",
        description="Where the flow comes in, seen from the room: left or right is underneath, with the tube going "
        "down; top left, bottom left, top right, bottom right are the ends, with the tube going sideways.",
    )
    return_at: Corner | None = Field(None, description="Where the return leaves; opposite the flow when left out.")
    tapping: Gap = Field(
        0.05,
        description="How far the middle of a connection is from the corner: from the end underneath, from the lower "
        "or upper edge at the ends.",
    )
    flow_valve: Text = Field("", description="Valve at the flow: a trade kind or a named item; none when left out.")
    return_valve: Text = Field("", description="Valve at the return: a trade kind or a named item; none when left out.")
    lockshield_kv: Kv | None = Field(None, description="What its lockshield or balancing valve is set to.")
    drop: Excess | None = Field(
        None, description="Design drop of the water in it, where it is to differ from [balance] drop."
    )


class RatedEmitter(EmitterBase):
    output: Power = Field(description="Rated output at `excess`.", examples=[1200])
    excess: Excess = Field(
        50.0,
        description="Mean of flow and return over room temperature that `output` holds at, as its sheet says it "
        "(75/65/20: 50 K).",
    )


class PanelTable(RatedEmitter):
    """A panel radiator by its rated output."""

    kind: Literal["panel radiator"] = Field(description="Kind.", examples=["panel radiator"])
    panels: Annotated[int, Field(ge=1, le=3)] = Field(
        2, description="Panels with water in them, for the estimate of water and mass."
    )
    exponent: Exponent = Field(EXPONENT, description="Exponent of its output law.")


class TowelRailTable(RatedEmitter):
    """A towel rail by its rated output."""

    kind: Literal["towel rail"] = Field(description="Kind.", examples=["towel rail"])
    exponent: Exponent = Field(RAIL_EXPONENT, description="Exponent of its output law.")


class ColumnTable(EmitterBase):
    """A column or sectional radiator: by output per section, by the style table, or by its surface (EDR)."""

    kind: Literal["column radiator"] = Field(description="Kind.", examples=["column radiator"])
    sections: Sections | None = Field(None, description="Number of sections.")
    watts_per_section: Watts | None = Field(None, description="Output of one section at `excess`.")
    excess: Excess = Field(
        50.0, description="Mean of flow and return over room temperature for watts_per_section (75/65/20: 50 K)."
    )
    style: Text | None = Field(
        None,
        description='Type in the US table of rated surface, such as "5-tube", "2-column", "window column" or "wall '
        '7-A"; goes with sections and height.',
    )
    edr: Surface | None = Field(None, description="Rated surface (EDR) of the whole radiator.")
    exponent: Exponent = Field(EXPONENT, description="Exponent of its output law.")
    metallic_paint: bool = Field(False, description="Last painted with aluminium or bronze paint, which lowers output.")
    water_per_section: WaterVolume | None = Field(None, description="Water in one section.")
    mass_per_section: Mass | None = Field(None, description="Mass of one section, dry.")


class BaseboardTable(EmitterBase):
    """A finned baseboard by its output per length."""

    kind: Literal["finned baseboard"] = Field(description="Kind.", examples=["finned baseboard"])
    output_per_length: LinePower = Field(
        description="Output per length of fins at `mean_water`.", examples=["580 Btu/h/ft"]
    )
    mean_water: WaterTemperature = Field(
        description="Mean water temperature that the output holds at.", examples=["180 degF"]
    )
    rating_room: Temperature = Field(
        BASEBOARD_AIR_C, description="Air temperature that the output holds at (65 °F on most sheets)."
    )
    fins: Length | None = Field(None, description="Length with fins; the whole length when left out.")
    heating_effect: HeatingEffect = Field(
        1.0, description="Factor that the maker put on the tested output, often 1.15; it is divided out."
    )
    exponent: Exponent = Field(BASEBOARD_EXPONENT, description="Exponent of its output law.")


class TankTable(Table):
    """An indirect hot-water tank: a coil in stored water. Ports flow and return of the coil; hot and cold if piped."""

    name: RefName = Field(description="Name that runs use.", examples=["tank"])
    room: Name = Field(description="The room that it stands in.", examples=["Store"])
    volume: WaterVolume = Field(description="Stored water.", examples=["150 l"])
    store: WaterTemperature = Field(60.0, description="Temperature of the stored water.")
    coil: Conductance = Field(description="Heat passed by the coil per kelvin between coil and store.", examples=[600])
    kv: Kv = Field(description="Resistance of the coil as a valve coefficient.", examples=[3.0])
    coil_water: WaterVolume = Field(0.0, description="Water in the coil.")
    mass: Mass = Field(0.0, description="Mass, empty.")
    at: Position | None = Field(None, description="The point that its ports are measured from: [east, north, up].")
    ports: list[PortTable] = Field([], description="Its connections; flow and return are needed once it is piped.")


class OnePort(Table):
    at: Position | None = Field(None, description="Where its connection is: [east, north, up].")
    faces: Direction | None = Field(None, description="With `at`: the way in which a tube leaves it.")


class VesselTable(OnePort):
    """The expansion vessel. A run refers to it by its name."""

    name: RefName = Field(description="Name that runs use.", examples=["vessel"])
    volume: WaterVolume = Field(description="Its whole volume.", examples=["12 l"])
    charge: Pressure = Field(description="Gas charge, gauge.", examples=["1.0 bar"])
    mass: Mass = Field(0.0, description="Mass, empty.")
    height: Coordinate | None = Field(None, description="Height above the job's zero, where it has no `at`.")


class ReliefTable(OnePort):
    """The relief valve. A run refers to it by its name."""

    name: RefName = Field(description="Name that runs use.", examples=["relief valve"])
    opens: Pressure = Field(description="Set pressure, gauge.", examples=["3 bar"])
    capacity: Power | None = Field(None, description="Heat that it can relieve, by its plate.")
    height: Coordinate | None = Field(None, description="Height above the job's zero, where it has no `at`.")


class FillTable(Table):
    """What the system is filled with."""

    cold: Pressure | None = Field(None, description="Pressure to fill the cold system to, gauge, at the gauge.")
    gauge_height: Coordinate = Field(0.0, description="Height of the gauge above the job's zero.")
    glycol: Glycol = Field(0.0, description="Share of inhibited propylene glycol by volume: none, or 10 to 50 %.")


class HotWaterTable(Table):
    """What the taps ask for."""

    wanted: Flow | None = Field(None, description="Hot water wanted at one time, at `hot`.")
    hot: WaterTemperature = Field(45.0, description="Temperature at the taps.")
    people: Annotated[int, Field(ge=0, le=100)] = Field(0, description="People in the house.")


class SeparationTable(Table):
    """Two tees of one run that part two circuits hydraulically."""

    name: Name = Field("tees", description="What the pair is called.")
    tees: Annotated[tuple[Ref, Ref], Field(strict=False)] = Field(
        description='The two tees, as "run.tee".', examples=[["primary.A", "primary.B"]]
    )


class EquipmentTable(OnePort):
    """Anything else that a run may start or end at: a filling point, a drain, a manifold, the cold main, taps."""

    name: RefName = Field(description="Name that runs use.", examples=["cold main"])
    kind: Literal[
        "cold main", "hot taps", "filling point", "drain", "discharge", "manifold", "separator", "heat exchanger",
        "other",
    ] = Field(description="What it is.", examples=["cold main"])  # fmt: skip
    ports: list[PortTable] = Field([], description="Its connections, where it has more than one.")
