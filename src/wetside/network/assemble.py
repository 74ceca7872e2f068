"""From pipework and equipment to a net."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from wetside.basis.errors import MistakeList
from wetside.basis.si import Celsius
from wetside.emitter.spec import Emitter
from wetside.network.legs import Part, parts_of
from wetside.network.net import Coil, Curve, Net, NetLink, NetNode, Rating, Source
from wetside.network.resist import Loss, item
from wetside.network.spec import Boiler, Circulator, Tank
from wetside.network.tees import tee_losses
from wetside.pipework.reading import Leg, NodeKind, Pipework
from wetside.pipework.spec import Item, Material, Tube

EMITTER_K = 2.5
"""Loss coefficient of an emitter without a Kv, on the bore of the tube that feeds it (common practice, no source)."""
DESIGN_DROP = 20.0
"""Between flow and return while losses per metre are worked out, K."""

_ANY_TUBE = Tube(
    name="",
    material=Material.COPPER,
    size="",
    outside_m=0.022,
    wall_m=0.001,
    roughness_m=1.5e-6,
    stock_m=3.0,
    source="",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """A net and where the drawn things are in it. The first nodes are the pipework's, in its order."""

    net: Net
    legs: tuple[tuple[int, ...], ...]
    """Links of each leg, in its written direction."""
    emitters: dict[str, int]
    boilers: dict[str, int]
    tanks: dict[str, int]
    circulators: dict[str, int]


@dataclass(slots=True)
class _Making:
    nodes: list[NetNode]
    links: list[NetLink] = field(default_factory=list[NetLink])
    at: dict[str, int] = field(default_factory=dict[str, int])
    circulators: dict[str, int] = field(default_factory=dict[str, int])
    mistakes: MistakeList = field(default_factory=MistakeList)

    def link(self, link: NetLink) -> int:
        self.links.append(link)
        return len(self.links) - 1


def assemble(
    pipework: Pipework,
    *,
    emitters: Sequence[Emitter],
    emitter_valves: Mapping[str, tuple[str, str]],
    items: Sequence[Item],
    boilers: Sequence[Boiler],
    circulators: Sequence[Circulator],
    tanks: Sequence[Tank],
    room_c: Mapping[str, Celsius],
    void_c: Celsius,
) -> Assembly:
    """Make a net of everything that carries water.

    :raises JobProblem: equipment that no run reaches, or reaches at one port only; circulators that are unknown or
        fitted twice; valves that are not listed
    """
    flow_c = min((b.flow_c for b in boilers), default=70.0)
    water_c = flow_c - 0.5 * DESIGN_DROP
    names = [n.name for n in pipework.nodes]
    making = _Making([NetNode(name=n.name, height_m=n.at[2]) for n in pipework.nodes])
    making.at = {name: i for i, name in enumerate(names)}
    by_circulator = {c.name: c for c in circulators}
    tees = tee_losses(pipework)
    tube = next((p.tube for leg in pipework.legs for p in leg.pieces), _ANY_TUBE)
    legs: list[tuple[int, ...]] = []
    feeding: dict[int, Part] = {}
    for leg in pipework.legs:
        air_c = room_c.get(leg.room, void_c)
        tube = next((t.tube for t in leg.pieces), tube)
        parts = parts_of(leg, tube, by_circulator, water_c, air_c, making.mistakes)
        at_a, at_b = tees.get((leg.name, leg.a), Loss()), tees.get((leg.name, leg.b), Loss())
        parts[0] = parts[0].losing(at_a)
        parts[-1] = parts[-1].losing(at_b)
        if pipework.nodes[leg.a].kind is NodeKind.PORT:
            feeding[leg.a] = parts[0]
        if pipework.nodes[leg.b].kind is NodeKind.PORT:
            feeding[leg.b] = parts[-1]
        legs.append(_leg_links(making, leg, names, parts, air_c))
    equipment = _Equipment(making, feeding, {i.name: i for i in items})
    placed = Assembly(
        net=Net(nodes=(), links=()),
        legs=tuple(legs),
        emitters=equipment.emitters(emitters, emitter_valves, room_c, void_c),
        boilers=equipment.boilers(boilers),
        tanks=equipment.tanks(tanks),
        circulators=making.circulators,
    )
    making.mistakes.raise_if_any()
    net = Net(nodes=tuple(making.nodes), links=tuple(making.links), fill_c=water_c)
    return Assembly(
        net=net, legs=placed.legs, emitters=placed.emitters, boilers=placed.boilers, tanks=placed.tanks,
        circulators=placed.circulators,
    )  # fmt: skip


def _curve(circulator: Circulator) -> Curve:
    return Curve(name=circulator.name, points=circulator.points, speed=circulator.speed)


def _leg_links(
    making: _Making, leg: Leg, names: Sequence[str], parts: Sequence[Part], air_c: Celsius
) -> tuple[int, ...]:
    found: list[int] = []
    tail = names[leg.a]
    for k, part in enumerate(parts):
        last = k == len(parts) - 1
        head = names[leg.b] if last else f"{leg.name} | {k + 1}"
        if not last:
            making.nodes.append(NetNode(name=head, height_m=part.end_height_m))
        i = making.link(
            NetLink(
                name=leg.name if len(parts) == 1 else f"{leg.name} / {k + 1}", tail=tail, head=head,
                length_m=part.length_m, bore_m=part.tube.bore_m, roughness_m=part.tube.roughness_m, k=part.k,
                kv_m3_h=part.kv_m3_h, extra_m=part.extra_m, shut=part.shut, one_way=part.one_way,
                curve=_curve(part.circulator) if part.circulator else None, loss_w_mk=part.loss_w_mk, ambient_c=air_c,
                leg=leg.name,
            )
        )  # fmt: skip
        if part.circulator is not None:
            name = part.circulator.name
            if name in making.circulators:
                making.mistakes.add(
                    "run", leg.run, "moves", f'circulator "{name}" is fitted a second time here',
                    "fit it once, or give the second one a name and curve of its own",
                )  # fmt: skip
            making.circulators[name] = i
        found.append(i)
        tail = head
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Equipment:
    making: _Making
    feeding: Mapping[int, Part]
    items: Mapping[str, Item]

    def _ends(self, kind: str, name: str, word: str) -> tuple[str, str] | None:
        """The two port nodes; a mistake when a run is missing."""
        flow, back = f"{name}.flow", f"{name}.return"
        missing = [p for p in (flow, back) if p not in self.making.at]
        if not missing:
            return flow, back
        if len(missing) == 2:
            wrong, remedy = f"no run reaches this {word}", f'end one run at "{flow}" and one at "{back}"'
        else:
            wrong, remedy = f"no run reaches {missing[0]}", f'end a run at "{missing[0]}": water needs a way in and out'
        self.making.mistakes.add(kind, name, "", wrong, remedy)
        return None

    def emitters(
        self, emitters: Sequence[Emitter], valves: Mapping[str, tuple[str, str]], room_c: Mapping[str, Celsius],
        void_c: Celsius,
    ) -> dict[str, int]:  # fmt: skip
        found: dict[str, int] = {}
        for e in emitters:
            ends = self._ends("emitter", e.name, e.kind.value)
            if ends is None:
                continue
            feed = self.feeding[self.making.at[ends[0]]]
            loss = Loss(k=0.0 if e.kv_m3_h else EMITTER_K, kv_m3_h=e.kv_m3_h)
            losses, shut = [loss], False
            for valve in valves.get(e.name, ("", "")):
                if not valve:
                    continue
                if valve not in self.items:
                    self.making.mistakes.add(
                        "emitter", e.name, "", f'its valve "{valve}" is not listed', "name an item of the job"
                    )
                    continue
                shut = shut or self.items[valve].shut
                losses.append(item(self.items[valve], feed.tube.bore_m))
            inverse = sum(x.kv_m3_h**-2.0 for x in losses if x.kv_m3_h is not None)
            room = room_c.get(e.room, void_c)
            found[e.name] = self.making.link(
                NetLink(
                    name=e.name, tail=ends[0], head=ends[1], bore_m=feed.tube.bore_m,
                    roughness_m=feed.tube.roughness_m, k=sum(x.k for x in losses),
                    kv_m3_h=inverse**-0.5 if inverse else None, shut=shut,
                    rating=Rating(
                        name=e.name, rated_w=e.rated_w, rated_excess_k=e.rated_excess_k, exponent=e.exponent,
                        room_c=room, room=e.room,
                    ),
                )
            )  # fmt: skip
        return found

    def boilers(self, boilers: Sequence[Boiler]) -> dict[str, int]:
        found: dict[str, int] = {}
        making = self.making
        for b in boilers:
            ends = self._ends("boiler", b.name, "boiler")
            if ends is None:
                continue
            tail = ends[1]
            if b.circulator is not None:
                inside = f"{b.name} inside"
                making.nodes.append(NetNode(name=inside, height_m=making.nodes[making.at[tail]].height_m))
                name = b.circulator.name
                if name in making.circulators:
                    making.mistakes.add(
                        "boiler", b.name, "circulator", f'a circulator "{name}" is fitted in a run as well',
                        "give one of them another name",
                    )  # fmt: skip
                making.circulators[name] = making.link(
                    NetLink(name=f"{b.name} circulator", tail=tail, head=inside, curve=_curve(b.circulator))
                )
                tail = inside
            found[b.name] = making.link(
                NetLink(
                    name=b.name, tail=tail, head=ends[0], kv_m3_h=b.kv_m3_h,
                    source=Source(name=b.name, flow_c=b.flow_c, output_w=b.output_w),
                )
            )  # fmt: skip
        return found

    def tanks(self, tanks: Sequence[Tank]) -> dict[str, int]:
        found: dict[str, int] = {}
        for t in tanks:
            if (ends := self._ends("tank", t.name, "tank")) is not None:
                found[t.name] = self.making.link(
                    NetLink(
                        name=t.name, tail=ends[0], head=ends[1], kv_m3_h=t.kv_m3_h,
                        coil=Coil(name=t.name, store_c=t.store_c, coil_w_k=t.coil_w_k),
                    )
                )  # fmt: skip
        return found
