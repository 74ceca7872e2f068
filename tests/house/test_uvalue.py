"""Constructions as parts of rooms; our own cases, not published ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.house.materials import conductivity, known_materials
from wetside.house.spec import Construction, Faces, Layer, Part
from wetside.house.uvalue import air_layer_resistance, bare_resistance, construction_u, lower_limit, upper_limit

GLASS_WOOL = Layer(material="glass wool", thickness_m=0.1, conductivity_w_mk=0.035)


def of(*layers: Layer) -> Construction:
    return Construction(name="c", layers=layers)


@pytest.mark.parametrize(
    ("part", "faces", "surfaces"),
    [
        (Part.WALL, Faces.OUTSIDE, 0.17),
        (Part.WALL, Faces.ROOM, 0.26),
        (Part.WALL, Faces.UNHEATED, 0.26),
        (Part.WALL, Faces.NEIGHBOUR, 0.26),
        (Part.CEILING, Faces.UNHEATED, 0.20),
        (Part.ROOF, Faces.OUTSIDE, 0.14),
        (Part.FLOOR, Faces.OUTSIDE, 0.21),
        (Part.FLOOR, Faces.ROOM, 0.34),
    ],
)
def test_surfaces_follow_part_and_far_side(part: Part, faces: Faces, surfaces: float) -> None:
    assert 1 / construction_u(of(GLASS_WOOL), part, faces) == pytest.approx(surfaces + 0.1 / 0.035)


def test_given_u_is_used_as_such() -> None:
    window = Construction(name="w", u_w_m2k=1.6)
    assert {construction_u(window, Part.WINDOW, f) for f in Faces} == {1.6}


def test_bare_resistance() -> None:
    assert bare_resistance(of(GLASS_WOOL), Part.FLOOR) == pytest.approx(0.1 / 0.035)
    assert bare_resistance(Construction(name="thin", u_w_m2k=6.0), Part.WALL) == 0.0


def test_two_bridged_layers_make_four_paths() -> None:
    """Crossed battens: shares multiply. By hand with R 1 | 2 in halves twice and films of 0.5 each."""
    layer = ((0.5, 1.0), (0.5, 2.0))
    by_hand = 1 / (0.25 / 3.0 + 0.5 / 4.0 + 0.25 / 5.0)
    assert upper_limit(0.5, [layer, layer], 0.5) == pytest.approx(by_hand)
    assert lower_limit(0.5, [layer, layer], 0.5) == pytest.approx(1 + 2 / (0.5 / 1 + 0.5 / 2))


def test_layer_without_resistance_adds_nothing() -> None:
    assert lower_limit(0.13, [((0.9, 0.0), (0.1, 1.0))], 0.04) == pytest.approx(0.17)


strips = st.floats(0.0, 1.0).flatmap(
    lambda s: st.tuples(st.just(s), st.floats(0.01, 10), st.floats(0.01, 10)).map(
        lambda t: ((1 - t[0], t[1]), (t[0], t[2]))
    )
)


@given(st.lists(strips, min_size=1, max_size=4))
def test_upper_limit_is_never_below_the_lower(layers: list[tuple[tuple[float, float], ...]]) -> None:
    up, low = upper_limit(0.13, layers, 0.04), lower_limit(0.13, layers, 0.04)
    assert up >= low * (1 - 1e-12)


@given(st.lists(st.floats(0.01, 10), min_size=1, max_size=5))
def test_without_bridges_both_limits_are_the_plain_sum(resistances: list[float]) -> None:
    layers = [((1.0, r),) for r in resistances]
    assert upper_limit(0.13, layers, 0.04) == pytest.approx(0.17 + sum(resistances))
    assert lower_limit(0.13, layers, 0.04) == pytest.approx(0.17 + sum(resistances))


@given(st.floats(0.001, 0.3))
def test_more_insulation_never_loses_more(more: float) -> None:
    thicker = Layer(material="glass wool", thickness_m=0.1 + more, conductivity_w_mk=0.035)
    assert construction_u(of(thicker), Part.WALL, Faces.OUTSIDE) < construction_u(
        of(GLASS_WOOL), Part.WALL, Faces.OUTSIDE
    )


def test_air_layer_by_thickness_and_direction() -> None:
    assert air_layer_resistance(0.0375, "down") == pytest.approx(0.20)
    cavity = of(Layer(material="air layer", thickness_m=0.05))
    assert 1 / construction_u(cavity, Part.FLOOR, Faces.OUTSIDE) == pytest.approx(0.21 + 0.21)
    with pytest.raises(ValueError, match="300 mm"):
        air_layer_resistance(0.4, "up")


def test_material_named_without_conductivity() -> None:
    assert conductivity("Mineral Wool") == 0.037
    assert conductivity("unobtainium") is None
    named = of(Layer(material="mineral wool", thickness_m=0.1))
    assert 1 / construction_u(named, Part.WALL, Faces.OUTSIDE) == pytest.approx(0.17 + 0.1 / 0.037)


def test_every_material_conducts_as_a_building_material_may() -> None:
    assert len(known_materials()) == len(set(known_materials())) >= 30
    for name in known_materials():
        value = conductivity(name)
        assert value is not None
        assert 0.02 <= value <= 3.0
