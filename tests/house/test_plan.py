"""Outlines to walls, floors, ceilings, openings; points to rooms."""

from dataclasses import replace

import pytest
from invented import house, rectangle, room, twelve_rooms

from wetside.house.load import heat_loads
from wetside.house.plan import draw, placed_openings, room_at, wall_lines
from wetside.house.reading import SurfaceLoad
from wetside.house.spec import Faces, House, Opening, Part, Storey, WallNote

TWO = (room("Hall", rectangle(0, 0, 4, 3)), room("Parlour", rectangle(4, 0, 9, 5)))


def surfaces(h: House, name: str) -> dict[tuple[str, str], SurfaceLoad]:
    load = next(r for r in heat_loads(h).rooms if r.name == name)
    return {(s.name, s.behind): s for s in load.surfaces}


def window(**more: object) -> Opening:
    values: dict[str, object] = {"name": "W1", "room": "Hall", "part": Part.WINDOW, "wall": "south",
                                 "construction": "window", "width_m": 1.2, "height_m": 1.3, "sill_m": 0.9}  # fmt: skip
    return Opening(**(values | more))


def test_shared_wall_is_cut_out_of_the_longer_one() -> None:
    parlour = surfaces(house(*TWO), "Parlour")
    assert parlour["wall 4 (west)", "Hall"].area_m2 == pytest.approx(3 * 2.5)
    assert parlour["wall 4 (west)", ""].area_m2 == pytest.approx(2 * 2.5)
    assert parlour["wall 4 (west)", ""].faces is Faces.OUTSIDE
    assert surfaces(house(*TWO), "Hall")["wall 2 (east)", "Parlour"].area_m2 == pytest.approx(7.5)


def test_outline_may_turn_either_way() -> None:
    clockwise = replace(TWO[0], outline=TWO[0].outline[::-1])
    assert heat_loads(house(clockwise, TWO[1])).total_w == pytest.approx(heat_loads(house(*TWO)).total_w)


def test_unheated_room_behind_a_wall() -> None:
    hall = surfaces(house(TWO[0], replace(TWO[1], heated=False)), "Hall")
    assert hall["wall 2 (east)", "Parlour"].faces is Faces.UNHEATED


def test_one_floor_house_stands_on_the_ground_under_a_roof() -> None:
    hall = surfaces(house(*TWO), "Hall")
    assert hall["floor", ""].faces is Faces.GROUND
    assert hall["roof", ""].faces is Faces.OUTSIDE
    assert hall["floor", ""].area_m2 == hall["roof", ""].area_m2 == pytest.approx(12)


def test_sloping_roof_is_larger() -> None:
    hall = surfaces(house(replace(TWO[0], roof_pitch_deg=60.0), TWO[1]), "Hall")
    assert hall["roof", ""].area_m2 == pytest.approx(24)


def test_storeys_over_each_other() -> None:
    upper = room("Loft", rectangle(2, 0, 10, 3), "Upper")
    h = house(*TWO, upper)
    loft, hall = surfaces(h, "Loft"), surfaces(h, "Hall")
    assert loft["floor", "Hall"].area_m2 == hall["ceiling", "Loft"].area_m2 == pytest.approx(2 * 3)
    assert loft["floor", "Parlour"].area_m2 == pytest.approx(5 * 3)
    assert loft["floor", ""].area_m2 == pytest.approx(1 * 3)  # over air
    assert loft["floor", ""].faces is Faces.OUTSIDE
    assert hall["roof", ""].area_m2 == pytest.approx(2 * 3)


def test_floor_at_ground_level_beside_a_cellar_lies_on_the_ground() -> None:
    storeys = (Storey(name="Cellar", level_m=-2.3, height_m=2.1), Storey(name="Ground", level_m=0.2, height_m=2.5))
    cellar = room("Cellar", rectangle(0, 0, 4, 3), "Cellar", heated=False)
    above = room("Hall", rectangle(0, 0, 8, 3))
    notes = tuple(WallNote(room="Cellar", wall=n, below_ground_m=2.1) for n in (1, 2, 3, 4))
    h = house(cellar, above, storeys=storeys, walls=notes)
    hall = surfaces(h, "Hall")
    assert hall["floor", "Cellar"].faces is Faces.UNHEATED
    assert hall["floor", ""].faces is Faces.GROUND
    assert hall["floor", ""].area_m2 == pytest.approx(12)
    assert {s.faces for s in surfaces(h, "Cellar").values() if s.part is Part.WALL} == {Faces.GROUND}


def test_wall_partly_in_the_ground() -> None:
    h = house(*TWO, walls=(WallNote(room="Hall", wall="south", below_ground_m=1.0),))
    hall = surfaces(h, "Hall")
    assert hall["wall 1 (south)", ""].area_m2 == pytest.approx(4 * 1.5)
    assert hall["wall 1 (south), in the ground", ""].area_m2 == pytest.approx(4 * 1.0)
    assert hall["wall 1 (south), in the ground", ""].faces is Faces.GROUND


def test_party_wall() -> None:
    note = WallNote(room="Hall", wall="west", faces=Faces.NEIGHBOUR, temperature_c=15.0, construction="partition")
    party = surfaces(house(*TWO, walls=(note,)), "Hall")["wall 4 (west)", ""]
    assert (party.faces, party.behind_c, party.u_w_m2k) == (Faces.NEIGHBOUR, 15.0, 1.8)
    assert party.load_w == pytest.approx(3 * 2.5 * 1.8 * 5)


def test_neighbour_of_unknown_temperature_is_half_way_to_the_years_mean() -> None:
    note = WallNote(room="Hall", wall="west", faces=Faces.NEIGHBOUR)
    party = surfaces(house(*TWO, walls=(note,)), "Hall")["wall 4 (west)", ""]
    assert party.behind_c == pytest.approx((20 + 9.4) / 2)


def test_lower_ceiling_beside_a_higher_one_still_shares_the_storey() -> None:
    h = house(replace(TWO[0], height_m=2.2), TWO[1])
    assert surfaces(h, "Hall")["wall 2 (east)", "Parlour"].area_m2 == pytest.approx(3 * 2.5)
    assert surfaces(h, "Parlour")["wall 4 (west)", "Hall"].area_m2 == pytest.approx(3 * 2.5)


def test_room_higher_than_its_storey_faces_outside_above_the_other() -> None:
    h = house(replace(TWO[0], height_m=3.5), TWO[1])
    assert surfaces(h, "Hall")["wall 2 (east), above Parlour", ""].area_m2 == pytest.approx(3 * 1.0)


def test_opening_is_taken_off_its_wall() -> None:
    hall = surfaces(house(*TWO, openings=(window(),)), "Hall")
    assert hall["W1", ""].area_m2 == pytest.approx(1.56)
    assert hall["wall 1 (south)", ""].area_m2 == pytest.approx(10 - 1.56)


def test_inner_door_stands_in_both_rooms() -> None:
    door = window(name="D", part=Part.DOOR, wall="east", construction="", width_m=0.8, height_m=2.0, sill_m=0.0)
    h = house(replace(TWO[0], inside_c=16.0), TWO[1], openings=(door,))
    hall, parlour = surfaces(h, "Hall"), surfaces(h, "Parlour")
    assert hall["D", "Parlour"].faces is Faces.ROOM
    assert hall["D", "Parlour"].load_w == pytest.approx(-parlour["D", "Hall"].load_w)
    assert hall["D", "Parlour"].load_w == pytest.approx(1.6 * 2.0 * -4)
    assert hall["wall 2 (east)", "Parlour"].area_m2 == pytest.approx(7.5 - 1.6)
    assert parlour["wall 4 (west)", "Hall"].area_m2 == pytest.approx(7.5 - 1.6)
    assert len(placed_openings(h)) == 1


def test_opening_across_the_ground_line_is_taken_off_both_parts() -> None:
    note = WallNote(room="Hall", wall="south", below_ground_m=1.2)
    hall = surfaces(house(*TWO, openings=(window(),), walls=(note,)), "Hall")
    assert hall["wall 1 (south), in the ground", ""].area_m2 == pytest.approx(4 * 1.2 - 1.2 * 0.3)
    assert hall["wall 1 (south)", ""].area_m2 == pytest.approx(4 * 1.3 - 1.2 * 1.0)


def test_rooflight() -> None:
    light = window(wall="roof", width_m=0.8, height_m=1.0)
    h = house(replace(TWO[0], roof_pitch_deg=45.0), TWO[1], openings=(light,))
    assert surfaces(h, "Hall")["roof", ""].area_m2 == pytest.approx(12 * 2**0.5 - 0.8)
    placed = placed_openings(h)[0]
    assert placed.roof_pitch_deg == 45.0
    assert placed.line == ((1.6, 1.5), (2.4, 1.5))


@pytest.mark.parametrize(("offset", "starts"), [(None, 1.4), (0.5, 0.5)])
def test_opening_is_centred_or_measured_from_the_first_corner(offset: float | None, starts: float) -> None:
    placed = placed_openings(house(*TWO, openings=(window(offset_m=offset),)))[0]
    (x0, y0), (x1, y1) = placed.line
    assert (x0, y0, x1, y1) == pytest.approx((starts, 0, starts + 1.2, 0))


@pytest.mark.parametrize(
    ("at", "name"),
    [
        ((1, 1, 0.0), "Hall"),
        ((1, 1, -0.01), "Hall"),
        ((1, 1, -0.1), ""),
        ((1, 1, 2.5), "Hall"),
        ((1, 1, 2.6), ""),
        ((1, 1, 2.9), ""),
        ((3, 1, 2.9), "Loft"),
        ((4, 1, 1), "Hall"),
        ((4.1, 1, 1), "Parlour"),
        ((-0.1, 1, 1), ""),
        ((1, 4, 1), ""),
    ],
)
def test_room_at(at: tuple[float, float, float], name: str) -> None:
    assert room_at(house(*TWO, room("Loft", rectangle(2, 0, 10, 3), "Upper")), at) == name


def test_wall_lines_come_once_and_make_the_perimeter() -> None:
    lines = wall_lines(house(*TWO))
    outer = sum(abs(l.line[0][0] - l.line[1][0]) + abs(l.line[0][1] - l.line[1][1]) for l in lines if not l.behind)
    assert outer == pytest.approx(14 + 20 - 2 * 3)
    assert [(l.room, l.behind) for l in lines if l.behind] == [("Hall", "Parlour")]


def test_every_wall_and_floor_is_covered_once() -> None:
    h = twelve_rooms()
    for name, found in draw(h).surfaces.items():
        by = {p: sum(s.area_m2 for s in found if s.part is p) for p in Part}
        height = 2.5 if name.startswith("Ground") else 2.4
        assert by[Part.WALL] + by[Part.WINDOW] == pytest.approx(15 * height)
        assert by[Part.FLOOR] == pytest.approx(14)
        assert by[Part.CEILING] + by[Part.ROOF] == pytest.approx(14)
