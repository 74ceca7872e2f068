"""Tables of the job file about the shop: how tube is joined, fittings that were measured, stock, prices, spares."""

from typing import Annotated, Literal

from pydantic import Field

from wetside.basis.quantity import Kind
from wetside.jobfile.field import Gap, Length, Name, Quantity, Share, Size, Table, Text

Money = Annotated[float, Quantity(Kind.NUMBER)]
Price = Annotated[float, Quantity(Kind.NUMBER, positive=True)]
Pieces = Annotated[int, Field(ge=1, le=100_000)]
Chance = Annotated[float, Quantity(Kind.SHARE, least=1e-4, most=0.9)]
Spoilt = Annotated[float, Quantity(Kind.SHARE, most=0.5)]


class JointsTable(Table):
    """How each material is joined, and how true pieces and fittings are."""

    copper: Literal["soldered", "brazed", "pressed", "compression"] = Field("soldered", description="Copper.")
    PEX: Literal["crimp", "expansion", "pressed"] = Field("crimp", description="PEX.")
    gap: Gap | None = Field(
        None, description="Tube to be seen between two fittings; a typical figure for the joint when left out."
    )
    cut_tolerance: Gap = Field(0.001, description="A cut is this long or short at worst; 1 mm when left out.")
    fitting_tolerance: Gap = Field(
        0.0008, description="A take-out is this far from the table's at worst; 0.8 mm (1/32 in) when left out."
    )


class FittingTable(Table):
    """A fitting that you measured; it comes before every table."""

    kind: Literal["elbow 90", "elbow 45", "tee run", "tee branch", "coupling", "connector"] = Field(
        description="What it is; a tee has a run and a branch.", examples=["elbow 90"]
    )
    size: Text = Field(description="Size of the tube that goes in, as spoken.", examples=["22 mm"])
    takeout: Gap = Field(
        description="From its centre (a connector: the port's face) to the end of the tube; a coupling: half of what "
        "stays between the tubes.",
        examples=[14],
    )
    insertion: Size | None = Field(None, description="How far the tube goes in; the table's when left out.")
    joint: Literal["soldered", "brazed", "pressed", "compression", "threaded", "crimp", "expansion"] | None = Field(
        None, description="For this way of joining alone; for every one when left out."
    )


class StockTable(Table):
    """What sticks or coils of a tube are on sale, and which offcuts of it you have."""

    tube: Name = Field(description="The tube.", examples=["copper 22"])
    lengths: list[Length] = Field([], description="Lengths on sale; the tube's own when left out.")
    prices: list[Price] = Field([], description="Price of one stick or coil of each length, in the same order.")
    offcuts: list[Length] = Field([], description="Lengths of offcuts that you have; they are used first.")


class PriceTable(Table):
    """A price, by the name and size that the buy list uses."""

    item: Text = Field(description="Item as the buy list has it.", examples=["elbow 90°"])
    size: Text = Field("", description="Size as the buy list has it; every size when left out.")
    each: Price = Field(description="Price of one.", examples=[2.4])


class LeftOverTable(Table):
    """What was not used when the work is done, whole and in its wrapping: it goes back to the counter."""

    item: Text = Field(description="Item as the buy list has it.", examples=["elbow 90°"])
    size: Text = Field("", description="Size as the buy list has it; needed where that has several.")
    count: Pieces = Field(description="How many: pieces, sticks, coils or packs.", examples=[3])


class BuyingTable(Table):
    """Saw, money, and how sure you want to be that one trip is enough."""

    currency: Text = Field("", description="Money of all prices, as it is printed.")
    kerf: Gap | None = Field(
        None, description="Lost at each cut; 2 mm (a saw) on steel and nothing (wheel, shears) on others when left out."
    )
    trip: Money | None = Field(None, description="What another trip costs you; 40 when left out, an assumption.")
    return_fee: Share | None = Field(
        None, description="Share of the price lost on what goes back; 15 % when left out, an assumption."
    )
    chance: Chance | None = Field(None, description="Chance of another trip that you accept; 5 % when left out.")
    spoil_joint: Spoilt | None = Field(
        None, description="Chance that a joint is spoilt; 1 to 2 % by kind when left out, an assumption."
    )
    spoil_cut: Spoilt | None = Field(
        None, description="Chance that a piece is cut wrong; 1 % when left out, an assumption."
    )
