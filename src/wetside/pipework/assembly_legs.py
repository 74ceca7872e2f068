"""The boiler's own circuit as moves: flow leg, level of the return, what branches off, with room for every joint."""

import math
from collections.abc import Callable, Sequence

from wetside.basis.errors import JobProblem, Mistake, Place
from wetside.basis.quantity import INCH, System, tape
from wetside.basis.si import Metre
from wetside.pipework.assembly_spec import Choices, Part
from wetside.pipework.items import shipped_items
from wetside.pipework.moves import parse_move
from wetside.pipework.rules import cup_m
from wetside.pipework.spec import Port, Run, Tube, Vec
from wetside.pipework.vec import add, dot, opposite, same, sub, times, towards, unit


class Moves:
    """Moves of one run as they are said, with the place that they have come to."""

    def __init__(self, at: Vec, grid: Callable[[Metre], str]) -> None:
        self.at, self.grid = at, grid
        self.said: list[str] = []

    def go(self, way: Vec, distance: Metre) -> None:
        self.said.append(f"{towards(way)} {self.grid(distance)}")
        self.at = add(self.at, times(way, distance))

    def open(self, way: Vec, to: Vec) -> None:
        """Go until level with a place, which the run's end settles."""
        self.said.append(f"{towards(way)} …")
        self.at = add(self.at, times(way, dot(sub(to, self.at), way)))

    def fit(self, item: str) -> None:
        self.said.append(f"fit {item}")

    def tee(self, name: str) -> None:
        self.said.append(f"tee {name}")


UP: Vec = (0.0, 0.0, 1.0)
DOWN: Vec = (0.0, 0.0, -1.0)


class Legs:
    def __init__(self, c: Choices) -> None:
        self.c = c
        self.side = side_of(c)
        self.out = c.flow.faces
        self.gap = dot(sub(c.flow.at, c.back.at), self.side)
        self.runs: list[Run] = []
        self.kept: list[str] = []
        self.ports: list[Port] = []
        self.branches: list[tuple[str, str, Moves, str]] = []
        self.level: Metre = 0.0
        """Of the flow along the wall, from its connection."""
        self.top = self.bottom = 0.0
        self.far = 0.0
        self.step = 0.005 if c.system is System.METRIC else INCH / 4.0

    # ---- distances

    def up_to(self, distance: Metre) -> Metre:
        """The next distance on the tape that is no shorter."""
        return math.ceil(distance / self.step - 1e-6) * self.step

    def reach(self, thing: str, tube: Tube) -> Metre:
        """From the centre of a thing to where tube is first seen (a little more than any fitting of the tables)."""
        cup, wide = cup_m(tube), tube.outside_m
        if thing in ("turn", "tee"):
            return 0.85 * wide + cup
        if thing == "port":
            return 1.25 * wide + cup
        item = next(i for i in shipped_items() if i.kind.value == thing)
        return 0.85 * wide + cup if item.on_branch else item.length_m / 2.0 + cup

    def apart(self, a: str, b: str, usual: Metre, tube: Tube | None = None) -> Metre:
        """Centre distance of two neighbours: the usual one, or what their joints need."""
        tube = tube or self.c.tube
        return self.up_to(max(usual, self.reach(a, tube) + self.reach(b, tube) + 0.012))

    def moves(self, at: Vec) -> Moves:
        return Moves(at, lambda d: said(d, self.c.system))

    def has(self, part: Part) -> bool:
        return part not in self.c.without

    def run(self, name: str, start: str, moves: Moves, end: str, tube: Tube | None = None) -> None:
        self.runs.append(
            Run(
                name=name,
                tube=(tube or self.c.tube).name,
                start=start,
                moves=tuple(parse_move(m, self.c.system) for m in moves.said),
                end=end,
            )
        )
        self.see(moves.at)

    def house(self, name: str, start: str, moves: Moves, end: str, tube: Tube | None = None) -> None:
        """A run that whoever lays the house's runs goes on with."""
        self.run(name, start, moves, end, tube)
        self.kept.append(name)

    def see(self, at: Vec) -> None:
        """Keep the room that all of it takes."""
        d = sub(at, self.c.flow.at)
        self.far = max(self.far, dot(d, self.side))
        self.top, self.bottom = max(self.top, d[2]), min(self.bottom, d[2])

    # ---- the boiler's own circuit

    def flow_leg(self, m: Moves) -> None:
        """From the flow connection to the air separator on the level that leads along the wall."""
        c, last = self.c, "port"
        length = 0.0
        if self.has(Part.RELIEF):
            d = self.apart("port", "tee", 0.10)
            m.go(self.out, d)
            m.tee("relief")
            self.relief(m.at)
            last, length = "tee", d
        if self.has(Part.VALVES):
            d = self.apart(last, "isolating valve", 0.15)
            m.go(self.out, d)
            m.fit("isolating valve")
            last, length = "isolating valve", length + d
        down = self.apart(last, "turn", 0.30)
        # the way back hangs lower, by `fall`, and must have room for its own items
        if self.out[2] > 0.0:
            down = max(down, self.up_to(self.back_room() + self.fall() - length))
        else:
            down = max(down, self.up_to(self.back_room() - self.fall() - length))
        m.go(self.out, down)
        self.level = dot(sub(m.at, c.flow.at), UP)
        if self.has(Part.AIR):
            m.go(self.side, self.apart("turn", "air separator", 0.12))
            m.fit("air separator")

    def fall(self) -> Metre:
        """From the level of the flow to that of the return."""
        return self.apart("turn", "turn", 0.25)

    def back_items(self) -> list[tuple[str, Metre]]:
        found: list[tuple[str, Metre]] = []
        last = "turn"
        if self.has(Part.DIRT):
            found.append(("dirt separator", self.apart(last, "dirt separator", 0.12)))
            last = "dirt separator"
        if self.has(Part.VALVES):
            found.append(("isolating valve", self.apart(last, "isolating valve", 0.25)))
        return found

    def back_room(self) -> Metre:
        """Height between the return's level and its connection."""
        items = self.back_items()
        last = items[-1][0] if items else "turn"
        return sum(d for _, d in items) + self.apart(last, "port", 0.12)

    def low_items(self) -> list[tuple[str, str, Metre]]:
        """What sits on the level of the return, from the separation to the boiler: word, kind, distance before it."""
        found: list[tuple[str, str, Metre]] = []
        last = "turn"
        for part, said, kind in (
            (Part.VESSEL, "tee vessel", "tee"),
            (Part.GAUGE, "fit pressure gauge", "pressure gauge"),
            (Part.FILL, "tee fill", "tee"),
            (Part.DRAIN, "fit drain cock", "drain cock"),
        ):
            if self.has(part):
                found.append((said, kind, self.apart(last, kind, 0.15 if last == "turn" else 0.11)))
                last = kind
        return found

    def low_length(self) -> Metre:
        items = self.low_items()
        last = items[-1][1] if items else "turn"
        return sum(d for _, _, d in items) + self.apart(last, "turn", 0.15)

    def along_low(self, m: Moves, way: Vec) -> None:
        """The items of the return's level, said in the direction that the run goes."""
        items = self.low_items()
        for said, _, d in items:
            m.go(way, d)
            m.said.append(said)
            if said == "tee vessel":
                self.vessel(m.at)
            elif said == "tee fill":
                self.fill(m.at)

    def back_leg(self, m: Moves) -> None:
        """From the level of the return up (or down) to its connection."""
        way = times(self.out, -1.0)
        for item, d in self.back_items():
            m.go(way, d)
            m.fit(item)
        m.open(way, self.c.back.at)

    def relief(self, at: Vec) -> None:
        c, small = self.c, self.c.small
        across, rise = self.apart("tee", "turn", 0.20), self.apart("turn", "port", 0.15, small)
        # away from the return's tube
        aside = times(self.side, -self.out[2])
        end = add(add(at, times(aside, across)), times(UP, rise))
        self.ports.append(Port(owner=c.relief, name="", at=end, faces=DOWN, owner_kind="relief"))
        m = self.moves(at)
        m.open(aside, end)
        m.open(UP, end)
        self.later("relief line", "relief", m, c.relief)

    def vessel(self, at: Vec) -> None:
        c, small = self.c, self.c.small
        first, last = self.apart("tee", "turn", 0.06), self.apart("turn", "port", 0.14, small)
        end = add(add(at, times(DOWN, first + last)), times(self.side, 0.54))
        self.ports.append(Port(owner=c.vessel, name="", at=end, faces=UP, owner_kind="vessel"))
        m = self.moves(at)
        m.go(DOWN, first)
        m.open(self.side, end)
        m.open(DOWN, end)
        self.see(add(end, times(self.side, 0.20)))
        self.later("vessel line", "vessel", m, c.vessel)

    def fill(self, at: Vec) -> None:
        c, small = self.c, self.c.small
        first = self.apart("tee", "isolating valve", 0.09)
        last = self.apart("isolating valve", "port", 0.16, small)
        end = add(at, times(DOWN, first + last))
        self.ports.append(Port(owner=c.fill, name="", at=end, faces=UP, owner_kind="equipment"))
        m = self.moves(at)
        if self.has(Part.VALVES):
            m.go(DOWN, first)
            m.fit("isolating valve")
        m.open(DOWN, end)
        self.later("fill line", "fill", m, c.fill)

    def later(self, name: str, tee: str, m: Moves, end: str) -> None:
        """A branch of the boiler's circuit; its run is written when that run's name is known."""
        self.branches.append((name, tee, m, end))

    def finish(self, owner: dict[str, str]) -> None:
        for name, tee, m, end in self.branches:
            self.run(name, f"{owner[tee]}.{tee}", m, end, self.c.small)


def said(distance: Metre, system: System) -> str:
    """A distance as a move says it."""
    if system is System.US:
        return tape(distance, system)
    return f"{distance * 1000:.0f} mm" if distance < 1.0 else f"{distance:.3f}".rstrip("0").rstrip(".") + " m"


def heights(items: Sequence[tuple[str, Metre]]) -> list[tuple[str, Metre]]:
    """Distances counted from the start instead of from one to the next."""
    total, found = 0.0, list[tuple[str, Metre]]()
    for word, d in items:
        total += d
        found.append((word, total))
    return found


def side_of(c: Choices) -> Vec:
    """Along the wall, the way that the pipework goes: beyond the flow, or beyond the return where tube leaves upwards,
    so that neither level crosses the other connection's tube."""
    between = sub(c.flow.at, c.back.at)
    wrong = remedy = ""
    if not (same(c.flow.faces, c.back.faces) and abs(c.flow.faces[2]) > 1.0 - 1e-6):
        wrong, remedy = "its flow and return don't both face up or both down", "lay these runs by hand"
    elif abs(between[2]) > 1e-6:
        wrong, remedy = "its flow and return are not level with one another", "lay these runs by hand"
    elif not any(same(unit(between), w) or opposite(unit(between), w) for w in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))):
        wrong, remedy = "its flow and return don't lie east and west, or north and south, of one another", "turn it"
    if wrong:
        raise JobProblem([Mistake(Place("boiler", c.flow.owner, "ports"), wrong, remedy)])
    return times(unit(between), -c.flow.faces[2])
