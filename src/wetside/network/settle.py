"""Rooms of a house as the net sees them: what each passes to outside, ground, neighbours and other rooms."""

from collections.abc import Mapping

from wetside.basis.si import Celsius, WattPerK
from wetside.house.reading import HouseLoad, RoomLoad, SurfaceLoad
from wetside.house.spec import Faces
from wetside.network.net import NetRoom


def net_rooms(house: HouseLoad, outside_c: Celsius) -> tuple[NetRoom, ...]:
    """Every room whose temperature can be found from a heat balance, heated or not.

    The conductances are those of the heat load. A dwelling next door of unknown temperature stands half way between the
    room and the mean of the year, as there; a wall that two rooms both list counts once, with the larger figure; rooms
    with a given b pass that share to the outside.

    :param outside_c: temperature of the air outside; the ground keeps the mean of the year
    """
    given = {r.name: r.b_factor for r in house.rooms if r.b_factor is not None}
    free = {r.name for r in house.rooms} - set(given)
    between: dict[tuple[str, str], dict[str, WattPerK]] = {}
    rooms: list[NetRoom] = []
    for room in house.rooms:
        if room.name not in free:
            continue
        fixed = [(room.outside_air_w_k, outside_c), (room.supply_air_w_k, room.supply_air_c)]
        for s in room.surfaces:
            if s.behind in free:
                pair = (min(room.name, s.behind), max(room.name, s.behind))
                sides = between.setdefault(pair, {})
                sides[room.name] = sides.get(room.name, 0.0) + s.conductance_w_k
            else:
                fixed.append(_behind(s, given, house, outside_c))
        rooms.append(
            NetRoom(name=room.name, fixed=tuple(x for x in fixed if x[0] > 0.0), start_c=_start(room, house, outside_c))
        )
    links: dict[str, list[tuple[str, WattPerK]]] = {}
    for (one, other), sides in between.items():
        links.setdefault(one, []).append((other, max(sides.values())))
    return tuple(
        NetRoom(name=r.name, fixed=r.fixed, links=tuple(links.get(r.name, ())), start_c=r.start_c) for r in rooms
    )


def _behind(
    s: SurfaceLoad, given: Mapping[str, float], house: HouseLoad, outside_c: Celsius
) -> tuple[WattPerK, Celsius]:
    """Conductance of a surface to a place of known temperature."""
    if s.faces is Faces.GROUND:
        return s.conductance_w_k, house.mean_c
    if s.behind in given:
        return s.conductance_w_k * given[s.behind], outside_c
    if s.known_c is not None:
        return s.conductance_w_k, s.known_c
    if s.faces is Faces.NEIGHBOUR:
        return 0.5 * s.conductance_w_k, house.mean_c
    return s.conductance_w_k, outside_c


def _start(room: RoomLoad, house: HouseLoad, outside_c: Celsius) -> Celsius:
    """A temperature to begin with: the design one; an unheated room follows the outside by half."""
    return room.inside_c if room.heated else room.inside_c + 0.5 * (outside_c - house.outside_c)


def given_c(house: HouseLoad, room: RoomLoad, settled: Mapping[str, Celsius], outside_c: Celsius) -> Celsius:
    """Temperature of a room with a given b: that share of the way from its neighbours to the outside."""
    pairs = [(s.conductance_w_k, settled[s.behind]) for s in room.surfaces if s.behind in settled]
    weight = sum(h for h, _ in pairs)
    heated = [settled[r.name] for r in house.rooms if r.heated and r.name in settled]
    mean = sum(heated) / len(heated) if heated else outside_c
    warm = sum(h * t for h, t in pairs) / weight if weight else mean
    return warm - (room.b_factor or 0.0) * (warm - outside_c)
