"""Tables of the job file that say what the building is."""

from typing import Annotated, Literal

from pydantic import Field

from wetside.basis.quantity import Kind
from wetside.jobfile.field import (
    AboveFloor,
    AirChange,
    AirTemperature,
    Allowance,
    Area,
    Conductivity,
    Coordinate,
    Distance,
    Gap,
    Length,
    LineLoss,
    Name,
    OpeningSize,
    PictureFile,
    Pitch,
    Point,
    Quantity,
    Ratio,
    Resistance,
    RoomSize,
    RoomVolume,
    Share,
    Size,
    Table,
    Text,
    UValue,
    Wall,
    WallOrRoof,
)  # fmt: skip

FacesWord = Literal["outside", "ground", "room", "unheated", "neighbour"]


class JobTable(Table):
    """The job itself."""

    name: Name = Field(description="What the job is called on every sheet.", examples=["Net loft"])
    units: Literal["metric", "us"] = Field(
        description="Unit system: what a bare number in this file means, and what is printed.", examples=["metric"]
    )
    paper: Literal["a4", "us-letter"] | None = Field(
        None, description="Paper of the printed pack; a4 for metric jobs and us-letter for us jobs when left out."
    )
    notes: list[Text] = Field([], description="Lines to print with the summary.")


class ClimateTable(Table):
    """Weather to design for."""

    outside: AirTemperature = Field(description="Outside temperature on the design day.", examples=[-7])
    mean: AirTemperature = Field(description="Mean outside temperature of the year.", examples=[9.4])
    cold_water: AirTemperature = Field(8.0, description="Temperature of the cold main in winter.")
    shielding: Literal["none", "moderate", "heavy"] = Field(
        "moderate", description="How far the house is sheltered from wind."
    )
    altitude: Coordinate = Field(0.0, description="Height above the sea.")
    void: AirTemperature = Field(15.0, description="Air around tube that crosses no room.")


class GroundTable(Table):
    """What lies under the lowest storey."""

    underfloor: Literal["slab on ground", "crawl space"] = Field("slab on ground", description="What is underneath.")
    conductivity: Conductivity = Field(2.0, description="Conductivity of the soil.")
    wall_thickness: Size = Field(0.3, description="Thickness of the outer walls where they meet the ground.")
    groundwater_close: bool = Field(False, description="Water table less than 1 m below the slab.")
    edge_insulation: Resistance = Field(0.0, description="Resistance of insulation round the slab's edge.")
    edge_depth: Gap = Field(0.0, description="Depth or width of that edge insulation.")
    crawl_height: Distance = Field(0.3, description="Height of the crawl space's wall above ground.")
    crawl_wall_u: UValue = Field(1.7, description="U-value of the crawl space's wall above ground.")
    crawl_vents: Annotated[float, Quantity(Kind.NUMBER, most=1.0)] = Field(
        0.0015, description="Vent opening per metre of the crawl space's perimeter, m²/m."
    )
    wind: Annotated[float, Quantity(Kind.NUMBER, most=50.0)] = Field(
        3.0, description="Mean wind speed at 10 m, m/s (crawl space)."
    )
    wind_factor: Annotated[float, Quantity(Kind.NUMBER, most=1.0)] = Field(
        0.05, description="Wind shielding factor of the crawl space: 0.02 sheltered, 0.05 average, 0.10 exposed."
    )


class FabricTable(Table):
    """Which construction stands where, unless a room or wall says otherwise."""

    outer_wall: Name = Field(description="Construction of outer walls.", examples=["solid brick"])
    inner_wall: Name = Field(description="Construction of walls between rooms.", examples=["partition"])
    ground_floor: Name = Field(description="Construction of the lowest floor.", examples=["slab"])
    inner_floor: Name = Field(description="Construction of floors between storeys.", examples=["joisted floor"])
    roof: Name = Field(description="Construction of the roof or top ceiling.", examples=["roof"])
    inner_door: Name | None = Field(None, description="Construction of doors between rooms.")
    bridge_allowance: Allowance = Field(
        0.05, description="Added to the U-value of every surface that faces outside, for thermal bridges not listed."
    )
    n50: AirChange | None = Field(None, description="Air change at 50 Pa, measured or assumed.")


class LayerTable(Table):
    """One layer of a construction; layers are listed inside to outside."""

    material: Name = Field(
        description="What it is. A shipped material brings its own conductivity.", examples=["brick"]
    )
    thickness: Gap | None = Field(None, description="Thickness.")
    conductivity: Conductivity | None = Field(None, description="Conductivity; the shipped material's when left out.")
    resistance: Resistance | None = Field(
        None, description="Resistance instead of thickness and conductivity (an air layer, say)."
    )
    bridge_share: Share = Field(
        0.0,
        description="Share of the area that is stud or joist. Then thickness and bridge_conductivity are needed, also "
        "beside a resistance.",
    )
    bridge_conductivity: Conductivity | None = Field(None, description="Conductivity of the stud or joist.")


class ConstructionTable(Table):
    """A build-up of a wall, floor, roof, window or door: its layers, or its U-value."""

    name: Name = Field(description="Name that other tables use.", examples=["solid brick"])
    u: UValue | None = Field(None, description="U-value, when it is known as such.")
    layers: list[LayerTable] = Field([], description="Layers from inside to outside.")


class StoreyTable(Table):
    """A storey."""

    name: Name = Field(description="Name that rooms use.", examples=["Ground"])
    level: Coordinate = Field(description="Height of the finished floor above the job's zero.", examples=[0.0])
    height: RoomSize = Field(description="Clear height from floor to ceiling.", examples=[2.4])


class SurfaceTable(Table):
    """A surface said outright, for a room without an outline or beside it."""

    name: Name = Field(description="What it is called.", examples=["north wall"])
    part: Literal["wall", "floor", "ceiling", "roof", "window", "door"] = Field(
        description="Which part of the room it is.", examples=["wall"]
    )
    area: Area = Field(description="Area, without its windows and doors.", examples=[9.6])
    construction: Name = Field(description="Its construction.", examples=["solid brick"])
    faces: FacesWord = Field(description="What lies behind.", examples=["outside"])
    behind: Text = Field("", description="The room behind, where it faces a room.")
    temperature: AirTemperature | None = Field(None, description="Temperature behind, where it is known.")


class BridgeTable(Table):
    """A linear thermal bridge."""

    name: Name = Field(description="What it is called.", examples=["lintel"])
    psi: LineLoss = Field(description="Linear thermal transmittance.", examples=[0.2])
    length: Length = Field(description="Its length.", examples=[1.2])


class RoomTable(Table):
    """A room: its outline on the plan, or its area and volume with its surfaces listed."""

    name: Name = Field(description="Name on every sheet.", examples=["Kitchen"])
    storey: Name = Field(description="The storey that it is on.", examples=["Ground"])
    outline: list[Point] | None = Field(
        None,
        description="Corners as [east, north], in order round the room: inner faces of outer walls, middle of inner "
        "walls.",
    )
    rectangle: Annotated[tuple[Coordinate, Coordinate, Coordinate, Coordinate], Field(strict=False)] | None = Field(
        None, description="Instead of an outline: [west, south, east, north]."
    )
    heated: bool = Field(True, description="Whether the room is heated.")
    inside: AirTemperature = Field(20.0, description="Temperature wanted inside.")
    air_change: AirChange = Field(0.5, description="Least air change.")
    height: RoomSize | None = Field(None, description="Own clear height, where it is not the storey's.")
    roof_pitch: Pitch | None = Field(None, description="Slope of the roof right above; flat when left out.")
    outer_wall: Name | None = Field(None, description="Construction of its outer walls, where not the house's.")
    floor: Name | None = Field(None, description="Construction of its floor, where not the house's.")
    top: Name | None = Field(None, description="Construction of its ceiling or roof, where not the house's.")
    volume: RoomVolume | None = Field(None, description="Volume, for a room without an outline.")
    floor_area: Area | None = Field(None, description="Floor area, for a room without an outline.")
    surface: list[SurfaceTable] = Field([], description="Surfaces said outright, as [[room.surface]].")
    bridge: list[BridgeTable] = Field([], description="Linear thermal bridges, as [[room.bridge]].")
    reheat: Annotated[float, Quantity(Kind.NUMBER, most=500.0)] = Field(
        0.0, description="Extra output per floor area to heat up after a setback, W/m²."
    )
    b_factor: Ratio | None = Field(
        None, description="Temperature reduction factor of an unheated room; reckoned from its surfaces when left out."
    )
    supply_air: Annotated[float, Quantity(Kind.NUMBER, most=100000.0)] = Field(
        0.0, description="Mechanical supply of air, m³/h."
    )
    supply_air_temperature: AirTemperature | None = Field(None, description="Temperature of that air.")


class UnderlayTable(Table):
    """A picture under the plan of a storey, to draw over: a photo of a sketch, say. Nothing is computed from it."""

    storey: Name = Field(description="The storey that it lies under.", examples=["Ground"])
    picture: PictureFile = Field(
        description="File in the job's folder: PNG, JPEG or WebP.", examples=["pictures/ground.jpg"]
    )
    at: Point = Field(description="Its lower left corner on the plan: [east, north].", examples=[[0, 0]])
    width: Length = Field(description="Width of the picture in the house's own measure.", examples=[12.4])


class WallTable(Table):
    """What geometry can't know of one wall of a room."""

    room: Name = Field(description="The room.", examples=["Store"])
    wall: Wall = Field(
        description="The side that the wall faces, or the number of the outline's edge, from 1.", examples=["south"]
    )
    construction: Name | None = Field(None, description="Its construction.")
    faces: FacesWord | None = Field(None, description="What lies behind, where the plan can't tell.")
    temperature: AirTemperature | None = Field(None, description="Temperature behind it.")
    below_ground: Distance = Field(0.0, description="How deep its foot stands below ground.")


class OpeningTable(Table):
    """A window, an outside door or a rooflight."""

    name: Name = Field(description="What it is called.", examples=["W1"])
    room: Name = Field(description="The room.", examples=["Kitchen"])
    part: Literal["window", "door"] = Field(description="Window (also a rooflight) or door.", examples=["window"])
    wall: WallOrRoof = Field(
        description='The side that its wall faces, the number of the outline\'s edge, or "roof".', examples=["west"]
    )
    construction: Name | None = Field(
        None, description="Its construction; the house's inner_door for a door between rooms when left out."
    )
    width: OpeningSize = Field(description="Width of the opening.", examples=[1.2])
    height: OpeningSize = Field(description="Height of the opening.", examples=[1.4])
    sill: AboveFloor = Field(0.0, description="Height of its lower edge above the floor.")
    offset: Distance | None = Field(
        None, description="From the wall's first corner to the opening; in the middle of the wall when left out."
    )
