"""Nets at random: a boiler, a circulator, a tree of flow and return with emitters, and anything else thrown in."""

import random
from dataclasses import replace

from wetside.network.net import Coil, Curve, Net, NetLink, NetNode, Rating, Source

BORES = (0.008, 0.0136, 0.0202, 0.0262, 0.0326)


def curve(r: random.Random, name: str) -> Curve:
    head, flow = r.uniform(1e4, 8e4), r.uniform(0.5, 4.0) / 3600.0
    if r.random() < 0.15:
        return Curve(name=name, points=((0.0, head),), speed=r.uniform(0.5, 1.0))
    points = tuple((flow * x, head * (1.0 - 0.9 * x**2)) for x in (0.0, 0.3, 0.6, 1.0))
    return Curve(name=name, points=points, speed=r.uniform(0.5, 1.0))


def tube(r: random.Random, name: str, tail: str, head: str) -> NetLink:
    return NetLink(
        name=name, tail=tail, head=head, length_m=r.uniform(0.05, 12.0), bore_m=r.choice(BORES),
        roughness_m=r.choice((1.5e-6, 7e-6, 4.6e-5)), k=r.uniform(0.0, 12.0),
        kv_m3_h=r.choice((None, None, None, 0.3, 1.0, 4.0)), loss_w_mk=r.choice((0.0, 0.2, 0.7)),
        ambient_c=r.uniform(5.0, 22.0),
    )  # fmt: skip


def _level(r: random.Random, name: str) -> float:
    """Height of a node: three emitters to a storey."""
    number = name.lstrip("abfr")
    storey = int(number) // 3 % 4 if number.isdigit() and name[0] != "b" else 0
    return 2.7 * storey + r.uniform(0.0, 0.5)


def random_net(seed: int, emitters: int, *, loops: int = 0, wild: float = 0.0, heights: bool = False) -> Net:
    """A net that hangs together.

    :param loops: tubes laid between any two nodes besides
    :param wild: share of links that get a circulator, a check valve, are shut, are of no length, or end dead
    """
    r = random.Random(seed)
    links = [
        NetLink(name="boiler", tail="b0", head="b1", kv_m3_h=r.uniform(1.0, 4.0),
                source=Source(name="boiler", flow_c=r.uniform(40.0, 80.0), output_w=r.uniform(1e3, 3e4))),
        replace(tube(r, "pump", "b1", "f0"), curve=curve(r, "main")),
        tube(r, "back", "r0", "b0"),
    ]  # fmt: skip
    for i in range(emitters):
        parent = r.randrange(i + 1) if r.random() < 0.3 else i
        links.append(tube(r, f"f {i}", f"f{parent}", f"f{i + 1}"))
        links.append(tube(r, f"r {i}", f"r{i + 1}", f"r{parent if r.random() < 0.9 else r.randrange(i + 1)}"))
        rating = Rating(
            name=f"R{i}",
            rated_w=r.uniform(200.0, 3000.0),
            rated_excess_k=50.0,
            exponent=r.uniform(1.1, 1.4),
            room_c=20.0,
        )
        kv = r.choice((0.05, 0.2, 0.6, 1.0))
        links.append(tube(r, f"to {i}", f"f{i + 1}", f"a{i}"))
        links.append(NetLink(name=f"R{i}", tail=f"a{i}", head=f"r{i + 1}", bore_m=0.0136, kv_m3_h=kv, rating=rating))
    names = sorted({n for x in links for n in (x.tail, x.head)})
    links.extend([tube(r, f"loop {i}", *r.sample(names, 2)) for i in range(loops)])
    for i, link in enumerate(links):
        if r.random() >= wild:
            continue
        match r.randrange(7):
            case 0 if link.source is None and link.rating is None:
                links[i] = replace(link, curve=curve(r, f"pump {i}"))
            case 1:
                links[i] = replace(link, one_way=True)
            case 2 if i > 2:
                links[i] = replace(link, shut=True)
            case 3:
                links[i] = replace(link, length_m=0.0, k=0.0, kv_m3_h=None)
            case 4:
                names.append(f"dead {i}")
                links.append(tube(r, f"dead {i}", link.tail, f"dead {i}"))
            case 5 if link.source is None and link.rating is None and link.curve is None:
                links[i] = replace(link, coil=Coil(name=f"coil {i}", store_c=r.uniform(10.0, 60.0), coil_w_k=500.0))
            case _:
                links[i] = replace(link, tail=link.head, head=link.tail)
    r.shuffle(links)
    level = {n: _level(r, n) if heights else 0.0 for n in names}
    # a tube is at least as long as it rises
    links = [replace(x, length_m=max(x.length_m, abs(level[x.head] - level[x.tail]))) for x in links]
    nodes = [NetNode(name=n, height_m=level[n]) for n in names]
    r.shuffle(nodes)
    return Net(nodes=tuple(nodes), links=tuple(links))
