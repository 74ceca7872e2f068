"""Entries of a house that can't be: unknown names, impossible sizes and temperatures, outlines that enclose nothing."""

import math
from collections.abc import Iterable

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.si import Metre
from wetside.house.openings import check_openings
from wetside.house.polygon import TOUCH, Edge, Flaw, Outline, edges, flaws, inside, meeting, overlap_area, perimeter
from wetside.house.spec import Construction, Faces, House, Layer, Point, Room
from wetside.house.uvalue import AIR_LAYER_NAMES, plain_resistance

NEARLY = 0.45
"""Outlines that face each other closer than this were meant to meet: no house wall is thicker between two rooms
(common practice)."""


def check_house(house: House, mistakes: MistakeList) -> dict[str, Room]:
    """Say every mistake of the entries; the rooms that the plan can be drawn with, by name."""
    _twice("storey", [s.name for s in house.storeys], mistakes)
    _twice("construction", [c.name for c in house.constructions], mistakes)
    _twice("room", [r.name for r in house.rooms], mistakes)
    _twice("opening", [o.name for o in house.openings], mistakes)
    _check_site(house, mistakes)
    for c in house.constructions:
        _check_construction(c, mistakes)
    for s in house.storeys:
        if not s.height_m > 0:
            mistakes.add("storey", s.name, "height", f"its clear height is {s.height_m:g} m", "give a height above 0")
    usable: dict[str, Room] = {}
    for room in house.rooms:
        if _check_room(house, room, mistakes) and room.name not in usable:
            usable[room.name] = room
    _check_walls(house, mistakes)
    check_openings(house, usable, mistakes)
    return usable


def _twice(kind: str, names: list[str], mistakes: MistakeList) -> None:
    for name in dict.fromkeys(n for n in names if names.count(n) > 1):
        mistakes.add(kind, name, "name", f'{names.count(name)} entries are called "{name}"', "give each its own name")


def _known(house: House, kind: str, name: str, field: str, said: str | None, mistakes: MistakeList,
           index: int | None = None) -> None:  # fmt: skip
    names = [c.name for c in house.constructions]
    if said is not None and said not in names:
        mistakes.add(kind, name, field, f'there is no construction "{said}"', nearest(said, names), index)


def _check_site(house: House, mistakes: MistakeList) -> None:
    climate, ground = house.climate, house.ground
    if climate.mean_c < climate.outside_c:
        mistakes.add("climate", "", "mean", f"the year's mean ({climate.mean_c:g} °C) is below the design temperature "
                     f"({climate.outside_c:g} °C)", "the design temperature is the cold one")  # fmt: skip
    if not house.storeys:
        mistakes.add("storey", "", "", "the house has no storey", "define at least one, with level and height")
    positive = [("conductivity", ground.conductivity_w_mk), ("crawl_height", ground.crawl_height_m)]
    not_negative = [
        ("wall_thickness", ground.wall_thickness_m), ("edge_insulation", ground.edge_insulation_m2k_w),
        ("edge_depth", ground.edge_depth_m), ("crawl_vents", ground.crawl_vents_m2_m),
        ("crawl_wall_u", ground.crawl_wall_u_w_m2k), ("wind", ground.wind_m_s), ("wind_factor", ground.wind_factor),
    ]  # fmt: skip
    _sizes("ground", "", positive, not_negative, mistakes)
    _sizes("fabric", "", [], [("n50", house.n50_1_h), ("bridge_allowance", house.bridge_allowance_w_m2k)], mistakes)
    fabric = house.fabric
    for field in ("outer_wall", "inner_wall", "ground_floor", "inner_floor", "roof", "inner_door"):
        _known(house, "fabric", "", field, getattr(fabric, field), mistakes)


def _sizes(kind: str, name: str, positive: Iterable[tuple[str, float | None]],
           not_negative: Iterable[tuple[str, float | None]], mistakes: MistakeList,
           index: int | None = None) -> None:  # fmt: skip
    for field, value in positive:
        if value is not None and not (0 < value < math.inf):
            mistakes.add(kind, name, field, f"{field.replace('_', ' ')} is {value:g}", "it must be above 0", index)
    for field, value in not_negative:
        if value is not None and not (0 <= value < math.inf):
            mistakes.add(kind, name, field, f"{field.replace('_', ' ')} is {value:g}", "it can't be below 0", index)


def _check_construction(c: Construction, mistakes: MistakeList) -> None:
    if c.u_w_m2k is None and not c.layers:
        mistakes.add("construction", c.name, "layers", "it has neither layers nor a U-value", "give one of them")
    if c.u_w_m2k is not None:
        _sizes("construction", c.name, [("u", c.u_w_m2k)], [], mistakes)
        return  # a given U-value is used as such, whatever the layers
    for i, layer in enumerate(c.layers):
        _check_layer(c.name, i, layer, mistakes)


def _check_layer(name: str, i: int, layer: Layer, mistakes: MistakeList) -> None:
    def wrong(text: str, remedy: str) -> None:
        mistakes.add("construction", name, "layers", f"layer {i + 1}, {layer.material}: {text}", remedy, i)

    air = layer.material.strip().casefold() in AIR_LAYER_NAMES
    if layer.resistance_m2k_w is not None:
        if layer.resistance_m2k_w < 0:
            wrong(f"its resistance is {layer.resistance_m2k_w:g}", "it can't be below 0")
    elif layer.conductivity_w_mk is not None and not layer.conductivity_w_mk > 0:
        wrong(f"its conductivity is {layer.conductivity_w_mk:g}", "it must be above 0")
    elif not layer.thickness_m > 0:
        wrong("it has no thickness", "give the thickness, or a resistance")
    elif air and layer.conductivity_w_mk is None and layer.thickness_m > 0.3:
        wrong("still air is known to 300 mm only", "give the layer's resistance")
    elif plain_resistance(layer, "horizontal") is None:
        wrong("it has neither conductivity nor resistance and is not in the table of materials", "give one of them")
    if not 0 <= layer.bridge_share <= 1:
        wrong(f"the bridge takes a share of {layer.bridge_share:g}", "a share lies between 0 and 1 (0 and 100 %)")
    elif layer.bridge_share > 0 and not (layer.bridge_conductivity_w_mk and layer.bridge_conductivity_w_mk > 0):
        wrong("the bridge has no conductivity", "give the bridge's conductivity, 0.13 W/mK for softwood")
    elif layer.bridge_share > 0 and not layer.thickness_m > 0:
        wrong("the bridge has no thickness", "give the layer's thickness beside its resistance")


def _check_room(house: House, room: Room, mistakes: MistakeList) -> bool:
    """The room's own entries; whether the plan can go on with it."""
    storeys, names = [s.name for s in house.storeys], [r.name for r in house.rooms]

    def wrong(field: str, text: str, remedy: str, index: int | None = None) -> None:
        mistakes.add("room", room.name, field, text, remedy, index)

    usable = True
    if room.storey not in storeys:
        wrong("storey", f'there is no storey "{room.storey}"', nearest(room.storey, storeys))
        usable = False
    if room.outline:
        for flaw in outline_flaws(room.name, room.outline):
            wrong("outline", *flaw)
            usable = False
    elif not room.surfaces and room.b_factor is None:
        wrong("outline", f"{room.name} has neither an outline nor surfaces", "draw its outline, or list its surfaces")
    elif room.heated and room.volume_m3 is None and room.floor_area_m2 is None:
        wrong("volume", f"{room.name} has no outline, so its air is not known", "give its volume, or its floor area")
    outside = house.climate.outside_c
    if room.heated and not outside < room.inside_c <= 45:
        wrong("inside", f"{room.name} is to be heated to {room.inside_c:g} °C with {outside:g} °C outside",
              f"give a temperature between {outside:g} and 45 °C, or say heated = false")  # fmt: skip
    if room.supply_air_c is not None and not outside <= room.supply_air_c <= 60:
        wrong("supply_air_temperature", f"air is supplied at {room.supply_air_c:g} °C",
              f"give {outside:g} to 60 °C")  # fmt: skip
    if room.roof_pitch_deg is not None and not 0 <= room.roof_pitch_deg < 85:
        wrong("roof_pitch", f"the roof slopes by {room.roof_pitch_deg:g}°", "give 0 to 85° from level")
    if room.b_factor is not None and not 0 <= room.b_factor <= 1:
        wrong("b_factor", f"b is {room.b_factor:g}", "b lies between 0 (as warm as inside) and 1 (as cold as outside)")
    _sizes("room", room.name,
           [("height", room.height_m), ("volume", room.volume_m3), ("floor_area", room.floor_area_m2)],
           [("air_change", room.air_change_1_h), ("reheat", room.reheat_w_m2), ("supply_air", room.supply_air_m3_h)],
           mistakes)  # fmt: skip
    for field in ("outer_wall", "floor", "top"):
        _known(house, "room", room.name, field, getattr(room, field), mistakes)
    for i, s in enumerate(room.surfaces):
        _known(house, "room", room.name, "surface", s.construction, mistakes, i)
        if not s.area_m2 > 0:
            wrong("surface", f"{s.name} has an area of {s.area_m2:g} m²", "give an area above 0", i)
        if s.behind and s.behind not in names:
            wrong("surface", f'{s.name}: there is no room "{s.behind}"', nearest(s.behind, names), i)
        if s.behind == room.name:
            wrong("surface", f"{s.name} has its own room behind it", "name the room on the other side", i)
        if s.faces in (Faces.ROOM, Faces.UNHEATED) and not s.behind and s.temperature_c is None:
            wrong("surface", f"{s.name} faces a room that it doesn't name", "name it, or give its temperature", i)
    for i, b in enumerate(room.bridges):
        if not b.length_m >= 0:
            wrong("bridge", f"{b.name} is {b.length_m:g} m long", "it can't be shorter than 0", i)
    return usable


def outline_flaws(room: str, outline: tuple[Point, ...]) -> tuple[tuple[str, str, int], ...]:
    """What is wrong with an outline, how to mend it, and the corner (from 0) that it is about; none for a sound one."""
    return tuple((*_say_flaw(room, outline, flaw), flaw.first) for flaw in flaws(outline))


def _say_flaw(room: str, outline: tuple[Point, ...], flaw: Flaw) -> tuple[str, str]:
    n = len(outline)
    if flaw.kind == "too few corners":
        return f"the outline of {room} has {n} corner{'' if n == 1 else 's'}", "an outline has at least 3 corners"
    if flaw.kind == "same corner twice":
        return (f"corners {flaw.first + 1} and {flaw.second + 1} of {room} are the same place",
                "take one out; the last corner joins the first by itself")  # fmt: skip
    if flaw.kind == "no area":
        return f"all corners of {room} lie on one line, so it has no area", "give the corner off that line"
    x, y = outline[flaw.second]
    return (f"walls {flaw.first + 1} and {flaw.second + 1} of {room} cross or touch",
            f"list the corners in the order in which you walk round; look at corner {flaw.second + 1} "
            f"({x:.2f}, {y:.2f})")  # fmt: skip


def _check_walls(house: House, mistakes: MistakeList) -> None:
    names = [r.name for r in house.rooms]
    for note in house.walls:
        if note.room not in names:
            mistakes.add("wall", note.room, "room", f'there is no room "{note.room}"', nearest(note.room, names))
        _known(house, "wall", note.room, "construction", note.construction, mistakes)
        _sizes("wall", note.room, [], [("below_ground", note.below_ground_m)], mistakes)


def check_plan(rooms: dict[str, Room], mistakes: MistakeList) -> None:
    """Rooms of one storey that overlap, or that nearly meet."""
    drawn = [r for r in rooms.values() if r.outline]
    sides = {r.name: edges(r.outline) for r in drawn}
    boxes = [_box(r.outline) for r in drawn]
    for i, b in enumerate(drawn):
        for k, a in enumerate(drawn[:i]):
            if a.storey != b.storey or _apart(boxes[k], boxes[i]) > NEARLY + 1e-6:
                continue
            common = overlap_area(a.outline, b.outline)
            if common > TOUCH * min(perimeter(a.outline), perimeter(b.outline)):
                mistakes.add("room", b.name, "outline", f"{a.name} and {b.name} overlap by {common:.2f} m²",
                             "outlines meet in the middle of the wall between rooms: move one wall")  # fmt: skip
                continue
            gap = _nearly(
                sides[a.name], sides[b.name], [r for r in drawn if r.storey == a.storey and r is not a and r is not b]
            )
            if gap is None:
                continue
            number, other, by = gap
            what = f"stands {by * 1000:.0f} mm from" if by > 0 else f"lies {-by * 1000:.0f} mm over"
            mistakes.add("room", b.name, "outline",
                         f"wall {number} of {b.name} {what} wall {other} of {a.name}, so they are not joined",
                         f"move one by {abs(by) * 1000:.0f} mm, or each by half, so that they meet")  # fmt: skip


def _box(outline: Outline) -> tuple[Metre, Metre, Metre, Metre]:
    x, y = [p[0] for p in outline], [p[1] for p in outline]
    return min(x), min(y), max(x), max(y)


def _apart(a: tuple[Metre, Metre, Metre, Metre], b: tuple[Metre, Metre, Metre, Metre]) -> Metre:
    """How far two upright boxes are apart along an axis; negative where they overlap along both."""
    return max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])


def _nearly(of_a: tuple[Edge, ...], of_b: tuple[Edge, ...], others: list[Room]) -> tuple[int, int, float] | None:
    """The first pair of walls that almost meet: wall of b, wall of a (from 1), gap; nothing when a room is between."""
    for j, eb in enumerate(of_b):
        for i, ea in enumerate(of_a):
            meet = meeting(eb, ea, -0.05, NEARLY + 1e-6)
            if meet is None or abs(meet.gap_m) <= TOUCH or meet.end_m - meet.start_m < NEARLY:
                continue
            x, y = eb.at((meet.start_m + meet.end_m) / 2)
            middle = (x + eb.outward[0] * meet.gap_m / 2, y + eb.outward[1] * meet.gap_m / 2)
            if not any(inside(r.outline, middle) for r in others):
                return j + 1, i + 1, meet.gap_m
    return None


def check_levels(house: House, rooms: dict[str, Room], mistakes: MistakeList) -> None:
    """Storeys that reach into the one beneath where rooms of both lie over each other.

    Under a slope the height is a mean, so what reaches into it is not known.
    """
    storeys = sorted(house.storeys, key=lambda s: s.level_m)
    for k, upper in enumerate(storeys):
        worst: tuple[float, Room, Room] | None = None
        for lower in storeys[:k]:
            for a in (r for r in rooms.values() if r.storey == lower.name and r.outline and r.roof_pitch_deg is None):
                top = lower.level_m + (lower.height_m if a.height_m is None else a.height_m)
                over = top - upper.level_m
                if over <= TOUCH or (worst is not None and over <= worst[0]):
                    continue
                for b in (r for r in rooms.values() if r.storey == upper.name and r.outline):
                    if overlap_area(a.outline, b.outline) > TOUCH * min(perimeter(a.outline), perimeter(b.outline)):
                        worst = (over, a, b)
                        break
        if worst is not None:
            over, a, b = worst
            mistakes.add("storey", upper.name, "level",
                         f"its floor is {over:.2f} m below the ceiling of {a.name}, which {b.name} stands over",
                         f"give a level of {upper.level_m + over:.2f} m or more, or less height beneath")  # fmt: skip
