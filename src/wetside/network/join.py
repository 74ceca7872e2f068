"""Things that join more than two runs: separators, exchangers, three-way valves, manifolds, as links and nodes."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.si import Celsius, Metre
from wetside.network.legs import Part
from wetside.network.net import Exchanger, NetLink, NetNode, ThreeWay
from wetside.network.spec import Apparatus, Manifold, PlateExchanger, Separator, ThreeWayValve
from wetside.pipework.reading import Pipework

K_IN, K_OUT = 1.0, 0.5
"""Loss coefficients of a tube that ends in a wide body, and of one that starts there (sharp edges)."""
_LEGS = ("before", "after", "branch")


@dataclass(slots=True)
class Making:
    nodes: list[NetNode]
    links: list[NetLink] = field(default_factory=list[NetLink])
    at: dict[str, int] = field(default_factory=dict[str, int])
    circulators: dict[str, int] = field(default_factory=dict[str, int])
    mistakes: MistakeList = field(default_factory=MistakeList)

    def link(self, link: NetLink) -> int:
        self.links.append(link)
        return len(self.links) - 1


def join(
    making: Making, apparatus: Apparatus, pipework: Pipework, ends: Mapping[tuple[str, bool], str],
    feeding: Mapping[int, Part], room_c: Mapping[str, Celsius], void_c: Celsius,
) -> tuple[ThreeWay, ...]:  # fmt: skip
    """Add the links and nodes of the apparatus; what is wrong goes to `making.mistakes`.

    :param ends: leg and whether its start → the link there
    :param feeding: port node → the stretch of tube that ends there
    """
    for s in apparatus.separators:
        _separator(making, s, feeding, room_c.get(s.room, void_c))
    for x in apparatus.exchangers:
        _exchanger(making, x)
    for m in apparatus.manifolds:
        _manifold(making, m, pipework, feeding)
    found = [_three_way(making, v, pipework, ends) for v in apparatus.three_ways]
    return tuple(v for v in found if v is not None)


def _bore(making: Making, port: str, feeding: Mapping[int, Part]) -> Metre:
    return feeding[making.at[port]].tube.bore_m


def _separator(making: Making, s: Separator, feeding: Mapping[int, Part], air_c: Celsius) -> None:
    flows, returns = ("boiler_flow", "heating_flow"), ("heating_return", "boiler_return")
    reached = [p for p in (*flows, *returns) if f"{s.name}.{p}" in making.at]
    if len(reached) < 2:
        wrong = f"runs reach only {reached[0]}" if reached else "no run reaches it"
        making.mistakes.add(
            "separator", s.name, "", wrong, f'end runs at "{s.name}.boiler_flow" and its other three ports'
        )
        return
    inlets = ("boiler_flow", "heating_return")
    first, second = (f"{s.name} in", f"{s.name} out") if s.mixed else (f"{s.name} top", f"{s.name} bottom")
    levels = {p: making.nodes[making.at[f"{s.name}.{p}"]].height_m for p in reached}
    for node, ports in ((first, inlets if s.mixed else flows), (second, returns)):
        at = [levels[p] for p in ports if p in levels] or list(levels.values())
        making.nodes.append(NetNode(name=node, height_m=sum(at) / len(at)))
    for p in reached:
        port, inward = f"{s.name}.{p}", p in inlets
        inside = (first if inward else second) if s.mixed else (first if p in flows else second)
        tail, head = (port, inside) if inward else (inside, port)
        bore, k = _bore(making, port, feeding), K_IN if inward else K_OUT
        making.link(NetLink(name=f"{s.name} {p}", tail=tail, head=head, bore_m=bore, k=k))
    making.link(
        NetLink(
            name=f"{s.name} body", tail=first, head=second, length_m=s.height_m, bore_m=s.bore_m, roughness_m=4.5e-5,
            loss_w_mk=s.loss_w_k / s.height_m, ambient_c=air_c, room=s.room,
        )
    )  # fmt: skip


def _exchanger(making: Making, x: PlateExchanger) -> None:
    ports = [f"{x.name}.{p}" for p in ("hot_flow", "hot_return", "cold_return", "cold_flow")]
    missing = [p for p in ports if p not in making.at]
    if missing:
        making.mistakes.add(
            "exchanger", x.name, "", f"no run reaches {missing[0]}", f'end a run at "{missing[0]}": both sides need two'
        )
        return
    hot, cold = f"{x.name} hot side", f"{x.name} cold side"
    for name, other, tail, head, kv in (
        (hot, cold, *ports[:2], x.hot_kv_m3_h),
        (cold, hot, *ports[2:], x.cold_kv_m3_h),
    ):
        making.link(
            NetLink(
                name=name, tail=tail, head=head, kv_m3_h=kv, exchanger=Exchanger(name=x.name, other=other, w_k=x.w_k)
            )
        )


def _manifold(making: Making, m: Manifold, pipework: Pipework, feeding: Mapping[int, Part]) -> None:
    ports = [n.name for n in pipework.nodes if n.port is not None and n.port.owner == m.name]
    if len(ports) < 2:
        return
    inside = f"{m.name} inside"
    levels = [making.nodes[making.at[p]].height_m for p in ports]
    making.nodes.append(NetNode(name=inside, height_m=sum(levels) / len(levels)))
    for p in ports:
        making.link(
            NetLink(
                name=f"{p} connection", tail=p, head=inside, bore_m=_bore(making, p, feeding), k=0.5 * (K_IN + K_OUT)
            )
        )


def _three_way(
    making: Making, v: ThreeWayValve, pipework: Pipework, ends: Mapping[tuple[str, bool], str]
) -> ThreeWay | None:
    names = [n.name for n in pipework.nodes]
    if v.tee not in names:
        making.mistakes.add("three_way", v.name, "tee", f'there is no tee "{v.tee}"', nearest(v.tee, names))
        return None
    sensor = v.sensor or v.tee
    if sensor not in names:
        making.mistakes.add("three_way", v.name, "sensor", f'there is no tee "{sensor}"', nearest(sensor, names))
        return None
    node, run = names.index(v.tee), v.tee.rpartition(".")[0]
    at: dict[str, str] = {}
    for leg in pipework.legs:
        for is_start, end in ((True, leg.a), (False, leg.b)):
            if end == node:
                word = ("after" if is_start else "before") if leg.run == run else "branch"
                at[word] = ends[leg.name, is_start]
    if len(at) < 3:
        making.mistakes.add(
            "three_way", v.name, "tee", f'"{v.tee}" is no tee of three legs', "join a run to it, as its third way"
        )
        return None
    if v.hot not in _LEGS or v.cold not in _LEGS or v.hot == v.cold:
        making.mistakes.add(
            "three_way", v.name, "hot", "hot and cold must be two different legs", 'write "before", "after" or "branch"'
        )
        return None
    return ThreeWay(
        name=v.name, first=at[v.hot], second=at[v.cold], kv_m3_h=v.kv_m3_h, sensor=sensor, set_c=v.set_c,
        position=v.position,
    )  # fmt: skip
