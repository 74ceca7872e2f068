"""Small pipeworks for tests of the shop side."""

from collections.abc import Mapping

from wetside.basis.quantity import System
from wetside.fabricate.fittings import fit
from wetside.fabricate.reading import Fabrication
from wetside.fabricate.spec import Shop
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item, Port, Run
from wetside.pipework.tubes import shipped_tubes

PORTS = (
    Port(owner="boiler", name="flow", at=(0.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
    Port(owner="boiler", name="return", at=(0.3, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
    Port(owner="R1", name="flow", at=(2.0, 1.0, 0.2), faces=(0.0, -1.0, 0.0), owner_kind="emitter"),
)


def run(name: str, start: str, *moves: str, end: str = "", tube: str = "copper 22") -> Run:
    said = tuple(parse_move(m, System.METRIC) for m in moves)
    return Run(name=name, tube=tube, start=start, moves=said, end=end)


def laid(*runs: Run) -> Pipework:
    return lay(runs, PORTS, shipped_tubes(), shipped_items(), lambda _: "")


def made(*runs: Run, shop: Shop | None = None, valves: Mapping[str, Item] | None = None) -> Fabrication:
    return fit(laid(*runs), shop, valves)
