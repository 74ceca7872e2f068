"""Tables of the job file that say how the pipework is held, and what it can be fixed to."""

from typing import Annotated, Literal

from pydantic import Field

from wetside.basis.quantity import Kind
from wetside.jobfile.field import Coordinate, Distance, Gap, Name, Position, Quantity, Size, Table, Temperature

Force = Annotated[float, Quantity(Kind.FORCE, positive=True)]
Moment = Annotated[float, Quantity(Kind.MOMENT, positive=True)]
Stress = Annotated[float, Quantity(Kind.STRESS, positive=True)]
Timbers = Annotated[float, Quantity(Kind.LENGTH, least=0.1, most=5.0)]

SpacingName = Literal["metric", "trade", "city", "irc 2018", "small plastic"]


class SupportsTable(Table):
    """How supports are chosen: which spacing table is in use, and what the boiler's connections bear."""

    spacing: SpacingName | None = Field(
        None, description="Spacing table in use; metric in metric jobs, trade in US jobs, when left out."
    )
    code: SpacingName | None = Field(
        None, description="Table of the adopted code, the ceiling over the one in use; irc 2018 in US jobs."
    )
    automatic: bool = Field(
        True, description="Put in supports where the runs still want some; false judges only those that are written."
    )
    connection_force: Force | None = Field(
        None, description="Most that the boiler's maker allows on a connection; a small typical figure when left out."
    )
    connection_moment: Moment | None = Field(None, description="Most moment on a connection, likewise.")
    sag: Size = Field(0.0025, description="Most that tube may sag between supports; 2.5 mm when left out.")
    sleeve: Gap = Field(0.005, description="Room around tube where it passes floors and walls; 5 mm when left out.")
    cold: Temperature = Field(10.0, description="Temperature at which the tube is put together.")
    plastic_stress: Stress | None = Field(None, description="Allowable stress of plastic tube when hot: maker's sheet.")


class SupportTable(Table):
    """A support placed by hand: along its run from the run's start, or at a place."""

    name: Name = Field(
        description="Name of your own; S1, S2, … are given to those put in by themselves.", examples=["beside boiler"]
    )
    run: Name = Field(description="Run that it holds.", examples=["primary"])
    kind: Literal["standoff", "clip", "hanger", "riser clamp", "anchor", "guide"] = Field(
        description="What it is.", examples=["riser clamp"]
    )
    along: Distance | None = Field(None, description="Distance along the run's centre line from its start.")
    at: Position | None = Field(None, description="Place instead: east, north, up.")
    bears: Force | None = Field(None, description="What it bears, by its maker; typical for its kind when left out.")


class StructureTable(Table):
    """Timbers of a storey that supports are fixed to: joists under its floor, studs in its walls."""

    storey: Name = Field(description="Storey.", examples=["First"])
    joists: Literal["north", "east"] | None = Field(
        None, description="Which way the joists under this floor run: north (and south), or east (and west)."
    )
    joist_spacing: Timbers = Field(0.4, description="From the middle of one joist to the next; 0.4 m when left out.")
    first_joist: Coordinate = Field(0.0, description="East (or north) of the middle of any one of them.")
    studs: Timbers | None = Field(None, description="From the middle of one stud to the next; no studs when left out.")
    first_stud: Coordinate = Field(0.0, description="East or north of the middle of any one of them, along its wall.")
