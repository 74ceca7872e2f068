"""From pipework and equipment to a net."""

from collections.abc import Mapping, Sequence

from wetside.basis.record import record
from wetside.basis.si import Celsius
from wetside.emitter.spec import Emitter
from wetside.network.friction import kv_from_k
from wetside.network.join import Making, join
from wetside.network.legs import Part, parts_of
from wetside.network.net import (
    Coil,
    Curve,
    Net,
    NetLink,
    NetNode,
    NetRoom,
    NetTee,
    Rating,
    Source,
    Thermostat,
)  # fmt: skip
from wetside.network.resist import Loss, item
from wetside.network.spec import Apparatus, Boiler, Circulator, Tank
from wetside.network.tees import leg_ends, tee_losses, tees
from wetside.pipework.reading import InLine, Leg, NodeKind, Pipework
from wetside.pipework.spec import Item, ItemKind, Material, Tube

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


@record
class Assembly:
    """A net and where the drawn things are in it. The first nodes are the pipework's, in its order."""

    net: Net
    legs: tuple[tuple[int, ...], ...]
    """Links of each leg, in its written direction."""
    emitters: dict[str, int]
    boilers: dict[str, int]
    tanks: dict[str, int]
    circulators: dict[str, int]
    shutters: dict[str, tuple[int, ...]]
    """What can be shut by name (items in runs, emitters, runs) and the links that shut with it."""


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
    apparatus: Apparatus | None = None,
    rooms: tuple[NetRoom, ...] = (),
) -> Assembly:
    """Make a net of everything that carries water.

    :param rooms: rooms whose temperature is to be found; their thermostatic valves then answer to them

    :raises JobProblem: equipment that no run reaches, or reaches at one port only; circulators that are unknown or
        fitted twice; valves that are not listed
    """
    flow_c = min((b.flow_c for b in boilers), default=70.0)
    water_c = flow_c - 0.5 * DESIGN_DROP
    names = [n.name for n in pipework.nodes]
    making = Making([NetNode(name=n.name, height_m=n.at[2]) for n in pipework.nodes])
    making.at = {name: i for i, name in enumerate(names)}
    by_circulator = {c.name: c for c in circulators}
    whole = apparatus or Apparatus()
    meeting = leg_ends(pipework)
    split = tees(meeting)
    valved = {v.tee for v in whole.three_ways}
    losses = tee_losses(meeting, {t.node for t in split} | {i for i, n in enumerate(names) if n in valved})
    tube = next((p.tube for leg in pipework.legs for p in leg.pieces), _ANY_TUBE)
    legs: list[tuple[int, ...]] = []
    feeding: dict[int, Part] = {}
    for leg in pipework.legs:
        air_c = room_c.get(leg.room, void_c)
        tube = next((t.tube for t in leg.pieces), tube)
        parts = parts_of(leg, tube, by_circulator, water_c, air_c, making.mistakes)
        for part, node in ((parts[0], leg.a), (parts[-1], leg.b)):
            if (lost := losses.get((leg.name, node))) is not None:
                part.lose(lost)
        if pipework.nodes[leg.a].kind is NodeKind.PORT:
            feeding[leg.a] = parts[0]
        if pipework.nodes[leg.b].kind is NodeKind.PORT:
            feeding[leg.b] = parts[-1]
        legs.append(_leg_links(making, leg, names, parts, air_c))
    ends = {(leg.name, at): making.links[found[-(not at)]].name
            for leg, found in zip(pipework.legs, legs, strict=True) for at in (True, False)}  # fmt: skip
    joints = tuple(
        NetTee(node=names[t.node], run=(ends[t.run[0].leg, t.run[0].start], ends[t.run[1].leg, t.run[1].start]),
               branch=ends[t.branch.leg, t.branch.start])
        for t in split if names[t.node] not in valved
    )  # fmt: skip
    free = frozenset(r.name for r in rooms)
    equipment = _Equipment(making, feeding, {i.name: i for i in items}, free)
    at_emitters = equipment.emitters(emitters, emitter_valves, room_c, void_c)
    at_boilers, at_tanks = equipment.boilers(boilers), equipment.tanks(tanks)
    three_ways = join(making, whole, pipework, ends, feeding, room_c, void_c)
    making.mistakes.raise_if_any()
    shutters: dict[str, list[int]] = {name: [i] for name, i in at_emitters.items()}
    for leg, found in zip(pipework.legs, legs, strict=True):
        for name in {leg.run, *(p.item.name for p in leg.pieces if isinstance(p, InLine))}:
            shutters.setdefault(name, []).append(found[0])
    return Assembly(
        net=Net(nodes=tuple(making.nodes), links=tuple(making.links), fill_c=water_c, tees=joints,
                three_ways=three_ways, rooms=rooms),
        legs=tuple(legs), emitters=at_emitters, boilers=at_boilers, tanks=at_tanks, circulators=making.circulators,
        shutters={name: tuple(found) for name, found in shutters.items()},
    )  # fmt: skip


def curve_of(circulator: Circulator) -> Curve:
    return Curve(name=circulator.name, points=circulator.points, speed=circulator.speed, terms=circulator.terms,
                 regulation=circulator.regulation, set_pa=circulator.set_pa)  # fmt: skip


def _leg_links(
    making: Making, leg: Leg, names: Sequence[str], parts: Sequence[Part], air_c: Celsius
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
                curve=curve_of(part.circulator) if part.circulator else None, loss_w_mk=part.loss_w_mk, ambient_c=air_c,
                leg=leg.name, room=leg.room, opens_pa=part.opens_pa, steep_pa_s_kg=part.steep_pa_s_kg,
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


@record(kw_only=False)
class _Equipment:
    making: Making
    feeding: Mapping[int, Part]
    items: Mapping[str, Item]
    free: frozenset[str]

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
            losses, shut, thermostat = [loss], False, None
            room = room_c.get(e.room, void_c)
            for valve in valves.get(e.name, ("", "")):
                if not valve:
                    continue
                if valve not in self.items:
                    self.making.mistakes.add(
                        "emitter", e.name, "", f'its valve "{valve}" is not listed', "name an item of the job"
                    )
                    continue
                one = self.items[valve]
                shut = shut or one.shut or one.opening <= 0.0
                lost = item(one, feed.tube.bore_m)
                if one.kind is ItemKind.THERMOSTATIC and e.room in self.free and thermostat is None:
                    thermostat = Thermostat(
                        room=e.room, set_c=room if one.set_c is None else one.set_c, band_k=one.band_k,
                        kv_m3_h=lost.kv_m3_h or kv_from_k(lost.k, feed.tube.bore_m),
                    )  # fmt: skip
                    continue
                losses.append(lost)
            inverse = sum(x.kv_m3_h**-2.0 for x in losses if x.kv_m3_h is not None)
            found[e.name] = self.making.link(
                NetLink(
                    name=e.name, tail=ends[0], head=ends[1], bore_m=feed.tube.bore_m,
                    roughness_m=feed.tube.roughness_m, k=sum(x.k for x in losses),
                    kv_m3_h=inverse**-0.5 if inverse else None, shut=shut, thermostat=thermostat,
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
                    NetLink(name=f"{b.name} circulator", tail=tail, head=inside, curve=curve_of(b.circulator))
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
