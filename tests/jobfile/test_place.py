"""Emitters on walls, and where their connections are."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from wetside.basis.quantity import System
from wetside.jobfile.place import Misplaced, Stand, emitter_ports, stand_free, stand_on_wall
from wetside.jobfile.plant_tables import PanelTable

BAY = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (3.0, 2.0), (3.0, 1.0), (1.0, 1.0), (1.0, 2.0), (0.0, 2.0))
SQUARE = ((0.0, 0.0), (5.0, 0.0), (5.0, 4.0), (0.0, 4.0))


def panel(**fields: object) -> PanelTable:
    given_fields = {"name": "R", "room": "A", "kind": "panel radiator", "length": 1.0, "height": 0.6, "output": 1000,
                    "depth": 100, "off_wall": 40, "tapping": 50, "above_floor": 0.1, **fields}  # fmt: skip
    return PanelTable.model_validate(given_fields, context=System.METRIC)


def standing(table: PanelTable, outline=SQUARE, floor=0.0) -> Stand:
    stand = stand_on_wall(table, outline, floor)
    assert isinstance(stand, Stand), stand
    return stand


@pytest.mark.parametrize(
    ("wall", "at", "right"),
    [
        # 40 mm off the wall, in its middle; whoever looks south has west at the right hand, and so on round
        ("south", (2.5, 0.04, 0.1), (-1, 0)),
        ("east", (4.96, 2.0, 0.1), (0, -1)),
        ("north", (2.5, 3.96, 0.1), (1, 0)),
        ("west", (0.04, 2.0, 0.1), (0, 1)),
    ],
)
def test_on_each_wall(wall, at, right):
    stand = standing(panel(wall=wall))
    assert stand.at == approx(at)
    assert stand.along == approx(right)


@pytest.mark.parametrize(
    ("flow", "back", "flow_port", "return_port"),
    [
        # on the north wall: left is west. Middle of the depth: 40 + 50 mm off the wall
        ("left", None, ((2.05, 3.91, 0.1), (0, 0, -1)), ((2.95, 3.91, 0.1), (0, 0, -1))),
        ("right", None, ((2.95, 3.91, 0.1), (0, 0, -1)), ((2.05, 3.91, 0.1), (0, 0, -1))),
        ("top left", None, ((2.0, 3.91, 0.65), (-1, 0, 0)), ((3.0, 3.91, 0.15), (1, 0, 0))),
        ("top right", None, ((3.0, 3.91, 0.65), (1, 0, 0)), ((2.0, 3.91, 0.15), (-1, 0, 0))),
        ("bottom left", None, ((2.0, 3.91, 0.15), (-1, 0, 0)), ((3.0, 3.91, 0.15), (1, 0, 0))),
        ("bottom right", "top right", ((3.0, 3.91, 0.15), (1, 0, 0)), ((3.0, 3.91, 0.65), (1, 0, 0))),
    ],
)
def test_connections_on_the_north_wall(flow, back, flow_port, return_port):
    table = panel(wall="north", flow_at=flow, return_at=back)
    first, second = emitter_ports(table, standing(table))
    assert (first.ref, second.ref, first.owner_kind) == ("R.flow", "R.return", "emitter")
    assert first.at == approx(flow_port[0]) and first.faces == flow_port[1]
    assert second.at == approx(return_port[0]) and second.faces == return_port[1]


def test_offset_counts_from_the_walls_first_corner():
    # the east wall begins at its south end, the north wall at its east end
    assert standing(panel(wall="east", offset=1)).at == approx((4.96, 1, 0.1))
    assert standing(panel(wall="north", offset=1)).at == approx((4, 3.96, 0.1))
    assert standing(panel(wall=3, offset=1)).at == approx((4, 3.96, 0.1))


def test_the_floor_of_its_storey_counts():
    assert standing(panel(wall="east"), floor=2.7).at[2] == approx(2.8)


def test_free_in_the_room():
    stand = stand_free(panel(at=[2, 3, 0.5], faces="east"))
    assert isinstance(stand, Stand)
    # it looks east, so whoever looks at it looks west and has north at the right hand
    assert (stand.at, stand.along) == ((2, 3, 0.5), approx((0, 1)))


@pytest.mark.parametrize(
    ("fields", "outline", "field", "wrong"),
    [
        ({"wall": "south", "offset": 0.4}, SQUARE, "offset", "by 0.10 m"),
        ({"wall": "south", "offset": 4.8}, SQUARE, "offset", "by 0.30 m"),
        ({"wall": "south", "length": 6}, SQUARE, "length", "by 0.50 m"),
        ({"wall": 7}, SQUARE, "wall", "no wall 7"),
        ({"wall": "north-east"}, SQUARE, "wall", "no wall of A faces north-east"),
        ({}, SQUARE, "wall", "no place"),
        ({"wall": "south"}, (), "wall", "no outline"),
        ({"wall": "south"}, BAY, "", ""),
        ({"wall": "north"}, BAY, "wall", "3 walls of A face north"),
    ],
)  # fmt: skip
def test_where_it_can_not_stand(fields, outline, field, wrong):
    stand = stand_on_wall(panel(**fields), outline, 0.0)
    if not field:
        assert isinstance(stand, Stand)
        return
    assert isinstance(stand, Misplaced)
    assert stand.field == field
    assert wrong in stand.wrong


@given(st.floats(0.0, 6.28), st.floats(-50, 50), st.floats(-50, 50), st.booleans(), st.sampled_from([1, 2, 3, 4]))
def test_turning_the_house_turns_the_radiator(turn, x, y, backwards, wall):
    """Ports keep their place to the wall, whichever way the outline is turned or written."""
    c, s = math.cos(turn), math.sin(turn)
    turned = [(x + c * px - s * py, y + s * px + c * py) for px, py in SQUARE]
    number = wall
    if backwards:
        # written the other way round, from the same corner, edge k is the one that was 5 - k
        turned = [turned[0], *turned[:0:-1]]
        number = 5 - wall
    table = panel(wall=number, length=0.8, flow_at="top left")
    reference = panel(wall=wall, length=0.8, flow_at="top left")
    ports = emitter_ports(table, standing(table, tuple(turned)))
    expected = emitter_ports(reference, standing(reference))
    for port, plain in zip(ports, expected, strict=True):
        px, py, pz = plain.at
        assert port.at == approx((x + c * px - s * py, y + s * px + c * py, pz), abs=1e-6)
        fx, fy, fz = plain.faces
        assert port.faces == approx((c * fx - s * fy, s * fx + c * fy, fz), abs=1e-6)
        assert math.hypot(*port.faces) == approx(1.0)
