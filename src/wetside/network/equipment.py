"""Everything that the water meets besides tube: what is driven, heated and set. One bundle, to be changed as one."""

from collections.abc import Iterable, Mapping
from dataclasses import field, replace

from wetside.basis.record import record
from wetside.basis.si import Celsius, KvM3PerHour, Ratio
from wetside.emitter.spec import Emitter
from wetside.network.assemble import Assembly, assemble
from wetside.network.flow import flow
from wetside.network.net import Regulation
from wetside.network.reading import FlowReading
from wetside.network.solve import Solution, solve
from wetside.network.spec import Apparatus, Boiler, Circulator, Tank
from wetside.pipework.reading import InLine, Pipework
from wetside.pipework.spec import Item


def setting_name(emitter: str) -> str:
    """Name of the lockshield that has an emitter's own setting."""
    return f"{emitter} lockshield"


@record
class Set:
    """What a valve is to be set to."""

    valve: str
    """The item."""
    emitter: str
    """The emitter at whose connection it sits; empty for a valve in a run."""
    kv_m3_h: KvM3PerHour


@record
class Equipment:
    emitters: tuple[Emitter, ...]
    emitter_valves: Mapping[str, tuple[str, str]]
    """Emitter → items at its flow and return connection, "" for none."""
    items: tuple[Item, ...]
    boilers: tuple[Boiler, ...]
    circulators: tuple[Circulator, ...]
    tanks: tuple[Tank, ...] = ()
    room_c: Mapping[str, Celsius] = field(default_factory=dict[str, Celsius])
    void_c: Celsius = 15.0
    glycol_share: Ratio = 0.0
    apparatus: Apparatus = field(default_factory=Apparatus)

    def made(self, pipework: Pipework) -> Assembly:
        """The net of this equipment on that pipework.

        :raises JobProblem: equipment that isn't joined
        """
        return assemble(
            pipework, emitters=self.emitters, emitter_valves=self.emitter_valves, items=self.items,
            boilers=self.boilers, circulators=self.circulators, tanks=self.tanks, room_c=self.room_c,
            void_c=self.void_c, apparatus=self.apparatus,
        )  # fmt: skip

    def solved(self, made: Assembly) -> Solution:
        """:raises NoSolution: the net did not settle"""
        return solve(made.net, glycol_share=self.glycol_share)

    def flow(self, pipework: Pipework) -> FlowReading:
        """:raises JobProblem: equipment that isn't joined
        :raises NoSolution: the net did not settle
        """
        return flow(
            pipework, emitters=self.emitters, emitter_valves=self.emitter_valves, items=self.items,
            boilers=self.boilers, circulators=self.circulators, tanks=self.tanks, room_c=self.room_c,
            void_c=self.void_c, glycol_share=self.glycol_share, apparatus=self.apparatus,
        )  # fmt: skip

    def with_valves(self, settings: Iterable[Set]) -> "Equipment":
        """The same with valves set. A valve that many emitters name (a trade kind) becomes each emitter's own."""
        items = {i.name: i for i in self.items}
        pairs = dict(self.emitter_valves)
        for s in settings:
            if s.emitter:
                own = setting_name(s.emitter)
                items[own] = replace(items[s.valve], name=own, kv_m3_h=s.kv_m3_h, k=None)
                at_flow, at_return = pairs[s.emitter]
                pairs[s.emitter] = (at_flow, own) if at_return == s.valve else (own, at_return)
            else:
                items[s.valve] = replace(items[s.valve], kv_m3_h=s.kv_m3_h, k=None)
        return replace(self, items=tuple(items.values()), emitter_valves=pairs)

    def refitted(self, pipework: Pipework) -> Pipework:
        """The pipework with the items in its runs as they are here: settings of valves in runs reach it so."""
        items = {i.name: i for i in self.items}
        legs = tuple(
            replace(
                leg,
                pieces=tuple(
                    replace(p, item=items.get(p.item.name, p.item)) if isinstance(p, InLine) else p for p in leg.pieces
                ),
            )
            for leg in pipework.legs
        )
        return replace(pipework, legs=legs)

    def with_circulators(self, settings: Mapping[str, float]) -> "Equipment":
        """The same with circulators, built-in ones too, set otherwise: relative speed, or the pressure held [Pa]."""

        def at(c: Circulator) -> Circulator:
            if c.name not in settings:
                return c
            if c.regulation is Regulation.FIXED:
                return replace(c, speed=settings[c.name])
            return replace(c, set_pa=settings[c.name])

        return replace(
            self,
            circulators=tuple(at(c) for c in self.circulators),
            boilers=tuple(b if b.circulator is None else replace(b, circulator=at(b.circulator)) for b in self.boilers),
        )

    def with_flow_c(self, boiler_flow_c: Mapping[str, Celsius]) -> "Equipment":
        """The same with boilers set to other flow temperatures."""
        boilers = tuple(replace(b, flow_c=boiler_flow_c.get(b.name, b.flow_c)) for b in self.boilers)
        return replace(self, boilers=boilers)
