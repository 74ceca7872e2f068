"""Every table of the job file, in the order in which a person would write them."""

from wetside.basis.record import record
from wetside.jobfile.field import Table
from wetside.jobfile.frame_tables import StructureTable, SupportsTable, SupportTable
from wetside.jobfile.house_tables import (
    ClimateTable,
    ConstructionTable,
    FabricTable,
    GroundTable,
    JobTable,
    OpeningTable,
    RoomTable,
    StoreyTable,
    UnderlayTable,
    WallTable,
)  # fmt: skip
from wetside.jobfile.join_tables import BufferTable, ExchangerTable, SeparatorTable, ThreeWayTable
from wetside.jobfile.pipe_tables import AcceptTable, BalanceTable, LimitsTable, RunTable, TubeTable
from wetside.jobfile.plant_tables import (
    BaseboardTable,
    BoilerTable,
    CirculatorTable,
    ColumnTable,
    EmitterBase,
    EquipmentTable,
    FillTable,
    HotWaterTable,
    ItemTable,
    PanelTable,
    ReliefTable,
    SeparationTable,
    TankTable,
    TowelRailTable,
    VesselTable,
)  # fmt: skip
from wetside.jobfile.shop_tables import BuyingTable, FittingTable, JointsTable, LeftOverTable, PriceTable, StockTable

FORMAT = 1
"""Number that a job file states as ``format``."""


@record(kw_only=False)
class TableKind:
    """How one table appears: once (`[job]`) or many times (`[[room]]`), and the fields that tell entries apart."""

    model: type[Table]
    many: bool = True
    needed: bool = False
    key: tuple[str, ...] = ("name",)


TABLES: dict[str, TableKind] = {
    "job": TableKind(JobTable, many=False, needed=True, key=()),
    "climate": TableKind(ClimateTable, many=False, needed=True, key=()),
    "ground": TableKind(GroundTable, many=False, key=()),
    "fabric": TableKind(FabricTable, many=False, needed=True, key=()),
    "construction": TableKind(ConstructionTable),
    "storey": TableKind(StoreyTable, needed=True),
    "room": TableKind(RoomTable, needed=True),
    "underlay": TableKind(UnderlayTable, key=("storey",)),
    "wall": TableKind(WallTable, key=("room", "wall")),
    "opening": TableKind(OpeningTable),
    "boiler": TableKind(BoilerTable),
    "circulator": TableKind(CirculatorTable),
    "item": TableKind(ItemTable),
    "emitter": TableKind(EmitterBase),
    "tank": TableKind(TankTable),
    "vessel": TableKind(VesselTable),
    "relief": TableKind(ReliefTable),
    "fill": TableKind(FillTable, many=False, key=()),
    "hot_water": TableKind(HotWaterTable, many=False, key=()),
    "separation": TableKind(SeparationTable),
    "equipment": TableKind(EquipmentTable),
    "separator": TableKind(SeparatorTable),
    "buffer": TableKind(BufferTable),
    "exchanger": TableKind(ExchangerTable),
    "three_way": TableKind(ThreeWayTable),
    "tube": TableKind(TubeTable),
    "run": TableKind(RunTable),
    "structure": TableKind(StructureTable, key=("storey",)),
    "supports": TableKind(SupportsTable, many=False, key=()),
    "support": TableKind(SupportTable),
    "joints": TableKind(JointsTable, many=False, key=()),
    "fitting": TableKind(FittingTable, key=("kind", "size", "joint")),
    "stock": TableKind(StockTable, key=("tube",)),
    "price": TableKind(PriceTable, key=("item", "size")),
    "left_over": TableKind(LeftOverTable, key=("item", "size")),
    "buying": TableKind(BuyingTable, many=False, key=()),
    "accept": TableKind(AcceptTable, key=("rule", "subject")),
    "limits": TableKind(LimitsTable, many=False, key=()),
    "balance": TableKind(BalanceTable, many=False, key=()),
}

EMITTERS: dict[str, type[EmitterBase]] = {
    "panel radiator": PanelTable,
    "column radiator": ColumnTable,
    "towel rail": TowelRailTable,
    "finned baseboard": BaseboardTable,
}
"""An emitter's fields depend on its kind."""
