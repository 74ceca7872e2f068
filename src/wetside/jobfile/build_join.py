"""Separators, buffers, exchangers, three-way valves, manifolds: tables → specs of the network, and their ports."""

from math import pi

from wetside.jobfile.build_plant import place_ports
from wetside.jobfile.check import Draft
from wetside.jobfile.join_tables import BufferTable, ExchangerTable, SeparatorTable, ThreeWayTable
from wetside.jobfile.plant_tables import EquipmentTable
from wetside.network.spec import Apparatus, Manifold, PlateExchanger, Separator, ThreeWayValve
from wetside.pipework.spec import Port

_FOUR = ("boiler_flow", "boiler_return", "heating_flow", "heating_return")
_SIDES = ("hot_flow", "hot_return", "cold_return", "cold_flow")


def build_apparatus(draft: Draft, ports: list[Port]) -> Apparatus:
    """What joins more than two runs; its ports are added to `ports`."""
    separators: list[Separator] = []
    for i, s in draft.rows("separator", SeparatorTable):
        _known(draft, ("separator", i), [p.name for p in s.ports], _FOUR)
        place_ports(draft, ("separator", i), s.name, "equipment", s.at, s.ports, ports)
        separators.append(
            Separator(name=s.name, bore_m=s.bore, height_m=s.height, water_m3=s.water, mass_kg=s.mass)
        )  # fmt: skip
    rooms = draft.names("room")
    for i, b in draft.rows("buffer", BufferTable):
        draft.know(("buffer", i, "room"), b.room, rooms, "room")
        _known(draft, ("buffer", i), [p.name for p in b.ports], _FOUR)
        place_ports(draft, ("buffer", i), b.name, "equipment", b.at, b.ports, ports)
        if b.volume <= 0.0:
            draft.fault(("buffer", i, "volume"), "it holds no water", 'give its volume, such as "120 l"')
            continue
        separators.append(
            Separator(
                name=b.name, bore_m=2.0 * (b.volume / (pi * b.height)) ** 0.5, height_m=b.height, mixed=b.mixed,
                loss_w_k=b.loss or 0.0, room=b.room, water_m3=b.volume, mass_kg=b.mass,
            )
        )  # fmt: skip
    exchangers: list[PlateExchanger] = []
    for i, x in draft.rows("exchanger", ExchangerTable):
        _known(draft, ("exchanger", i), [p.name for p in x.ports], _SIDES)
        place_ports(draft, ("exchanger", i), x.name, "equipment", x.at, x.ports, ports, needed=_SIDES)
        exchangers.append(
            PlateExchanger(
                name=x.name, w_k=x.transfer, hot_kv_m3_h=x.hot_kv, cold_kv_m3_h=x.cold_kv, water_m3=x.water,
                mass_kg=x.mass,
            )
        )  # fmt: skip
    valves: list[ThreeWayValve] = []
    for i, v in draft.rows("three_way", ThreeWayTable):
        if v.hot == v.cold:
            draft.fault(("three_way", i, "cold"), "hot and cold are the same leg", "name two legs of the tee")
        valves.append(
            ThreeWayValve(
                name=v.name, tee=v.tee, kv_m3_h=v.kv, hot=v.hot, cold=v.cold, set_c=v.holds, position=v.position,
                sensor=v.sensor,
            )
        )  # fmt: skip
    return Apparatus(
        separators=tuple(separators),
        exchangers=tuple(exchangers),
        three_ways=tuple(valves),
        manifolds=tuple(
            Manifold(name=e.name) for _, e in draft.rows("equipment", EquipmentTable) if e.kind == "manifold"
        ),
    )


def _known(draft: Draft, path: tuple[str, int], names: list[str], wanted: tuple[str, ...]) -> None:
    for j, name in enumerate(names):
        draft.know((*path, "ports", j, "name"), name, list(wanted), "port of it")
