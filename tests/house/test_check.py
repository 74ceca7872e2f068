"""Mistakes in a house: each is found, says what it is about, and gives a way out."""

from dataclasses import replace

import pytest
from invented import CONSTRUCTIONS, FABRIC, STOREYS, house, rectangle, room

from wetside.basis.errors import JobProblem, Mistake
from wetside.house.load import heat_loads
from wetside.house.spec import (
    Bridge,
    Climate,
    Construction,
    Faces,
    Ground,
    House,
    Layer,
    ListedSurface,
    Opening,
    Part,
    Room,
    Storey,
    WallNote,
)  # fmt: skip

HALL, PARLOUR = room("Hall", rectangle(0, 0, 4, 3)), room("Parlour", rectangle(4, 0, 9, 5))
SOUND = house(HALL, PARLOUR)


def mistakes(h: House) -> tuple[Mistake, ...]:
    with pytest.raises(JobProblem) as caught:
        heat_loads(h)
    return caught.value.mistakes


def only(h: House) -> Mistake:
    (one,) = mistakes(h)
    return one


def opening(**more: object) -> Opening:
    values: dict[str, object] = {"name": "W1", "room": "Hall", "part": Part.WINDOW, "wall": "south",
                                 "construction": "window", "width_m": 1.2, "height_m": 1.3, "sill_m": 0.9}  # fmt: skip
    return Opening(**(values | more))


def test_a_sound_house_has_none() -> None:
    assert heat_loads(SOUND).total_w > 0


# ---- outlines --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        (((0, 0), (4, 0)), "has 2 corners"),
        (((0, 0), (4, 3), (4, 0), (0, 3)), "walls 1 and 3 of Hall cross"),
        (((0, 0), (4, 0), (4, 0), (0, 3)), "corners 2 and 3 of Hall are the same place"),
        (((0, 0), (2, 0), (4, 0)), "has no area"),
    ],
)
def test_outline(outline: tuple[tuple[float, float], ...], said: str) -> None:
    found = only(house(replace(HALL, outline=outline)))
    assert (found.place.kind, found.place.name, found.place.field) == ("room", "Hall", "outline")
    assert said in found.wrong


def test_a_storey_in_the_one_beneath() -> None:
    ground, loft = Storey(name="Ground", level_m=0.0, height_m=2.6), Storey(name="First", level_m=2.4, height_m=2.3)
    above = replace(room("Bedroom", rectangle(0, 0, 4, 3)), storey="First")
    found = only(replace(house(HALL, above), storeys=(ground, loft)))
    assert (found.place.kind, found.place.name, found.place.field) == ("storey", "First", "level")
    assert found.wrong == "its floor is 0.20 m below the ceiling of Hall, which Bedroom stands over"
    assert "2.60 m or more" in found.remedy
    # level with it, or beside it, or under a slope whose height is a mean
    for sound in (
        (ground, replace(loft, level_m=2.6), HALL, above),
        (ground, loft, HALL, replace(above, outline=rectangle(9, 0, 12, 3))),
        (ground, loft, replace(HALL, roof_pitch_deg=30.0), above),
        (ground, loft, replace(HALL, height_m=2.2), above),
    ):
        assert heat_loads(replace(house(*sound[2:]), storeys=sound[:2])).total_w > 0


def test_overlapping_rooms_are_both_named_with_the_area() -> None:
    found = only(house(HALL, replace(PARLOUR, outline=rectangle(3.5, 0, 9, 5))))
    assert "Hall and Parlour overlap by 1.50 m²" in found.wrong
    assert found.place.name == "Parlour"


def test_rooms_over_each_other_do_not_overlap() -> None:
    assert heat_loads(house(HALL, replace(HALL, name="Loft", storey="Upper"))).total_w > 0


@pytest.mark.parametrize("gap", [0.003, 0.1, 0.45])
def test_outlines_that_nearly_meet(gap: float) -> None:
    found = only(house(HALL, replace(PARLOUR, outline=rectangle(4 + gap, 0, 9, 5))))
    assert f"wall 4 of Parlour stands {gap * 1000:.0f} mm from wall 2 of Hall" in found.wrong
    assert f"move one by {gap * 1000:.0f} mm" in found.remedy


@pytest.mark.parametrize("gap", [0.0, 0.001, 0.46, 2.0])
def test_outlines_that_meet_or_stand_well_apart(gap: float) -> None:
    assert heat_loads(house(HALL, replace(PARLOUR, outline=rectangle(4 + gap, 0, 9, 5)))).total_w > 0


def test_outlines_a_hair_over_each_other() -> None:
    found = only(house(HALL, replace(PARLOUR, outline=rectangle(3.997, 0, 9, 5))))
    assert "lies 3 mm over wall 2 of Hall" in found.wrong


def test_a_cupboard_between_two_rooms_is_no_gap() -> None:
    cupboard = room("Cupboard", rectangle(4, 0, 4.4, 5))
    assert heat_loads(house(HALL, cupboard, replace(PARLOUR, outline=rectangle(4.4, 0, 9, 5)))).total_w > 0


# ---- names -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("h", "kind", "field", "remedy"),
    [
        (house(replace(HALL, storey="Grund")), "room", "storey", '"Ground"'),
        (house(replace(HALL, outer_wall="brik")), "room", "outer_wall", '"brick"'),
        (house(HALL, fabric=replace(FABRIC, roof="slats")), "fabric", "roof", '"slates"'),
        (house(HALL, openings=(opening(room="Hal"),)), "opening", "room", '"Hall"'),
        (house(HALL, openings=(opening(construction="windo"),)), "opening", "construction", '"window"'),
        (house(HALL, walls=(WallNote(room="Hal", wall=1),)), "wall", "room", '"Hall"'),
        (house(HALL, walls=(WallNote(room="Hall", wall=1, construction="brik"),)), "wall", "construction", '"brick"'),
    ],
)
def test_unknown_name_gets_the_nearest(h: House, kind: str, field: str, remedy: str) -> None:
    found = only(h)
    assert (found.place.kind, found.place.field) == (kind, field)
    assert remedy in found.remedy


@pytest.mark.parametrize(
    ("h", "kind"),
    [
        (house(HALL, replace(PARLOUR, name="Hall")), "room"),
        (house(HALL, storeys=(*STOREYS, Storey(name="Upper", level_m=5.0, height_m=2.0))), "storey"),
        (house(HALL, constructions=(*CONSTRUCTIONS, Construction(name="brick", u_w_m2k=1.0))), "construction"),
        (house(HALL, openings=(opening(offset_m=0.1), opening(offset_m=2.0))), "opening"),
    ],
)
def test_name_given_twice(h: House, kind: str) -> None:
    found = only(h)
    assert (found.place.kind, found.place.field) == (kind, "name")


# ---- constructions ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("construction", "said"),
    [
        (Construction(name="c"), "neither layers nor a U-value"),
        (Construction(name="c", u_w_m2k=0.0), "u is 0"),
        (Construction(name="c", layers=(Layer(material="felt of yore", thickness_m=0.1),)), "neither conductivity nor"),
        (Construction(name="c", layers=(Layer(material="brick"),)), "no thickness"),
        (Construction(name="c", layers=(Layer(material="brick", thickness_m=-0.1, conductivity_w_mk=1),)), "thickness"),
        (Construction(name="c", layers=(Layer(material="brick", thickness_m=0.1, conductivity_w_mk=0),)), "is 0"),
        (Construction(name="c", layers=(Layer(material="x", resistance_m2k_w=-1),)), "resistance is -1"),
        (Construction(name="c", layers=(Layer(material="cavity", thickness_m=0.5),)), "300 mm"),
        (Construction(name="c", layers=(Layer(material="brick", thickness_m=0.1, bridge_share=1.5,
                                              bridge_conductivity_w_mk=0.13),)), "share of 1.5"),
        (Construction(name="c", layers=(Layer(material="brick", thickness_m=0.1, bridge_share=0.1),)), "bridge has no"),
        (Construction(name="c", layers=(Layer(material="x", resistance_m2k_w=1, bridge_share=0.1,
                                              bridge_conductivity_w_mk=0.13),)), "bridge has no thickness"),
    ],
)  # fmt: skip
def test_construction(construction: Construction, said: str) -> None:
    found = only(house(HALL, constructions=(*CONSTRUCTIONS, construction)))
    assert (found.place.kind, found.place.name) == ("construction", "c")
    assert said in found.wrong


# ---- sizes and temperatures ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("h", "kind", "field"),
    [
        (house(replace(HALL, inside_c=-7.0)), "room", "inside"),
        (house(replace(HALL, inside_c=60.0)), "room", "inside"),
        (house(replace(HALL, height_m=0.0)), "room", "height"),
        (house(replace(HALL, air_change_1_h=-0.5)), "room", "air_change"),
        (house(replace(HALL, roof_pitch_deg=90.0)), "room", "roof_pitch"),
        (house(replace(HALL, b_factor=1.2)), "room", "b_factor"),
        (house(replace(HALL, supply_air_c=-20.0)), "room", "supply_air_temperature"),
        (house(replace(HALL, bridges=(Bridge(name="b", psi_w_mk=0.1, length_m=-1.0),))), "room", "bridge"),
        (house(replace(HALL, outline=())), "room", "outline"),
        (house(HALL, climate=Climate(outside_c=10.0, mean_c=9.0)), "climate", "mean"),
        (house(HALL, ground=Ground(conductivity_w_mk=0.0)), "ground", "conductivity"),
        (house(HALL, n50_1_h=-1.0), "fabric", "n50"),
        (house(HALL, storeys=(Storey(name="Ground", level_m=0.0, height_m=0.0),)), "storey", "height"),
        (house(HALL, walls=(WallNote(room="Hall", wall=1, below_ground_m=-1.0),)), "wall", "below_ground"),
        (house(HALL, openings=(opening(width_m=0.0),)), "opening", "width"),
        (house(HALL, openings=(opening(sill_m=-0.2),)), "opening", "sill"),
    ],
)
def test_impossible_figure(h: House, kind: str, field: str) -> None:
    assert (kind, field) in {(m.place.kind, m.place.field) for m in mistakes(h)}


@pytest.mark.parametrize(
    ("surface", "said"),
    [
        ({"area_m2": 0.0}, "an area of 0"),
        ({"construction": "brik"}, 'no construction "brik"'),
        ({"behind": "Halll"}, 'no room "Halll"'),
        ({"behind": "Attic"}, "its own room"),
        ({"behind": ""}, "doesn't name"),
    ],
)
def test_listed_surface(surface: dict[str, object], said: str) -> None:
    values: dict[str, object] = {"name": "s", "part": Part.WALL, "area_m2": 4.0, "construction": "brick",
                                 "faces": Faces.ROOM, "behind": "Hall"}  # fmt: skip
    listed = ListedSurface(**(values | surface))
    found = only(house(HALL, Room(name="Attic", storey="Upper", volume_m3=20.0, surfaces=(listed,))))
    assert (found.place.name, found.place.field, found.place.index) == ("Attic", "surface", 0)
    assert said in found.wrong


def test_room_without_outline_must_say_how_much_air_it_holds() -> None:
    listed = ListedSurface(name="s", part=Part.WALL, area_m2=4.0, construction="brick", faces=Faces.OUTSIDE)
    assert only(house(Room(name="A", storey="Ground", surfaces=(listed,)))).place.field == "volume"


def test_unheated_room_that_nothing_encloses() -> None:
    listed = ListedSurface(name="s", part=Part.WALL, area_m2=4.0, construction="brick", faces=Faces.ROOM, behind="B")
    a = Room(name="A", storey="Ground", heated=False, surfaces=(listed,))
    b = Room(name="B", storey="Ground", heated=False, surfaces=(replace(listed, behind="A"),))
    assert {m.place.name for m in mistakes(house(HALL, a, b))} == {"A", "B"}


def test_house_without_storeys() -> None:
    assert {m.place.kind for m in mistakes(house(HALL, storeys=()))} == {"storey", "room"}


# ---- openings and wall notes -----------------------------------------------------------------------------------------

ELL = room("Ell", ((0, 0), (6, 0), (6, 2), (3, 2), (3, 5), (0, 5)))


def test_compass_word_that_fits_two_walls_lists_their_numbers_and_lengths() -> None:
    found = only(house(ELL, openings=(opening(room="Ell", wall="east"),)))
    assert "2 walls of Ell face east" in found.wrong
    assert "2 (east, 2.00 m), 4 (east, 3.00 m)" in found.remedy


def test_compass_word_that_no_wall_faces() -> None:
    assert (
        "no wall of Ell faces south-east" in only(house(ELL, openings=(opening(room="Ell", wall="south-east"),))).wrong
    )


@pytest.mark.parametrize("wall", [0, 7, "9", "upward"])
def test_wall_that_is_not_there(wall: int | str) -> None:
    assert only(house(ELL, openings=(opening(room="Ell", wall=wall),))).place.field == "wall"


@pytest.mark.parametrize(
    ("more", "field", "said"),
    [
        ({"width_m": 4.5}, "width", "by 0.25 m"),
        ({"offset_m": 3.0}, "offset", "by 0.20 m"),
        ({"offset_m": -0.3}, "offset", "by 0.30 m"),
        ({"height_m": 2.0}, "height", "above the ceiling of Hall by 0.40 m"),
    ],
)
def test_opening_that_sticks_out_says_by_how_much(more: dict[str, object], field: str, said: str) -> None:
    found = only(house(HALL, openings=(opening(**more),)))
    assert found.place.field == field
    assert said in found.wrong


def test_overlapping_openings_are_both_named() -> None:
    h = house(HALL, openings=(opening(offset_m=0.5), opening(name="W2", offset_m=1.5)))
    assert "W2 and W1 overlap by 0.20 m" in only(h).wrong


def test_inner_door_said_from_both_rooms() -> None:
    door = opening(name="D1", part=Part.DOOR, wall="east", width_m=0.8, height_m=2.0, sill_m=0.0, offset_m=1.0)
    again = replace(door, name="D2", room="Parlour", wall=4, offset_m=3.2)
    found = only(replace(SOUND, openings=(door, again)))
    assert "D2 and D1 overlap" in found.wrong
    assert "once" in found.remedy


def test_opening_across_the_end_of_a_shared_stretch() -> None:
    found = only(replace(SOUND, openings=(opening(room="Parlour", wall="west", offset_m=1.5),)))
    assert "stands across the end of the stretch" in found.wrong


def test_rooflight_needs_a_roof() -> None:
    h = house(HALL, replace(HALL, name="Loft", storey="Upper"), openings=(opening(wall="roof"),))
    assert "0.00 m² of roof" in only(h).wrong


def test_opening_in_a_room_without_outline() -> None:
    listed = ListedSurface(name="s", part=Part.WALL, area_m2=4.0, construction="brick", faces=Faces.OUTSIDE)
    bare = Room(name="A", storey="Ground", volume_m3=30.0, surfaces=(listed,))
    assert "no outline" in only(house(HALL, bare, openings=(opening(room="A"),))).wrong
    assert "no outline" in only(house(HALL, bare, walls=(WallNote(room="A", wall=1),))).wrong


def test_wall_notes() -> None:
    east = WallNote(room="Hall", wall="east", faces=Faces.NEIGHBOUR)
    assert "wholly against Parlour" in only(replace(SOUND, walls=(east,))).wrong
    west = WallNote(room="Hall", wall="west", faces=Faces.UNHEATED)
    assert only(replace(SOUND, walls=(west,))).place.field == "temperature"
    twice = (WallNote(room="Hall", wall="west"), WallNote(room="Hall", wall=4))
    assert "described twice" in only(replace(SOUND, walls=twice)).wrong


def test_two_sides_of_a_wall_that_disagree() -> None:
    notes = (WallNote(room="Hall", wall="east", construction="brick"),
             WallNote(room="Parlour", wall="west", construction="partition"))  # fmt: skip
    assert '"brick" from one side and "partition" from the other' in only(replace(SOUND, walls=notes)).wrong


def test_all_mistakes_come_at_once() -> None:
    h = house(replace(HALL, inside_c=-20.0), replace(PARLOUR, storey="Grund"),
              openings=(opening(width_m=9.0), opening(name="W2", room="Attic")))  # fmt: skip
    assert [(m.place.kind, m.place.name) for m in mistakes(h)] == [
        ("room", "Hall"), ("room", "Parlour"), ("opening", "W2"), ("opening", "W1"),
    ]  # fmt: skip
