"""Which emitters share their water, what each way is meant to get, and the valve that can set it."""

from collections.abc import Mapping

from wetside.basis.record import record
from wetside.basis.si import Celsius, Kelvin, KgPerSecond, KvM3PerHour, Metre, Watt
from wetside.emitter.spec import Emitter
from wetside.fluid.water import Liquid, liquid
from wetside.network.assemble import Assembly
from wetside.network.duty import Duty, Member, series, shares, single
from wetside.network.equipment import Equipment
from wetside.network.graph import shape
from wetside.network.heat import STILL
from wetside.network.net import Net
from wetside.network.resist import Loss, item
from wetside.network.solve import Solution
from wetside.pipework.reading import InLine, Pipework
from wetside.pipework.spec import Item, ItemKind

SETTING_KINDS = (ItemKind.LOCKSHIELD, ItemKind.BALANCING_VALVE)


@record
class Valve:
    """The valve by which a way's flow is set."""

    item: Item
    emitter: str
    """Whose connection it sits at; empty in a run."""
    bore_m: Metre
    open_kv_m3_h: KvM3PerHour

    @property
    def loss(self) -> Loss:
        """As it is set now."""
        return item(self.item, self.bore_m)


@record
class Way:
    """Emitters in series, mostly one, with nothing branching off between them."""

    emitters: tuple[Emitter, ...]
    """In the order in which the water meets them."""
    links: tuple[int, ...]
    """Their links in the net."""
    sign: float
    """+1 where the water goes from a link's tail to its head."""
    valve: Valve | None

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(e.name for e in self.emitters)


@record
class Wish:
    """What the person wants of the emitters."""

    load_w: Mapping[str, Watt]
    """Room → need."""
    drop_k: Kelvin
    drops_k: Mapping[str, Kelvin]
    """Emitter → a design drop of its own."""


def open_kv(one: Item, bore_m: Metre) -> KvM3PerHour:
    """Kv of a setting valve fully open: the end of its turns curve, else what its item says, else the typical one of
    its kind; never less than what it is set to now."""
    known = one.turns[-1][1] if one.turns else one.open_kv_m3_h
    if known is None:
        known = item(Item(name=one.kind.value, kind=one.kind), bore_m).kv_m3_h
    return max(x for x in (known, one.kv_m3_h, 1e-3) if x is not None)


def turns_for(one: Item, kv_m3_h: KvM3PerHour) -> float | None:
    """Turns from shut that give a Kv, by the item's own curve, straight between its points; None without a curve."""
    if not one.turns:
        return None
    low = (0.0, 0.0)
    for high in one.turns:
        if kv_m3_h <= high[1]:
            return low[0] + (high[0] - low[0]) * (kv_m3_h - low[1]) / (high[1] - low[1])
        low = high
    return one.turns[-1][0]


def flows_through(made: Assembly, now: Solution) -> dict[str, KgPerSecond]:
    """Emitter → flow from its flow connection to its return connection."""
    return {name: float(now.flow_kg_s[i]) for name, i in made.emitters.items()}


def ways(
    pipework: Pipework, equipment: Equipment, made: Assembly, flows: Mapping[str, KgPerSecond]
) -> tuple[Way, ...]:  # fmt: skip
    """Every way with emitters that water can pass, in the order of the job's emitters.

    :param flows: `flows_through` of any solution: only the directions count
    """
    net = made.net
    index = {n.name: i for i, n in enumerate(net.nodes)}
    tail, head = [index[x.tail] for x in net.links], [index[x.head] for x in net.links]
    form = shape(len(net.nodes), tail, head, [not x.shut for x in net.links])
    place = {int(link): k for k, link in enumerate(form.live)}
    by_link = {i: name for name, i in made.emitters.items()}
    spec = {e.name: e for e in equipment.emitters}
    chains: dict[int, list[int]] = {}
    for k, link in enumerate(int(x) for x in form.live):
        chains.setdefault(int(form.chain[k]), []).append(link)
    in_runs = _in_runs(pipework, made, equipment)
    found: dict[str, Way] = {}
    for members in chains.values():
        links = [i for i in members if i in by_link]
        if not links:
            continue
        way_sign = float(form.sign[place[links[0]]])
        if flows[by_link[links[0]]] * way_sign < -STILL:
            links.reverse()
        emitters = tuple(spec[by_link[i]] for i in links)
        sign = -1.0 if flows[by_link[links[0]]] < -STILL else 1.0
        valve = _own_valve(emitters, links, net, equipment) or next(
            (v for i in members for v in in_runs.get(i, ())), None
        )
        found[emitters[0].name] = Way(emitters=emitters, links=tuple(links), sign=sign, valve=valve)
    order = {e.name: k for k, e in enumerate(equipment.emitters)}
    return tuple(sorted(found.values(), key=lambda w: min(order[n] for n in w.names)))


def _own_valve(emitters: tuple[Emitter, ...], links: list[int], net: Net, equipment: Equipment) -> Valve | None:
    items = {i.name: i for i in equipment.items}
    for e, link in zip(emitters, links, strict=True):
        at_flow, at_return = equipment.emitter_valves.get(e.name, ("", ""))
        for name in (at_return, at_flow):
            one = items.get(name)
            if one is not None and one.kind in SETTING_KINDS and not one.shut:
                bore = net.links[link].bore_m
                return Valve(item=one, emitter=e.name, bore_m=bore, open_kv_m3_h=open_kv(one, bore))
    return None


def _in_runs(pipework: Pipework, made: Assembly, equipment: Equipment) -> dict[int, list[Valve]]:
    """Link → setting valves in it that are fitted once, so that they can be set for themselves."""
    fitted: dict[str, int] = {}
    at: list[tuple[int, InLine]] = []
    for leg, links in zip(pipework.legs, made.legs, strict=True):
        for piece in leg.pieces:
            if isinstance(piece, InLine) and piece.item.kind in SETTING_KINDS:
                fitted[piece.item.name] = fitted.get(piece.item.name, 0) + 1
                at.append((links[0], piece))
    items = {i.name: i for i in equipment.items}
    found: dict[int, list[Valve]] = {}
    for link, piece in at:
        if fitted[piece.item.name] == 1 and not piece.item.shut:
            one, bore = items.get(piece.item.name, piece.item), piece.tube.bore_m
            found.setdefault(link, []).append(
                Valve(item=one, emitter="", bore_m=bore, open_kv_m3_h=open_kv(one, bore))
            )  # fmt: skip
    return found


def entering(now: Solution, i: int) -> Celsius:
    """Temperature of the water that enters a link."""
    return float(now.tail_c[i] if now.flow_kg_s[i] >= 0.0 else now.head_c[i])


def leaving(now: Solution, i: int) -> Celsius:
    return float(now.head_c[i] if now.flow_kg_s[i] >= 0.0 else now.tail_c[i])


def duty(
    way: Way, equipment: Equipment, wish: Wish, supply_c: tuple[Celsius, ...], cooled_k: tuple[Kelvin, ...]
) -> Duty:
    """Design flow of a way.

    :param supply_c: what enters each of its emitters
    :param cooled_k: what the water loses before each of them, the first left out
    """
    fluid: Liquid = liquid(equipment.glycol_share)
    share = shares(equipment.emitters, wish.load_w)
    drops = [wish.drops_k.get(n, wish.drop_k) for n in way.names]
    if len(way.emitters) == 1:
        e = way.emitters[0]
        return single(e, share[e.name], supply_c[0], _room_c(e, equipment), drops[0], fluid)
    members = [
        Member(emitter=e, share_w=share[e.name], room_c=_room_c(e, equipment), cooled_k=cooled)
        for e, cooled in zip(way.emitters, cooled_k, strict=True)
    ]
    return series(members, supply_c[0], min(drops), fluid)


def duty_at(way: Way, equipment: Equipment, wish: Wish, now: Solution) -> Duty:
    """Design flow of a way with the temperatures of a solution."""
    into = tuple(entering(now, i) for i in way.links)
    out = (into[0], *(leaving(now, i) for i in way.links))
    cooled = tuple(max(o - a, 0.0) for o, a in zip(out, into, strict=False))
    return duty(way, equipment, wish, into, cooled)


def _room_c(e: Emitter, equipment: Equipment) -> Celsius:
    return equipment.room_c.get(e.room, equipment.void_c)
