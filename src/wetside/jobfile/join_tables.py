"""Tables of the job file for what joins more than two runs, or two circuits."""

from typing import Literal

from pydantic import Field

from wetside.jobfile.field import (
    Conductance,
    Kv,
    Length,
    Mass,
    Name,
    Position,
    Ref,
    RefName,
    Share,
    Size,
    Table,
    Text,
    WaterTemperature,
    WaterVolume,
)  # fmt: skip
from wetside.jobfile.plant_tables import PortTable

Leg = Literal["before", "after", "branch"]
_FOUR = [
    {"name": "boiler_flow", "at": [0, 0, 0.4], "faces": "east"},
    {"name": "boiler_return", "at": [0, 0, 0], "faces": "east"},
    {"name": "heating_flow", "at": [-0.1, 0, 0.4], "faces": "west"},
    {"name": "heating_return", "at": [-0.1, 0, 0], "faces": "west"},
]


class SeparatorTable(Table):
    """A hydraulic separator. Ports boiler_flow, boiler_return, heating_flow, heating_return; flows at its top."""

    name: RefName = Field(description="Name that runs use.", examples=["separator"])
    bore: Size = Field(description="Bore of its body.", examples=[80])
    height: Length = Field(description="Height from its lower connections to its upper ones.", examples=[0.4])
    water: WaterVolume = Field(0.0, description="Water in it.")
    mass: Mass = Field(0.0, description="Mass, empty.")
    at: Position = Field(
        description="The point that its ports are measured from: [east, north, up].", examples=[[9, 6.4, 1]]
    )
    ports: list[PortTable] = Field(description="Its connections.", examples=[_FOUR])


class BufferTable(Table):
    """A buffer tank in the heating water. Ports as a separator's; flows at its top."""

    name: RefName = Field(description="Name that runs use.", examples=["buffer"])
    room: Name = Field(description="The room that it stands in.", examples=["Store"])
    volume: WaterVolume = Field(description="Water in it.", examples=["120 l"])
    height: Length = Field(description="Height from its lower connections to its upper ones.", examples=[1.1])
    mixed: bool = Field(
        False, description="All its water has one temperature; else hot water stays above cold and both pass through."
    )
    loss: Conductance | None = Field(None, description="Heat that it loses per kelvin to its room.", examples=[2])
    mass: Mass = Field(0.0, description="Mass, empty.")
    at: Position = Field(
        description="The point that its ports are measured from: [east, north, up].", examples=[[9, 6.4, 0.2]]
    )
    ports: list[PortTable] = Field(description="Its connections.", examples=[_FOUR])


class ExchangerTable(Table):
    """A plate exchanger between two circuits. Ports hot_flow and hot_return, cold_return (in) and cold_flow (out)."""

    name: RefName = Field(description="Name that runs use.", examples=["exchanger"])
    transfer: Conductance = Field(
        description="Heat passed per kelvin between its sides: surface times heat transfer coefficient.",
        examples=[1200],
    )
    hot_kv: Kv = Field(description="Resistance of the side that gives heat as a valve coefficient.", examples=[3])
    cold_kv: Kv = Field(description="Resistance of the side that is heated as a valve coefficient.", examples=[3])
    water: WaterVolume = Field(0.0, description="Water in it, both sides.")
    mass: Mass = Field(0.0, description="Mass, empty.")
    at: Position = Field(
        description="The point that its ports are measured from: [east, north, up].", examples=[[9, 6.4, 1]]
    )
    ports: list[PortTable] = Field(
        description="Its four connections.",
        examples=[[{"name": "hot_flow", "at": [0, 0, 0.3], "faces": "east"}]],
    )


class ThreeWayTable(Table):
    """A three-way valve in place of a tee, mixing or diverting. Of the tee's three legs it opens `hot` as far as it
    shuts `cold`; the third is always open."""

    name: RefName = Field(description="What the valve is called.", examples=["mixing valve"])
    tee: Ref = Field(description='The tee that it takes the place of, as "run.tee".', examples=["heating flow.mix"])
    kv: Kv = Field(description="Valve coefficient of either way fully open.", examples=[4])
    hot: Leg = Field(
        "before", description="Leg that brings warmer water: before or after the tee in its run as written, or branch."
    )
    cold: Leg = Field("branch", description="Leg that brings cooler water.")
    holds: WaterTemperature | None = Field(
        None, description="Temperature that it holds; it stays at `position` when left out.", examples=[45]
    )
    position: Share = Field(0.5, description="Share that hot is open where it holds no temperature.")
    sensor: Text = Field("", description='Tee at which it holds the temperature, as "run.tee"; itself when left out.')
