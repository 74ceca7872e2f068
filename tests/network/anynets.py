"""Random nets in which everything that can move by itself does so at once."""

import random
from dataclasses import replace

from nets import P, link, radiator
from randomnets import random_net

from wetside.network.net import Net, NetLink, NetRoom, NetTee, Regulation, Thermostat, ThreeWay


def everything(seed: int, size: int) -> Net:
    """A random net with thermostats in rooms, tees, springs, a regulated circulator and a mixing valve."""
    net = random_net(seed, size, loops=size // 3)
    r = random.Random(seed + 1)
    links: list[NetLink] = []
    for x in net.links:
        if x.rating is not None:
            room = f"room {r.randrange(max(1, size // 2))}"
            x = replace(x, rating=replace(x.rating, room=room))
            if r.random() < 0.7:
                valve = Thermostat(room=room, set_c=r.uniform(15.0, 24.0), kv_m3_h=r.uniform(0.2, 1.5))
                x = replace(x, thermostat=replace(valve, band_k=r.uniform(0.5, 3.0)))
        elif x.name.startswith("loop") and r.random() < 0.5:
            x = replace(x, one_way=True, opens_pa=r.uniform(0.0, 2e4), steep_pa_s_kg=r.uniform(0.0, 1e5))
        elif x.loss_w_mk and r.random() < 0.5:
            x = replace(x, room=f"room {r.randrange(max(1, size // 2))}")
        if x.name == "pump" and x.curve is not None and len(x.curve.points) > 1 and r.random() < 0.6:
            how = r.choice((Regulation.CONSTANT, Regulation.PROPORTIONAL))
            x = replace(x, curve=replace(x.curve, regulation=how, set_pa=r.uniform(0.2, 0.8) * x.curve.points[0][1]))
        links.append(x)
    rooms = [
        NetRoom(
            name=f"room {k}", fixed=((r.uniform(2.0, 60.0), r.uniform(-20.0, 15.0)),),
            links=((f"room {k - 1}", r.uniform(0.0, 60.0)),) if k else (),
        )
        for k in range(max(1, size // 2))
    ]  # fmt: skip
    tees: list[NetTee] = []
    for node in net.nodes:
        ends = [x.name for x in links if (x.tail == node.name) != (x.head == node.name)]
        if len(ends) == 3 and all(x.tail != x.head for x in links if x.name in ends):
            tees.append(NetTee(node=node.name, run=(ends[0], ends[1]), branch=ends[2]))
    ways: tuple[ThreeWay, ...] = ()
    if r.random() < 0.6:
        # mixed down behind the circulator: from the return to the flow
        links.append(link("mix", "r0", "f0", length_m=0.5, bore_m=0.0262))
        tees = [t for t in tees if t.node not in ("r0", "f0")]
        ways = (ThreeWay(name="V", first="pump", second="mix", kv_m3_h=r.uniform(1.0, 5.0), sensor="f0",
                         set_c=r.uniform(25.0, 75.0)),)  # fmt: skip
        # its own circulator, or the mixing leg would run backwards
        links.append(link("second", "f0", "g0", curve=replace(P, name="second")))
        links = [replace(x, tail="g0") if x.tail == "f0" and x.name not in ("second",) else x for x in links]
        nodes = (*net.nodes, replace(net.nodes[0], name="g0"))
        # and a rail without a thermostat, so that it never has to stand
        links.append(link("rail", "g0", "r0", kv_m3_h=0.4, rating=radiator("rail")))
        net = replace(net, nodes=nodes)
    return replace(net, links=tuple(links), rooms=tuple(rooms), tees=tuple(tees), three_ways=ways)
