"""The ways in which a heating is piped, each as a net of house size."""

from dataclasses import replace

from nets import BOILER, N, P, link, radiator

from wetside.network.net import Curve, Net, NetLink, NetTee, ThreeWay

TUBE = {"bore_m": 0.0202, "length_m": 4.0}
THIN = {"bore_m": 0.0136, "length_m": 3.0}


def _heart(flow_c: float = 70.0) -> list[NetLink]:
    return [
        link("boiler", "r0", "b", kv_m3_h=3.0, source=replace(BOILER, flow_c=flow_c)),
        link("pump", "b", "f0", curve=P),
    ]


def _radiators(n: int, kv: float = 0.6) -> list[NetLink]:
    """Equal radiators from f1… to r1…"""
    made: list[NetLink] = []
    for i in range(1, n + 1):
        made += [
            link(f"to R{i}", f"f{i}", f"a{i}", **THIN),
            link(f"R{i}", f"a{i}", f"r{i}", kv_m3_h=kv, rating=radiator(f"R{i}")),
        ]
    return made


def direct(n: int = 5) -> Net:
    """Two pipes; the first radiator is first on the flow and last on the return."""
    mains = [link(f"flow {i}", f"f{i - 1}", f"f{i}", **TUBE) for i in range(1, n + 1)]
    mains += [link(f"return {i}", f"r{i}", f"r{i - 1}", **TUBE) for i in range(1, n + 1)]
    return N([*_heart(), *mains, *_radiators(n)])


def reverse(n: int = 5) -> Net:
    """Two pipes; the first radiator on the flow is first on the return, which then goes on to the last."""
    mains = [link(f"flow {i}", f"f{i - 1}", f"f{i}", **TUBE) for i in range(1, n + 1)]
    mains += [link(f"return {i}", f"r{i}", f"r{i + 1}", **TUBE) for i in range(1, n)]
    mains.append(link("home", f"r{n}", "r0", bore_m=0.0202, length_m=4.0 * n))
    return N([*_heart(), *mains, *_radiators(n)])


def one_pipe(n: int = 4) -> Net:
    """One ring; each radiator off it by two tees, the first of them diverting (it costs the ring some pressure)."""
    links = _heart()
    tees: list[NetTee] = []
    at = "f0"
    for i in range(1, n + 1):
        links += [
            link(f"ring {i}", at, f"s{i}", **TUBE),
            link(f"divert {i}", f"s{i}", f"e{i}", bore_m=0.0202, length_m=0.6, k=12.0),
            link(f"R{i}", f"s{i}", f"e{i}", bore_m=0.0136, length_m=3.0, kv_m3_h=1.2, rating=radiator(f"R{i}")),
        ]
        tees.append(NetTee(node=f"s{i}", run=(f"ring {i}", f"divert {i}"), branch=f"R{i}"))
        at = f"e{i}"
    links.append(link("home", at, "r0", **TUBE))
    tees += [
        NetTee(node=f"e{i}", run=(f"divert {i}", f"ring {i + 1}" if i < n else "home"), branch=f"R{i}")
        for i in range(1, n + 1)
    ]
    return N(links, tees=tuple(tees))


def series(n: int = 4) -> Net:
    """All water through one radiator after the other."""
    nodes = ["f0", *(f"e{i}" for i in range(1, n)), "r0"]
    return N(
        _heart()
        + [
            link(f"R{i}", nodes[i - 1], nodes[i], **TUBE, kv_m3_h=2.0, rating=radiator(f"R{i}"))
            for i in range(1, n + 1)
        ]
    )


def home_runs(n: int = 5) -> Net:
    """A manifold, and a flow and a return of its own for every radiator."""
    made = _heart()
    for i in range(1, n + 1):
        length = 3.0 * i
        made += [
            link(f"out {i}", "f0", f"a{i}", bore_m=0.012, length_m=length),
            link(f"R{i}", f"a{i}", f"z{i}", kv_m3_h=0.6, rating=radiator(f"R{i}")),
            link(f"back {i}", f"z{i}", "r0", bore_m=0.012, length_m=length),
        ]
    return N(made)


def primary_secondary(boiler_head: float = 1.0, house_head: float = 1.0, *, still: bool = False) -> Net:
    """A boiler's ring and a house's circuit that share a leg of two closely spaced tees.

    :param still: the circulator of the house is stopped
    """

    def by(factor: float, name: str) -> Curve:
        return replace(P, name=name, speed=factor)

    links = [
        link("boiler", "r0", "b", kv_m3_h=3.0, source=BOILER),
        link("boiler pump", "b", "f0", curve=by(boiler_head, "boiler pump")),
        link("down", "f0", "A", **TUBE),
        link("between", "A", "B", bore_m=0.0202, length_m=0.1),
        link("home", "B", "r0", **TUBE),
        link("house flow", "A", "h0", **TUBE),
        link("house pump", "h0", "h1", curve=by(0.0 if still else house_head, "house pump")),
        link("R", "h1", "h2", kv_m3_h=2.5, rating=radiator("R", 9000.0)),
        link("house return", "h2", "B", **TUBE),
    ]
    tees = (
        NetTee(node="A", run=("down", "between"), branch="house flow"),
        NetTee(node="B", run=("between", "home"), branch="house return"),
    )
    return N(links, tees=tees)


def zoned(*, up_shut: bool = False, down_shut: bool = False) -> Net:
    """Two floors, each with a zone valve and a circulator of its own behind it, off one boiler."""
    links = [link("boiler", "r0", "b", kv_m3_h=4.0, source=BOILER)]
    for floor, shut in (("up", up_shut), ("down", down_shut)):
        links += [
            link(f"{floor} valve", "b", f"{floor} 1", kv_m3_h=3.0, shut=shut, **TUBE),
            link(f"{floor} pump", f"{floor} 1", f"{floor} 2", curve=replace(P, name=f"{floor} pump"), one_way=True),
            link(f"{floor} R", f"{floor} 2", f"{floor} 3", kv_m3_h=0.8, rating=radiator(floor, 4000.0)),
            link(f"{floor} home", f"{floor} 3", "r0", **TUBE),
        ]
    return N(links)


def mixed(set_c: float = 40.0) -> Net:
    """A circuit of low temperature mixed down, beside radiators at the boiler's."""
    links = [
        *_heart(),
        link("radiators", "f0", "r0", kv_m3_h=0.8, rating=radiator("radiators", 5000.0)),
        link("hot", "f0", "M", **TUBE),
        link("back again", "x", "M", bore_m=0.0202, length_m=0.5),
        link("floor pump", "M", "m", curve=replace(P, name="floor pump")),
        link("floor", "m", "x", kv_m3_h=1.0, rating=radiator("floor", 7000.0)),
        link("floor home", "x", "r0", **TUBE),
    ]
    return N(links, three_ways=(ThreeWay(name="V", first="hot", second="back again", kv_m3_h=4.0, sensor="M",
                                         set_c=set_c),))  # fmt: skip


def gravity(*, boiler_above: bool = False) -> Net:
    """No circulator: a boiler in the basement and radiators on two floors, wide tube; or the boiler on top."""
    wide = {"bore_m": 0.041}
    links = [
        link("boiler", "r0", "f0", source=BOILER, **wide),
        link("riser 1", "f0", "f1", length_m=3.0, **wide),
        link("riser 2", "f1", "f2", length_m=3.0, **wide),
        link("R1", "f1", "r1", length_m=4.0, bore_m=0.027, k=6.0, rating=radiator("R1", 2500.0)),
        link("R2", "f2", "r2", length_m=4.0, bore_m=0.027, k=6.0, rating=radiator("R2", 2500.0)),
        link("drop 2", "r2", "r1", length_m=3.0, **wide),
        link("drop 1", "r1", "r0", length_m=3.0, **wide),
    ]
    level = {"r0": 0.0, "f0": 0.8, "f1": 3.0, "r1": 2.8, "f2": 6.0, "r2": 5.8}
    if boiler_above:
        level = {"r0": 7.0, "f0": 7.8, "f1": 3.0, "r1": 2.8, "f2": 0.6, "r2": 0.4}
    return N(links, level)
