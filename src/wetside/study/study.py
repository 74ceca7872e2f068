"""All readings of one design, each computed once, on demand.

What not every command needs (the shop side, supports, rules, sizing, balancing) is imported when it is asked for: one
house at a cold start should not pay for all of it.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from wetside.basis.errors import JobProblem, Mistake, NoSolution
from wetside.basis.rules import Finding
from wetside.basis.si import Celsius, CubicMetre
from wetside.house.load import heat_loads
from wetside.house.plan import placed_openings, room_at
from wetside.house.reading import HouseLoad, PlacedOpening
from wetside.network.flow import flow
from wetside.network.reading import FlowReading
from wetside.pipework.lay import laid_again, lay
from wetside.pipework.reading import Pipework
from wetside.study.design import Design
from wetside.study.hydraulic import equipment_of, wish_of

if TYPE_CHECKING:
    from wetside.fabricate.reading import Fabrication
    from wetside.fabricate.stack import StackUp
    from wetside.frame.reading import Supporting
    from wetside.network.balance import BalanceReading
    from wetside.study.sizing import SizeReading
    from wetside.takeoff.buy import BuyList
    from wetside.takeoff.cutting import TubeCuts
    from wetside.takeoff.reading import Takeoff


class Study:
    """Readings are lazy and cached; a design never changes, so neither does a reading."""

    def __init__(self, design: Design, before: "Study | None" = None) -> None:
        """
        :param before: study of a design that was much the same: what did not change since is taken from it, and the
            water begins where it ended there
        """
        self.design = design
        known = {} if before is None else vars(before)
        self._before: Design | None = None if before is None else before.design
        self._laid_before: Pipework | None = known.get("pipework")
        self._judged_before: tuple[Finding, ...] | None = known.get("laid_findings")
        self._flow_before: FlowReading | None = known.get("flow")

    @cached_property
    def rooms(self) -> HouseLoad:
        """Heat load of every room, surface by surface."""
        return heat_loads(self.design.house)

    @cached_property
    def openings(self) -> tuple[PlacedOpening, ...]:
        """Windows and doors where they stand on the plan."""
        return placed_openings(self.design.house)

    @cached_property
    def pipework(self) -> Pipework:
        """The runs in space."""
        d, was, laid = self.design, self._before, self._laid_before
        parts = (d.runs, d.ports, d.tubes, d.items)
        if was is not None and laid is not None and parts == (was.runs, was.ports, was.tubes, was.items):
            return laid_again(laid, d.runs, lambda at: room_at(d.house, at))
        return lay(*parts, lambda at: room_at(d.house, at))

    @cached_property
    def laid_findings(self) -> "tuple[Finding, ...]":
        """The rules on the runs in space, judged."""
        from wetside.pipework.rules import judge

        if self._judged_before is not None and self.pipework is self._laid_before:
            return self._judged_before
        return judge(self.pipework)

    @cached_property
    def flow(self) -> FlowReading:
        """Flows, pressures, temperatures, outputs on the design day, every room at its design temperature."""
        return self._flow(None, None, (), (), like=self._flow_before)

    @cached_property
    def settled(self) -> FlowReading:
        """The same with rooms left to settle and thermostatic valves at work."""
        return self.flow_at()

    def flow_at(
        self, outside_c: Celsius | None = None, *, shut: Sequence[str] = (), still: Sequence[str] = ()
    ) -> FlowReading:
        """Flows and room temperatures in another state of the house.

        :param outside_c: air outside; the design day's when not given
        :param shut: items, emitters or runs to shut
        :param still: circulators to stop
        :raises JobProblem: a name that is unknown
        :raises NoSolution: the network has no answer
        """
        try:
            start = self.flow
        except NoSolution:
            start = None
        return self._flow(self.rooms, outside_c, shut, still, start)

    def _flow(
        self,
        house: HouseLoad | None,
        outside_c: Celsius | None,
        shut: Sequence[str],
        still: Sequence[str],
        start: FlowReading | None = None,
        like: FlowReading | None = None,
    ) -> FlowReading:
        d = self.design
        return flow(
            self.pipework,
            emitters=d.emitters,
            emitter_valves=dict(d.emitter_valves),
            items=d.items,
            boilers=d.boilers,
            circulators=d.circulators,
            tanks=d.tanks,
            room_c={r.name: r.inside_c for r in self.rooms.rooms},
            void_c=d.void_c,
            glycol_share=d.plant.glycol_share,
            apparatus=d.apparatus,
            house=house,
            outside_c=outside_c,
            shut=shut,
            still=still,
            start=start,
            like=like,
        )

    @cached_property
    def balanced(self) -> "BalanceReading":
        """Valves and circulators set so that every emitter gets its design flow."""
        from wetside.network.balance import balance

        d = self.design
        return balance(self.pipework, equipment_of(d, self.rooms), wish_of(d, self.rooms))

    @cached_property
    def sized(self) -> "SizeReading":
        """Tube, emitters and circulators as they need be; the flow of the drawn ones is looked at first."""
        from wetside.study.sizing import size

        return size(self.design, self.rooms, self.pipework, self.flow)

    @cached_property
    def fabrication(self) -> "Fabrication":
        """Fittings and joints on the centre lines."""
        from wetside.fabricate.fittings import fit

        d = self.design
        items = {i.name: i for i in d.items}
        valves = {
            f"{emitter}.{port}": items[name]
            for emitter, pair in d.emitter_valves
            for port, name in zip(("flow", "return"), pair, strict=True)
            if name in items
        }
        return fit(self.pipework, d.shop, valves, {v.tee: v.name for v in d.apparatus.three_ways})

    @cached_property
    def cutting(self) -> "tuple[TubeCuts, ...]":
        """The cuts laid onto stock, tube by tube."""
        from wetside.takeoff.cutting import lay_cuts

        return lay_cuts(self.fabrication, self.design.buying)

    @cached_property
    def stackups(self) -> "tuple[StackUp, ...]":
        """Tolerances added up along each run that must meet something."""
        from wetside.fabricate.stack import stack_up

        return stack_up(self.pipework, self.fabrication, self.design.shop)

    @cached_property
    def water_m3(self) -> CubicMetre:
        """Water in the whole system."""
        from wetside.takeoff.water import water_held

        d = self.design
        return sum(w.water_m3 for w in water_held(self.pipework, d.emitters, d.boilers, d.tanks, d.apparatus))

    @cached_property
    def takeoff(self) -> "Takeoff":
        """Counted materials."""
        from wetside.takeoff.count import count

        d = self.design
        return count(
            self.pipework,
            self.fabrication,
            self.cutting,
            emitters=d.emitters,
            emitter_valves=dict(d.emitter_valves),
            items=d.items,
            boilers=d.boilers,
            tanks=d.tanks,
            equipment=tuple(sorted({(p.owner_kind, p.owner) for p in d.ports})),
            apparatus=d.apparatus,
        )

    @cached_property
    def buy(self) -> "BuyList":
        """Everything to buy, with spares and consumables."""
        from wetside.takeoff.buy import buy_list
        from wetside.takeoff.consumables import Used, insulation_used, joints_used, water_used

        d = self.design
        tubes = list(dict.fromkeys(t for leg in self.pipework.legs for t in leg.tubes))
        supports = Counter((s.kind.value, s.size) for s in self.supporting.supports)
        used = (
            *(Used(item=kind, size=size, amount=n, unit="", pack=1.0) for (kind, size), n in sorted(supports.items())),
            *insulation_used(self.pipework.legs, d.system),
            *joints_used(self.fabrication, tubes, d.shop, d.system),
            *water_used(self.water_m3, d.plant.glycol_share),
        )
        return buy_list(self.takeoff, self.fabrication, self.cutting, used, tubes=tubes, shop=d.shop, buying=d.buying)

    @cached_property
    def supporting(self) -> "Supporting":
        """Supports, loads on the boiler's connections, sag, and movement by heat."""
        from wetside.frame.around import around
        from wetside.frame.supports import supporting

        d = self.design
        return supporting(
            self.pipework,
            bracing=d.bracing,
            around=around(d.house),
            system=d.system,
            boilers=d.boilers,
            tanks=d.tanks,
            emitters=d.emitters,
            items=d.items,
            emitter_valves=dict(d.emitter_valves),
        )

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Every rule judged, worst first."""
        from wetside.study.gather import gather

        return gather(self)

    @cached_property
    def mistakes(self) -> tuple[Mistake, ...]:
        """What can't be: overlapping rooms, runs into nothing. Empty for a sound job."""
        found = [*self._try(lambda: self.rooms)]
        if any((m.place.kind, m.place.field) == ("storey", "level") for m in found):
            return tuple(found)  # what stands on that storey is off too: where its runs miss follows from it
        found.extend(self._try(lambda: self.pipework))
        if not found:
            found.extend(self._try(lambda: self.flow))
            if self.design.bracing.supports:
                found.extend(self._try(self._check_supports))
        return tuple(found)

    def _check_supports(self) -> None:
        from wetside.frame.propose import check_supports
        from wetside.frame.track import tracks

        check_supports(tracks(self.pipework), self.design.bracing, self.design.system)

    @staticmethod
    def _try(reading: Callable[[], object]) -> tuple[Mistake, ...]:
        try:
            reading()
        except JobProblem as problem:
            return problem.mistakes
        return ()
