"""Heat loads: a room worked by hand, temperatures of unheated rooms, and what must hold for any house."""

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from invented import STOREYS, house, rectangle, room, twelve_rooms

from wetside.house.ground import F_G1, characteristic_dimension, edge_psi, floor_thickness, slab_u
from wetside.house.load import heat_loads
from wetside.house.reading import HouseLoad, RoomLoad
from wetside.house.spec import (
    Bridge,
    Climate,
    Construction,
    Faces,
    Ground,
    House,
    ListedSurface,
    Part,
    Point,
    Room,
    Shielding,
    Underfloor,
    WallNote,
)  # fmt: skip


def by_name(load: HouseLoad) -> dict[str, RoomLoad]:
    return {r.name: r for r in load.rooms}


# ---- a room worked by hand -------------------------------------------------------------------------------------------
# The shape of EN 12831:2003 (from memory); figures worked by hand, not published: 20 °C inside, -12 °C outside.


def worked_room() -> House:
    def listed(name: str, part: Part, area: float, faces: Faces, **more: object) -> ListedSurface:
        return ListedSurface(name=name, part=part, area_m2=area, construction=name, faces=faces, **more)

    main = Room(
        name="room", storey="Ground", inside_c=20.0, volume_m3=40.0, floor_area_m2=16.0,
        surfaces=(
            listed("wall", Part.WALL, 12.0, Faces.OUTSIDE),
            listed("glazing", Part.WINDOW, 2.4, Faces.OUTSIDE),
            listed("cellar floor", Part.FLOOR, 16.0, Faces.UNHEATED, behind="cellar"),
            listed("store wall", Part.WALL, 7.5, Faces.UNHEATED, behind="store"),
            listed("bath wall", Part.WALL, 10.0, Faces.NEIGHBOUR, temperature_c=24.0),
        ),
    )  # fmt: skip
    values = {"wall": 0.35, "glazing": 1.3, "cellar floor": 0.40 + 0.05, "store wall": 1.5 + 0.05, "bath wall": 1.8}
    made = tuple(Construction(name=k, u_w_m2k=v) for k, v in values.items())
    h = house(
        main,
        Room(name="cellar", storey="Ground", heated=False, b_factor=0.5),
        Room(name="store", storey="Ground", heated=False, b_factor=0.4),
        climate=Climate(outside_c=-12.0, mean_c=8.5, shielding=Shielding.MODERATE),
        n50_1_h=3.0,
    )
    return replace(h, constructions=(*h.constructions, *made))


def test_worked_room() -> None:
    load = by_name(heat_loads(worked_room()))["room"]
    parts = {s.name: s.load_w / 32 for s in load.surfaces}
    assert parts == pytest.approx(
        {"wall": 4.80, "glazing": 3.24, "cellar floor": 3.60, "store wall": 4.65, "bath wall": -2.25}, abs=1e-9
    )
    assert load.transmission_w == pytest.approx(449.28)
    assert load.air_w == pytest.approx(217.60)
    assert load.load_w == pytest.approx(666.88)
    assert load.air_change_1_h == pytest.approx(0.5)


def test_leaks_above_the_least_air_change_rule() -> None:
    leaky = replace(worked_room(), n50_1_h=15.0)
    load = by_name(heat_loads(leaky))["room"]
    assert load.air_change_1_h == pytest.approx(2 * 15 * 0.02)  # one opening, moderate shelter
    assert load.air_w == pytest.approx(0.34 * 40 * 0.6 * 32)


def test_ground_by_hand() -> None:
    """(20 − 8.5)/(20 + 12) × 1.45 × 16 m² × 0.25 W/m²K = 2.0844 W/K, 66.70 W; 15 % more with groundwater close."""
    floor = ListedSurface(name="floor", part=Part.FLOOR, area_m2=16.0, construction="s", faces=Faces.GROUND)
    one = Room(name="r", storey="Ground", volume_m3=40.0, air_change_1_h=0.0, surfaces=(floor,))
    h = house(one, climate=Climate(outside_c=-12.0, mean_c=8.5))
    h = replace(h, constructions=(*h.constructions, Construction(name="s", u_w_m2k=0.25)))
    assert heat_loads(h).total_w == pytest.approx(66.70, abs=0.005)
    assert heat_loads(h).rooms[0].surfaces[0].factor * 16 * 0.25 == pytest.approx(2.0844, abs=5e-5)
    wet = replace(h, ground=Ground(groundwater_close=True))
    assert heat_loads(wet).total_w == pytest.approx(66.70 * 1.15, abs=0.006)


# ---- ground floor of the whole house ---------------------------------------------------------------------------------


def floor_u_of(h: House, name: str) -> float:
    return next(s.u_w_m2k for s in by_name(heat_loads(h))[name].surfaces if s.name == "floor")


def test_ground_floor_is_judged_as_a_whole() -> None:
    """Both rooms share the house's own B': 8 m x 4 m, all edges exposed. Concrete of 100 mm, λ 1.65."""
    h = house(room("a", rectangle(0, 0, 3, 4)), room("b", rectangle(3, 0, 8, 4)))
    dt = floor_thickness(0.3, 2.0, 0.1 / 1.65)
    expected = slab_u(characteristic_dimension(32.0, 24.0), dt, 2.0)
    assert floor_u_of(h, "a") == floor_u_of(h, "b") == pytest.approx(expected)


def test_edge_to_an_unheated_room_is_exposed_and_a_party_wall_is_not() -> None:
    h = house(room("a", rectangle(0, 0, 3, 4)), room("b", rectangle(3, 0, 8, 4), heated=False))
    dt = floor_thickness(0.3, 2.0, 0.1 / 1.65)
    assert floor_u_of(h, "a") == pytest.approx(slab_u(characteristic_dimension(12.0, 14.0), dt, 2.0))
    party = replace(h, walls=(WallNote(room="a", wall="west", faces=Faces.NEIGHBOUR, temperature_c=20.0),))
    assert floor_u_of(party, "a") == pytest.approx(slab_u(characteristic_dimension(12.0, 10.0), dt, 2.0))


def test_edge_insulation_is_upright_and_spread_over_the_floor() -> None:
    h = house(room("a", rectangle(0, 0, 8, 4)))
    insulated = replace(h, ground=Ground(edge_insulation_m2k_w=2.0, edge_depth_m=0.5))
    dt = floor_thickness(0.3, 2.0, 0.1 / 1.65)
    saved = edge_psi(0.5, dt, 2.0, 2.0, upright=True) * 24.0 / 32.0
    assert floor_u_of(insulated, "a") - floor_u_of(h, "a") == pytest.approx(saved)


def test_crawl_space_loses_more_when_it_is_windier() -> None:
    h = house(room("a", rectangle(0, 0, 8, 4)), ground=Ground(underfloor=Underfloor.CRAWL))
    windy = replace(h, ground=replace(h.ground, wind_factor=0.10))
    assert floor_u_of(windy, "a") > floor_u_of(h, "a")


# ---- unheated rooms --------------------------------------------------------------------------------------------------


def test_unheated_rooms_balance() -> None:
    """What flows in through their surfaces leaves with the air, for two stores side by side."""
    h = house(room("hall", rectangle(0, 0, 4, 3)), room("store", rectangle(4, 0, 7, 3), heated=False),
              room("shed", rectangle(7, 0, 9, 3), heated=False, air_change_1_h=3.0))  # fmt: skip
    rooms = by_name(heat_loads(h))
    for name in ("store", "shed"):
        assert rooms[name].transmission_w + rooms[name].air_w == pytest.approx(0, abs=1e-9)
        assert rooms[name].load_w == 0
    assert -7 < rooms["shed"].inside_c < rooms["store"].inside_c < 20


def test_store_with_no_losses_takes_the_rooms_temperature() -> None:
    store = Room(name="store", storey="Ground", heated=False, air_change_1_h=0.0, surfaces=(
        ListedSurface(name="w", part=Part.WALL, area_m2=5.0, construction="partition", faces=Faces.ROOM, behind="hall"),
    ))  # fmt: skip
    rooms = by_name(heat_loads(house(room("hall", rectangle(0, 0, 4, 3)), store)))
    assert rooms["store"].inside_c == pytest.approx(20.0)
    assert next(s for s in rooms["hall"].surfaces if s.name == "w").load_w == pytest.approx(0, abs=1e-9)


def test_given_b_counts_from_each_neighbours_own_temperature() -> None:
    warm, cool = room("warm", rectangle(0, 0, 4, 3), inside_c=22.0), room("cool", rectangle(7, 0, 9, 3), inside_c=15.0)
    store = room("store", rectangle(4, 0, 7, 3), heated=False, b_factor=0.5)
    rooms = by_name(heat_loads(house(warm, store, cool)))
    factors = [s.factor for r in ("warm", "cool") for s in rooms[r].surfaces if s.behind == "store"]
    assert factors == pytest.approx([0.5, 0.5])


def test_surface_listed_once_counts_in_both_rooms() -> None:
    wall = ListedSurface(name="w", part=Part.FLOOR, area_m2=5.0, construction="joists", faces=Faces.ROOM, behind="b")
    a = Room(name="a", storey="Ground", inside_c=16.0, volume_m3=30.0, surfaces=(wall,))
    b = Room(name="b", storey="Ground", inside_c=21.0, volume_m3=30.0, b_factor=0.0)
    rooms = by_name(heat_loads(house(a, b)))
    (mine,), (theirs,) = rooms["a"].surfaces, rooms["b"].surfaces
    assert theirs.part is Part.CEILING
    assert mine.load_w == pytest.approx(-theirs.load_w)
    assert theirs.load_w > 0


# ---- air, bridges, reheat --------------------------------------------------------------------------------------------


def test_supply_air_counts_at_its_own_temperature() -> None:
    h = house(room("a", rectangle(0, 0, 4, 4), supply_air_m3_h=30.0, supply_air_c=16.0))
    load = heat_loads(h).rooms[0]
    assert load.air_w == pytest.approx(0.34 * 30 * 4)  # hygiene's 20 m3/h is in it
    less = heat_loads(house(room("a", rectangle(0, 0, 4, 4), supply_air_m3_h=15.0, supply_air_c=16.0))).rooms[0]
    assert less.air_w == pytest.approx(0.34 * (15 * 4 + 5 * 27))
    assert less.air_change_1_h == pytest.approx(0.5)


def test_listed_bridges_and_reheat() -> None:
    plain = room("a", rectangle(0, 0, 4, 4))
    more = replace(plain, bridges=(Bridge(name="lintel", psi_w_mk=0.2, length_m=3.0),), reheat_w_m2=10.0)
    before, after = heat_loads(house(plain)), heat_loads(house(more))
    assert after.total_w - before.total_w == pytest.approx(0.2 * 3 * 27 + 160)
    assert after.building_w - before.building_w == pytest.approx(0.2 * 3 * 27 + 160)


def test_building_counts_half_of_the_leaks() -> None:
    h = replace(twelve_rooms(), n50_1_h=60.0)
    load = heat_loads(h)
    leaks = sum(r.air_w for r in load.rooms if r.heated)
    crossing = sum(s.load_w for r in load.rooms if r.heated for s in r.surfaces if s.faces is Faces.ROOM)
    assert load.building_w == pytest.approx(load.total_w - crossing - leaks / 2)


def test_room_that_gains_counts_as_nothing_in_the_sum() -> None:
    cool = room("cool", rectangle(4, 0, 6, 2), inside_c=-6.5)
    rooms = heat_loads(house(room("warm", rectangle(0, 0, 4, 4), inside_c=25.0), cool))
    loads = by_name(rooms)
    assert loads["cool"].load_w < 0
    assert rooms.total_w == pytest.approx(loads["warm"].load_w)


# ---- what holds for any house ----------------------------------------------------------------------------------------


def loads(h: House) -> dict[str, float]:
    return {r.name: r.load_w for r in heat_loads(h).rooms}


@st.composite
def houses(draw: st.DrawFn) -> House:
    """Two storeys of four rooms, cut differently, each heated or not, each at its own temperature."""
    xs = [0.0, draw(st.floats(2, 4)), 8.0]
    ys = [0.0, draw(st.floats(2, 3)), 6.0]
    up = [0.0, draw(st.floats(1, 7)), draw(st.sampled_from([8.0, 7.0, 9.0]))]
    rooms = [
        room(f"{storey} {i}{j}", rectangle(cut[i], ys[j], cut[i + 1], ys[j + 1]), storey,
             heated=draw(st.integers(0, 4)) > 0, inside_c=draw(st.sampled_from([15.0, 18.0, 20.0, 22.0, 24.0])),
             air_change_1_h=draw(st.sampled_from([0.0, 0.5, 1.5])))
        for storey, cut in (("Ground", xs), ("Upper", up)) for i in range(2) for j in range(2)
    ]  # fmt: skip
    return house(*rooms)


def every_sum(h: House) -> None:
    for r in heat_loads(h).rooms:
        for s in r.surfaces:
            formula = s.area_m2 * (s.u_w_m2k + s.bridge_w_m2k) * s.factor * (r.inside_c - h.climate.outside_c)
            assert s.load_w == pytest.approx(formula, abs=1e-9)
        assert r.transmission_w == pytest.approx(sum(s.load_w for s in r.surfaces), abs=1e-9)
        if r.heated:
            assert r.load_w == pytest.approx(r.transmission_w + r.air_w + r.reheat_w, abs=1e-9)
        else:
            assert r.load_w == 0
            assert r.transmission_w + r.air_w == pytest.approx(0, abs=1e-6)
        assert r.air_w == pytest.approx(r.air_w_k * (r.inside_c - h.climate.outside_c), abs=1e-9)


@given(houses())
def test_sums(h: House) -> None:
    every_sum(h)


def test_sums_of_twelve_rooms() -> None:
    every_sum(twelve_rooms())


@given(houses())
def test_heat_between_two_rooms_leaves_one_and_enters_the_other(h: House) -> None:
    passed: dict[tuple[str, str], float] = {}
    areas: dict[tuple[str, str], float] = {}
    for r in heat_loads(h).rooms:
        for s in r.surfaces:
            if s.behind:
                passed[r.name, s.behind] = passed.get((r.name, s.behind), 0.0) + s.load_w
                areas[r.name, s.behind] = areas.get((r.name, s.behind), 0.0) + s.area_m2
    for (a, b), heat in passed.items():
        assert heat == pytest.approx(-passed[b, a], abs=1e-6)
        assert areas[a, b] == pytest.approx(areas[b, a], abs=1e-9)


@given(houses())
def test_building_load_leaves_out_what_heated_rooms_pass_to_each_other(h: House) -> None:
    """Without leaks the sum over heated rooms, gains included, is the building's load."""
    load = heat_loads(h)
    assert load.building_w == pytest.approx(sum(r.load_w for r in load.rooms if r.heated), abs=1e-6)


def each_outline(h: House, change: "object") -> House:
    return replace(h, rooms=tuple(replace(r, outline=tuple(change(p) for p in r.outline)) for r in h.rooms))


@given(houses(), st.floats(-50, 50), st.floats(-50, 50))
def test_moving_the_plan_changes_nothing(h: House, east: float, north: float) -> None:
    def move(p: Point) -> Point:
        return (p[0] + east, p[1] + north)

    assert loads(each_outline(h, move)) == pytest.approx(loads(h), abs=1e-6)


@given(houses(), st.integers(1, 3))
def test_turning_the_plan_by_quarters_changes_nothing(h: House, quarters: int) -> None:
    def turn(p: Point) -> Point:
        for _ in range(quarters):
            p = (-p[1], p[0])
        return p

    assert loads(each_outline(h, turn)) == pytest.approx(loads(h), abs=1e-6)


@given(houses(), st.integers(0, 3), st.floats(0.05, 0.95))
def test_a_corner_in_the_middle_of_a_wall_changes_nothing(h: House, wall: int, share: float) -> None:
    first = h.rooms[0]
    (xa, ya), (xb, yb) = first.outline[wall], first.outline[(wall + 1) % 4]
    corner = (xa + share * (xb - xa), ya + share * (yb - ya))
    cut = (*first.outline[: wall + 1], corner, *first.outline[wall + 1 :])
    assert loads(replace(h, rooms=(replace(first, outline=cut), *h.rooms[1:]))) == pytest.approx(loads(h), abs=1e-6)


@given(st.floats(1, 7), st.sampled_from([18.0, 20.0, 22.0]))
def test_two_rooms_at_one_temperature_lose_what_one_room_would(cut: float, inside: float) -> None:
    assume(abs(cut - 2) > 0.02)  # no strip thin enough to be drawing slack
    beside = room("beside", rectangle(8, 0, 11, 4), inside_c=16.0)
    above = room("above", rectangle(2, 0, 9, 4), "Upper")
    a, b = (room(n, o, inside_c=inside) for n, o in (("a", rectangle(0, 0, cut, 4)), ("b", rectangle(cut, 0, 8, 4))))
    whole = room("a", rectangle(0, 0, 8, 4), inside_c=inside)
    split, merged = heat_loads(house(a, b, beside, above)), heat_loads(house(whole, beside, above))
    assert split.total_w == pytest.approx(merged.total_w, abs=1e-6)
    assert split.building_w == pytest.approx(merged.building_w, abs=1e-6)


@given(st.floats(-20, 10))
def test_load_grows_in_step_with_the_drop(outside: float) -> None:
    """No ground, one temperature inside: watts per kelvin stay the same."""
    a, b = room("a", rectangle(0, 0, 4, 3)), room("b", rectangle(4, 0, 9, 5), heated=False)
    h = house(a, b, climate=Climate(outside_c=outside, mean_c=outside), storeys=STOREYS)
    load = heat_loads(h)
    reference = heat_loads(replace(h, climate=Climate(outside_c=-7.0, mean_c=-7.0)))
    assert load.total_w / (20 - outside) == pytest.approx(reference.total_w / 27)


@given(st.floats(0.0, 3.0))
def test_worse_walls_never_lose_less(more: float) -> None:
    h = twelve_rooms()
    worse = replace(h, bridge_allowance_w_m2k=h.bridge_allowance_w_m2k + more)
    assert heat_loads(worse).building_w >= heat_loads(h).building_w - 1e-9


def test_ground_heat_in_a_house_is_by_the_years_mean() -> None:
    h = house(room("a", rectangle(0, 0, 8, 4)))
    floor = next(s for s in heat_loads(h).rooms[0].surfaces if s.faces is Faces.GROUND)
    assert floor.load_w == pytest.approx(32 * floor.u_w_m2k * F_G1 * (20 - 9.4))
    assert floor.behind_c == 9.4
