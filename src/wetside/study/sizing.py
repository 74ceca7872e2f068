"""Tube, emitters and circulators sized: pipework laid, sized, solved again, until nothing changes.

It starts from the largest tube everywhere, whatever is drawn, so that the answer doesn't depend on what the job holds
now, and sizing twice changes nothing. From there each leg takes one step down to what its flow needs; after that a leg
only ever goes up. With a finite number of tubes that ends.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from wetside.basis.record import record
from wetside.basis.si import (
    Celsius,
    KgPerSecond,
    M3PerSecond,
    Metre,
    MetrePerSecond,
    Pascal,
    PascalPerMetre,
)  # fmt: skip
from wetside.emitter.spec import Emitter
from wetside.fluid.water import liquid
from wetside.house.plan import room_at
from wetside.house.reading import HouseLoad
from wetside.network.adjust import State, designed, drivers, margins, strongest
from wetside.network.balance import Balanced, BalanceReading, balanced
from wetside.network.choose import CirculatorChoice, EmitterChoice, circulator_choices, covering
from wetside.network.equipment import Equipment
from wetside.network.lowest import LowestFlow, lowest_flow
from wetside.network.reading import FlowReading
from wetside.network.size import (
    SizeLimits,
    allowed,
    carries,
    cheapest,
    prices,
    speed_and_gradient,
)  # fmt: skip
from wetside.network.ways import Way, duty_at, flows_through, ways
from wetside.pipework.lay import lay
from wetside.pipework.reading import Leg, Pipework, Straight
from wetside.pipework.retube import retubed, tubes_of
from wetside.pipework.spec import Run, Tee, Tube
from wetside.study.design import Design
from wetside.study.hydraulic import equipment_of, wish_of

MOST_GROWTHS = 12
"""Rounds in which emitters grow: each grows at least one to the size it needs, so that a house ends far sooner."""


@record
class LegSize:
    name: str
    run: str
    length_m: Metre
    was: str
    tube: str
    flow_kg_s: KgPerSecond
    """With valves and circulators set for the design flows."""
    velocity_m_s: MetrePerSecond
    gradient_pa_m: PascalPerMetre
    fits: bool
    """False: not even the largest tube allowed keeps the limits."""


@record
class CirculatorDuty:
    name: str
    flow_m3_s: M3PerSecond
    head_pa: Pascal
    """That the worst of its ways needs with its valve open."""
    choices: tuple[CirculatorChoice, ...]
    """By power, the least first."""


@record
class SizeReading:
    legs: tuple[LegSize, ...]
    """Legs in which water circulates; the others keep their tube."""
    runs: tuple[Run, ...]
    """Every run that changes, as it is to be."""
    emitters: tuple[EmitterChoice, ...]
    """Emitters that must grow."""
    too_cold: tuple[tuple[str, str], ...]
    """Emitters that no size would make warm enough, and why."""
    circulators: tuple[CirculatorDuty, ...]
    lowest: LowestFlow | None
    tubes: tuple[str, ...]
    """What was chosen from."""
    cost: float
    cost_before: float
    own_prices: bool
    passes: int
    balance: BalanceReading | None
    """Of the sized system."""


EMPTY = SizeReading(
    legs=(), runs=(), emitters=(), too_cold=(), circulators=(), lowest=None, tubes=(), cost=0.0, cost_before=0.0,
    own_prices=False, passes=0, balance=None,
)  # fmt: skip


def own_prices(design: Design) -> dict[str, float]:
    """Price per metre of the tubes whose sticks the job prices."""
    stock = {t.name: t.stock_m for t in design.tubes}
    found: dict[str, float] = {}
    for s in design.buying.stock:
        lengths = s.lengths_m or ((stock[s.tube],) if s.tube in stock else ())
        per_m = [p / x for p, x in zip(s.prices, lengths, strict=False) if x > 0.0]
        if per_m:
            found[s.tube] = min(per_m)
    return found


def size(design: Design, rooms: HouseLoad, drawn: Pipework, before: FlowReading) -> SizeReading:
    """Size a design. Without any run the reading is empty.

    :param drawn: the pipework as the job has it
    :param before: how it flows
    :raises JobProblem: the net can't be made
    :raises NoSolution: the net did not settle
    """
    if not drawn.legs or not design.boilers:
        return EMPTY
    return _Sizing(design, rooms, drawn, before).done()


@record(kw_only=False, eq=False)
class _Designed:
    """The design flows in one lot of tube."""

    key: tuple[object, ...]
    state: State
    ways: tuple[Way, ...]
    legs: Mapping[str, tuple[KgPerSecond, Celsius]]
    """Leg → flow and mean temperature."""
    flows: Mapping[str, KgPerSecond]


@dataclass(slots=True)
class _Sizing:
    design: Design
    rooms: HouseLoad
    drawn: Pipework
    before: FlowReading
    tube: dict[str, Tube] = field(default_factory=dict[str, Tube])
    """Leg → its tube."""
    circulating: tuple[Leg, ...] = ()
    passes: int = 0
    strong: dict[str, float] = field(default_factory=dict[str, float])
    """Circulators and what they are taken to be set to while tube is sized."""
    last: _Designed | None = None

    def done(self) -> SizeReading:
        d = self.design
        equipment = equipment_of(d, self.rooms)
        still = {x.name for x in self.before.legs if x.still}
        self.circulating = tuple(leg for leg in self.drawn.legs if leg.name not in still)
        in_use = {t.name for leg in self.circulating for t in leg.tubes}
        choice = allowed(d.tubes, in_use, d.limits.tubes)
        price, own = prices(choice, own_prices(d))
        self.tube = {leg.name: choice[-1] for leg in self.circulating}
        self._find_drivers(equipment)
        equipment, emitters, too_cold = self._grown(equipment)
        self._down_then_up(equipment, choice, price)
        last = self._checked(equipment, choice, price)
        return SizeReading(
            legs=self._legs(last.reading.after),
            runs=tuple(r for r, was in zip(self._runs(), d.runs, strict=True) if tubes_of(r) != _spoken(was)),
            emitters=emitters,
            too_cold=too_cold,
            circulators=self._duties(equipment, last),
            lowest=lowest_flow(last.made, equipment, wish_of(d, self.rooms), last.ways, last.state),
            tubes=tuple(t.name for t in choice),
            cost=sum(leg.length_m * price[self.tube[leg.name].name] for leg in self.circulating),
            cost_before=self._cost_before(price),
            own_prices=own,
            passes=self.passes,
            balance=last.reading,
        )

    def _cost_before(self, price: Mapping[str, float]) -> float:
        """Of the drawn tube; a tube that may not be chosen counts by the nearest bore that may."""
        tubes = {t.name: t for t in self.design.tubes}

        def of(name: str) -> float:
            near = min(price, key=lambda n: (abs(tubes[n].bore_m - tubes[name].bore_m), n))
            return price[near]

        return sum(
            p.length_m * of(p.tube.name) for leg in self.circulating for p in leg.pieces if isinstance(p, Straight)
        )

    def _runs(self) -> tuple[Run, ...]:
        """The runs in the tubes that are assigned; legs without flow keep theirs."""
        by_run: dict[str, list[str]] = {r.name: list(tubes_of(r)) for r in self.design.runs}
        place: dict[str, int] = {}
        for leg in self.drawn.legs:
            k = place.get(leg.run, 0)
            place[leg.run] = k + 1
            if leg.name in self.tube:
                by_run[leg.run][k] = self.tube[leg.name].name
        return tuple(retubed(r, by_run[r.name]) for r in self.design.runs)

    def _laid(self) -> Pipework:
        d = self.design
        return lay(self._runs(), d.ports, d.tubes, d.items, lambda at: room_at(d.house, at))

    def _design_flows(self, equipment: Equipment) -> "_Designed":
        """Solve with every way at its design flow, beginning with what the last such solve found."""
        key = (equipment.emitters, tuple(self.tube.items()))
        if self.last is not None and self.last.key == key:
            return self.last
        pipework = self._laid()
        made = equipment.with_circulators(self.strong).made(pipework)
        wish = wish_of(self.design, self.rooms)
        volume: dict[int, float] = {}
        if self.last is None:
            now = equipment.solved(made)
            found = ways(pipework, equipment, made, flows_through(made, now))
            duties = {k: duty_at(w, equipment, wish, now) for k, w in enumerate(found)}
        else:
            was = self.last
            found = ways(pipework, equipment, made, was.flows)
            duties = was.state.duties
            volume = {w.links[0]: was.state.volume[old.links[0]] for w, old in zip(found, was.ways, strict=True)
                      if old.links[0] in was.state.volume}  # fmt: skip
        state = designed(made, equipment, wish, found, duties, volume)
        s = state.found.solution
        legs = {
            leg.name: (float(s.flow_kg_s[links[0]]), 0.5 * float(s.tail_c[links[0]] + s.head_c[links[-1]]))
            for leg, links in zip(pipework.legs, made.legs, strict=True)
        }
        self.passes += 1
        self.last = _Designed(key=key, state=state, ways=found, legs=legs, flows=flows_through(made, s))
        return self.last

    def _find_drivers(self, equipment: Equipment) -> None:
        """Circulators that drive emitters are sized for at their highest setting, whatever they are set to now, since
        balancing sets them; others run as they are set."""
        made = equipment.made(self._laid())
        self.strong = strongest(made, made.circulators)
        first = self._design_flows(equipment)
        made = equipment.with_circulators(self.strong).made(self._laid())
        driving = drivers(made, equipment, first.ways, first.state)
        if len(driving) < len(made.circulators):
            self.strong = {n: self.strong[n] for n in driving}
        self.last = None

    def _grown(self, equipment: Equipment) -> tuple[Equipment, tuple[EmitterChoice, ...], tuple[tuple[str, str], ...]]:
        """Emitters grown until each gives its share at the flow temperature, or can't."""
        grown: dict[str, EmitterChoice] = {}
        too_cold: dict[str, str] = {}
        wish = wish_of(self.design, self.rooms)
        was = {e.name: e for e in equipment.emitters}
        for _ in range(MOST_GROWTHS):
            now = self._design_flows(equipment)
            state, found = now.state, now.ways
            fresh: dict[str, Emitter] = {}
            for k, way in enumerate(found):
                drop = min(wish.drops_k.get(n, wish.drop_k) for n in way.names) / len(way.emitters)
                for e, link, share in zip(way.emitters, way.links, state.duties[k].share_w, strict=True):
                    supply = _entering(state, link)
                    try:
                        choice = covering(e, share, supply, equipment.room_c.get(e.room, self.design.void_c), drop)
                    except ValueError as cold:
                        too_cold[e.name] = str(cold)
                        continue
                    if choice is not None:
                        grown[e.name] = replace(
                            choice, was=was[e.name], factor=choice.emitter.rated_w / was[e.name].rated_w
                        )
                        if choice.emitter != e:
                            fresh[e.name] = choice.emitter
            if not fresh:
                break
            equipment = replace(equipment, emitters=tuple(fresh.get(e.name, e) for e in equipment.emitters))
        order = [e.name for e in equipment.emitters]
        return (
            equipment,
            tuple(grown[n] for n in order if n in grown),
            tuple((n, too_cold[n]) for n in order if n in too_cold),
        )

    def _raise(
        self, flows: Mapping[str, tuple[KgPerSecond, Celsius]], choice: tuple[Tube, ...], price: Mapping[str, float],
        *, first: bool,
    ) -> bool:  # fmt: skip
        """Give each leg the tube that its flow needs; after the first pass only ever a larger one than it has.

        Returns whether any leg changed.
        """
        d = self.design
        limits, fluid = self._limits(), liquid(d.plant.glycol_share)
        wanted: dict[str, Tube] = {}
        for leg in self.circulating:
            flow, water_c = flows[leg.name]
            best = cheapest(choice, price, flow, water_c, limits, fluid, heard=self._heard(leg)) or choice[-1]
            has = self.tube[leg.name]
            # a dearer tube of the bore that it has is no step up
            wanted[leg.name] = best if first or best.bore_m > has.bore_m else has
        for leg, beside in self._between_close_tees():
            wanted[leg] = max([wanted[leg], *(wanted[n] for n in beside)], key=lambda t: t.bore_m)
        changed = wanted != self.tube
        self.tube = wanted
        return changed

    def _down_then_up(self, equipment: Equipment, choice: tuple[Tube, ...], price: Mapping[str, float]) -> None:
        first = True
        while True:
            flows = self._design_flows(equipment).legs
            if not self._raise(flows, choice, price, first=first):
                return
            first = False

    def _checked(self, equipment: Equipment, choice: tuple[Tube, ...], price: Mapping[str, float]) -> Balanced:
        """Set valves and circulators, and widen what is still too tight: ways that no valve sets take what they get."""
        limits, fluid = self._limits(), liquid(self.design.plant.glycol_share)
        wish = wish_of(self.design, self.rooms)
        while True:
            last = balanced(self._laid(), equipment, wish, authority=False)
            flows = {x.name: (x.flow_kg_s, 0.5 * (x.start_c + x.end_c)) for x in last.reading.after.legs}
            tight = {
                leg.name
                for leg in self.circulating
                if not carries(self.tube[leg.name], *flows[leg.name], limits, fluid, heard=self._heard(leg))
            }
            if not tight or not self._raise(
                {n: f if n in tight else (0.0, f[1]) for n, f in flows.items()}, choice, price, first=False
            ):
                return last

    def _limits(self) -> SizeLimits:
        d = self.design
        return SizeLimits(system=d.system, speed_m_s=d.limits.speed_m_s, gradient_pa_m=d.limits.gradient_pa_m)

    def _heard(self, leg: Leg) -> bool:
        return any(r.name == leg.room and r.heated for r in self.rooms.rooms)

    def _between_close_tees(self) -> list[tuple[str, tuple[str, ...]]]:
        """Legs between tees that part two circuits, each with its neighbours in the run: their small flow must not make
        them narrow, or the circuits would push each other."""
        found: list[tuple[str, tuple[str, ...]]] = []
        nodes = [n.name for n in self.drawn.nodes]
        by_run: dict[str, list[Leg]] = {}
        for leg in self.drawn.legs:
            by_run.setdefault(leg.run, []).append(leg)
        for pair in self.design.plant.pairs:
            for legs in by_run.values():
                for k, leg in enumerate(legs):
                    if {nodes[leg.a], nodes[leg.b]} == {pair.first, pair.second} and leg.name in self.tube:
                        beside = (*legs[max(k - 1, 0) : k], *legs[k + 1 : k + 2])
                        found.append((leg.name, tuple(x.name for x in beside if x.name in self.tube)))
        return found

    def _legs(self, after: FlowReading) -> tuple[LegSize, ...]:
        limits, fluid = self._limits(), liquid(self.design.plant.glycol_share)
        flows = {x.name: x for x in after.legs}
        lines: list[LegSize] = []
        for leg in self.circulating:
            tube, at = self.tube[leg.name], flows[leg.name]
            water_c = 0.5 * (at.start_c + at.end_c)
            speed, gradient = speed_and_gradient(tube, at.flow_kg_s, water_c, fluid)
            lines.append(
                LegSize(
                    name=leg.name, run=leg.run, length_m=leg.length_m,
                    was=", ".join(t.name for t in leg.tubes) or tube.name, tube=tube.name, flow_kg_s=at.flow_kg_s,
                    velocity_m_s=speed, gradient_pa_m=gradient,
                    fits=carries(tube, at.flow_kg_s, water_c, limits, fluid, heard=self._heard(leg)),
                )
            )  # fmt: skip
        return tuple(lines)

    def _duties(self, equipment: Equipment, last: Balanced) -> tuple[CirculatorDuty, ...]:
        """What each circulator in a run has to do, and what would do it."""
        now = self._design_flows(equipment)
        state, found = now.state, now.ways
        s = state.found.solution
        left = margins(found, state)
        given = self.design.circulators
        duties: list[CirculatorDuty] = []
        for c in given:
            if c.name not in last.made.circulators:
                continue
            mine = [k for k in last.state.served(c.name) if k in left or found[k].links[0] in state.found.spare_pa]
            if not mine:
                continue
            i = last.made.circulators[c.name]
            density = float(s.density_kg_m3[i])
            over = min(left.get(k, state.found.spare_pa[found[k].links[0]]) for k in mine)
            volume, head = float(s.flow_kg_s[i]) / density, float(s.lift_pa[i]) - over
            choices = circulator_choices(given, volume, head * 999.972 / density)
            duties.append(CirculatorDuty(name=c.name, flow_m3_s=volume, head_pa=head, choices=choices))
        return tuple(duties)


def _entering(state: State, link: int) -> Celsius:
    s = state.found.solution
    return float(s.tail_c[link] if s.flow_kg_s[link] >= 0.0 else s.head_c[link])


def _spoken(run: Run) -> tuple[str, ...]:
    """Tubes of a run as drawn, told apart from the same ones with a change in the middle of a leg."""
    legs = 1 + sum(isinstance(m, Tee) for m in run.moves)
    plain = retubed(run, tubes_of(run))
    return tubes_of(run) if [type(m) for m in plain.moves] == [type(m) for m in run.moves] else ("",) * legs
