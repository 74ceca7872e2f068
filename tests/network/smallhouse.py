"""An invented small house: boiler with its own circulator, closely spaced tees, a pumped circuit of three radiators."""

from dataclasses import replace
from typing import Any

from wetside.basis.quantity import System
from wetside.emitter.spec import Emitter, EmitterKind
from wetside.network.flow import flow
from wetside.network.reading import FlowReading
from wetside.network.spec import Boiler, Circulator
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item, ItemKind, Port, Run, Tee
from wetside.pipework.tubes import shipped_tubes

DOWN = (0.0, 0.0, -1.0)
PUMP = ((0.0, 5.0e4), (0.5 / 3600, 4.5e4), (1.0 / 3600, 3.2e4), (1.5 / 3600, 1.2e4))
ROOM_C = {"Hall": 18.0, "Parlour": 21.0, "Attic": 16.0}


def circulator(name: str, speed: float = 1.0) -> Circulator:
    return Circulator(name=name, points=PUMP, speed=speed)


def radiator(name: str, room: str, watts: float = 1500.0) -> Emitter:
    return Emitter(
        name=name, room=room, kind=EmitterKind.PANEL, rated_w=watts, rated_excess_k=50.0, exponent=1.3,
        water_m3=5e-3, mass_kg=20.0, rating_note="invented", length_m=1.0, height_m=0.6, depth_m=0.1,
    )  # fmt: skip


EMITTERS = (radiator("R1", "Hall"), radiator("R2", "Parlour", 2000.0), radiator("R3", "Attic", 1000.0))
BOILER = Boiler(
    name="boiler", output_w=12e3, least_w=3e3, flow_c=70.0, kv_m3_h=2.5, circulator=circulator("boiler circulator")
)


def port(owner: str, name: str, at: tuple[float, float, float], kind: str = "emitter") -> Port:
    return Port(owner=owner, name=name, at=at, faces=DOWN, owner_kind=kind)


PORTS = (
    port("boiler", "flow", (0.0, 0.0, 1.5), "boiler"),
    port("boiler", "return", (0.3, 0.0, 1.5), "boiler"),
    port("vessel", "", (1.0, 0.0, 0.3), "vessel"),
    *(port(e.name, end, (4.0 + 2 * i + dx, 3.0, 0.2)) for i, e in enumerate(EMITTERS)
      for end, dx in (("flow", 0.0), ("return", 1.0))),
)  # fmt: skip

Runs = dict[str, Run]


def run(name: str, tube: str, start: str, moves: str, end: str = "", **more: Any) -> Run:
    said = tuple(parse_move(m.strip(), System.METRIC) for m in moves.split(","))
    return Run(name=name, tube=tube, start=start, moves=said, end=end, **more)


def all_runs() -> Runs:
    runs = [
        run("primary", "copper 22", "boiler.flow",
            "down 0.3 m, fit isolating valve, down 0.2 m, tee A, down 0.08 m, tee B, down 0.2 m, tee V, "
            "down 0.2 m, east 0.3 m, up 0.98 m", "boiler.return"),
        run("to vessel", "copper 15", "primary.V", "north 0.2 m", "vessel"),
        run("heating flow", "copper 22", "primary.A",
            "west 0.2 m, fit heating circulator, west 0.5 m, tee 1, west 2 m, tee 2, tube copper 15, west 2 m"),
        run("heating return", "copper 22", "primary.B",
            "west 0.7 m, tee 1, west 2 m, tee 2, tube copper 15, west 2 m"),
        run("R1 flow", "copper 15", "heating flow.1", "north 2 m, up 0.2 m", "R1.flow", room="Hall"),
        run("R2 flow", "copper 15", "heating flow.2", "north 2 m, up 0.2 m", "R2.flow", room="Parlour"),
        run("R1 return", "copper 15", "heating return.1", "north 2 m, up 0.2 m", "R1.return", room="Hall"),
        run("R2 return", "copper 15", "heating return.2", "north 2 m, up 0.2 m", "R2.return", room="Parlour"),
    ]  # fmt: skip
    found = {r.name: r for r in runs}
    for way in ("flow", "return"):
        r = found[f"heating {way}"]
        found[r.name] = Run(
            name=r.name, tube=r.tube, start=r.start, end=f"R3.{way}",
            moves=(*r.moves, parse_move("up 2.5 m", System.METRIC)), insulation_m=0.019,
        )  # fmt: skip
    return found


def without_tee(runs: Runs, run_name: str, tee: str) -> Runs:
    """The runs, one of them without one of its tees."""
    r = runs[run_name]
    kept = tuple(m for m in r.moves if not (isinstance(m, Tee) and m.name == tee))
    return {**runs, run_name: replace(r, moves=kept)}


def items(*more: Item) -> tuple[Item, ...]:
    pump = Item(name="heating circulator", kind=ItemKind.CIRCULATOR)
    return (*more, *shipped_items(), pump)


VALVES = {e.name: ("thermostatic valve", "lockshield valve") for e in EMITTERS}


def laid(runs: Runs, extra: tuple[Item, ...] = ()) -> Pipework:
    return lay(runs.values(), PORTS, shipped_tubes(), items(*extra), lambda _: "")


def at_work(runs: Runs, extra: tuple[Item, ...] = (), **changes: Any) -> FlowReading:
    told: dict[str, Any] = {
        "emitters": EMITTERS,
        "emitter_valves": VALVES,
        "items": items(*extra),
        "boilers": (BOILER,),
        "circulators": (circulator("heating circulator"),),
        "tanks": (),
        "room_c": ROOM_C,
        "void_c": 15.0,
    }
    return flow(laid(runs, extra), **{**told, **changes})
