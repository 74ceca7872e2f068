"""Tables of the job file that say how the tube runs, and the person's own limits and waivers."""

import datetime
from typing import Literal

from pydantic import Field

from wetside.jobfile.field import (
    Conductivity,
    Excess,
    Gap,
    Gradient,
    Length,
    Name,
    Ref,
    RefName,
    Size,
    Speed,
    Table,
    Text,
)


class TubeTable(Table):
    """A tube that is not on the shipped list."""

    name: Name = Field(description='Name that runs use, such as "PEX 16".', examples=["PEX 16"])
    material: Literal["copper", "steel", "PEX", "multilayer"] = Field(description="Material.", examples=["PEX"])
    size: Text = Field(description="Size as spoken at the counter.", examples=["16 mm"])
    outside: Size = Field(description="Outside diameter.", examples=[16])
    wall: Size = Field(description="Wall thickness.", examples=[2])
    roughness: Gap | None = Field(None, description="Roughness of the bore; usual for the material when left out.")
    stock: Length = Field(3.0, description="Length of one stick or coil.")
    source: Text = Field("this job", description="Where the figures come from.")


class RunTable(Table):
    """A run of tube, move by move."""

    name: RefName = Field(description="Name; its tees are NAME.TEE.", examples=["primary"])
    tube: Name = Field(description="Tube that it starts in: a shipped or own one.", examples=["copper 22"])
    start: Ref = Field(
        description='Where it starts: a port ("boiler.flow") or a tee of another run ("primary.A").',
        examples=["boiler.flow"],
    )
    moves: list[Text] = Field(
        description="Moves in order: directions with a distance, fit ITEM, tee NAME, tube NAME.",
        examples=[["down 350 mm", "fit isolating valve", "west 2.4 m"]],
    )
    end: Ref = Field("", description="Where it ends: a port or a tee of another run; capped when empty.")
    insulation: Gap = Field(0.0, description="Thickness of insulation; none when left out.")
    insulation_conductivity: Conductivity = Field(0.035, description="Conductivity of the insulation.")
    room: Text = Field(
        "",
        description="Room whose air is round it; found from the plan when left out. What the tube gives off there is "
        "no loss of the boiler where the room is heated, but it counts for no emitter.",
    )


class AcceptTable(Table):
    """A finding that the person accepts, with the date and the reason. Safety findings can't be accepted."""

    rule: Text = Field(description="Id of the rule.", examples=["EMI-02"])
    subject: Text = Field(description="What the finding is about, as it is shown.", examples=["R1"])
    on: datetime.date = Field(description="Date, bare.", examples=[datetime.date(2026, 11, 1)])
    because: Text = Field(min_length=1, description="Reason.", examples=["room used by day only"])


class LimitsTable(Table):
    """The person's own limits for water in tube."""

    speed: Speed | None = Field(None, description="Highest speed of the water.")
    gradient: Gradient | None = Field(None, description="Steepest pressure gradient.")
    tubes: list[Name] = Field(
        [],
        description="Tubes to choose from when sizing; when left out, those that the job uses where water circulates, "
        "and the larger ones of their series.",
        examples=[["copper 15", "copper 22", "copper 28"]],
    )


class BalanceTable(Table):
    """What emitters are balanced for."""

    drop: Excess | None = Field(
        None, description="How far an emitter may cool the water by design; 20 K in metric jobs, 20 °F in us jobs."
    )
