"""Pipework near a boiler, made from a few choices: ordinary runs, in the order that works, with room for every joint.

Before a wall, the boiler's flow goes out, past the relief valve and an isolating valve, along the wall through the air
separator to the separation, down, and back under the connections past vessel, gauge, fill and drain, through the dirt
separator to the return. Circuits stand upright beyond. Distances are typical and can be edited; the straight tube about
closely set tees is the tee manuals'.
"""

import math

from wetside.basis.errors import JobProblem, Mistake, Place
from wetside.basis.quantity import System, tape
from wetside.basis.si import Metre
from wetside.pipework.assembly_legs import DOWN, UP, Legs, Moves, heights
from wetside.pipework.assembly_spec import Choices, NearBoiler, Part, Parting
from wetside.pipework.spec import Port, Vec
from wetside.pipework.vec import add, dot, same, sub, times, towards

BEFORE, SPACING = 8.0, 4.0
"""Straight tube before closely set tees, and their most centre distance, in bores (tee manuals). After them 4 bores
would do, but between them the water turns round when the house draws more than the boiler pumps: 8 on either side."""
PITCH: Metre = 0.30
"""From one circuit to the next: room for a hand and a spanner at a circulator (no source)."""
BESIDE: Metre = 0.10
"""From a circuit's flow to its return, and from one plane of tube to the next (no source)."""


class _Maker(Legs):
    # ---- the house's side

    def riser(self, m: Moves, k: int) -> None:
        """A circuit's flow, upright: valve, circulator, check valve, left open above."""
        last = "tee"
        if self.has(Part.VALVES):
            m.go(UP, self.apart(last, "isolating valve", 0.25))
            m.fit("isolating valve")
            last = "isolating valve"
        pump = self.c.circulators[k] if k < len(self.c.circulators) else ""
        if pump:
            m.go(UP, self.apart(last, "circulator", 0.30))
            m.fit(pump)
            m.go(UP, self.apart("circulator", "check valve", 0.25))
            m.fit("check valve")
            last = "check valve"
        m.go(UP, self.apart(last, "turn", 0.15))

    def faller(self, m: Moves) -> None:
        """A circuit's return, upright, said from its foot: valve, strainer, left open above."""
        last = "tee"
        if self.has(Part.VALVES):
            m.go(UP, self.apart(last, "isolating valve", 0.40))
            m.fit("isolating valve")
            last = "isolating valve"
        m.go(UP, self.apart(last, "strainer", 0.20))
        m.fit("strainer")
        m.go(UP, self.apart("strainer", "turn", 0.15))

    def headers(self, flow: tuple[str, str, Moves], back: tuple[str, str, Moves], first: Metre, second: Metre) -> None:
        """Two level headers with a pair of upright tubes for each circuit; the last pair ends them.

        The returns stand one plane further into the room, so that they pass the header of the flows.

        :param flow, back: name of the run, its start, and its moves so far
        :param first, second: from there to the first upright tube of either
        """
        c, n = self.c, len(self.c.circuits)
        for (name, start, m), lead, rises in ((flow, first, True), (back, second, False)):
            branches: list[tuple[str, str, Moves]] = []
            for k, circuit in enumerate(c.circuits):
                m.go(self.side, lead if k == 0 else PITCH if c.system is System.METRIC else self.up_to(PITCH))
                if k < n - 1:
                    m.tee(circuit)
                    branch = self.moves(m.at)
                    branches.append((f"{circuit} {'flow' if rises else 'return'}", f"{name}.{circuit}", branch))
                else:
                    branch = m
                if not rises and n > 1:
                    branch.go(c.front, self.apart("tee", "turn", BESIDE))
                if rises:
                    self.riser(branch, k)
                else:
                    self.faller(branch)
            self.run(name, start, m, "")
            for run, at, branch in branches:
                self.house(run, at, branch, "")

    def make(self) -> NearBoiler:
        pairs = {Parting.TEES: self.tees, Parting.NONE: self.direct, Parting.SEPARATOR: self.apart_by_separator}[
            self.c.parting
        ]()
        self.hot_water()
        made = NearBoiler(
            runs=tuple(self.runs),
            ports=tuple(self.ports),
            pairs=pairs,
            kept=tuple(self.kept),
            beside_m=self.far,
            above_m=self.top,
            below_m=-self.bottom,
        )
        _fits(self.c, made, self.side)
        return made

    def tees(self) -> tuple[tuple[str, str], ...]:
        c, bore = self.c, self.c.tube.bore_m
        m = self.moves(c.flow.at)
        self.flow_leg(m)
        spacing = math.floor(SPACING * bore / self.step + 1e-6) * self.step
        last = "air separator" if self.has(Part.AIR) else "turn"
        # straight tube counts from the face of what stands before it
        lead = self.up_to(BEFORE * bore + self.reach(last, c.tube))
        after = self.up_to(BEFORE * bore + self.reach("turn", c.tube))
        have = dot(sub(m.at, c.flow.at), self.side) + lead + spacing + after + self.gap
        lead += max(self.up_to(self.low_length() - have), 0.0)
        m.go(self.side, lead)
        m.tee("A")
        a = m.at
        m.go(self.side, spacing)
        m.tee("B")
        b = m.at
        m.go(self.side, after)
        m.go(DOWN, self.fall())
        self.along_low(m, times(self.side, -1.0))
        m.open(times(self.side, -1.0), c.back.at)
        self.back_leg(m)
        self.run("primary", c.flow.ref, m, c.back.ref)
        self.finish({"relief": "primary", "vessel": "primary", "fill": "primary"})
        if len(c.circuits) == 1:
            flow, back = self.moves(a), self.moves(b)
            self.riser(flow, 0)
            self.faller(back)
            self.house(f"{c.circuits[0]} flow", "primary.A", flow, "")
            self.house(f"{c.circuits[0]} return", "primary.B", back, "")
        else:
            flow, back = self.moves(a), self.moves(b)
            high, low = self.up_to(0.45), self.apart("tee", "turn", 0.20)
            flow.go(UP, high)
            back.go(UP, low)
            lead = self.apart("turn", "tee", 0.25)
            self.headers(
                ("house flow", "primary.A", flow), ("house return", "primary.B", back), lead,
                self.up_to(lead + BESIDE - spacing),
            )  # fmt: skip
        return (("primary.A", "primary.B"),)

    def direct(self) -> tuple[tuple[str, str], ...]:
        c = self.c
        m = self.moves(c.flow.at)
        self.flow_leg(m)
        last = "air separator" if self.has(Part.AIR) else "turn"
        here = dot(sub(m.at, c.flow.at), self.side)
        # the last item of the return's level stands before the first circuit's return
        lead = self.up_to(max(self.apart(last, "turn", 0.26), self.low_length() - self.gap - here))
        back = self.moves(c.back.at)
        items = self.back_items()
        rise = abs(self.level - self.fall())
        # said from the boiler outwards, against the water
        done = 0.0
        place = rise
        for item, d in reversed(list(heights(items))):
            back.go(self.out, place - d - done)
            back.fit(item)
            done = place - d
        back.go(self.out, rise - done)
        low = self.low_items()
        total = here + lead + self.gap
        spot = total
        done = 0.0
        for said, d in reversed(list(heights([(said, d) for said, _, d in low]))):
            back.go(self.side, spot - d - done)
            done = spot - d
            back.said.append(said)
            if said == "tee vessel":
                self.vessel(back.at)
            elif said == "tee fill":
                self.fill(back.at)
        self.headers(
            ("primary flow", c.flow.ref, m), ("primary return", c.back.ref, back), lead,
            self.up_to(spot - done + BESIDE),
        )  # fmt: skip
        self.finish({"relief": "primary flow", "vessel": "primary return", "fill": "primary return"})
        return ()

    def apart_by_separator(self) -> tuple[tuple[str, str], ...]:
        c = self.c
        m = self.moves(c.flow.at)
        self.flow_leg(m)
        last = "air separator" if self.has(Part.AIR) else "turn"
        here = dot(sub(m.at, c.flow.at), self.side)
        end = here + self.up_to(max(self.apart(last, "port", 0.26), self.low_length() + 0.05 - self.gap - here))
        drop = self.fall()
        top = add(add(c.flow.at, times(UP, self.level)), times(self.side, end))
        foot = add(top, times(DOWN, drop))
        wide = self.up_to(0.10)
        for name, at, faces in (
            ("boiler_flow", top, times(self.side, -1.0)),
            ("boiler_return", foot, times(self.side, -1.0)),
            ("heating_flow", add(top, times(self.side, wide)), self.side),
            ("heating_return", add(foot, times(self.side, wide)), self.side),
        ):
            self.ports.append(Port(owner=c.separator, name=name, at=at, faces=faces, owner_kind="separator"))
        m.open(self.side, top)
        self.run("primary flow", c.flow.ref, m, f"{c.separator}.boiler_flow")
        back = self.moves(foot)
        self.along_low(back, times(self.side, -1.0))
        back.open(times(self.side, -1.0), c.back.at)
        self.back_leg(back)
        self.run("primary return", f"{c.separator}.boiler_return", back, c.back.ref)
        self.finish({"relief": "primary flow", "vessel": "primary return", "fill": "primary return"})
        lead = self.apart("port", "tee", 0.15)
        self.headers(
            ("house flow", f"{c.separator}.heating_flow", self.moves(add(top, times(self.side, wide)))),
            ("house return", f"{c.separator}.heating_return", self.moves(add(foot, times(self.side, wide)))),
            lead, self.up_to(lead + BESIDE),
        )  # fmt: skip
        return ()

    # ---- the boiler's own hot water

    def hot_water(self) -> None:
        c, small = self.c, self.c.small
        if c.cold is not None and c.cold_main is not None and same(c.cold_main.faces, UP) and self.out[2] < 0.0:
            m = self.moves(c.cold_main.at)
            m.go(UP, self.apart("port", "isolating valve", 0.30, small))
            m.fit("isolating valve")
            m.go(UP, self.apart("isolating valve", "check valve", 0.20, small))
            m.fit("check valve")
            under = self.apart("turn", "port", 0.13, small)
            m.go(UP, c.cold.at[2] - under - m.at[2])
            self.across(m, c.cold.at)
            m.open(UP, c.cold.at)
            self.house("cold feed", c.cold_main.ref, m, c.cold.ref, small)
        if c.hot is not None and self.out[2] < 0.0:
            m = self.moves(c.hot.at)
            m.go(DOWN, self.apart("port", "turn", 0.19, small))
            m.go(c.front, 2.0 * BESIDE if c.system is System.METRIC else self.up_to(2.0 * BESIDE))
            if c.taps is not None and same(c.taps.faces, DOWN) and c.taps.at[2] > m.at[2]:
                self.across(m, c.taps.at)
                m.open(UP, c.taps.at)
                self.house("hot feed", c.hot.ref, m, c.taps.ref, small)
            else:
                self.house("hot feed", c.hot.ref, m, "", small)

    def across(self, m: Moves, to: Vec) -> None:
        """Along the wall, then to or from it, in front of the other tubes."""
        d = sub(to, m.at)
        level, depth = dot(d, self.side), dot(d, self.c.front)
        if -depth < BESIDE / 2.0 and abs(level) > 1e-6 and abs(depth) < BESIDE / 2.0 and len(m.said) > 3:
            m.go(self.c.front, BESIDE if self.c.system is System.METRIC else self.up_to(BESIDE))
            depth = dot(sub(to, m.at), self.c.front)
        if abs(level) > 1e-6:
            m.open(times(self.side, math.copysign(1.0, level)), to)
        if abs(depth) > 1e-6:
            m.open(times(self.c.front, math.copysign(1.0, depth)), to)


def near_boiler(choices: Choices) -> NearBoiler:
    """Runs near a boiler, from a few choices.

    Circuits are left capped above; whoever lays the house's runs takes their ends on.

    :raises JobProblem: the connections don't allow it, or there is no room; the message says how much is missing
    """
    return _Maker(choices).make()


def _fits(c: Choices, made: NearBoiler, side: Vec) -> None:
    found: list[Mistake] = []
    for have, need, where in (
        (c.beside_m, made.beside_m, f"{towards(side)} of {c.flow.ref}"),
        (c.above_m, made.above_m, f"above {c.flow.ref}"),
        (c.below_m, made.below_m, f"below {c.flow.ref}"),
    ):
        if have is not None and have < need - 1e-9:
            found.append(
                Mistake(
                    Place("boiler", c.flow.owner, "at"),
                    f"this pipework takes {tape(need, c.system)} {where}, and there is {tape(have, c.system)}",
                    "choose fewer circuits, smaller tube, or leave something out; or hang the boiler elsewhere",
                )
            )
    if found:
        raise JobProblem(found)
