"""A shed with a boiler on its wall and one long run, for tests."""

from collections.abc import Sequence
from typing import Any

from wetside.basis.quantity import System
from wetside.frame.around import Around, around
from wetside.frame.reading import Supporting
from wetside.frame.spec import Bracing, Support, SupportKind
from wetside.frame.supports import supporting
from wetside.house.spec import Climate, Construction, Fabric, Ground, House, Room, Storey
from wetside.network.spec import Boiler
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item, ItemKind, Port, Run, Vec
from wetside.pipework.tubes import shipped_tubes

PUMP = Item(name="pump", kind=ItemKind.CIRCULATOR, length_m=0.18, mass_kg=9.0)
ITEMS = (*shipped_items(), PUMP)
BOILER = Boiler(name="boiler", output_w=2e4, least_w=5e3, flow_c=70, kv_m3_h=2.0, mass_kg=40.0)


def port(owner: str, name: str, at: Vec, faces: Vec, kind: str) -> Port:
    return Port(owner=owner, name=name, at=at, faces=faces, owner_kind=kind)


def shed(walls: bool = True) -> Around:
    room = Room(name="shed", storey="one", outline=((0, 0), (12, 0), (12, 6), (0, 6)))
    return around(
        House(
            climate=Climate(outside_c=-5, mean_c=9),
            ground=Ground(),
            fabric=Fabric(outer_wall="w", inner_wall="w", ground_floor="w", inner_floor="w", roof="w"),
            storeys=(Storey(name="one", level_m=0.0, height_m=2.5), Storey(name="two", level_m=2.8, height_m=2.5)),
            constructions=(Construction(name="w", u_w_m2k=1.0),),
            rooms=(room,) if walls else (),
        )
    )


def run(
    moves: Sequence[str], *, tube: str = "copper 22", name: str = "run", start: str = "boiler.flow", end: str = "R.flow"
) -> Run:
    parsed = tuple(parse_move(m, System.METRIC) for m in moves)
    return Run(name=name, tube=tube, start=start, moves=parsed, end=end)


def pipes(*runs: Run, radiator: Vec = (8.0, 0.1, 1.0), facing: Vec = (-1.0, 0.0, 0.0)) -> Pipework:
    ports = (
        port("boiler", "flow", (1.0, 0.1, 1.5), (0.0, 0.0, -1.0), "boiler"),
        port("boiler", "return", (1.3, 0.1, 1.5), (0.0, 0.0, -1.0), "boiler"),
        port("R", "flow", radiator, facing, "emitter"),
    )
    return lay(runs, ports, shipped_tubes(), ITEMS, lambda at: "shed")


def read(pipework: Pipework, walls: bool = True, **choices: Any) -> Supporting:
    system = choices.pop("system", System.METRIC)
    return supporting(
        pipework,
        bracing=Bracing(**choices),
        around=shed(walls),
        system=system,
        boilers=(BOILER,),
        tanks=(),
        emitters=(),
        items=ITEMS,
        emitter_valves={},
    )


def by_hand(name: str, kind: str, along: float, run: str = "run", **more: Any) -> Support:
    return Support(name=name, run=run, kind=SupportKind(kind), along_m=along, **more)
